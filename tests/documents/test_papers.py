"""Papers as PDF: one page whatever the job, the same bytes each time, and no text that is taken for a command."""

import builtins
import random
import sys
from dataclasses import replace
from decimal import Decimal
from typing import Any

import pytest
from pdf_reading import facts_of, fonts_of, pages_of, squeezed

from ampwright.documents.lettering import MISSING, _letters, printable
from ampwright.documents.papers import papers_pdf
from ampwright.documents.sheets import (
    AnswerSheet,
    Charges,
    CheckCard,
    Head,
    JobLines,
    KeptOff,
    NormalCard,
    NormalLine,
    OfferedPart,
    PickSlip,
    Price,
    PriceWords,
    Step,
    Told,
)
from ampwright.errors import AmpwrightError
from ampwright.terms import Verdict

pytest.importorskip("typst")

JOB = JobLines("482", "Twin, two wires", "3 March 2026", "A. Caller", "01234 5678")
ALWAYS = "Battery earth lead off first and on last."
PART = OfferedPart("CB-1", "a box", Verdict.FITS_IF, 1, Price(Decimal("62.00")), "5 in stock", ("See that it is so.",))
STEP = Step("How many wires?", "Engine off and cool.", "torch; about 3 min.", "a count.", ("Thick wires",))
SHEET = AnswerSheet(
    job=JOB,
    told=(Told("thick wires", "2", "photo"),),
    cautions=(ALWAYS,),
    what_it_is=("Probably single-phase.",),
    fit_words="One of these.",
    fit=(PART,),
    prices=PriceWords("GBP"),
    keep_off=(KeptOff("CB-2", "another box", "It is too small."),),
    charges=(Charges("a generator", "20 to 30 mph", "10 to 20 mph", "keeps up"),),
    assumed=("gearing",),
    next_check=(STEP,),
    changes=("It could still be another.",),
)
SLIP = PickSlip(JOB, SHEET.told, SHEET.cautions, SHEET.what_it_is, "", "", (PART,), PriceWords("GBP"), SHEET.keep_off)
CARD = CheckCard(JOB, "Is anything hot?", (STEP,), (ALWAYS,), "Then ring back.")
NORMAL = NormalCard(
    job=JOB,
    lines=(NormalLine("Volts", "13.8 to 14.7 V"),),
    come_back=("Battery hot: STOP.",),
    cautions=(ALWAYS,),
    assumed=("gearing",),
    based_on="Based on what we were told.",
)
SVG = '<svg xmlns="http://www.w3.org/2000/svg" width="380" height="300"><text y="20">drawn here</text></svg>'


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_papers_stand_in_a_fixed_order_on_the_paper_that_was_chosen(paper: Any, poppler: str) -> None:
    pdf = papers_pdf(Head(paper=paper), [NORMAL, CARD, SLIP, SHEET])
    assert [page[:6] for page in pages_of(pdf)] == ["Answer", "Picksl", "Check1", "Whatis"]
    # ISO 216: 210 by 297 mm; US letter: 8.5 by 11 inches of 72 points
    assert {"A4": "595.276 x 841.89", "Letter": "612 x 792"}[paper] in facts_of(pdf)["Page size"]


def test_the_same_papers_give_the_same_bytes_without_a_date_of_making() -> None:
    first = papers_pdf(Head(), [SHEET, SLIP, CARD])
    assert papers_pdf(Head(), [SHEET, SLIP, CARD]) == first
    assert b"CreationDate" not in first


def test_fonts_are_our_own_and_embedded(poppler: str) -> None:
    fonts = fonts_of(papers_pdf(Head(), [SHEET, SLIP, CARD]))
    assert fonts
    assert {name.split("+")[1] for name, _ in fonts} == {"DejaVuSans", "DejaVuSans-Bold"}
    assert {embedded for _, embedded in fonts} == {"yes"}


def test_the_pdf_is_tagged_and_named_for_screen_readers(poppler: str) -> None:
    pdf = papers_pdf(Head(), [SHEET, SLIP])
    facts = facts_of(pdf)
    assert facts["Tagged"] == "yes"
    assert facts["Title"] == "Job 482: answer sheet, pick slip"
    assert b"/Lang" in pdf


def test_what_is_missing_of_the_shop_and_the_caller_leaves_room_to_write() -> None:
    assert papers_pdf(Head(), [replace(SHEET, job=JobLines("1", "no title"))])


def test_a_verdict_is_told_by_sign_and_word(poppler: str) -> None:
    text = pages_of(papers_pdf(Head(), [SHEET]))[0]
    assert "✓…CB-1Fitsif:" in text
    assert "✗CB-2" in text
    sure = replace(SHEET, fit=(replace(PART, verdict=Verdict.FITS),))
    assert "✓CB-1Fits:" in pages_of(papers_pdf(Head(), [sure]))[0]


