"""The map of all waves, and what is looked up in it, against the direct solutions of the same machines."""

from math import pi, sqrt

import numpy as np
import pytest
from ridden_bikes import DYNAMO, ONE, THREE
from scipy.optimize import brentq

from ampwright.electrics.alternator import Alternator, at_temperature, electrical_speed_rad_s, peak_emf_V
from ampwright.electrics.circuit import Battery, Circuit
from ampwright.electrics.diode import SILICON, THERMAL_VOLTAGE_V, Diode
from ampwright.electrics.dynamo import Dynamo, dynamo_current_A
from ampwright.electrics.rectified import rectified, single_phase_current_A, three_phase_current_A
from ampwright.errors import OutsideModel
from ampwright.kernels import outputs
from ampwright.operation import closed
from ampwright.operation.wave_forms import REACHES, RESISTANCES, wave_forms

DRAWN, MOST_ROUNDS = 150, 40
PHASES = (1, 3)
NO_CURVE, NO_FORMS = np.zeros((2, 2)), np.zeros((4, 2, outputs.FORMS))


def row_of(machine, diode=SILICON):
    """A machine as a ride has it."""
    row = np.zeros(outputs.MACHINE)
    if isinstance(machine, Dynamo):
        row[outputs.VOLTS_RPM] = machine.speed_ratio / machine.curve_speed_rpm
        row[outputs.ARMATURE : outputs.RATED + 1] = (
            machine.armature_resistance_ohm,
            machine.field_resistance_ohm,
            machine.brush_drop_V,
            machine.rated_current_A,
        )
        return row
    row[outputs.PHASES], row[outputs.EMF_RPM] = machine.phases, peak_emf_V(machine, 1.0)
    row[outputs.X_RPM] = machine.inductance_H * electrical_speed_rad_s(machine.pole_pairs, 1.0)
    row[outputs.OHM], row[outputs.DIODE_OHM] = machine.resistance_ohm, diode.resistance_ohm
    row[outputs.SATURATION], row[outputs.SLOPE] = diode.saturation_A, diode.ideality * THERMAL_VOLTAGE_V
    return row


def given_by(machine, rpm, meets_V, behind_ohm=0.0, diode=SILICON, winding_degC=20.0):
    """What is looked up, once it stands, and how many rounds that took."""
    given = np.zeros(outputs.GIVEN)
    outputs.nothing_given(given)
    is_dynamo = isinstance(machine, Dynamo)
    forms = NO_FORMS if is_dynamo else wave_forms(machine.phases)
    curve = np.array([machine.curve_field_A, machine.curve_emf_V], float) if is_dynamo else NO_CURVE
    row = row_of(machine, diode)
    for rounds in range(1, MOST_ROUNDS):
        if outputs.generated(rpm, winding_degC, meets_V, behind_ohm, row, forms, curve, given):
            return given, rounds
    raise AssertionError("it never stands")


def drawn(phases, seed, count=DRAWN):
    """Machines, speeds from 1 % over cut-in to seven times that, volts and the ohms behind them."""
    rng = np.random.default_rng(seed)
    for _ in range(count):
        volts = float(rng.choice([6.6, 13.0]))
        short_A, cut_in_rpm = rng.uniform(6.0, 25.0), rng.uniform(600.0, 1800.0)
        pole_pairs = int(rng.integers(2, 10))
        reach = 1.0 if phases == 1 else sqrt(3.0)
        emf_Vs = (volts + 1.4) / reach / float(electrical_speed_rad_s(pole_pairs, cut_in_rpm))
        inductance_H = (2.0 if phases == 1 else 3.0) / pi * emf_Vs / short_A
        machine = Alternator(phases, pole_pairs, emf_Vs, rng.uniform(0.04, 0.3) * volts / short_A, inductance_H)
        rpm = cut_in_rpm * float(np.exp(rng.uniform(np.log(1.01), np.log(7.0))))
        yield machine, rpm, volts * rng.uniform(0.95, 1.1), rng.uniform(0.005, 0.06) * volts / 13.0


def within(found_A, direct_A, share, amps):
    """Whether a current is as good as a share of it, or as so many amps where that is more."""
    return abs(found_A - direct_A) <= max(share * direct_A, amps)


