"""Which parts are right for a bike with parts of a kit on it, judged rule by rule, against their whole verdicts."""

import pytest
from bench_jobs import ELECTRONIC, MINUS, PLUS, TWELVE, job
from bench_parts import DEMO, ENERGY_TRANSFER, TEN_AMPS, THREE_PHASE, TWO_WIRES

from ampwright.desk.cases.kit_setup import kit_bike
from ampwright.desk.cases.workup import work_up
from ampwright.identify.grid import BATTERY, REGULATED_BY
from ampwright.selection.kit_after import ANSWERED_BY_THE_KIT, Situation, every_rule, with_battery_wish
from ampwright.selection.verdicts import DONT_FIT, FITS_IF, FITS_WHEN_FITTED_SO
from ampwright.terms import BatteryKind, RegulatedBy

BIKES = {
    "two wires": kit_bike(work_up(job(*TWO_WIRES, PLUS, TEN_AMPS))),
    "three phases": kit_bike(work_up(job(*THREE_PHASE, PLUS))),
    "no battery": kit_bike(work_up(job(*THREE_PHASE, MINUS, ELECTRONIC, wishes={"no_battery": True}))),
    "energy transfer": kit_bike(work_up(job(*ENERGY_TRANSFER, TWELVE, MINUS))),
}


def situations(bike):
    """The bike as it is, and with some answers that parts of a kit give."""
    yield bike.situation()
    yield bike.situation({REGULATED_BY: RegulatedBy.NOTHING})
    yield bike.situation({BATTERY: BatteryKind.LITHIUM, REGULATED_BY: RegulatedBy.ONE_ZENER})
    yield bike.situation(facts=with_battery_wish(bike.facts, no_battery=True))


def is_right(there, part, reads, by_itself):
    """Its verdict laid out over everything, and of that the worst that is still possible, rule by rule."""
    answered = () if by_itself else ANSWERED_BY_THE_KIT.get(part.kind, ())
    for judged in there.judge([part])[0].alike.judged:
        if reads(judged.rule.reads):
            possible = there.outlook.possible_over(judged.rule.reads)
            worst = max(judged.codes.reshape(possible.shape)[possible].tolist(), default=DONT_FIT)
            if worst > (FITS_IF if judged.rule.reads in answered else FITS_WHEN_FITTED_SO):
                return False
    return True


@pytest.mark.parametrize("name", BIKES)
@pytest.mark.parametrize("by_themselves", [False, True])
@pytest.mark.parametrize("reads", [every_rule, lambda axes: BATTERY in axes, lambda axes: REGULATED_BY not in axes])
def test_a_part_goes_with_a_bike_where_the_worst_of_its_whole_verdict_allows(name, by_themselves, reads):
    counted = set()
    for there in situations(BIKES[name]):
        goes = there.goes(DEMO.parts, reads, by_themselves=by_themselves).tolist()
        # other method: each part by itself, judged under every answer of the grid
        assert goes == [is_right(there, part, reads, by_themselves) for part in DEMO.parts]
        counted |= set(goes)
    # by hand: some of the demo's parts are right and some are not, so that neither answer stands for all
    assert counted == {True, False}


class NothingPossible:
    """What is left open of a bike where every answer is excluded."""

    def places(self, _):
        return ()


def test_no_part_goes_with_a_bike_of_which_nothing_is_possible():
    there = Situation(NothingPossible(), BIKES["two wires"].facts)
    boxes = [part for part in DEMO.parts if part.kind == "charging_box"]
    # limit case: where nothing is possible there is nothing a part could be right for
    assert there.goes(boxes).tolist() == [False] * len(boxes)
