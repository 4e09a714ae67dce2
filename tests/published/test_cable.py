"""Published figures of copper, cable and fuses."""

import numpy as np
import pytest

from ampwright.electrics.cable import (
    COPPER_OHM_MM2_M,
    awg_area_mm2,
    awg_diameter_mm,
    copper_ohm_per_m,
    fusing_current_A,
    light_kept,
    resistance_ohm,
    strands_area_mm2,
    volt_drop_V,
)
from ampwright.stock.conductors import conductor, usual_conductors

# Printed table of 0.30 mm strand PVC cable: strands, mm2, ohm/m, A, volts lost over 5 m at that current.
STRANDS = (
    (9, 0.65, 0.0294, 5.75, 0.845),
    (14, 1.0, 0.0189, 8.75, 0.827),
    (21, 1.5, 0.0125, 12.75, 0.797),
    (28, 2.0, 0.0094, 17.5, 0.823),
    (35, 2.5, 0.0075, 21.75, 0.816),
    (44, 3.0, 0.0060, 25.5, 0.765),
)
# IEC 60228, class 5, plain copper: mm2 and most ohm/km at 20 C.
CLASS_5 = ((0.5, 39.0), (0.75, 26.0), (1.0, 19.5), (1.5, 13.3), (2.5, 7.98), (4.0, 4.95), (6.0, 3.30), (10.0, 1.91))
# ASTM B258-02 as quoted: gauge, mm, mm2, and its resistance at 20 C by IEC 60028 (milliohm/m) for some.
GAUGES = (
    (20, 0.8118, 0.5176, None),
    (18, 1.0237, 0.8230, 20.948),
    (16, 1.2908, 1.3087, 13.174),
    (14, 1.6277, 2.0809, 8.285),
    (12, 2.0525, 3.3088, 5.211),
    (10, 2.5882, 5.2612, None),
)


@pytest.mark.parametrize("degC, ohm", [(20.0, 17.241e-3), (60.0, 19.951e-3)])
def test_a_metre_of_a_square_millimetre(degC: float, ohm: float) -> None:
    # IEC 60028: 0.017241 ohm mm2/m, 0.00393 for each kelvin
    assert resistance_ohm(1.0, copper_ohm_per_m(1.0), degC) == pytest.approx(ohm, rel=3e-5)


@pytest.mark.parametrize("degC, times", [(80.0, 1.2358), (-20.0, 0.8428)])
def test_copper_warms_and_cools(degC: float, times: float) -> None:
    # IEC 60028
    assert resistance_ohm(1.0, 1.0, degC) == pytest.approx(times, rel=1e-6)


@pytest.mark.parametrize(
    "degC, share", [(5, 1.064), (25, 0.980), (40, 0.926), (50, 0.893), (60, 0.862), (75, 0.820), (100, 0.758)]
)
def test_the_correction_table_of_iec_60228(degC: int, share: float) -> None:
    # IEC 60228 table of correction to 20 C, which has 0.004 for a kelvin where IEC 60028 has 0.00393
    assert 1.0 / resistance_ohm(1.0, 1.0, float(degC)) == pytest.approx(share, rel=0.0065)


@pytest.mark.parametrize("area_mm2, ohm_per_km", CLASS_5)
def test_metric_sizes_are_those_of_iec_60228(area_mm2: float, ohm_per_km: float) -> None:
    one = conductor(f"{area_mm2:g} mm2")
    # IEC 60228, class 5
    assert (one.area_mm2, one.resistance_ohm_per_m) == pytest.approx((area_mm2, ohm_per_km / 1000.0))
    # the same: 1.108 to 1.157 times what the copper alone has
    assert 1.108 <= round(one.resistance_ohm_per_m / copper_ohm_per_m(area_mm2), 3) <= 1.157


@pytest.mark.parametrize("strands, area_mm2, ohm_per_m, amps, lost_V", STRANDS)
def test_strand_sizes_are_those_of_the_printed_table(
    strands: int, area_mm2: float, ohm_per_m: float, amps: float, lost_V: float
) -> None:
    one = conductor(f"{strands}/0.30")
    # the printed table
    assert (one.area_mm2, one.resistance_ohm_per_m, one.rated_A["PVC"]) == (area_mm2, ohm_per_m, amps)
    # the printed table's drop over 5 m; its third digit is rounded
    assert volt_drop_V(amps, 5.0, one.resistance_ohm_per_m) == pytest.approx(lost_V, abs=0.0006)
    # strands by pi/4 d2 against the printed ohms: stranding adds 7.6 to 8.5 %
    assert 1.076 <= round(ohm_per_m * strands_area_mm2(strands, 0.30) / COPPER_OHM_MM2_M, 3) <= 1.085
    # the printed table rates them at 8.2 to 9.0 A/mm2
    assert 8.2 <= round(amps / strands_area_mm2(strands, 0.30), 1) <= 9.0