def test_a_chart_stands_where_there_is_room_and_goes_before_anything_is_cut(poppler: str) -> None:
    assert "drawnhere" in pages_of(papers_pdf(Head(), [replace(SHEET, chart_svg=SVG)]))[0]
    many = tuple(Told("thick wires", f"answer {k}", "photo") for k in range(16))
    full = replace(SHEET, chart_svg=SVG.replace('height="300"', 'height="1200"'), told=many)
    text = pages_of(papers_pdf(Head(), [full]))[0]
    assert "drawnhere" not in text
    assert "answer15" in text
    assert "Shortened" not in text


# --- one page whatever the job ---------------------------------------------------------------------------------------

LONG = "a text that goes on and on " * 15
HOSTILE = replace(
    SHEET,
    job=replace(JOB, title=LONG[:400], who="x" * 120, call_back="0" * 60),
    told=tuple(Told("thick wires", LONG, "photo", LONG) for _ in range(40)),
    cautions=(ALWAYS, *["c" * 300] * 3, "2 more cautions apply."),
    first="Is anything hot? " * 8,
    what_it_is=(LONG,) * 6,
    fit_words=LONG,
    fit=(replace(PART, code="C" * 40, name=LONG[:400], see_that=tuple(f"See {k} {LONG}" for k in range(9))),) * 5,
    keep_off=tuple(KeptOff("D" * 40, LONG[:400], LONG) for _ in range(5)),
    charges=tuple(Charges(LONG, "20 to 30 mph, usually 25", "10 to 20 mph", LONG) for _ in range(8)),
    assumed=(LONG,) * 6,
    next_check=(replace(STEP, ask=LONG[:400], safely=LONG[:400]),) * 6,
    changes=(LONG,) * 9,
)
FULL_HEAD = Head("N" * 80, ("A" * 80,) * 6, "1" * 80)


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_the_longest_job_goes_on_one_page_and_says_that_it_is_shortened(paper: Any, poppler: str) -> None:
    pages = pages_of(papers_pdf(replace(FULL_HEAD, paper=paper), [HOSTILE]))
    assert len(pages) == 1
    assert squeezed("Shortened to fit: the rest stands in the answer of job 482 at the counter.") in pages[0]
    assert squeezed("For the shop") in pages[0]  # the foot of the page is on it, too


def test_cautions_and_safe_ways_are_never_cut_and_conditions_stand_whole_or_not_at_all(poppler: str) -> None:
    text = pages_of(papers_pdf(FULL_HEAD, [HOSTILE]))[0]
    for caution in HOSTILE.cautions:
        assert squeezed(caution) in text
    assert squeezed(HOSTILE.next_check[0].safely) in text
    assert "Seethat" not in text
    assert squeezed("Fit nothing before you rang: 9 conditions to hear first.") in text


def test_a_stop_of_any_length_goes_on_one_page_whole(poppler: str) -> None:
    stop = replace(HOSTILE, stop="Engine off. " * 40)
    pages = pages_of(papers_pdf(FULL_HEAD, [stop]))
    assert len(pages) == 1
    assert squeezed("Engine off. " * 40) in pages[0]


def test_a_long_slip_runs_on_and_loses_no_condition(poppler: str) -> None:
    many = tuple(f"See to matter {k}. {LONG[:300]}" for k in range(20))
    pages = pages_of(papers_pdf(Head(), [replace(SLIP, fit=(replace(PART, see_that=many),) * 3)]))
    assert len(pages) > 1
    for condition in many:
        assert squeezed(condition) in "".join(pages).replace("Job482Pickslip,page1", "")


def test_five_checks_make_two_pages_of_cards(poppler: str) -> None:
    pages = pages_of(papers_pdf(Head(), [replace(CARD, steps=(STEP,) * 5)]))
    assert [page.count("Job482") for page in pages] == [4, 1]


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_the_longest_card_stays_whole(paper: Any, poppler: str) -> None:
    step = replace(STEP, ask="What is it? " * 20, safely="Engine off. " * 15, write_down=("One", "Two", "Three"))
    card = replace(CARD, first="Is anything hot? " * 8, steps=(step,) * 4, cautions=("Mind this. " * 18,) * 5)
    text = "".join(pages_of(papers_pdf(Head(paper=paper), [card])))
    assert text.count("Thenringback.") == 4
    assert text.count(squeezed("Mind this. " * 18)) == 20


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_the_longest_owners_card_is_one_a6_side_with_every_caution_and_every_come_back(
    paper: Any, poppler: str
) -> None:
    card = replace(
        NORMAL,
        job=replace(JOB, title=LONG[:400]),
        lines=tuple(NormalLine("Volts", LONG) for _ in range(5)),
        come_back=("Engine off, and ring us. " * 5,) * 3,
        cautions=(ALWAYS, "Mind this. " * 25, "Mind that. " * 25, "2 more cautions apply."),
        assumed=tuple(f"thing {k} of many" for k in range(30)),
    )
    pdf = papers_pdf(replace(FULL_HEAD, paper=paper), [card])
    (text,) = pages_of(pdf)
    # ISO 216: 105 by 148 mm are 297.6 by 419.5 points of 72 to the inch
    assert facts_of(pdf)["Page size"].startswith("297.638 x 419.528")
    for line in (*card.come_back, *card.cautions, card.based_on):
        assert squeezed(line) in text
    assert squeezed("30 things, which we can tell") in text


