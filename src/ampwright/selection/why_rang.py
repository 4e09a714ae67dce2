"""The first sentence: what answers the question that somebody rang with, as far as it can be answered."""

from ampwright.bike.job import Job
from ampwright.bike.reading import BatteryVoltsFound, SpeedTold
from ampwright.identify.explanation import Believed, Explanation
from ampwright.identify.identification import Identification
from ampwright.selection.doubt import Doubt

# At the posts, running fast, this and more is charging (common practice, no source); what lies under 9 V is of 6 V.
_CHARGES_V = {6: 6.9, 12: 13.5}
_BETWEEN_SYSTEMS_V = 9.0
# From this engine speed on a sound generator charges (common practice, no source).
_FAST_RPM = 2000.0

_CAME_BACK = "Before another goes out, find out why the first one failed: what ruined it can ruin the next."
_NOT_READ = "Nothing measured tells yet why it goes flat: charge the battery, then read its volts at rest and fast."
_GENERATOR = "It probably goes flat because of the generator itself, which no new box cures."


def first_sentence(job: Job, identification: Identification, doubt: Doubt | None) -> str:
    """Answer why somebody rang; empty where the answer below does so by itself."""
    match job.why:
        case "part came back":
            return _CAME_BACK
        case "flat battery":
            return _GENERATOR if doubt else _by_its_volts(identification)
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
    rest = [group[0].name for group in (found.voltages, found.earths) if _is_settled(group[0])]
    said = ", ".join([first.name, *rest])
    return f"{first.certainty.capitalize()} {said}" if first.certainty != "settled" else f"Settled: {said}"


def _is_settled(found: Believed) -> bool:
    return found.certainty == "settled"


def _by_its_volts(identification: Identification) -> str:
    volts = [
        found.answer
        for piece in identification.pieces
        for found in piece.counts
        if isinstance(found, BatteryVoltsFound) and _is_fast(found)
    ]
    if not volts:
        return _NOT_READ
    most = max(map(abs, volts))
    wanted = _CHARGES_V[6 if most < _BETWEEN_SYSTEMS_V else 12]
    if most >= wanted:
        return (
            f"It charges: {most:g} V at the battery. Look at the battery itself, at what drains it standing, and at how"
            " it is ridden."
        )
    return f"It hardly charges: {most:g} V at the battery, running fast, where {wanted:g} V or more is wanted."


def _is_fast(found: BatteryVoltsFound) -> bool:
    return found.speed is SpeedTold.FAST or (found.speed_rpm or 0.0) >= _FAST_RPM
