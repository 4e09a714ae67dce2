"""docs/triage.md against the settings: bands, faults' beliefs, and the limits of the answers."""

import re

from pages import page, rows, under

from ampwright.faults.verdict import NAMED_FROM, NOTHING_FROM
from ampwright.proving.bikes_drawn import DRAWS
from ampwright.stock.triage_settings import Cause, usual_triage_settings

SETTINGS = usual_triage_settings()


def first_band(cell: str) -> tuple[float, float]:
    """The two figures at the head of a cell such as ``13.8 to 14.7``."""
    found = re.match(r"(\d+\.\d) to (\d+\.\d)", cell)
    assert found, cell
    return float(found[1]), float(found[2])


def test_the_page_gives_each_regulator_and_battery_its_band() -> None:
    told = {
        cells[0]: first_band(cells[1])
        for cells in rows(under("triage.md", "What a sound one reads"))
        if "." in cells[1]
    }
    kinds = {name.strip(): band for names, band in told.items() for name in names.split(",")}
    wanted = {kind.value: (band.low_V, band.high_V) for kind, band in (*SETTINGS.held.items(), *SETTINGS.rest.items())}
    # the rule: page and settings say the same
    assert kinds == wanted


def test_the_page_says_what_is_believed_beforehand_and_from_where_on_an_answer_is_named() -> None:
    text = " ".join(page("triage.md").split())
    # the rule: page and settings say the same
    assert all(f"{share:.2f} {cause.value}" in text for cause, share in SETTINGS.prior.items())
    assert f"named from {NAMED_FROM:.0%}".replace("%", " %") in text
    assert f"from {NOTHING_FROM:.0%}".replace("%", " %") in text
    assert f"{DRAWS:,} bikes" in text


def test_every_answer_of_the_four_has_its_row_of_faults() -> None:
    told = under("triage.md", "What is wrong with it")
    # by hand
    assert all(row[0] in [cause.value for cause in Cause] for row in rows(told)[1:])
    assert len(rows(told)) == 1 + len(Cause)
