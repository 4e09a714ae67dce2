"""
Class machines against figures of the trade.

The EMF of 13.5 V rms per 1000 rpm is from the owners' test-rig paper; resistance and inductance are fitted to the
rating, so the tables below are one model's arithmetic, recomputed here by another. Real units spread by 15 % at
least.
"""

import numpy as np
import pytest

from ampwright.electrics.alternator import (
    Alternator,
    coil_pairs_used,
    loaded_pair_volts,
    open_pair_volts,
    short_circuit_dc_A,
    weakened,
)
from ampwright.electrics.rectified import rectified, rectified_current_A
from ampwright.operation.balance import balance_speed_rpm
from ampwright.stock.generators import typical_classes

# 13.5 V rms per 1000 rpm, 0.6 ohm, 3.9 mH, six poles.
RIG = Alternator(1, 3, 0.0608, 0.60, 3.9e-3)
# 7.0 V rms per phase and 1000 rpm.
THREE = Alternator(3, 3, 0.0315, 0.35, 1.9e-3)
SPEEDS = np.array([1000.0, 1200.0, 1500.0, 2000.0, 3000.0, 4000.0, 5000.0, 7000.0])


@pytest.mark.parametrize(
    "machine, current, one_ohm_V, limit_A",
    # second method: time-stepping with true diodes, checked by ngspice; the table's last digit and 0.2 %
    [
        (Alternator(1, 3, 0.0608, 0.60, 3.642e-3), [0.82, 2.06, 4.06, 6.79, 8.90, 9.65, 10.0, 10.3], 10.7, 10.6),
        (Alternator(1, 3, 0.0608, 0.38, 2.349e-3), [1.25, 3.16, 6.25, 10.5, 13.8, 15.0, 15.5, 16.0], 15.5, 16.5),
        (Alternator(3, 3, 0.0315, 0.50, 2.715e-3), [0.83, 2.66, 5.22, 7.64, 9.50, 10.2, 10.5, 10.8], 6.6, 11.1),
        (Alternator(3, 3, 0.0315, 0.35, 1.968e-3), [1.13, 3.69, 7.26, 10.6, 13.1, 14.1, 14.5, 14.9], 8.9, 15.3),
    ],
)
def test_class_machines_give_their_table(machine, current, one_ohm_V, limit_A):
    given = rectified_current_A(machine, SPEEDS, 13.5)
    last_digit = np.where(np.array(current) < 9.95, 0.01, 0.06)
    assert np.all(np.abs(given - current) <= last_digit + 0.002 * given)
    assert loaded_pair_volts(machine, 3000.0, 1.0) == pytest.approx(one_ohm_V, abs=0.05)
    assert short_circuit_dc_A(machine) == pytest.approx(limit_A, abs=0.05)


@pytest.mark.parametrize(
    "speed_rpm, current",
    # one-parameter check on the test-rig EMF, into 13.5 V; its author rounds to 0.1 A
    [(1000, 0.7), (1200, 1.9), (1500, 3.9), (2000, 6.5), (2500, 7.7), (3000, 8.4), (4000, 9.1), (5000, 9.4)],
)
def test_rig_machine_into_twelve_volts(speed_rpm, current):
    assert rectified_current_A(RIG, float(speed_rpm), 13.5) == pytest.approx(current, abs=0.11)


@pytest.mark.parametrize("speed_rpm, current", [(1000, 4.5), (1500, 7.3), (2000, 8.4), (5000, 9.7)])
def test_rig_machine_into_six_volts_charges_far_earlier(speed_rpm, current):
    # the same check at 6.9 V
    assert rectified_current_A(RIG, float(speed_rpm), 6.9) == pytest.approx(current, abs=0.11)


def test_one_ohm_test_of_the_rig_machine():
    # the same check: 6.7, 9.2, 10.1 V at 1000, 2000, 3000 rpm; 8.6 and 7.1 V with 85 and 70 % magnet
    volts = loaded_pair_volts(RIG, np.array([1000.0, 2000.0, 3000.0]), 1.0)
    assert volts == pytest.approx([6.7, 9.2, 10.1], abs=0.05)
    assert loaded_pair_volts(weakened(RIG, np.array([0.85, 0.70])), 3000.0, 1.0) == pytest.approx([8.6, 7.1], abs=0.05)
    # makers' tables (from memory): a sound 12 V two-wire stator gives not less than 9.0 V
    assert volts[2] > 9.0


def test_one_coil_pair_reads_like_the_low_output_wire():
    # one, two and three pairs: 3.6, 7.0, 10.1 V; makers' minima (from memory) are 4.0, 6.5 and 8.5 V
    volts = [loaded_pair_volts(coil_pairs_used(RIG, used), 3000.0, 1.0) for used in (1, 2, 3)]
    assert volts == pytest.approx([3.6, 7.0, 10.1], abs=0.06)


def test_weak_magnet_costs_most_at_low_speed():
    # the same check: 4.5 and 2.5 A at 2000 rpm with 85 and 70 % magnet; 17 % less at 5000 rpm with 85 %
    weak = weakened(RIG, np.array([0.85, 0.70]))
    assert rectified_current_A(weak, 2000.0, 13.5) == pytest.approx([4.5, 2.5], abs=0.06)
    lost = 1.0 - rectified_current_A(weakened(RIG, 0.85), 5000.0, 13.5) / rectified_current_A(RIG, 5000.0, 13.5)
    assert lost == pytest.approx(0.17, abs=0.01)


