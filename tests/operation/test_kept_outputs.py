"""Outputs that are kept for the next who asks: the same as if worked out anew, and nobody else's."""

import numpy as np
import pytest

from ampwright.electrics.alternator import Alternator
from ampwright.electrics.dynamo import Dynamo
from ampwright.electrics.load import ConstantCurrent
from ampwright.operation import balance
from ampwright.operation.balance import curve, measured_curve, output_A, spread

SPEEDS = np.linspace(600.0, 7000.0, 20)
LOADS = ([ConstantCurrent(3.0)], [ConstantCurrent(1.0)])
SINGLE = Alternator(1, 3, 0.0608, 0.60, 3.642e-3)
DYNAMO = Dynamo((0.0, 1.0, 2.0, 3.0, 6.0), (0.3, 4.75, 6.89, 8.14, 10.0), 1400.0, 0.25, 2.8, 0.5, 8.5, 1.1)


def machines(emf_Vs=0.0608):
    """One that was measured, as three that are equally likely."""
    return Alternator(1, 3, emf_Vs * np.array([[0.9], [1.0], [1.1]]), np.full((3, 1), 0.6), np.full((3, 1), 3.6e-3))


def test_a_class_gives_at_each_voltage_what_it_gives_there():
    for generator, bus_V in ((SINGLE, 13.5), (SINGLE, 6.75), (DYNAMO, 6.75), (SINGLE, 13.5)):
        # the rule: what is kept is the output itself
        assert curve(generator, *LOADS, bus_V, SPEEDS).output_A.tolist() == output_A(generator, SPEEDS, bus_V).tolist()


def test_other_speeds_samples_and_seeds_are_not_mixed_up():
    for speeds in (SPEEDS, SPEEDS + 1.0):
        for samples, seed in ((20, 1), (20, 2), (30, 1)):
            found = curve(SINGLE, *LOADS, 13.5, speeds, samples, seed)
            # the rule: the 10th and the 90th of a hundred of these very machines
            ends = np.quantile(output_A(spread(SINGLE, samples, seed), speeds, 13.5), (0.1, 0.9), axis=0)
            assert np.array_equal(ends, [found.output_low_A, found.output_high_A])


def test_machines_whose_fields_are_arrays_are_told_apart_by_what_is_in_them():
    for emf_Vs in (0.0608, 0.05, 0.0608):
        found = measured_curve(machines(emf_Vs), *LOADS, 13.5, SPEEDS).output_A
        # the rule: of three the middle one
        assert np.array_equal(found, np.median(output_A(machines(emf_Vs), SPEEDS, 13.5), axis=0))


def test_writing_into_a_machine_afterwards_changes_no_answer():
    emf_Vs = np.array([[0.05], [0.06], [0.07]])
    written = Alternator(1, 3, emf_Vs, 0.6, 3.6e-3)
    before = measured_curve(written, *LOADS, 13.5, SPEEDS).output_A.tolist()
    emf_Vs *= 0.5
    # the rule: half the EMF gives less, and the whole what it gave
    assert sum(measured_curve(written, *LOADS, 13.5, SPEEDS).output_A) < sum(before)
    emf_Vs *= 2.0
    assert measured_curve(written, *LOADS, 13.5, SPEEDS).output_A.tolist() == before


@pytest.mark.parametrize("name", ["output_A", "output_low_A", "output_high_A"])
def test_outputs_that_are_handed_out_cannot_be_written_into(name):
    for found in (curve(SINGLE, *LOADS, 13.5, SPEEDS), measured_curve(machines(), *LOADS, 13.5, SPEEDS)):
        with pytest.raises(ValueError, match="read-only"):
            getattr(found, name)[0] = 99.0


def test_no_more_is_kept_than_has_a_place():
    for number in range(2 * balance._MEASURED_KEPT):
        measured_curve(machines(0.05 + 1e-5 * number), *LOADS, 13.5, SPEEDS[:2])
    assert balance._measured_outputs.cache_info().currsize == balance._MEASURED_KEPT
    assert balance._class_outputs.cache_info().maxsize is not None
