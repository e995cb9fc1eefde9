"""SCOP and SEER against worked examples, by two code paths, and refused test points."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from energymodel.errors import EquipmentError
from energymodel.ratings.europe.heating import HeatingRating
from energymodel.ratings.europe.points import (
    AirDegradation,
    Control,
    CoolingDeclaration,
    DeclaredPoint,
    Degrade,
    HeatingDeclaration,
    PartLoadRules,
    Step,
    WarmEnd,
    WaterDegradation,
    bin_efficiency,
    point_from_steps,
)
from energymodel.ratings.europe.seasonal import scop, seer
from energymodel.ratings.europe.tables import (
    Climate,
    ModePower,
    UnitKind,
)


def points(*rows: tuple[float, float, float]) -> tuple[DeclaredPoint, ...]:
    return tuple(DeclaredPoint(outdoor_c=t, capacity_w=q, cop=c) for t, q, c in rows)


# EN 14825:2018 Annex H, fixed-capacity air-to-water unit (inputs from memory)
ANNEX_H = HeatingDeclaration(
    design_load_w=11_460,
    bivalent_c=-6,
    limit_c=-10,
    control=Control.FIXED,
    points=points(
        (-10, 7_800, 2.60),
        (-7, 9_550, 3.26),
        (-6, 9_700, 3.30),
        (2, 11_170, 4.00),
        (7, 12_660, 4.91),
        (12, 14_300, 5.50),
    ),
)
WATER = PartLoadRules(degradation=WaterDegradation(cc=0.9))
MODES = ModePower(thermostat_off_w=10, standby_w=1.5, off_w=1.5)

# Invented variable-capacity air-to-air unit; all expected values computed
VARIABLE = HeatingDeclaration(
    design_load_w=3_000,
    bivalent_c=-7,
    limit_c=-10,
    control=Control.VARIABLE,
    modes=MODES,
    points=points(
        (-10, 2_550, 2.50),
        (-7, 3_000 * 23 / 26, 2.80),
        (2, 3_000 * 14 / 26, 4.60),
        (7, 1_100, 5.80),
        (12, 1_300, 7.00),
    ),
)
AIR_CONDITIONER = CoolingDeclaration(
    design_load_w=2_500,
    control=Control.VARIABLE,
    modes=MODES,
    points=points(
        (35, 2_500, 3.9), (30, 2_500 * 14 / 19, 6.0), (25, 2_500 * 9 / 19, 9.5), (20, 1_000, 12.0)
    ),
)


def annex_h(rules: PartLoadRules = WATER) -> HeatingRating:
    return scop(ANNEX_H, climate=Climate.AVERAGE, unit=UnitKind.HYDRONIC_HEATING_ONLY, rules=rules)


def test_the_annex_example_gives_3_598_and_its_printed_3_61_within_half_a_percent() -> None:
    # 3.598: computed with the recalled rule. 3.61: result of EN 14825:2013 as quoted in a lecture
    # of 8 Nov 2016, and of EN 14825:2018 Annex H from memory. The 0.34 % between them is not
    # explained by any rule variant here (3.598, 3.602, 3.625); the COP at Tbiv is uncertain.
    rating = annex_h()
    assert rating.scop_on == pytest.approx(3.5976, abs=5e-5)
    assert rating.scop_on == pytest.approx(3.61, rel=0.005)
    assert rating.scop == pytest.approx(rating.scop_on, rel=1e-12)  # no standby powers


@pytest.mark.parametrize(
    ("changed", "electricity_kwh", "on", "net"),
    [
        ({}, 6_580.0, 3.598, 3.646),
        ({"warm_end": WarmEnd.HELD}, 6_571.6, 3.602, 3.651),
        ({"degrade": Degrade.IN_BINS}, 6_530.4, 3.625, 3.674),
    ],
)
def test_rule_variants_of_the_annex_example(
    changed: dict[str, object], electricity_kwh: float, on: float, net: float
) -> None:
    rating = annex_h(replace(WATER, **changed))  # computed
    assert rating.bins.load_kwh.sum() == pytest.approx(23_672, abs=0.5)
    assert rating.bins.electricity_kwh.sum() == pytest.approx(electricity_kwh, abs=0.05)
    assert rating.bins.backup_kwh.sum() == pytest.approx(120.7, abs=0.05)
    assert rating.scop_on == pytest.approx(on, abs=5e-4)
    assert rating.scop_net == pytest.approx(net, abs=5e-4)


# T, load W, capacity ratio, COPbin of the annex example: computed
@pytest.mark.parametrize(
    ("outdoor_c", "load_w", "ratio", "cop_bin"),
    [
        (-10, 11_460, 1.0, 2.600),
        (-7, 10_140, 1.0, 3.260),
        (-6, 9_700, 0.9997, 3.300),
        (2, 6_170, 0.552, 3.700),
        (7, 3_970, 0.313, 4.027),
        (12, 1_760, 0.123, 3.214),
    ],
)
def test_points_of_the_annex_example_are_degraded_first(
    outdoor_c: float, load_w: float, ratio: float, cop_bin: float
) -> None:
    point = next(p for p in ANNEX_H.points if p.outdoor_c == outdoor_c)
    load = ANNEX_H.design_load_w * (outdoor_c - 16) / (-10 - 16)
    assert load == pytest.approx(load_w, abs=5.0)
    assert min(load / point.capacity_w, 1.0) == pytest.approx(ratio, abs=5e-4)
    found = bin_efficiency(load, point, WATER, Control.FIXED)
    assert found == pytest.approx(cop_bin, abs=5e-4)


# EN 14825:2018 Annex H inputs; every bin computed, not the printed table:
# T, hours, load kW, backup kW, COPbin, heat kWh, electricity kWh
ANNEX_H_BINS = """
-10 1 11.46 3.66 2.600 11.5 6.7
-9 25 11.02 2.64 2.820 275.5 140.2
-8 23 10.58 1.61 3.040 243.3 104.9
-7 24 10.14 0.59 3.260 243.3 84.4
-6 27 9.70 0 3.300 261.8 79.3
-5 68 9.26 0 3.350 629.4 187.9
-4 91 8.82 0 3.400 802.2 235.9
-3 89 8.37 0 3.450 745.3 216.0
-2 165 7.93 0 3.500 1309.1 374.0
-1 173 7.49 0 3.550 1296.3 365.1
0 240 7.05 0 3.600 1692.6 470.1
1 280 6.61 0 3.650 1851.2 507.2
2 320 6.17 0 3.700 1974.6 533.7
3 357 5.73 0 3.766 2045.6 543.2
4 356 5.29 0 3.831 1883.0 491.5
5 303 4.85 0 3.897 1469.1 377.0
6 330 4.41 0 3.962 1454.5 367.1
7 326 3.97 0 4.027 1293.2 321.1
8 348 3.53 0 3.865 1227.1 317.5
9 335 3.09 0 3.702 1033.6 279.2
10 315 2.64 0 3.540 833.1 235.4
11 215 2.20 0 3.377 473.8 140.3
12 169 1.76 0 3.214 298.0 92.7
13 151 1.32 0 3.052 199.7 65.4
14 105 0.88 0 2.889 92.6 32.0
15 74 0.44 0 2.726 32.6 12.0
"""


def test_every_bin_of_the_annex_example() -> None:
    expected = np.array([row.split() for row in ANNEX_H_BINS.strip().splitlines()], dtype=float)
    bins = annex_h().bins
    assert bins.outdoor_c.tolist() == expected[:, 0].tolist()
    assert bins.hours.tolist() == expected[:, 1].tolist()
    assert bins.load_w / 1000 == pytest.approx(expected[:, 2], abs=0.0051)
    assert bins.backup_w / 1000 == pytest.approx(expected[:, 3], abs=0.0051)
    assert bins.cop == pytest.approx(expected[:, 4], abs=0.00051)
    assert bins.load_kwh == pytest.approx(expected[:, 5], abs=0.051)
    assert bins.electricity_kwh == pytest.approx(expected[:, 6], abs=0.051)


def test_a_bin_table_comes_row_by_row() -> None:
    rows = annex_h().bins.rows()
    assert len(rows) == 26
    assert rows[0]["outdoor_c"] == -10.0
    assert rows[0]["cop"] == pytest.approx(2.6)
    assert sum(row["load_kwh"] for row in rows) == pytest.approx(23_672, abs=0.5)


def test_variable_capacity_heating_example() -> None:
    rating = scop(VARIABLE, climate=Climate.AVERAGE, unit=UnitKind.REVERSIBLE)  # computed
    assert rating.bins.load_kwh.sum() == pytest.approx(6196.85, abs=0.005)
    assert rating.bins.electricity_kwh.sum() == pytest.approx(1374.89, abs=0.005)
    assert rating.bins.backup_kwh.sum() == pytest.approx(11.40, abs=0.005)
    assert rating.scop_on == pytest.approx(4.50717, abs=5e-6)
    assert rating.scop_net == pytest.approx(4.53649, abs=5e-6)
    assert rating.demand_kwh == pytest.approx(4200)
    assert rating.active_kwh == pytest.approx(931.85, abs=0.005)
    assert rating.other_modes_kwh == pytest.approx(1.79)
    assert rating.annual_kwh == pytest.approx(933.64, abs=0.005)
    assert rating.scop == pytest.approx(4.4985, abs=5e-5)


@pytest.mark.parametrize(
    ("outdoor_c", "cop_bin"), [(-10, 2.5), (-7, 2.8), (2, 4.6), (7, 5.7189), (12, 5.8713)]
)
def test_degraded_points_of_the_variable_example(outdoor_c: float, cop_bin: float) -> None:
    rating = scop(VARIABLE, climate=Climate.AVERAGE, unit=UnitKind.REVERSIBLE)
    at = rating.bins.outdoor_c == outdoor_c
    assert rating.bins.cop[at].item() == pytest.approx(cop_bin, abs=5e-5)  # computed


def test_heating_only_units_pay_for_off_mode() -> None:
    rating = scop(VARIABLE, climate=Climate.AVERAGE, unit=UnitKind.HEATING_ONLY)  # computed
    assert rating.other_modes_kwh == pytest.approx(7.298)
    assert rating.annual_kwh == pytest.approx(939.15, abs=0.005)
    assert rating.scop == pytest.approx(4.47215, abs=5e-6)


def test_the_ten_percent_rule_leaves_a_matching_point_as_measured() -> None:
    rules = PartLoadRules(match_tolerance=0.10)
    rating = scop(VARIABLE, climate=Climate.AVERAGE, unit=UnitKind.REVERSIBLE, rules=rules)
    assert rating.scop_on == pytest.approx(4.52205, abs=5e-6)  # computed
    at_7 = rating.bins.cop[rating.bins.outdoor_c == 7.0].item()
    assert at_7 == pytest.approx(5.80)


def test_the_ten_percent_rule_is_not_for_fixed_speed() -> None:
    point = DeclaredPoint(outdoor_c=7, capacity_w=1_050, cop=5.0)
    rules = PartLoadRules(match_tolerance=0.10)
    assert bin_efficiency(1_000, point, rules, Control.VARIABLE) == 5.0
    assert bin_efficiency(1_000, point, rules, Control.FIXED) < 5.0


@pytest.mark.parametrize(
    ("unit", "other_kwh", "annual_kwh", "value"),
    [
        (UnitKind.REVERSIBLE, 5.423, 116.407, 7.5167),
        (UnitKind.COOLING_ONLY, 13.055, 124.039, 7.0542),
    ],
)
def test_cooling_example(unit: UnitKind, other_kwh: float, annual_kwh: float, value: float) -> None:
    rating = seer(AIR_CONDITIONER, unit=unit)  # computed
    assert rating.bins.load_kwh.sum() == pytest.approx(2384.74, abs=0.005)
    assert rating.bins.electricity_kwh.sum() == pytest.approx(302.477, abs=0.0005)
    assert rating.seer_on == pytest.approx(7.8840, abs=5e-5)
    assert rating.demand_kwh == pytest.approx(875)
    assert rating.active_kwh == pytest.approx(110.984, abs=5e-4)
    assert rating.other_modes_kwh == pytest.approx(other_kwh)
    assert rating.annual_kwh == pytest.approx(annual_kwh, abs=5e-4)
    assert rating.seer == pytest.approx(value, abs=5e-5)
    at_20 = rating.bins.cop[rating.bins.outdoor_c == 20.0].item()
    assert at_20 == pytest.approx(10.5789, abs=5e-5)


def test_cooling_holds_point_a_above_35_and_point_d_below_20() -> None:
    bins = seer(AIR_CONDITIONER, unit=UnitKind.REVERSIBLE).bins
    assert bins.cop[bins.outdoor_c > 35] == pytest.approx(3.9)
    assert bins.cop[bins.outdoor_c < 20] == pytest.approx(bins.cop[bins.outdoor_c == 20].item())


# --- control steps (EN 14825:2012, clauses 6.4.2.2 and 7.4.2.2, from memory) ---------------

STEPS = [Step(capacity_w=1_000, cop=5.0), Step(capacity_w=2_000, cop=4.0)]


def test_a_step_within_ten_percent_of_the_load_is_taken_as_measured() -> None:
    assert point_from_steps(7, 950, STEPS) == DeclaredPoint(outdoor_c=7, capacity_w=1_000, cop=5.0)
    assert point_from_steps(7, 1_850, STEPS).cop == 4.0


def test_between_two_steps_capacity_and_cop_are_interpolated_at_the_load() -> None:
    point = point_from_steps(7, 1_250, STEPS)
    assert (point.capacity_w, point.cop) == (1_250, 4.75)


def test_the_smallest_step_cycles_below_itself_and_the_largest_falls_short_above() -> None:
    assert point_from_steps(7, 300, STEPS).capacity_w == 1_000
    assert point_from_steps(7, 3_000, STEPS).capacity_w == 2_000


def test_no_step_is_refused() -> None:
    with pytest.raises(EquipmentError, match="7 degC"):
        point_from_steps(7, 1_000, [])


# --- degradation formulas --------------------------------------------------------------------


def test_degradation_formulas_by_hand() -> None:
    # EN 14825:2012, clauses 6.4.2.1 and 7.4.2.1, from memory: 4 x [1 - 0.25 (1 - 0.5)] = 3.5;
    # 4 x 0.5 / (0.9 x 0.5 + 0.1) = 3.636
    assert AirDegradation().degraded(4.0, 0.5) == pytest.approx(3.5)
    assert WaterDegradation().degraded(4.0, 0.5) == pytest.approx(3.63636, abs=1e-5)


@given(st.floats(0.01, 1.0), st.floats(0.0, 0.5), st.floats(0.5, 0.99))
def test_both_formulas_agree_with_the_kernel_and_lose_nothing_at_full_load(
    ratio: float, cd: float, cc: float
) -> None:
    for loss in (AirDegradation(cd=cd), WaterDegradation(cc=cc)):
        assert loss.degraded(4.0, 1.0) == pytest.approx(4.0)
        factor = float(loss.cycling()(np.array([ratio]))[0])
        assert loss.degraded(4.0, ratio) == pytest.approx(4.0 * factor, rel=1e-12)
        assert loss.degraded(4.0, ratio) <= 4.0 * (1 + 1e-12)
