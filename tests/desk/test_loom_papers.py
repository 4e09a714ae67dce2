"""The papers of the loom of demo jobs: the same as plan, wiring and bill say, refused where nothing may be wired."""

import datetime
import json
import re
from dataclasses import replace
from decimal import Decimal
from functools import cache
from pathlib import Path

import pytest
from command_runs import run
from desk_client import API, desk, refusal
from pdf_reading import pages_of, squeezed

from ampwright.bike.job import Job, job_from
from ampwright.desk.cases import jobs
from ampwright.desk.cases import papers as case
from ampwright.desk.cases.answer import answer_job
from ampwright.desk.cases.bill import bill_job
from ampwright.desk.cases.kit import KitLine
from ampwright.desk.cases.loom_answers import plan_job, wire_job
from ampwright.desk.cases.loom_papers import LoomSource, file_prices, parts_sheet, steps_sheet
from ampwright.desk.cases.loom_work import Asked
from ampwright.desk.cases.workup import work_up
from ampwright.documents.sheets import JobLines
from ampwright.errors import BadReading
from ampwright.stock.shelf import demo_shelf
from ampwright.stock.shop import ShopDetails

pytest.importorskip("typst")

DAY = datetime.date(2026, 3, 4)
LOOM = ("quote", "parts", "steps", "wiring")
STOPS = "two-zeners-over-fifteen-volts"
STAYS = "rotor-after-a-rebuild"
OPEN = "five-thick-wires"
FAULT_FIRST = "five-readings-going-flat"
DYNAMO = "dynamo-to-twelve-volts"
SHOWN = ("parade-in-august", "three-wires-six-volt", DYNAMO, "custom-without-battery")

each_shown = pytest.mark.parametrize("name", SHOWN)


@cache
def text_of(name: str, key: str, change: str = "", option: int = 1) -> str:
    """All text of one paper of a demo job."""
    return written(jobs.open_demo(name), key, change, option)


def written(job: Job, key: str, change: str = "", option: int = 1) -> str:
    """All text of one paper of a job."""
    shelf = demo_shelf()
    pdf = case.papers(
        answer_job(job, shelf),
        None,
        ShopDetails(),
        None,
        [key],
        day=DAY,
        workup=work_up(job),
        prices=file_prices(shelf),
        asked=Asked(change, option),
    )
    return "".join(pages_of(pdf))


def source_of(name: str) -> LoomSource:
    """What the papers of a demo job are made from."""
    return LoomSource(work_up(jobs.open_demo(name)), file_prices(demo_shelf()), Asked(), DAY)


# --- the same as the screen says -------------------------------------------------------------------------------------


@each_shown
def test_the_steps_on_paper_are_those_of_the_plan_each_with_its_cautions(name: str, poppler: str) -> None:
    text, plan = text_of(name, "steps"), plan_job(jobs.open_demo(name), demo_shelf())
    assert len(plan.steps) > 10
    place = 0
    for step in plan.steps:
        said = squeezed(f"{step.number}. {step.say}")
        assert said in text[place:]
        place = text.index(said, place)
        for words in (*step.cautions, *step.lines, step.check):
            assert squeezed(words) in text[place:]
    for caution in (*plan.cautions, plan.battery_line):
        assert squeezed(caution) in text


@each_shown
def test_the_wiring_on_paper_has_every_wire_fuse_cut_and_fault_that_the_screen_has(name: str, poppler: str) -> None:
    text, found = text_of(name, "wiring"), wire_job(jobs.open_demo(name), demo_shelf())
    assert found.after is not None
    for row in found.after.wires:
        assert squeezed(f"{row.number} {row.start} {row.end} {row.colour}") in text
    for fuse in found.after.fuses:
        assert squeezed(f"{fuse.name} {fuse.rated_A:g} A") in text
    for cut in found.cut:
        assert squeezed(f"{cut.conductor} {cut.colour} {cut.colour_words}") in text
        assert f"{cut.total_m:.2f}" in text
    for fault in (*found.before.faults, *found.after.faults):
        assert squeezed(fault.sentence) in text


@each_shown
def test_the_quote_on_paper_comes_to_what_the_screen_says(name: str, poppler: str) -> None:
    text, bill = text_of(name, "quote"), bill_job(jobs.open_demo(name), demo_shelf())
    assert bill.options is not None
    for quote in bill.options.quotes:
        assert f"{quote.total.gross:.2f}" in text
        assert squeezed(quote.title) in text


