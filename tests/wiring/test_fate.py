"""What becomes of each fitted part when the earth is reversed or the volts are changed."""

import pytest
from looms import sound_originals

from ampwright.stock.parts import BoxEarth
from ampwright.terms import Earth
from ampwright.wiring.fate import ballast, earth_fates, volts_fates
from ampwright.wiring.kinds import METAL, Kind
from ampwright.wiring.loom import Component, Loom, Terminal, Traits, Wire

FRAME = Component("frame", Kind.FRAME, "Frame")


def alone(kind: Kind, *, earth: Earth = Earth.POSITIVE, volts: int = 6, bolted: str = "", **traits: object) -> Loom:
    """One part on a frame."""
    part = Component("part", kind, "Part", Traits(**traits))  # type: ignore[arg-type]
    wires = (Wire(part.at(bolted), Terminal("frame", "frame"), kind="mounting"),) if bolted else ()
    return Loom("One part", earth, volts, (FRAME, part), wires)


EARTH_CASES = [
    (Kind.ZENER, {"minds_earth": BoxEarth.POSITIVE_ONLY}, "replace", "stud is fixed"),
    (Kind.CHARGING_BOX, {"minds_earth": BoxEarth.EITHER}, "swap", "red to plus"),
    (Kind.CHARGING_BOX, {"minds_earth": BoxEarth.POSITIVE_ONLY}, "replace", "positive earth only"),
    (Kind.CHARGING_BOX, {}, "ask", "over 100 kilohm to the shell"),
    (Kind.CHARGING_BOX, {"minds_earth": BoxEarth.NOT_STATED}, "ask", "ask its maker"),
    (Kind.DYNAMO, {}, "swap", "flash it"),
    (Kind.AMMETER, {}, "swap", "two leads"),
    (Kind.COIL, {}, "swap", "low-tension leads"),
    (Kind.LAMP, {"polarity": True}, "swap", "exchange its two leads"),
    (Kind.LAMP, {"polarity": True, "bolted": "return"}, "replace", "returns by its body"),
    (Kind.LAMP, {"polarity": True, "minds_earth": BoxEarth.EITHER}, "does not care", "either earth"),
    (Kind.LAMP, {}, "does not care", "filament"),
    (Kind.IGNITION_BOX, {"polarity": True}, "ask", "ask its maker"),
    (Kind.IGNITION_BOX, {"polarity": True, "minds_earth": BoxEarth.POSITIVE_ONLY}, "replace", "negative earth"),
    (Kind.CAPACITOR, {}, "swap", "turn it round"),
    (Kind.CONTROL_BOX, {}, "does not care", "dynamo is re-polarised"),
    (Kind.DYNAMO_REGULATOR, {"minds_earth": BoxEarth.POSITIVE_ONLY}, "replace", "positive earth only"),
    # physical law: E of a lettered part is its shell and stays on the frame, so no two letters change places
    (Kind.DYNAMO_REGULATOR, {"minds_earth": BoxEarth.EITHER}, "does not care", "stays on its own terminal"),
    (Kind.WARNING_UNIT, {"minds_earth": BoxEarth.EITHER}, "does not care", "stays on its own terminal"),
    (Kind.RECTIFIER, {"bolted": "plus"}, "replace", "bolted to the frame"),
    (Kind.RECTIFIER, {}, "swap", "plus stays plus"),
    (Kind.WARNING_UNIT, {}, "ask", "ask its maker"),
    (Kind.ACCESSORY, {}, "ask", "tachometer"),
    (Kind.ACCESSORY, {"power_W": 30.0}, "does not care", "either way round"),
    (Kind.HORN, {}, "does not care", "either way round"),
    (Kind.LIGHTING_SWITCH, {}, "does not care", "either way round"),
    (Kind.BATTERY, {}, "swap", "Turn it round"),
]


@pytest.mark.parametrize(("kind", "traits", "word", "why"), EARTH_CASES)
def test_earth_reversed_gives_each_kind_one_word_and_its_reason(kind, traits, word, why):
    # common practice, no source
    (fate,) = earth_fates(alone(kind, **traits))
    assert fate.word == word
    assert why in fate.why


