"""Whether a bike may be ridden as it stands, by everything it could still be; and the cautions that go with riding."""

from collections.abc import Iterator
from contextlib import contextmanager

from ampwright.bike.seen import BatteryKindFound
from ampwright.desk.cases.ride_setup import Ridable
from ampwright.desk.cases.workup import Workup
from ampwright.errors import AmpwrightError, OutsideModel
from ampwright.identify.grid import BATTERY, REGULATED_BY
from ampwright.identify.guards import REVERSED
from ampwright.identify.held_volts import strays_V
from ampwright.selection.ride_judgement import LITHIUM_MOST_V
from ampwright.stock.cautions import usual_cautions
from ampwright.terms import BatteryKind, RegulatedBy

#: What is less likely than this is not named.
WORTH_NAMING = 0.15
STOPPED = "Stop first: nothing is ridden before that is settled."
# The 90th of a hundred, in standard deviations.
_NINETIETH = 1.28


def no_riding(workup: Workup, bike: Ridable) -> str:
    """Why nobody should ride it as it stands; empty where nothing forbids it."""
    if workup.stop_first:
        return STOPPED
    if REVERSED in workup.identification.guards:
        return "Not before it is settled whether the battery is in the wrong way round: do not start the engine."
    if lithium_is_possible(workup) and not _bears_lithium(workup, bike):
        return (
            f"Not with a lithium battery before the volts are proved: what holds them down may let them over"
            f" {LITHIUM_MOST_V * bike.system.system_voltage_V / 12.0:.1f} V, and lithium may burn."
        )
    return ""


@contextmanager
def nothing_before_the_stop(workup: Workup) -> Iterator[None]:
    """Where a bike stops, that is what is said, whatever else is wrong with what was asked."""
    try:
        yield
    except AmpwrightError:
        first = workup.stop_first
        if not first and REVERSED in workup.identification.guards:
            first = usual_cautions()["battery reversed"]
        if first:
            raise OutsideModel(f"STOP. {first}") from None
        raise


def riding_cautions(workup: Workup, *, lamps: bool = False) -> tuple[str, ...]:
    """The cautions that go with riding, most pressing first; the battery's own line stands by itself."""
    texts = usual_cautions()
    applies = {
        "battery reversed": REVERSED in workup.identification.guards,
        "lithium": lithium_is_possible(workup),
        "lamps": lamps,
    }
    return tuple(texts[when] for when, does in applies.items() if does)


def lithium_is_possible(workup: Workup) -> bool:
    """Whether somebody told of lithium, or it is worth naming among what the battery may be."""
    told = any(isinstance(one, BatteryKindFound) and one.answer is BatteryKind.LITHIUM for one in workup.job.findings)
    found = workup.identification
    pairs = zip(found.grid.values[BATTERY], found.shares(BATTERY), strict=True)
    return told or any(kind is BatteryKind.LITHIUM and float(share) >= WORTH_NAMING for kind, share in pairs)


def _bears_lithium(workup: Workup, bike: Ridable) -> bool:
    """Only where whatever is worth naming is a charging box, and a high one of its kind stays under the limit."""
    held, found = bike.held, workup.identification
    if held.held_V is None or held.by in ("Zener", "nothing", "field"):
        return False
    pairs = zip(found.grid.values[REGULATED_BY], found.shares(REGULATED_BY), strict=True)
    named = [kind for kind, share in pairs if float(share) >= WORTH_NAMING]
    boxed = not held.is_assumed or all(kind is RegulatedBy.CHARGING_BOX for kind in named)
    limit_V = LITHIUM_MOST_V * bike.system.system_voltage_V / 12.0
    return boxed and held.held_V + _NINETIETH * strays_V(held) <= limit_V + 1e-6