@each_shown
def test_the_pick_list_adds_up_to_the_quote_but_for_labour(name: str) -> None:
    source = source_of(name)
    sheet = parts_sheet(source, JobLines("1", "a job"))
    # law: what is picked, each at its price, is what the quote charges for all that is no labour
    picked = sum(
        Decimal(line.quantity.split()[0]) * Decimal(line.each.split()[0])
        for _, lines in sheet.groups
        for line in lines
        if line.each
    )
    charged = sum(
        line.price.gross for line in source.options.quotes[0].lines if line.price and line.item.kind != "labour"
    )
    lines = sum(len(lines) for _, lines in sheet.groups)
    # each line of the quote is rounded to the cent, so half a cent a line may lie between
    assert abs(picked - charged) <= Decimal("0.005") * lines


def test_the_pick_list_has_cable_by_colour_with_the_size_that_was_asked_for(poppler: str) -> None:
    text, found = (
        text_of("three-wires-six-volt", "parts"),
        wire_job(jobs.open_demo("three-wires-six-volt"), demo_shelf()),
    )
    for cut in found.cut:
        assert squeezed(f"{cut.colour} {cut.colour_words}") in text
        assert squeezed(cut.conductor) in text


def test_a_fuse_that_the_loom_has_another_for_is_neither_named_nor_picked_nor_asked_after() -> None:
    source = source_of("parade-in-august")
    kit = source.work.kit
    assert kit is not None
    fuse = KitLine("fuse", "FU-99", "fuse", "Blade fuse, 99 A", 1, Decimal("0.60"), 5)
    other = replace(kit, lines=(*kit.lines, fuse), see_that=(*kit.see_that, "FU-99: See that it is so."))
    source.__dict__["work"] = replace(source.work, kit=other)
    picked, steps = parts_sheet(source, JobLines("1", "")), steps_sheet(source, JobLines("1", ""))
    assert "FU-99" not in {line.code for _, lines in picked.groups for line in lines}
    assert not any("FU-99" in said for said in (*picked.about, *picked.see_that, *steps.about))
    assert picked.see_that == kit.see_that


def test_another_kit_or_change_has_other_papers(poppler: str) -> None:
    first, second = (text_of("three-wires-six-volt", "parts", option=number) for number in (1, 2))
    source = source_of("three-wires-six-volt")
    assert source.work.kits is not None
    one, two = (set(kit.codes) for kit in source.work.kits.kits[:2])
    for code in one - two:
        assert code in first
        assert code not in second
    assert "Kit2" in second
    assert "Siliconrectifier." in text_of("three-wires-six-volt", "steps", change="silicon rectifier")


# --- the earth, and what is settled first ----------------------------------------------------------------------------


def test_the_earth_of_the_bike_stands_in_the_head_and_is_mirrored_with_it(poppler: str) -> None:
    data = json.loads(jobs.open_demo("parade-in-august").model_dump_json(exclude_none=True))
    for found in data["findings"]:
        if found["what"] == "frame_post":
            found["answer"] = {"+": "-", "-": "+"}[found["answer"]]
    other = steps_sheet(
        LoomSource(work_up(job_from(data, "mirrored")), file_prices(demo_shelf()), Asked()), JobLines("1", "")
    )
    # law: exchanging the earthed pole exchanges the post that is the frame
    assert steps_sheet(source_of("parade-in-august"), JobLines("1", "")).earth_line == (
        "Positive earth: + post to frame and engine. 12 V."
    )
    assert other.earth_line == "Negative earth: − post to frame and engine. 12 V."
    assert squeezed("Positive earth: + post to frame and engine. 6 V now, 12 V then.") in text_of(
        "three-wires-six-volt", "steps"
    )


@pytest.mark.parametrize("key", LOOM)
def test_what_is_to_be_settled_stands_framed_on_every_paper_of_the_loom(key: str, poppler: str) -> None:
    plan = plan_job(jobs.open_demo(FAULT_FIRST), demo_shelf())
    assert plan.not_before
    assert squeezed(f"Not yet: {plan.not_before}") in text_of(FAULT_FIRST, key)


@pytest.mark.parametrize(
    ("name", "warm"),
    [
        ("dynamo-to-twelve-volts", "thedynamoregulator"),
        ("parade-in-august", "thechargingbox"),
        ("wound-field-flat-battery", "thefieldregulator"),
    ],
)
def test_what_gets_warm_is_named_as_it_is_on_the_bike(name: str, warm: str, poppler: str) -> None:
    text = text_of(name, "steps")
    assert f"Aftertwentyminutes,{warm},degrees:" in text
    assert "boxorZener" not in text


