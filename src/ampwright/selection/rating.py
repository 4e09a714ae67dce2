"""
What a box may carry: the rating rules of the trade.

Stators are named in DC amps at about 5000 rpm, boxes in amps or in watts, and
the trade divides watts by 12. A shunt box carries the shorted winding's current
whatever the load, so a small one is never made safe by a small load. All limits
here are common practice, no source.
"""

from collections.abc import Sequence

from ampwright.selection.judgement import Judgement, dont_fit, fits, fits_if
from ampwright.stock.parts import Pairing
from ampwright.terms import Verdict

# Box amps over stator amps.
FITS_FROM = 1.10
REFUSED_UNDER = 0.95
# Stators of 14.5 to 16 A are one class; a pairing with its low end is no refusal of its high end.
SAME_CLASS_FROM = 0.90
# Box watts at real charging volts must reach FITS_FROM; at the trade's 12 V they must
# at least reach this. A maker whose watts are meant at 12 V, as most are, then still
# carries the stator. A box that holds 6 V has its watts at half of both.
CHARGING_V = 14.4
TRADE_V = 12.0
REFUSED_UNDER_WATTS = 1.03
# A three-phase box on two wires: each of two legs carries half of the current, not a third.
TWO_OF_THREE_LEGS = 2.0 / 3.0

_IN_WORDS = {1: "single-phase", 2: "bi-phase", 3: "three-phase"}


def judge_rating(
    nameplate_A: float,
    phases: int,
    *,
    box_phases: int,
    rated_A: float | None,
    rated_W: float | None,
    pairings: Sequence[Pairing],
    system_voltage_V: int = 12,
) -> Judgement:
    """
    Judge a box against a stator's nameplate.

    ``phases`` are 1, 3, or 2 for a winding of two coils to a common tap, for which
    a word on single-phase stators is no word at all. The maker's written pairing
    beats arithmetic; amps beat watts; watts with no stated basis are judged at both
    of the voltages that could be meant, and both figures are given.
    """
    named = max(
        (pairing for pairing in pairings if pairing.phases == phases), key=lambda pair: pair.up_to_A, default=None
    )
    share = TWO_OF_THREE_LEGS if box_phases == 3 and phases != 3 else 1.0
    if rated_A is not None:
        by_label = _by_amps(nameplate_A, rated_A * share, share)
    elif rated_W is not None:
        by_label = _by_watts(nameplate_A, rated_W * share, share, system_voltage_V / 12.0)
    else:
        by_label = dont_fit(f"Its maker names no {_IN_WORDS[phases]} stator for it and prints no rating.")
    return by_label if named is None else _by_pairing(nameplate_A, named, by_label)


def _by_pairing(nameplate_A: float, pairing: Pairing, by_label: Judgement) -> Judgement:
    figure = f'maker\'s word "{pairing.words}" against a {nameplate_A:.3g} A stator'
    if pairing.up_to_A >= REFUSED_UNDER * nameplate_A:
        return fits("Its maker names this stator for it.", figure)
    same_class = pairing.up_to_A >= SAME_CLASS_FROM * nameplate_A
    if same_class and by_label.verdict is Verdict.FITS:
        return fits("Its maker names this class for it, and its label carries the high end.", figure, *by_label.figures)
    if same_class and by_label.verdict is not Verdict.DONT_FIT:
        return fits_if(
            f"its maker says in writing that it suits a stator of {nameplate_A:.3g} A too",
            f"Its maker names it for {pairing.up_to_A:g} A; its label would carry this one.",
            figure,
            *by_label.figures,
        )
    return dont_fit(
        f"Its maker names it for stators up to {pairing.up_to_A:g} A; this one is judged at {nameplate_A:.3g} A.",
        figure,
    )


def _by_amps(nameplate_A: float, box_A: float, share: float) -> Judgement:
    ratio = box_A / nameplate_A
    figure = f"box {box_A:.3g} A{_legs(share)} on stator {nameplate_A:.3g} A: {ratio:.2f}"
    if ratio >= FITS_FROM:
        return fits("It carries this stator with something in hand.", figure)
    if ratio >= REFUSED_UNDER:
        return fits_if(
            f"its maker says in writing that it suits a stator of {nameplate_A:.3g} A, or its shell is proved to stay"
            " under 85 C after 20 minutes at 3000 rpm with the lights off",
            "It is at its limit with this stator.",
            figure,
        )
    return dont_fit(f"It is too small for a stator judged at {nameplate_A:.3g} A.", figure)


def _by_watts(nameplate_A: float, box_W: float, share: float, of_12_V: float) -> Judgement:
    charging_V, trade_V = CHARGING_V * of_12_V, TRADE_V * of_12_V
    careful, trade = box_W / charging_V / nameplate_A, box_W / trade_V / nameplate_A
    figure = (
        f"box {box_W:.3g} W{_legs(share)} on stator {nameplate_A:.3g} A: {careful:.2f} at {charging_V:g} V,"
        f" {trade:.2f} at {trade_V:g} V"
    )
    if careful >= FITS_FROM:
        return fits("It carries this stator whichever voltage its watts are meant at.", figure)
    if trade < REFUSED_UNDER_WATTS:
        return dont_fit(f"It is at its limit or over with a stator judged at {nameplate_A:.3g} A.", figure)
    return fits_if(
        f"its maker says in writing that it suits a stator of {nameplate_A:.3g} A",
        "Its watts are enough at one reading of the label and not at the other.",
        figure,
    )


def _legs(share: float) -> str:
    return " (two of its three legs used)" if share < 1.0 else ""
