"""The papers of every demo job: what stands on them, what is not offered where a danger stops, and money by hand."""

import datetime
import json
import re
from decimal import Decimal

import pytest
from command_runs import run
from pdf_reading import pages_of, squeezed

from ampwright.bike.job import job_from
from ampwright.desk.cases import papers as case
from ampwright.desk.cases.answer import answer_job
from ampwright.desk.cases.jobs import demo_names, open_demo
from ampwright.desk.cases.paper_words import earth_line, kept_off, offered, what_changes
from ampwright.errors import BadReading
from ampwright.stock.cautions import usual_cautions
from ampwright.stock.shelf import demo_shelf
from ampwright.stock.shop import ShopDetails
from ampwright.storage.kept import Caller, JobState, KeptJob
from ampwright.terms import Advice, Verdict, finding_words

pytest.importorskip("typst")

SHOP = ShopDetails(name="The Corner Shop", address=("12 Mill Lane",), phone="01234 5678")
DAY = datetime.date(2026, 3, 4)
STOPS = "two-zeners-over-fifteen-volts"
ASKS = "three-wires-by-phone"
SELLS = "two-wires-unmarked"
REVERSED = "battery-the-wrong-way-round"
UNKNOWN = "wound-field-flat-battery"
LITHIUM = "zener-wants-lithium"

each_job = pytest.mark.parametrize("name", demo_names())


def kept_of(job) -> KeptJob:
    moment = datetime.datetime(2026, 3, 4, 12, tzinfo=datetime.UTC)
    return KeptJob(
        number=job.number,
        revision=1,
        document=job.model_dump(mode="json"),
        state=JobState.OPEN,
        caller=Caller("A. Caller", "09876 5432"),
        waiting_for="",
        waiting_until=None,
        resume_at="",
        created=moment,
        changed=moment,
        delete_after=None,
        can_undo=False,
        can_redo=False,
    )


def answered(name):
    job = open_demo(name)
    return answer_job(job, demo_shelf()), kept_of(job)


def sheet_text(name, **more) -> str:
    answer, kept = answered(name)
    pages = pages_of(case.papers(answer, kept, SHOP, None, ["answer"], day=DAY, **more))
    assert len(pages) == 1
    return pages[0]


# --- the answer sheet: what stands on it follows what a counter hands over, on one page -------------------------------


@each_job
def test_the_answer_sheet_says_which_job_it_is_and_what_was_told_from_where(name, poppler) -> None:
    text, (answer, _) = sheet_text(name), answered(name)
    for words in ("The Corner Shop", "01234 5678", answer.number, "4 March 2026", "A. Caller", "09876 5432"):
        assert squeezed(words) in text
    for line in answer.identify.evidence:
        assert squeezed(f"{finding_words(line.kind)}{line.answer}") in text
        assert squeezed(line.source) in text
    assert squeezed("For the shop") in text


@each_job
def test_the_answer_sheet_holds_four_cautions_at_most_and_the_earth_lead_always(name, poppler) -> None:
    text, (answer, _) = sheet_text(name), answered(name)
    assert squeezed(usual_cautions()["always"]) in text
    held = [caution for caution in usual_cautions().values() if squeezed(caution) in text]
    assert len(held) <= 4 + (answer.suit.advice is Advice.STOP)  # what stops the job is one of those texts
    left = len(answer.suit.cautions) - 4
    if left > 0:
        assert squeezed(f"{left} more caution") in text


@each_job
def test_the_answer_sheet_names_parts_with_price_stock_and_every_condition_as_the_screen_does(name, poppler) -> None:
    text, (answer, _) = sheet_text(name), answered(name)
    for row in offered(answer)[:3]:
        stock = f"{row.in_stock} in stock" if row.in_stock else "to be ordered"
        assert row.code in text
        assert squeezed(f"1{row.price}{stock}") in text
        for condition in row.see_that:
            assert squeezed(condition) in text
    for row in answer.suit.rows:
        if row.verdict in (Verdict.CANT_SAY, Verdict.DONT_FIT) and row.code in text:
            assert f"✗{row.code}" in text


@each_job
def test_the_answer_sheet_keeps_off_three_at_most_each_with_its_reason(name, poppler) -> None:
    text, (answer, _) = sheet_text(name), answered(name)
    assert text.count("✗") <= 3
    for part in kept_off(answer, 3):
        assert squeezed(f"✗{part.code} {part.name}. {part.reason}") in text