def test_where_the_engine_is_opened_the_torque_is_left_to_its_manual(poppler: str) -> None:
    assert "Torque,fromthatengine'sorpart'smanual" in text_of("parade-in-august", "steps", change="three-phase")
    assert "Torque" not in text_of("custom-without-battery", "steps")


# --- where they do not apply -----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("name", "why"),
    [
        (STOPS, "a danger stops the job, and nothing is wired before it is settled"),
        (OPEN, "nobody knows yet which post is earthed, and nothing is wired before that is settled"),
        (STAYS, "nothing changes on this bike as it is told"),
    ],
)
@pytest.mark.parametrize("key", LOOM)
def test_a_paper_of_the_loom_is_refused_by_name_where_nothing_may_be_wired(name: str, why: str, key: str) -> None:
    named = {paper.key: paper.name for paper in case.PAPERS}[key]
    with pytest.raises(BadReading) as caught:
        text_of(name, key)
    assert str(caught.value) == f"The {named} does not apply: {why}. Leave it out."


def test_papers_of_the_loom_are_not_among_those_that_come_unasked() -> None:
    answer = answer_job(jobs.open_demo("parade-in-august"), demo_shelf())
    assert not set(case.that_apply(answer)) & set(LOOM)
    assert case.takes_long(["answer", "wiring"])
    assert not case.takes_long(["answer", "pick"])


# --- the command and the page ----------------------------------------------------------------------------------------


def test_the_command_writes_them_when_named_and_says_how_else(tmp_path: Path, poppler: str) -> None:
    (job,) = [path for path in jobs.copy_demo(str(tmp_path)) if path.endswith("custom-without-battery.toml")]
    to = tmp_path / "papers.pdf"
    done = run("papers", job, "--with", "steps,wiring,parts,quote", "--to", str(to))
    assert done.returncode == 0, done.stderr
    assert done.stdout == (f"Quote, pick list of the change, sheet of fitting steps, wiring sheet: written to {to}.\n")
    starts = [page[:5] for page in pages_of(to.read_bytes())]
    assert [starts.index(words) for words in ("Quote", "Pickl", "Fitti", "Asiti")] == sorted(
        starts.index(words) for words in ("Quote", "Pickl", "Fitti", "Asiti")
    )
    unasked = run("papers", job, "--to", str(to))
    assert "wiring sheet: worked out when it is named (--with wiring)." in unasked.stdout


def test_a_kit_that_is_not_there_is_refused(tmp_path: Path) -> None:
    (job,) = [path for path in jobs.copy_demo(str(tmp_path)) if path.endswith("custom-without-battery.toml")]
    done = run("papers", job, "--with", "steps", "--option", "3", "--to", str(tmp_path / "papers.pdf"))
    assert done.returncode == 1
    assert "Option 3 was asked for, and there is only one kit." in done.stderr


def test_the_page_has_them_to_tick_unticked_and_sets_them_for_a_kit_or_says_why_not(
    tmp_path: Path, poppler: str
) -> None:
    client = desk(tmp_path)
    try:
        made = [
            str(
                client.post(f"{API}/jobs", json={"document": jobs.demo_document(name) | {"number": number}}).json()[
                    "number"
                ]
            )
            for name, number in (("custom-without-battery", "901"), (STAYS, "902"))
        ]
        page = client.get(f"/job/{made[0]}").text
        boxes = dict(re.findall(r'name="with" value="([a-z]+)"([^>]*)>', page))
        assert "checked" in boxes["answer"]
        assert all("checked" not in boxes[key] and "disabled" not in boxes[key] for key in LOOM)
        at = "papers.pdf?with=steps&with=parts&change=&option=1"
        for path in (f"/job/{made[0]}/{at}", f"{API}/jobs/{made[0]}/{at}"):
            assert "Fittingsteps" in "".join(pages_of(client.get(path).content))
        refused = client.get(f"/job/{made[1]}/papers.pdf?with=steps")
        assert refused.status_code == 422
        assert "nothing changes on this bike as it is told" in refused.text
        assert "nothing changes" in refusal(client.get(f"{API}/jobs/{made[1]}/papers.pdf?with=wiring"), 422)["error"]
    finally:
        client.close()
        client.app.state.shop.close()  # type: ignore[attr-defined]
