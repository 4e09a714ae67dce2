"""The first sentence: what answers the question that somebody rang with, as far as it can be answered."""

from ampwright.bike.job import Job
from ampwright.bike.reading import BatteryVoltsFound
from ampwright.identify.explanation import Believed, Explanation
from ampwright.identify.grid import EARTH, SYSTEM_VOLTAGE
from ampwright.identify.identification import Identification
from ampwright.selection.danger import is_fast
from ampwright.selection.doubt import Doubt

# At the posts, running fast, this and more is charging (common practice, no source).
_CHARGES_V = {6: 6.9, 12: 13.5}
# Running fast, a battery of 6 V shows less than the first, one of 12 V more than the second (assumed).
_UNDER_OF_6_V, _FROM_OF_12_V = 9.0, 11.0

_CAME_BACK = "Before another goes out, find out why the first one failed: what ruined it can ruin the next."
_NOT_READ = "Nothing measured tells yet why it goes flat: charge the battery, then read its volts at rest and fast."
_GENERATOR = "It probably goes flat because of the generator itself, which no new box cures."


def first_sentence(job: Job, identification: Identification, doubt: Doubt | None) -> str:
    """Answer why somebody rang; empty where the answer below does so by itself."""
    match job.why:
        case "part came back":
            return _CAME_BACK
        case "flat battery":
            return _why_flat(identification, doubt)
        case "what have I got":
            return f"{what_it_is(identification)}."
    return ""


def what_it_is(identification: Identification) -> str:
    """The likeliest family with its certainty word, two at most, and its voltage and earth where they are settled."""
    if not identification.pieces:
        return "Nothing is told yet, so nobody can say what it is"
    found = Explanation(identification)
    first, second = found.families[:2]
    if first.certainty == "could be either":
        return f"It could be {first.name} or {second.name}"
    questions = (SYSTEM_VOLTAGE, found.voltages), (EARTH, found.earths)
    # A guard may keep open what belief holds for settled.
    closed = [group[0] for axis, group in questions if len(identification.possible_values(axis)) == 1]
    rest = [believed.name for believed in closed if _is_settled(believed)]
    said = ", ".join([first.name, *rest])
    return f"{first.certainty.capitalize()} {said}" if first.certainty != "settled" else f"Settled: {said}"


def _is_settled(found: Believed) -> bool:
    return found.certainty == "settled"


def _why_flat(identification: Identification, doubt: Doubt | None) -> str:
    if doubt is None:
        return _by_its_volts(identification)
    return _GENERATOR if doubt.of_generator else ""


def _by_its_volts(identification: Identification) -> str:
    volts = [
        found.answer
        for piece in identification.pieces
        for found in piece.counts
        if isinstance(found, BatteryVoltsFound) and is_fast(found)
    ]
    if not volts:
        return _NOT_READ
    most = max(map(abs, volts))
    system_V = _system_V(most, identification)
    if system_V is None:
        return f"Whether {most:g} V at the battery, running fast, is enough turns on 6 or 12 V: read its label first."
    wanted = _CHARGES_V[system_V]
    if most >= wanted:
        return (
            f"It charges: {most:g} V at the battery. Look at the battery itself, at what drains it standing, and at how"
            " it is ridden."
        )
    return f"It hardly charges: {most:g} V at the battery, running fast, where {wanted:g} V or more is wanted."


def _system_V(most: float, identification: Identification) -> int | None:
    """The voltage that a reading is held against: what is settled, else what it can only be; None where unclear."""
    possible = identification.possible_values(SYSTEM_VOLTAGE)
    for volts in _CHARGES_V:
        if possible == (volts,):
            return volts
    if most >= _FROM_OF_12_V:
        return 12
    return 6 if most < _UNDER_OF_6_V and possible[0] == 6 else None
