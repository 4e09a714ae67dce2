"""A caller's name in a text: blanked where it means the caller, left where it is a word of the trade."""

import pytest

from ampwright.storage.names import cleaner, still_named, trade_words


# by hand: the rule is a whole name as told, a word behind Mr, a capital word that is not of the trade
@pytest.mark.parametrize(
    ("name", "text", "cleaned"),
    [
        ("Mr White", "white wire broken", "white wire broken"),
        ("Mr White", "White wire broken, says Mr White", "White wire broken, says Mr …"),
        ("White", "Mrs. White rang: White wire", "Mrs. … rang: White wire"),
        ("Al Brown", "Al Brown says the Brown wire is off", "… says the Brown wire is off"),
        ("Al Brown", "Brown, Al", "Brown, Al"),
        ("Wilma Field", "Wilma's field coil", "…'s field coil"),
        ("Halloway", "the Halloways' twin, HALLOWAY again", "the …' twin, … again"),
        ("halloway", "halloway's twin", "…'s twin"),
        ("Halloway", "halloway lane", "halloway lane"),
        ("Féatherstone", "the Featherstone twin", "the … twin"),
        ("Ann Miller-Example", "Example: miller", "…: miller"),
        ("Bo", "Bo rang; bobbin", "… rang; bobbin"),
        ("李明", "李明 rang", "… rang"),
        ("Mr", "Mr", "…"),
        ("", "nothing", "nothing"),
        ("0123", "0123 stamped", "0123 stamped"),
    ],
)
def test_a_name_is_blanked_with_care(name: str, text: str, cleaned: str) -> None:
    assert cleaner([(name, "")])(text) == cleaned


def test_a_phone_number_is_blanked_however_it_is_spaced() -> None:
    clean = cleaner([("", "01632 960555")])
    # by hand
    assert clean("ring +44 1632-960555, or 01632_960555.jpg") == "ring +44 …, or ….jpg"


def test_the_name_of_a_file_is_blanked_in_any_case_but_for_words_of_the_trade() -> None:
    clean = cleaner([("Mr Halloway White", "")], any_case=True)
    # by hand
    assert clean("Halloway_number_plate.jpg") == "…_number_plate.jpg"
    assert clean("halloway2_white_wire.jpg") == "…2_white_wire.jpg"


def test_what_is_left_of_a_name_is_known() -> None:
    # by hand
    assert still_named("white wire broken", [("Mr White", "")])
    assert not still_named("red wire broken", [("Mr White", "")])


def test_colours_kinds_and_what_callers_say_are_words_of_the_trade() -> None:
    # the data: phrases.toml, the kinds of parts, the words of the trade
    assert {"white", "brown", "zener", "stator", "wire", "dynamo", "fuse"} <= trade_words()
    assert {"halloway", "featherstone"}.isdisjoint(trade_words())
