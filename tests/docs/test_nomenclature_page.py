"""docs/nomenclature.md against the program: every dimensioned name, word of the trade and certainty."""

import ast
import re
from collections.abc import Iterator
from enum import StrEnum

import pytest
from pages import SRC, page, row_of, rows, spelt, under

from ampwright import terms

# The house rule: what a name's ending says, as the table of quantities writes it.
UNIT_OF_ENDING = {unit: unit for unit in ("V", "A", "W", "H", "rpm", "Hz", "Ah", "mm", "K", "bit")}
UNIT_OF_ENDING |= {"ohm": "Ω", "Vs": "V·s", "rad_s": "rad/s", "uF": "µF", "mm2": "mm²", "degC": "°C", "dB": "deciban"}
UNIT_OF_ENDING |= {"K_W": "K/W", "W_K": "W/K", "J_K": "J/K"}
# By hand: names whose ending is not their unit: a speed for 1000 rpm, what is told for each of something or of a cell
# by its ampere-hours.
OTHER_UNIT = {
    "mph_per_1000_rpm": "mph",
    "km_h_per_1000_rpm": "km/h",
    "per_1000_rpm": "mph or km/h",
    "road_per_1000_rpm": "mph or km/h",
    "road_speed_per_1000_rpm": "mph or km/h",
    "fast_ohm_Ah": "Ω·Ah",
    "charging_ohm_Ah": "Ω·Ah",
    "discharging_ohm_Ah": "Ω·Ah",
    "half_A_per_Ah": "A/Ah",
    "gassing_A_per_Ah": "A/Ah",
    "slow_F_per_Ah": "F/Ah",
    "open_circuit_V_per_K": "V/K",
    "per_K_V": "V/K",
    "set_per_K_12V_V": "V/K",
    "cold_share_per_K": "1/K",
    "ohm_per_K": "1/K",
    "per_K": "W/K",
}


def dimensioned_names() -> list[str]:
    """Every public name with a unit at its end: functions, what they take, and fields of records and answers."""
    ending = re.compile(rf".+_({'|'.join(UNIT_OF_ENDING)})")
    found: set[str] = set()
    for path in sorted(SRC.rglob("*.py")):
        for node in ast.parse(path.read_text(encoding="utf-8")).body:
            found.update(_names(node))
    return sorted(name for name in found if ending.fullmatch(name))


def _names(node: ast.stmt) -> Iterator[str]:
    if not isinstance(node, ast.FunctionDef | ast.ClassDef) or node.name.startswith("_"):
        return
    if isinstance(node, ast.FunctionDef):
        yield node.name
        yield from (argument.arg for argument in (*node.args.args, *node.args.kwonlyargs))
        return
    for inner in node.body:
        if not isinstance(inner, ast.AnnAssign):
            yield from _names(inner)
        elif isinstance(inner.target, ast.Name) and ast.unparse(inner.annotation) != "bool":
            yield inner.target.id  # a yes or no, such as whether a bike changes to 12 V, is no quantity


@pytest.mark.parametrize("name", [*dimensioned_names(), "battery_voltage_V", "bulb_voltage_V"])
def test_every_name_with_a_unit_has_its_row_in_the_nomenclature(name: str) -> None:
    table = page("nomenclature.md").partition("## Quantities\n")[2]
    cells = row_of(table, name)
    assert cells, f"{name} has no row"
    # the house rule: the ending says the unit
    ending = max((end for end in UNIT_OF_ENDING if name.endswith(f"_{end}")), key=len)
    unit = cells[1] if len(cells) == 3 else cells[2]
    assert unit == OTHER_UNIT.get(name, UNIT_OF_ENDING[ending])


def test_no_name_in_the_tables_of_quantities_is_gone_from_the_program() -> None:
    table = page("nomenclature.md").partition("## Quantities\n")[2].partition("## Units\n")[0]
    source = "\n".join(path.read_text(encoding="utf-8") for path in sorted(SRC.rglob("*.py")))
    told = {name for cells in rows(table) for name in spelt(cells[0])}
    assert told
    assert [name for name in sorted(told) if not re.search(rf"\b{name}\b", source)] == []


@pytest.mark.parametrize("words", [kind for kind in vars(terms).values() if isinstance(kind, type)])
def test_every_word_of_the_trade_that_the_program_uses_is_in_the_nomenclature(words: type) -> None:
    if not issubclass(words, StrEnum) or words is StrEnum:
        return
    told = spelt(page("nomenclature.md").replace("\n", " "))
    assert [word.value for word in words if word.value not in told] == []


def test_the_sources_stand_in_the_order_in_which_they_count() -> None:
    told = [spelt(cells[0])[0] for cells in rows(under("nomenclature.md", "Sources of a finding"))[1:]]
    assert told == [source.value for source in terms.SOURCE_ORDER]


def test_the_ladder_of_certainty_is_the_one_the_program_uses() -> None:
    ladder = rows(under("nomenclature.md", "Certainty"))[1:]
    # by hand: seven words
    assert len(ladder) == 7
    for number, (least, confirmed, told) in enumerate(ladder):
        at = float(least.removesuffix(" %")) / 100.0
        assert terms.certainty(at, confirmed=True) == confirmed
        assert terms.certainty(at, confirmed=False) == told
        if number:
            # limit case: just under the next higher limit the word is still this one
            above = float(ladder[number - 1][0].removesuffix(" %")) / 100.0
            assert terms.certainty(above - 1e-9, confirmed=True) == confirmed


# By hand: what this change of the trade's words brought.
@pytest.mark.parametrize(
    "word", ["mismatched rotor", "wound field", "direct lighting", "regulated by", "look", "check", "still possible"]
)
def test_every_word_that_is_easily_mistaken_has_an_entry(word: str) -> None:
    entries = [part.strip() for cells in rows(under("nomenclature.md", "Words")) for part in cells[0].split(",")]
    assert word in entries


def test_both_kinds_of_condition_are_told_apart() -> None:
    told = " ".join(row_of(under("nomenclature.md", "Verdicts and advice"), "fits if"))
    # by hand: judgement.py's two ways of fitting on a condition
    assert "to be proved first" in told
    assert "when fitted so" in told
