"""
One job worked up: identification, facts and what is left open, which every station starts from.
"""

from dataclasses import dataclass
from functools import cached_property

from ampwright.bike.job import Job
from ampwright.identify.explanation import Explanation
from ampwright.identify.grid import Grid, usual_grid
from ampwright.identify.identification import Identification, identify
from ampwright.identify.system import System, system_of
from ampwright.selection.danger import danger_of, stop_text
from ampwright.selection.facts import Facts, facts_of
from ampwright.selection.outlook import Outlook
from ampwright.stock.cautions import usual_cautions
from ampwright.stock.generators import GeneratorClass


@dataclass(frozen=True)
class Workup:
    """What the stations share about one job."""

    job: Job
    identification: Identification
    facts: Facts

    @cached_property
    def outlook(self) -> Outlook:
        """What is left open."""
        return Outlook(self.identification)

    @cached_property
    def explanation(self) -> Explanation:
        """The identification in words."""
        return Explanation(self.identification)

    @cached_property
    def stop_first(self) -> str:
        """What to do before anything else; empty where no danger was told of."""
        danger = danger_of(self.job, self.identification)
        return stop_text(danger, self.job, self.identification, usual_cautions()) if danger else ""

    @property
    def battery_line(self) -> str:
        """The caution that stands on every sheet."""
        return usual_cautions()["always"]


def work_up(job: Job, grid: Grid | None = None) -> Workup:
    """Identify a job's bike and lay out what it could still be."""
    identification = identify(job, grid or usual_grid())
    return Workup(job, identification, facts_of(job, identification))


def system_for(workup: Workup, generator: GeneratorClass, system_voltage_V: int) -> System | None:
    """The system of one generator at one voltage, with the loads of the job."""
    return system_of(workup.job, generator, system_voltage_V, workup.facts.ignition_told)