@pytest.mark.parametrize("phases", PHASES)
def test_the_map_is_made_once_and_nobody_can_write_in_it(phases):
    forms = wave_forms(phases)
    assert forms.shape == (REACHES, RESISTANCES, outputs.FORMS)
    assert wave_forms(phases) is forms
    with pytest.raises(ValueError, match="read-only"):
        forms[0, 0, 0] = 1.0
    assert np.isfinite(forms).all()
    # law: without reach there is no current, and with more of it there is more
    assert np.all(forms[0, :, : outputs.LOG_FORM] == 0.0)
    assert np.all(np.diff(forms[:, :, outputs.MEAN], axis=0) > 0.0)


# Measured, as shares of E / (R + X): worst for one phase and for three.
@pytest.mark.parametrize(
    ("phases", "direct_A", "share_off"), [(1, single_phase_current_A, 3e-4), (3, three_phase_current_A, 1e-3)]
)
def test_between_its_nodes_the_map_is_good_to_a_thousandth(phases, direct_A, share_off):
    rng, errors = np.random.default_rng(11), []
    # a diode with a straight line only, so that nothing but the map can be off
    straight = Diode(1.0, 0.0, 0.02)
    in_series = 2.0 if phases == 1 else 1.0
    for _ in range(300):
        reach, share = rng.uniform(0.03, 0.99), rng.uniform(0.01, 0.95)
        machine = Alternator(phases, 3, 0.05, 0.0, 0.0)
        emf_V = float(peak_emf_V(machine, 3000.0))
        whole_ohm = emf_V / 10.0
        ohm = share * whole_ohm - in_series * 0.02
        inductance_H = (1.0 - share) * whole_ohm / float(electrical_speed_rad_s(3, 3000.0))
        machine = Alternator(phases, 3, 0.05, ohm, inductance_H)
        volts = (1.0 if phases == 1 else sqrt(3.0)) * emf_V * np.cos(0.5 * pi * reach)
        found, _ = given_by(machine, 3000.0, volts, diode=straight)
        # direct solution: exact for straight diodes
        exact_A = float(direct_A(emf_V, (1.0 - share) * whole_ohm, share * whole_ohm, volts))
        assert found[outputs.GIVES_A] == pytest.approx(exact_A, abs=share_off * 10.0)
        errors.append(abs(found[outputs.GIVES_A] - exact_A) / max(exact_A, 0.5))
    assert np.percentile(errors, 95) < 5e-4


@pytest.mark.parametrize("phases", PHASES)
def test_into_a_held_bus_it_gives_what_the_direct_solution_gives(phases):
    errors = []
    for machine, rpm, volts, _ in drawn(phases, 1):
        found, rounds = given_by(machine, rpm, volts)
        direct = rectified(machine, rpm, volts)
        # direct solution: electrics.rectified; half a per cent, which just after cut-in is 4 mA
        assert within(found[outputs.GIVES_A], direct.current_A, 0.005, 0.004)
        assert within(found[outputs.WINDING_W], direct.winding_W, 0.01, 0.01)
        assert within(found[outputs.RECTIFIER_W], direct.rectifier_W, 0.01, 0.01)
        # law: watts of the winding are ohms times squares
        assert found[outputs.WINDING_W] == pytest.approx(
            phases * machine.resistance_ohm * found[outputs.PHASE_A2], rel=1e-12
        )
        assert rounds <= 15
        errors.append(abs(found[outputs.GIVES_A] - direct.current_A) / max(direct.current_A, 0.5))
    # 95 of 100 are within a quarter of a per cent of the current, of half an ampere at least
    assert np.percentile(errors, 95) < 0.0025


