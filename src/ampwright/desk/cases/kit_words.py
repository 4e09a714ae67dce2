"""What a kit achieves and what it asks for, in sentences."""

import math

from ampwright.desk.cases.kit_setup import Achieves
from ampwright.selection.kit_figures import Amps
from ampwright.selection.kit_wishes import NAMES, Fewer

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


def gets_too_hot(found: Achieves) -> bool:
    """Whether a likely shell is over its limit by our figures."""
    return found.shell_degC is not None and found.shell_degC.likely > found.shell_limit_degC


def only_if_cool(found: Achieves) -> str:
    """What has to be proved of a shell that is too hot by our figures; the end of a sentence."""
    gets = f"; by our figures it gets {found.shell_degC.likely:.0f} °C" if found.shell_degC is not None else ""
    return (
        f"only if its shell is measured under {found.shell_limit_degC:.0f} °C after 20 minutes at 3000 rpm with the"
        f" lights off{gets}."
    )


def fewer_words(fewer: Fewer | None, kits: int) -> tuple[str, ...]:
    """Why there are fewer kits than are asked for; nothing where there are as many."""
    if fewer is None:
        return ()
    why = []
    if fewer.too_hot:
        why.append("what else meets the wishes gets too hot by our figures")
    if fewer.never_carries:
        why.append("what else meets them never carries the lights")
    if fewer.without:
        why.append(f"more do once one of these wishes is given up: {', '.join(NAMES[wish] for wish in fewer.without)}")
    if not why:
        parts = "its parts" if kits == 1 else "their parts"
        why.append(f"nothing in stock stands in for {parts}, whichever wish is given up")
    return (f"There is no {'other' if kits == 1 else 'third'}: {'; '.join(why)}.",)


def _amps(found: Amps) -> str:
    way = "over" if found.likely >= 0.0 else "short"
    return f"{abs(found.likely):.1f} A {way} ({found.low:+.1f} to {found.high:+.1f})"


def _time(minutes: float) -> str:
    if not math.isfinite(minutes):
        return "for ever"
    return f"{minutes / 60.0:.1f} h" if minutes > _LONG_min else f"{minutes:.0f} min"