@each_job
def test_the_answer_sheet_has_speeds_assumptions_next_check_and_what_would_change_it(name, poppler) -> None:
    text, (answer, _) = sheet_text(name), answered(name)
    if answer.suit.advice is Advice.STOP:
        return
    for row in answer.balance.rows[:3]:
        band = row.lights_on
        expected = (
            f"{round(band.low_road)} to {round(band.high_road)}" if band and band.high_road < 1e9 else row.no_figure
        )
        assert squeezed(expected) in text
    for words in answer.balance.assumed:
        assert squeezed(words) in text
    for check in answer.suit.ask.checks if answer.suit.ask else ():
        assert squeezed(f"{check.ask} Safely: {check.safely}") in text
    assert squeezed(what_changes(answer)[0][:60]) in text
    assert squeezed(answer.identify.headline)[1:] in text


@each_job
def test_no_paper_shows_probability_in_per_cent_or_decibels(name, poppler) -> None:
    text = sheet_text(name)
    assert "%" not in text
    assert not re.search(r"\d dB|\b0\.\d{2,}\b", text)


def test_a_danger_that_stops_the_job_is_the_main_thing_and_nothing_is_offered(poppler) -> None:
    text, (answer, _) = sheet_text(STOPS), answered(STOPS)
    assert squeezed(answer.identify.stop_first) in text
    assert "STOP" in text
    assert "Nothingisofferedandnothingisfitted" in text
    for words in ("What to fit", "What to keep off", "Will it keep up?", "GBP"):
        assert squeezed(words) not in text
    assert not any(part.code in text for part in demo_shelf().parts)


def test_where_nothing_can_be_sold_yet_no_part_is_named_but_to_keep_off(poppler) -> None:
    text, (answer, _) = sheet_text(ASKS), answered(ASKS)
    assert offered(answer) == ()
    assert "Nothingyet." in text
    assert "GBP" not in text


# --- slip and card ---------------------------------------------------------------------------------------------------


def test_the_pick_slip_has_the_do_not_fit_list_a_reason_each_and_every_caution(poppler) -> None:
    answer, kept = answered(SELLS)
    text = "".join(pages_of(case.papers(answer, kept, SHOP, None, ["pick"])))
    shown = kept_off(answer, 30)
    assert len({part.reason for part in shown}) == len(shown) > 3
    for part in shown:
        assert squeezed(f"✗{part.code} {part.name}. {part.reason}") in text
    for caution in answer.suit.cautions:
        assert squeezed(caution) in text
    assert squeezed("Red goes to battery +, which on this bike is the frame.") in text


def test_the_check_card_asks_says_how_to_do_it_safely_and_leaves_blanks(poppler) -> None:
    answer, kept = answered(ASKS)
    text = "".join(pages_of(case.papers(answer, kept, SHOP, None, ["check"])))
    for check in answer.suit.ask.checks:
        assert squeezed(check.ask) in text
        assert squeezed(check.safely) in text
        for kind in check.brings:
            assert squeezed(finding_words(kind))[1:] in text
    assert squeezed(f"Then ring back on 01234 5678 and say: job {answer.number}.") in text


def mirrored(name):
    """The same job with the other pole to the frame."""
    data = json.loads(open_demo(name).model_dump_json(exclude_none=True))
    for found in data["findings"]:
        if found["what"] in ("frame_post", "fuse_lead"):
            found["answer"] = {"+": "-", "-": "+"}[found["answer"]]
    return answer_job(job_from(data, "mirrored"), demo_shelf())


@pytest.mark.parametrize(
    ("name", "positive", "negative"),
    [
        # law: exchanging the earthed pole exchanges the post that is the frame, and the lead that goes to it
        (
            SELLS,
            "Red goes to battery +, which on this bike is the frame.",
            "Black goes to battery -, which on this bike is the frame.",
        ),
        ("dynamo-positive-earth", "Battery + is the frame on this bike.", "Battery - is the frame on this bike."),
    ],
)
def test_the_earth_line_is_mirrored_with_the_earth(name, positive, negative) -> None:
    assert earth_line(answered(name)[0]) == positive
    assert earth_line(mirrored(name)) == negative


def test_no_earth_line_stands_where_the_earth_is_in_doubt() -> None:
    assert earth_line(answered(ASKS)[0]) == ""