@pytest.mark.parametrize(
    ("earth", "word"),
    [
        # physical law: a shell that is minus, bolted to a frame that is plus, is a dead short
        (Earth.NEGATIVE, "replace"),
        (Earth.POSITIVE, "swap"),
    ],
)
def test_a_box_whose_shell_is_minus_goes_with_negative_earth_alone(earth, word):
    (fate,) = earth_fates(alone(Kind.CHARGING_BOX, earth=earth, minds_earth=BoxEarth.SHELL_IS_MINUS))
    assert fate.word == word


VOLTS_CASES = [
    (Kind.BATTERY, {"system_voltage_V": 6}, "replace", "12 V battery"),
    (Kind.LAMP, {"rated_V": 6.0}, "replace", "same watts"),
    (Kind.LAMP, {"rated_V": 13.5}, "keep", "marked for 12 V"),
    (Kind.HORN, {}, "keep", "survives short use"),
    (Kind.FLASHER, {}, "replace", "times by its own volts"),
    (Kind.WARNING_UNIT, {}, "replace", "lamp lead of its own"),
    (Kind.CHARGING_BOX, {"system_voltage_V": 6}, "replace", "set for other volts"),
    (Kind.CHARGING_BOX, {"system_voltage_V": 12}, "keep", "marked for 12 V"),
    (Kind.CONTROL_BOX, {}, "replace", "set for other volts"),
    (Kind.IGNITION_BOX, {}, "ask", "read it on the part"),
    (Kind.IGNITION_BOX, {"system_voltage_V": 6}, "replace", "other volts"),
    (Kind.RECTIFIER, {"make": "plate"}, "replace", "silicon one"),
    (Kind.RECTIFIER, {"make": "silicon"}, "keep", "stands either"),
    (Kind.RECTIFIER, {}, "ask", "plates or silicon"),
    (Kind.CAPACITOR, {"rated_V": 16.0}, "replace", "25 V at least"),
    (Kind.CAPACITOR, {"rated_V": 25.0}, "keep", "are enough"),
    (Kind.CAPACITOR, {}, "ask", "25 V at least"),
    (Kind.DYNAMO, {}, "keep", "turn faster"),
    (Kind.SWITCHED_ALTERNATOR, {}, "keep", "after the pair was read"),
    (Kind.DIP_SWITCH, {}, "keep", "do not mind"),
    (Kind.FUSE, {}, "keep", "worked out anew"),
    (Kind.COIL, {}, "ballast", "measure that first"),
    (Kind.ACCESSORY, {"rated_V": 6.0}, "replace", "other volts"),
]


@pytest.mark.parametrize(("kind", "traits", "word", "why"), VOLTS_CASES)
def test_six_to_twelve_volts_gives_each_kind_one_word_and_its_reason(kind, traits, word, why):
    # common practice, no source
    (fate,) = volts_fates(alone(kind, **traits), 12)
    assert fate.word == word
    assert why in fate.why


def test_a_ballast_gives_a_six_volt_coil_its_own_current_on_twelve():
    needed = ballast(1.5)
    # by hand: 6 V / 1.5 ohm = 4 A; 12 V / 4 A = 3 ohm, less the coil's 1.5
    assert needed.resistance_ohm == pytest.approx(1.5)
    # by hand: 14.4 V / 3 ohm = 4.8 A, and 4.8^2 * 1.5 = 34.56 W
    assert needed.power_W == pytest.approx(34.56)
    (fate,) = volts_fates(alone(Kind.COIL, system_voltage_V=6, resistance_ohm=1.5), 12)
    assert "1.5 ohm, standing 35 W" in fate.why


def test_a_coil_is_not_ballasted_downwards():
    (fate,) = volts_fates(alone(Kind.COIL, volts=12, system_voltage_V=12, resistance_ohm=3.5), 6)
    assert fate.word == "replace"


def test_every_part_of_every_bike_has_a_fate_but_its_metal():
    for loom in sound_originals().values():
        fitted = [part for part in loom.components if part.kind not in (*METAL, Kind.LOOSE_END)]
        for fates in (earth_fates(loom), volts_fates(loom, 18 - loom.system_voltage_V)):
            assert [fate.component for fate in fates] == fitted
            assert all(fate.why for fate in fates)


def test_volts_that_stay_keep_everything():
    for loom in sound_originals().values():
        assert {fate.word for fate in volts_fates(loom, loom.system_voltage_V)} == {"keep"}