@pytest.mark.parametrize("strands, amps", [(65, 35.0), (84, 42.0), (97, 50.0), (120, 60.0)])
def test_the_thick_strand_sizes(strands: int, amps: float) -> None:
    one = conductor(f"{strands}/0.30")
    # lists after BS 6862, from memory
    assert one.rated_A == {"PVC": amps}
    # the same stranding as the printed sizes have
    assert 1.076 <= one.resistance_ohm_per_m / copper_ohm_per_m(strands_area_mm2(strands, 0.30)) <= 1.085


@pytest.mark.parametrize("gauge, mm, mm2, milliohm", GAUGES)
def test_gauges_are_those_of_astm_b258(gauge: int, mm: float, mm2: float, milliohm: float | None) -> None:
    # ASTM B258-02, as quoted
    assert awg_diameter_mm(gauge) == pytest.approx(mm, rel=1e-4)
    # the same
    assert awg_area_mm2(gauge) == pytest.approx(mm2, rel=1e-4)
    if milliohm is not None:
        # IEC 60028 over that area
        assert 1000.0 * copper_ohm_per_m(awg_area_mm2(gauge)) == pytest.approx(milliohm, rel=1e-4)
    one = conductor(f"{gauge} AWG")
    # by hand: 8 % for stranding on the copper's own
    assert one.resistance_ohm_per_m == pytest.approx(1.08 * copper_ohm_per_m(mm2), rel=3e-4)


def test_the_ends_and_the_step_of_the_american_gauge() -> None:
    # ASTM B258: number 36 is 0.0050 inch and 4/0 is 0.4600 inch
    assert awg_diameter_mm(np.array([36.0, -3.0])) == pytest.approx([0.0050 * 25.4, 0.4600 * 25.4])
    # ASTM B258: the ratio of neighbours
    assert awg_diameter_mm(17) / awg_diameter_mm(18) == pytest.approx(1.1229322)


def test_old_ratings_are_those_of_the_cable_maker() -> None:
    old = {one.key: one.rated_A["old"] for one in usual_conductors() if "old" in one.rated_A}
    # an old cable maker's ratings, as owners quote them
    assert old == {"9/0.30": 4.0, "14/0.25": 6.0, "14/0.30": 7.0, "28/0.30": 14.0, "44/0.30": 22.0}


def test_thin_wall_carries_more_on_the_same_copper() -> None:
    strands = [one for one in usual_conductors() if one.series == "strands"]
    thin = {one.key: one.rated_A["thin-wall"] for one in strands if "thin-wall" in one.rated_A}
    # suppliers' tables
    assert thin == {"32/0.20": 16.5, "28/0.30": 25.0, "44/0.30": 33.0}


@pytest.mark.parametrize(
    "key, lost_V, light", [("9/0.30", 0.306, 0.923), ("14/0.30", 0.197, 0.950), ("28/0.30", 0.098, 0.975)]
)
def test_the_light_a_headlamp_loses_in_its_wire(key: str, lost_V: float, light: float) -> None:
    lost = volt_drop_V(55.0 / 13.2, 2.5, conductor(key).resistance_ohm_per_m)
    # by hand: 4.167 A through 2.5 m of the printed ohms
    assert lost == pytest.approx(lost_V, rel=0.01)
    # by hand: (1 - drop / 13.2) to the 3.4
    assert light_kept(13.2, lost) == pytest.approx(light, abs=0.001)


def test_a_charge_lead_of_the_usual_kind() -> None:
    # by hand: 15 A through 2.4 m of 0.0094 ohm/m
    assert volt_drop_V(15.0, 2.4, conductor("28/0.30").resistance_ohm_per_m) == pytest.approx(0.338, abs=0.0005)


@pytest.mark.parametrize("amps, mm", [(10.0, 0.250), (15.0, 0.328), (30.0, 0.520)])
def test_preeces_law_of_fusing_wire(amps: float, mm: float) -> None:
    # Preece 1884 to 1888, from memory
    assert fusing_current_A(mm) == pytest.approx(amps, rel=0.01)
