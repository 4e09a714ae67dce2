"""Exchanging the earthed pole changes signs and what minds them, and no size."""

from dataclasses import replace

import numpy as np
import pytest

from ampwright.bike.job import job_from
from ampwright.desk.cases import workup
from ampwright.desk.cases.answer import answer_job
from ampwright.desk.cases.jobs import demo_names, open_demo
from ampwright.identify.grid import EARTH, usual_grid
from ampwright.stock.shelf import demo_shelf

OTHER = {"+": "-", "-": "+", "positive earth only": "negative earth only", "negative earth only": "positive earth only"}


def mirrored(job):
    """The same job with the other pole to the frame."""
    data = job.model_dump(mode="json", exclude_none=True)
    for found in data["findings"]:
        if found["what"] in ("frame_post", "fuse_lead"):
            found["answer"] = OTHER[found["answer"]]
    return job_from(data, "mirrored")


@pytest.fixture(autouse=True)
def _both_earths_believed_alike(monkeypatch):
    """Before any finding one earth is likelier than the other, and that is the one thing that has no mirror image."""
    usual = usual_grid()
    even = np.repeat(usual.prior.mean(axis=EARTH, keepdims=True), 2, axis=EARTH)
    with np.errstate(divide="ignore"):
        grid = replace(usual, prior=even, log_prior=np.log(even))
    monkeypatch.setattr(workup, "usual_grid", lambda: grid)


def mirrored_stock():
    """The same stock with every part that minds the earth made for the other; none whose shell is minus."""
    shelf = demo_shelf()
    kept = [part for part in shelf.parts if getattr(part, "earth", None) != "shell is minus"]
    turned = [
        part.model_copy(update={"earth": type(part.earth)(OTHER.get(part.earth, part.earth))})
        if hasattr(part, "earth")
        else part
        for part in kept
    ]
    return shelf.model_copy(update={"parts": tuple(kept)}), shelf.model_copy(update={"parts": tuple(turned)})


@pytest.mark.parametrize("name", demo_names())
def test_mirroring_the_earth_mirrors_the_answer_and_keeps_every_size(name):
    job, (stock, turned) = open_demo(name), mirrored_stock()
    here, there = answer_job(job, stock), answer_job(mirrored(job), turned)
    # law: the physics knows no earth, so every speed and amp is the same to the last digit
    assert here.balance == there.balance
    # law: a part and its mirror image get the same verdict on the mirrored bike
    verdicts = {row.code: row.verdict for row in here.suit.rows}
    assert verdicts == {row.code: row.verdict for row in there.suit.rows}
    assert here.suit.advice == there.suit.advice
    # law: belief in one earth becomes belief in the other
    shares = ({believed.name: believed.probability for believed in side.identify.earths} for side in (here, there))
    own, turned_round = shares
    assert own["positive earth"] == pytest.approx(turned_round["negative earth"], abs=1e-12)