@pytest.mark.parametrize(
    "speed_rpm, current", [(1000, 1.1), (1200, 3.8), (1500, 7.5), (2000, 11.0), (3000, 13.6), (5000, 15.0)]
)
def test_illustrative_three_phase_machine(speed_rpm, current):
    # illustrative, not measured: a three-phase fitted to "15 A"; 2 % for its rounded parameters and its own diodes
    assert rectified_current_A(THREE, float(speed_rpm), 13.5) == pytest.approx(current, rel=0.02, abs=0.05)


def test_open_volts_of_both_machines():
    # owners' test-rig paper: 13.5 V rms per 1000 rpm; three phases of 7 V rms are 12 V between lines
    assert open_pair_volts(RIG, 1000.0) == pytest.approx(13.5, abs=0.05)
    assert open_pair_volts(THREE, 1000.0) == pytest.approx(12.1, abs=0.1)


@pytest.mark.parametrize(
    "demand, expected",
    # arithmetic on the same source: balance speed at 13.5 V with full, 85 and 70 % magnet; nan is "never"
    [
        (3.0, (1360, 1670, 2140)), (5.0, (1680, 2120, 2990)), (7.0, (2170, 3250, np.nan)), (9.0, (3870, np.nan,
        np.nan)), (11.0, (np.nan, np.nan, np.nan)),
    ],
)  # fmt: skip
def test_balance_speeds_of_the_rig_machine(demand, expected):
    speeds = np.linspace(600.0, 7000.0, 641)
    output = rectified_current_A(weakened(RIG, np.array([[1.0], [0.85], [0.70]])), speeds, 13.5)
    # 1 %: the source rounds to 10 rpm and its diodes are its own
    assert balance_speed_rpm(output, demand, speeds) == pytest.approx(expected, rel=0.01, nan_ok=True)


@pytest.mark.parametrize("demand, expected", [(3, 1140), (5, 1290), (7, 1450), (9, 1670), (11, 2010), (13, 2660)])
def test_balance_speeds_of_the_three_phase_machine(demand, expected):
    speeds = np.linspace(600.0, 7000.0, 641)
    # illustrative, not measured; 2 % for its rounded parameters
    assert balance_speed_rpm(rectified_current_A(THREE, speeds, 13.5), float(demand), speeds) == pytest.approx(
        expected, rel=0.02
    )


def test_the_class_feeds_the_rig_s_resistor_a_little_less_than_the_rig_did():
    machine = Alternator(1, 3, 0.0608, 0.60, 3.642e-3)
    volts = np.linspace(5.0, 13.0, 801)
    surplus_A = rectified_current_A(machine, 1000.0, volts) - volts / 3.3
    held_V = float(np.interp(0.0, -surplus_A, volts))
    # owners' test-rig paper: 3.3 ohm and 4700 uF at 1000 rpm averaged just over 10 V. The bus is held here and the
    # EMF is a sine, while the rig's was peakier: the class must come within 10 %, and on the careful side.
    assert 9.0 < held_V < 10.2


def test_the_shipped_classes_are_the_machines_of_the_table():
    shipped = {one.key: one.winding for one in typical_classes() if one.winding}
    for key, machine in (
        ("single_phase_10A", Alternator(1, 3, 0.0608, 0.60, 3.642e-3)),
        ("single_phase_15A", Alternator(1, 3, 0.0608, 0.38, 2.349e-3)),
        ("three_phase_10A", Alternator(3, 3, 0.0315, 0.50, 2.715e-3)),
        ("three_phase_14A", Alternator(3, 3, 0.0315, 0.35, 1.968e-3)),
    ):
        kept = shipped[key]
        held = (kept.phases, kept.pole_pairs, kept.emf_Vs, kept.resistance_ohm, kept.inductance_H)
        # the table above is what these very figures give
        assert held == (
            machine.phases,
            machine.pole_pairs,
            machine.emf_Vs,
            machine.resistance_ohm,
            machine.inductance_H,
        )


def test_the_shorted_current_of_a_class_stays_within_what_a_box_is_judged_to_carry():
    for one in typical_classes():
        kept = one.winding
        if kept is None or kept.coil_pairs > 1:
            continue
        machine = Alternator(kept.phases, kept.pole_pairs, kept.emf_Vs, kept.resistance_ohm, kept.inductance_H)
        # common practice, no source: a box that fits carries at least 1.10 times the amps judged at
        assert short_circuit_dc_A(machine) / one.nameplate_A <= 1.06


@pytest.mark.parametrize(("speed_rpm", "share"), [(2000.0, 0.47), (3000.0, 0.54), (5000.0, 0.57)])
def test_two_wires_of_three_leave_about_half(speed_rpm, share):
    whole = Alternator(3, 3, 0.0315, 0.35, 1.968e-3)
    # law: two phases of a star in series have the line EMF, twice the resistance and twice the inductance
    pair = Alternator(1, 3, 0.0315 * 3**0.5, 2 * 0.35, 2 * 1.968e-3)
    left = rectified_current_A(pair, speed_rpm, 13.5) / rectified_current_A(whole, speed_rpm, 13.5)
    # the figures of the page on choice, to their last digit
    assert left == pytest.approx(share, abs=0.005)


@pytest.mark.parametrize(
    ("machine", "allowed_A"),
    [(Alternator(1, 3, 0.0608, 0.60, 3.642e-3), 5.0), (Alternator(1, 3, 0.0608, 0.38, 2.349e-3), 8.0)],
)
def test_a_capacitor_s_ripple_rating_covers_what_the_bridge_puts_into_it(machine, allowed_A):
    given = rectified(machine, np.linspace(900.0, 7000.0, 40), 13.5)
    # law: without a battery the capacitor takes all of the bridge's current but its mean
    ripple_A = np.sqrt(given.stator_rms_A**2 - given.current_A**2)
    assert ripple_A.max() <= allowed_A + 0.05
    assert ripple_A.max() > 0.9 * allowed_A
