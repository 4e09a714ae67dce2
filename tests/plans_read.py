"""Plans drawn up between two outfits, and their steps found by name, for the tests of the conversions."""

from ampwright.stock.plan_settings import usual_plan
from ampwright.wiring.edits import Step, applied
from ampwright.wiring.loom import Loom
from ampwright.wiring.outfit import Outfit
from ampwright.wiring.plan import Plan, plan_of
from ampwright.wiring.plan_facts import PlanFacts
from ampwright.wiring.typical import loom_of
from ampwright.wiring.wanted import wanted_loom

CAUTIONS = usual_plan().cautions
DC_SIDE = CAUTIONS["DC side"].format(included=usual_plan().phrases["included battery"])


def drawn_up(found: Outfit, wanted: Outfit, facts: PlanFacts | None = None) -> tuple[Plan, Loom, Loom]:
    """The plan between two outfits, checked to lead to where it says, and the two looms."""
    before = loom_of(found)
    after = wanted_loom(before, wanted)
    plan = plan_of(before, after, facts)
    assert applied(before, plan.steps) == plan.reaches
    return plan, before, after


def names(plan: Plan) -> list[str]:
    """The steps by name."""
    return [step.name for step in plan.steps]


def step(plan: Plan, name: str, word: str = "") -> Step:
    """The step of a name that has a word in it."""
    return next(one for one in plan.steps if one.name == name and word in " ".join((one.say, *one.lines)))


def place(plan: Plan, wanted: Step) -> int:
    """Where a step stands."""
    return plan.steps.index(wanted)
