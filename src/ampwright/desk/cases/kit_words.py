"""What a kit achieves, in sentences."""

import math

from ampwright.desk.cases.kit_setup import Achieves
from ampwright.selection.kit_figures import Amps

# From here on a time is told in hours.
_LONG_min = 240.0


def achieves_words(found: Achieves) -> tuple[str, ...]:
    """One sentence a figure, the one that is asked for first at the head; nothing of what is not known."""
    said = [found.balance_words] if found.balance_words else []
    if found.surplus_slow_A is not None and found.surplus_fast_A is not None:
        said.append(
            f"Lights on, slow end of the usual speeds: {_amps(found.surplus_slow_A)}; fast end:"
            f" {_amps(found.surplus_fast_A)}."
        )
    if found.minutes_at_tick_over is not None:
        said.append(f"At tick-over with the lights on the battery lasts about {_time(found.minutes_at_tick_over)}.")
    if found.minutes_engine_off is not None:
        said.append(f"Lights on, engine off: about {_time(found.minutes_engine_off)}.")
    if found.shell_degC is not None:
        band = found.shell_degC
        said.append(
            f"Shell after 20 minutes at 3000 rpm, lights off: {band.likely:.0f} °C ({band.low:.0f} to {band.high:.0f});"
            f" it should stay under {found.shell_limit_degC:.0f} °C."
        )
    return tuple(said)


def _amps(found: Amps) -> str:
    way = "over" if found.likely >= 0.0 else "short"
    return f"{abs(found.likely):.1f} A {way} ({found.low:+.1f} to {found.high:+.1f})"


def _time(minutes: float) -> str:
    if not math.isfinite(minutes):
        return "for ever"
    return f"{minutes / 60.0:.1f} h" if minutes > _LONG_min else f"{minutes:.0f} min"