@pytest.mark.parametrize("phases", PHASES)
def test_into_a_battery_it_gives_what_the_circuit_gives(phases):
    errors = []
    for machine, rpm, volts, behind_ohm in drawn(phases, 2):
        circuit = Circuit(rpm, machine, SILICON, None, Battery(volts, behind_ohm))
        try:
            direct = closed.solve(circuit)
        except OutsideModel:
            continue  # three phases that rest part of the time
        found, _ = given_by(machine, rpm, volts, behind_ohm)
        # direct solution: the closed form with the diodes' own law
        assert within(found[outputs.GIVES_A], direct.rectified_current_A, 0.006, 0.007)
        assert within(found[outputs.WINDING_W], direct.heat_W.winding, 0.01, 0.02)
        assert within(found[outputs.RECTIFIER_W], direct.heat_W.rectifier, 0.015, 0.02)
        errors.append(abs(found[outputs.GIVES_A] - direct.rectified_current_A) / max(direct.rectified_current_A, 0.5))
    assert len(errors) > 0.9 * DRAWN
    assert np.percentile(errors, 95) < 0.005


@pytest.mark.parametrize(("machine", "times"), [(ONE, 2.0), (THREE, 3.0)])
def test_a_shorted_machine_gives_its_limit_at_any_high_speed(machine, times):
    for rpm in (2e5, 1e6):
        found, _ = given_by(machine, rpm, 0.0)
        # own derivation, a rectified sine of peak e / L: 2/pi and 3/pi of it
        assert found[outputs.GIVES_A] == pytest.approx(times / pi * machine.emf_Vs / machine.inductance_H, rel=2e-3)
        # limit case: a phase carries that sine, mean square half of its peak's
        assert found[outputs.PHASE_A2] == pytest.approx(0.5 * (machine.emf_Vs / machine.inductance_H) ** 2, rel=4e-3)


@pytest.mark.parametrize("machine", [ONE, THREE])
def test_below_cut_in_nothing_comes_and_the_next_second_starts_afresh(machine):
    reach = 1.0 if machine.phases == 1 else sqrt(3.0)
    given = np.full(outputs.GIVEN, 7.0)
    # limit case: greatest EMF just under the volts
    rpm = 12.5 / reach / float(peak_emf_V(machine, 1.0)) * 0.999
    stands = outputs.generated(rpm, 20.0, 12.5, 0.02, row_of(machine), wave_forms(machine.phases), NO_CURVE, given)
    assert stands
    assert np.all(given[: outputs.ON_A] == 0.0)
    # at standstill too
    assert given_by(machine, 0.0, 12.5)[0][outputs.GIVES_A] == 0.0


@pytest.mark.parametrize("machine", [ONE, THREE])
def test_a_hot_winding_gives_what_one_of_more_ohms_gives(machine):
    hot, _ = given_by(machine, 2500.0, 13.0, winding_degC=120.0)
    # other way: the machine with its copper a hundred kelvin up
    cold, _ = given_by(at_temperature(machine, 100.0), 2500.0, 13.0)
    assert hot[: outputs.ON_A] == pytest.approx(cold[: outputs.ON_A], rel=1e-9)


@pytest.mark.parametrize("rpm", [900.0, 1300.0, 1500.0, 1800.0, 2500.0, 5000.0])
@pytest.mark.parametrize("volts", [5.5, 6.3, 7.1])
def test_a_dynamo_gives_its_own_law(rpm, volts):
    found, _ = given_by(DYNAMO, rpm, volts)
    amps = float(dynamo_current_A(DYNAMO, rpm, volts))
    # other way: electrics.dynamo
    assert found[outputs.GIVES_A] == pytest.approx(amps, abs=1e-6)
    if amps > 0.0:
        # law: armature and field heat, by the terminal's volts
        armature_A = amps + volts / 3.0
        assert found[outputs.WINDING_W] == pytest.approx(0.10 * armature_A**2 + volts**2 / 3.0, rel=1e-9)
        assert found[outputs.RECTIFIER_W] == pytest.approx(0.5 * armature_A, rel=1e-9)


@pytest.mark.parametrize("behind_ohm", [0.02, 0.08, 0.10, 0.15, 0.30])
def test_a_dynamo_meets_the_volts_that_its_current_raises(behind_ohm):
    found, rounds = given_by(DYNAMO, 1500.0, 6.3, behind_ohm)
    # second method: a bracketed root of its own law; also where the ohms are more than the armature's 0.1
    amps = brentq(lambda amps: dynamo_current_A(DYNAMO, 1500.0, 6.3 + behind_ohm * amps) - amps, 0.0, 9.0)
    assert found[outputs.GIVES_A] == pytest.approx(amps, abs=1e-3)
    assert rounds <= 5
