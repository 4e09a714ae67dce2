"""Everything the bike could be: generator class, system voltage and earth, jointly."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from ampwright.belief.posterior import Array
from ampwright.stock.evidence import Evidence
from ampwright.stock.generators import GeneratorClass
from ampwright.terms import Earth, Family


@dataclass(frozen=True)
class Hypothesis:
    """One thing the bike could be."""

    generator: GeneratorClass
    system_voltage_V: int
    earth: Earth

    @property
    def family(self) -> Family:
        """The generator family."""
        return self.generator.family

    @property
    def parts(self) -> tuple[str, str, str]:
        """What the hypothesis says of generator, voltage and earth."""
        return (self.generator.name, f"running at {self.system_voltage_V} V", self.earth.value)

    @property
    def words(self) -> str:
        """The hypothesis in one phrase."""
        return ", ".join(self.parts)


@dataclass(frozen=True)
class Frame:
    """All hypotheses, with the belief in each before any finding."""

    hypotheses: tuple[Hypothesis, ...]
    prior: Array


def frame(classes: Sequence[GeneratorClass], evidence: Evidence) -> Frame:
    """Lay out the hypotheses: every class at both voltages and with both earths."""
    hypotheses: list[Hypothesis] = []
    prior: list[float] = []
    for generator in classes:
        at_12 = evidence.prior.system_voltage.share_12V[generator.key]
        for volts, volt_share in ((6, 1.0 - at_12), (12, at_12)):
            for earth, earth_share in _earth_shares(evidence):
                hypotheses.append(Hypothesis(generator, volts, earth))
                prior.append(evidence.prior.generator.share[generator.key] * volt_share * earth_share)
    shares = np.array(prior)
    return Frame(tuple(hypotheses), shares / shares.sum())


def _earth_shares(evidence: Evidence) -> tuple[tuple[Earth, float], ...]:
    positive = evidence.prior.positive_earth.share
    return ((Earth.POSITIVE, positive), (Earth.NEGATIVE, 1.0 - positive))
