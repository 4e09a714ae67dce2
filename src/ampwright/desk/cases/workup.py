"""
One job worked up: identification, facts and possible bikes, which every station starts from.
"""

from dataclasses import dataclass

from ampwright.bike.job import Job
from ampwright.electrics.load import demand_A
from ampwright.identify.hypothesis import Hypothesis
from ampwright.identify.identification import Identification, identify
from ampwright.identify.system import System, system_of
from ampwright.selection.advice import danger_of
from ampwright.selection.facts import Facts, facts_of
from ampwright.selection.verdicts import PossibleBike
from ampwright.stock.cautions import usual_cautions
from ampwright.stock.evidence import Evidence, usual_evidence
from ampwright.stock.generators import typical_classes


@dataclass(frozen=True)
class Workup:
    """What the stations share about one job."""

    job: Job
    evidence: Evidence
    identification: Identification
    facts: Facts
    possible: tuple[PossibleBike, ...]

    @property
    def stop_first(self) -> str:
        """What to do before anything else; empty where no danger was told of."""
        danger = danger_of(self.job)
        return usual_cautions()[danger.value] if danger else ""


def work_up(job: Job, evidence: Evidence | None = None) -> Workup:
    """Identify a job's bike and lay out what it could still be, likeliest first."""
    tables = evidence or usual_evidence()
    identification = identify(job, typical_classes(), tables)
    facts = facts_of(job, identification)
    found = zip(identification.hypotheses, identification.belief, identification.kept_for_safety, strict=True)
    shares = {hypothesis: (float(belief), bool(kept)) for hypothesis, belief, kept in found}
    possible = tuple(
        PossibleBike(hypothesis, *shares[hypothesis], _drawn_A(job, hypothesis, facts))
        for hypothesis in identification.possible
    )
    return Workup(job, tables, identification, facts, possible)


def system_for(workup: Workup, hypothesis: Hypothesis) -> System | None:
    """The system of one hypothesis, with its loads."""
    return system_of(workup.job, hypothesis, workup.facts.ignition_told)


def _drawn_A(job: Job, hypothesis: Hypothesis, facts: Facts) -> float | None:
    """What stays on together, contacts shut."""
    system = system_of(job, hypothesis, facts.ignition_told)
    if system is None:
        return None
    return float(demand_A(system.loads_standing, 0.0, system.bus_V))