# --- which papers apply ----------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("name", "ticked", "sentence"),
    [
        (STOPS, ["pick"], "The pick slip does not apply: a danger stops the job, so nothing is handed over."),
        (ASKS, ["answer", "pick"], "The pick slip does not apply: no part is safe to hand over yet."),
        (SELLS, ["check"], "The check card does not apply: there is no next check to ask for."),
        (
            SELLS,
            ["bill"],
            "There is no paper 'bill'. Choose from: answer, pick, quote, parts, steps, wiring, check, normal, test.",
        ),
        (SELLS, [], "No paper is ticked. Choose from: answer, pick, quote, parts, steps, wiring, check, normal, test."),
        (STOPS, ["normal"], "The card of what is normal does not apply: a danger stops the job, and nothing is normal"),
        (REVERSED, ["normal"], "The card of what is normal does not apply: the battery may be in the wrong way round"),
        (UNKNOWN, ["normal"], "The card of what is normal does not apply: there is no ride to tell it by: its output"),
        (LITHIUM, ["normal"], "The card of what is normal does not apply: a lithium battery does not go with"),
    ],
)
def test_a_paper_that_does_not_apply_is_refused_by_name(name, ticked, sentence) -> None:
    answer, kept = answered(name)
    with pytest.raises(BadReading) as caught:
        case.papers(answer, kept, SHOP, None, ticked)
    assert str(caught.value).startswith(sentence)


def test_the_date_is_the_jobs_own_else_that_of_its_last_change() -> None:
    answer, kept = answered(SELLS)
    assert case.answer_sheet(answer, kept, SHOP).job.date == "4 March 2026"
    assert case.answer_sheet(answer, None, SHOP).job.date == ""


# --- money, by hand --------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("price", "details", "net", "tax", "gross"),
    [
        # 62.00 * 20 / 120 = 10.3333, so 10.33
        ("62.00", {"tax_percent": "20"}, "51.67", "10.33", "62.00"),
        # 62.00 * 20 / 100 = 12.40
        ("62.00", {"tax_percent": "20", "prices_include_tax": False}, "62.00", "12.40", "74.40"),
        # 0.10 * 5 / 100 = 0.005: half a cent goes up
        ("0.10", {"tax_percent": "5", "prices_include_tax": False}, "0.10", "0.01", "0.11"),
        # 0.30 * 5 / 100 = 0.015: half a cent goes up, where rounding to even would give the same
        ("0.30", {"tax_percent": "5", "prices_include_tax": False}, "0.30", "0.02", "0.32"),
        # 0.50 * 5 / 100 = 0.025: half a cent goes up, where rounding to even would give 0.02
        ("0.50", {"tax_percent": "5", "prices_include_tax": False}, "0.50", "0.03", "0.53"),
        # 19.99 * 8.25 / 100 = 1.649175
        ("19.99", {"tax_percent": "8.25", "prices_include_tax": False}, "19.99", "1.65", "21.64"),
        # nothing is free of anything: no rate of 0 divides by nought
        ("5.00", {"tax_percent": "0"}, "5.00", "0.00", "5.00"),
    ],
)
def test_tax_is_counted_to_the_cent_half_up(price, details, net, tax, gross) -> None:
    found = case.price_of(Decimal(price), ShopDetails(**details))
    assert (found.net, found.tax, found.gross) == (Decimal(net), Decimal(tax), Decimal(gross))


def test_a_shop_without_a_rate_says_nothing_of_tax(poppler) -> None:
    assert "VAT" not in sheet_text(SELLS)


def test_prices_without_tax_show_net_tax_and_what_is_paid(poppler) -> None:
    answer, kept = answered(SELLS)
    details = ShopDetails(tax_percent="20", prices_include_tax=False)
    text = pages_of(case.papers(answer, kept, details, None, ["answer"]))[0]
    # by hand: 62.00 + 12.40 = 74.40
    assert squeezed("Net VAT 20 % To pay GBP") in text
    assert "62.0012.4074.40" in text


def test_prices_with_tax_say_so(poppler) -> None:
    answer, kept = answered(SELLS)
    text = pages_of(case.papers(answer, kept, ShopDetails(tax_percent="17.50"), None, ["answer"]))[0]
    assert squeezed("VAT 17.5 % is in the price.") in text


# --- the command -----------------------------------------------------------------------------------------------------


def test_the_command_writes_every_paper_that_applies_and_says_what_is_left_out(tmp_path, poppler) -> None:
    to = tmp_path / "papers.pdf"
    done = run("papers", "--find", "thick_wires=3@memory", "--to", str(to))
    assert done.returncode == 0
    assert done.stdout.splitlines()[0] == f"Answer sheet, check card, card of what is normal: written to {to}."
    assert "Left out: pick slip: no part is safe to hand over yet." in done.stdout
    assert len(pages_of(to.read_bytes())) >= 2


def test_the_command_refuses_another_ending_than_pdf(tmp_path) -> None:
    done = run("papers", "--find", "thick_wires=3@memory", "--with", "answer", "--to", str(tmp_path / "papers.doc"))
    assert done.returncode == 1
    assert "papers are written as PDF" in done.stderr
