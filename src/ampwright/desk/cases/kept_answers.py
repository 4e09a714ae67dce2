"""What is worked out of a kept job: its answer, its charts as files, and the job itself for other programs."""

from typing import Any

from ampwright.desk.cases.answer import Answer, answer_job
from ampwright.desk.cases.balance import balance_svg
from ampwright.desk.cases.charts import wave_view
from ampwright.desk.cases.kept_jobs import KeptJob, open_kept
from ampwright.desk.cases.no_picture import NoPicture
from ampwright.desk.cases.plain import plain
from ampwright.desk.cases.shop import Shop
from ampwright.errors import OutsideModel
from ampwright.stock.shelf import Shelf


def answer_kept(shop: Shop, number: str, shelf: Shelf) -> Answer:
    """The whole answer of a kept job."""
    return answer_job(open_kept(shop, number).job, shelf)


def kept_balance_svg(shop: Shop, number: str) -> str:
    """The balance chart of a kept job as SVG; where there is none, a sentence says why."""
    return balance_svg(open_kept(shop, number).job)


def kept_wave_svg(shop: Shop, number: str, shelf: Shelf, speed_rpm: float, *, lights_on: bool = True) -> str:
    """The wave of a kept job's bike as SVG; where there is none, a sentence says why."""
    found = wave_view(open_kept(shop, number), shelf, speed_rpm, lights_on=lights_on)
    if isinstance(found, NoPicture):
        raise OutsideModel(found.reason)
    return found.drawn[0].svg


def plain_kept(kept: KeptJob) -> dict[str, Any]:
    """A kept job as plain values; its document stands as it is kept, every digit of it."""
    told: dict[str, Any] = plain(kept)
    return told | {"document": dict(kept.document)}