# --- hostile text ----------------------------------------------------------------------------------------------------

MARKUP = '#eval("1+1") *bold* _x_ $a^2$ `raw` @ref <label> // no /* no */ \\u{41} = head [c] #{panic()} "q" ~ -- \\'


def test_typst_markup_prints_as_text(poppler: str) -> None:
    job = JobLines(MARKUP, MARKUP, MARKUP, MARKUP, MARKUP)
    told = (Told(MARKUP, MARKUP, MARKUP, MARKUP),)
    sheet = replace(SHEET, job=job, told=told, what_it_is=(MARKUP,), keep_off=(KeptOff(MARKUP, MARKUP, MARKUP),))
    slip = replace(SLIP, job=job, told=told, fit=(replace(PART, code=MARKUP, name=MARKUP, see_that=(MARKUP,)),))
    head = Head(MARKUP[:80], (MARKUP[:80],), MARKUP[:80])
    card = replace(NORMAL, job=job, lines=(NormalLine(MARKUP, MARKUP),))
    pages = pages_of(papers_pdf(head, [sheet, slip, replace(CARD, steps=(replace(STEP, ask=MARKUP),)), card]))
    assert all(squeezed(MARKUP) in page for page in pages)


def test_json_in_a_text_prints_as_text(poppler: str) -> None:
    text = '"}],"stop":"no","x":[{"'
    assert text in pages_of(papers_pdf(Head(), [replace(SHEET, what_it_is=(text,))]))[0]


def test_signs_without_a_letter_print_as_a_box_and_right_to_left_text_prints(poppler: str) -> None:
    text = pages_of(papers_pdf(Head(), [replace(SHEET, what_it_is=("bike \U0001f3cd 中 end", "שלום"))]))[0]
    assert f"bike{MISSING}{MISSING}end" in text
    assert "שלום" in text or "םולש" in text


def test_controls_and_turned_directions_are_left_out() -> None:
    # Unicode: U+202E turns the direction of writing round, U+0007 is a bell, U+200B has no width
    assert printable("a\u202eb\x07c\u200bd\ne\tf") == "abcd e f"


def test_any_text_of_any_signs_can_be_set() -> None:
    draw = random.Random(482)
    signs = "".join(chr(draw.randrange(sys.maxunicode)) for _ in range(3000)) + "".join(map(chr, sorted(_letters())))
    texts = tuple(signs[k : k + 300] for k in range(0, len(signs), 300))
    slip = replace(SLIP, told=tuple(Told(text[:50], text, "photo") for text in texts))
    assert papers_pdf(Head(), [slip]).startswith(b"%PDF")


def test_a_word_longer_than_its_column_is_broken_and_loses_nothing(poppler: str) -> None:
    word = "".join(str(k) for k in range(150))
    pdf = papers_pdf(Head(), [replace(SHEET, told=(Told("marking", word, "photo"),), next_check=())])
    assert word in pages_of(pdf)[0]
    # by hand: a break at least every 20 letters
    assert max(map(len, printable(word).split("\u200b"))) <= 20


def test_a_logo_that_is_no_picture_gets_a_sentence() -> None:
    with pytest.raises(AmpwrightError, match="Look whether the shop's logo is a sound PNG"):
        papers_pdf(Head(logo_png=b"no picture"), [SHEET])


def test_without_the_setting_package_the_sentence_names_the_extra(monkeypatch: pytest.MonkeyPatch) -> None:
    real = builtins.__import__

    def without(name: str, *rest: Any, **more: Any) -> Any:
        if name == "typst":
            raise ImportError(name)
        return real(name, *rest, **more)

    monkeypatch.setattr(builtins, "__import__", without)
    with pytest.raises(AmpwrightError) as caught:
        papers_pdf(Head(), [SHEET])
    assert str(caught.value) == (
        "Papers as PDF were asked for, and the package that sets them (typst) is not installed. "
        "Install the extra named papers: pip install 'ampwright[papers]'. "
        "The answer on the screen and the text to send need nothing more."
    )
