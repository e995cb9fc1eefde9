"""ISO 16358: cooling factor by two code paths, heating and annual factor as far as known."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from energymodel.errors import EquipmentError
from energymodel.ratings.bin_table import Bins
from energymodel.ratings.iso.cooling import (
    IsoCoolingRules,
    IsoCoolingUnit,
    IsoStage,
    cspf,
    reference_cooling_bins,
)
from energymodel.ratings.iso.curve import iso_cooling_curve
from energymodel.ratings.iso.heating import (
    IsoHeatingRules,
    IsoHeatingUnit,
    apf,
    fixed_speed_hspf,
    heating_lines,
    iso_heating_curve,
)

# Invented units; every expected value of this file is computed unless it says otherwise
FULL = IsoStage(capacity_w=3_500, power_w=1_000)
HALF = IsoStage(capacity_w=1_750, power_w=400)
MINIMUM = IsoStage(capacity_w=700, power_w=140)
FIXED = IsoCoolingUnit(full=FULL)
VARIABLE = IsoCoolingUnit(full=FULL, half=HALF)
WITH_MINIMUM = IsoCoolingUnit(full=FULL, half=HALF, minimum=MINIMUM)

FRACTIONS = [
    *(0.055, 0.076, 0.091, 0.108, 0.116, 0.118, 0.116, 0.100),
    *(0.083, 0.066, 0.041, 0.019, 0.006, 0.003, 0.002),
]


def test_reference_bins_sum_to_1817_hours() -> None:
    # ISO 16358-1:2013 (hours from memory); sum, fractions and load-weighted sum computed
    bins = reference_cooling_bins()
    assert bins.outdoor_c.tolist() == list(range(21, 36))
    assert bins.hours.sum() == 1817
    assert bins.hours / 1817 == pytest.approx(FRACTIONS, abs=0.00051)
    assert float(bins.hours @ (bins.outdoor_c - 20) / 15) == pytest.approx(733.133, abs=5e-4)


@pytest.mark.parametrize(
    ("unit", "energy_kwh", "value"),
    [
        (FIXED, 690.396, 3.7167),
        (VARIABLE, 513.881, 4.9933),
        (WITH_MINIMUM, 474.440, 5.40841),
        (replace(FIXED, cd=0.0), None, 4.28997),
    ],
)
def test_cspf_examples(unit: IsoCoolingUnit, energy_kwh: float | None, value: float) -> None:
    rating = cspf(unit)
    assert rating.removed_kwh == pytest.approx(2565.97, abs=0.005)
    if energy_kwh is not None:
        assert rating.energy_kwh == pytest.approx(energy_kwh, abs=5e-4)
    assert rating.cspf == pytest.approx(value, abs=5e-5)


def test_the_load_meets_each_stage_at_the_computed_temperature() -> None:
    def met(unit: IsoCoolingUnit) -> list[tuple[str, float, float]]:
        return [(c.stage, round(c.outdoor_c, 4), round(c.eer, 4)) for c in cspf(unit).crossings]

    assert met(FIXED) == [("full", 35.0, 3.5)]
    assert met(VARIABLE) == [("half", 28.1585, 5.2765), ("full", 35.0, 3.5)]
    assert met(WITH_MINIMUM) == [
        ("minimum", 23.4449, 6.8811),
        ("half", 28.1585, 5.2765),
        ("full", 35.0, 3.5),
    ]


POWERS = {
    FIXED: "59.12 119.42 180.88 243.48 307.19 371.97 437.82 504.70 572.59 641.47 711.32 782.12 "
    "853.85 926.48 1000.00",
    VARIABLE: "46.43 92.16 137.21 181.66 225.53 268.87 311.72 354.10 415.18 486.28 565.51 654.36 "
    "754.68 868.87 1000.00",
    WITH_MINIMUM: "38.53 72.90 103.92 139.47 183.68 232.89 288.02 350.19 415.18 486.28 565.51 "
    "654.36 754.68 868.87 1000.00",
}


@pytest.mark.parametrize("unit", list(POWERS))
def test_mean_power_of_every_bin(unit: IsoCoolingUnit) -> None:
    expected = [float(value) for value in POWERS[unit].split()]
    assert cspf(unit).bins.power_w == pytest.approx(expected, abs=0.0051)


def test_a_fixed_speed_unit_has_1_062_times_its_rated_eer() -> None:
    # conversion CSPF = 1.062 x EER for fixed-speed units, from memory; 1.0619 computed
    assert cspf(FIXED).cspf / 3.5 == pytest.approx(1.0619, abs=5e-5)
    assert cspf(FIXED).cspf / 3.5 == pytest.approx(1.062, abs=5e-4)


@given(st.floats(500.0, 20_000.0), st.floats(1.5, 6.0))
def test_that_factor_is_the_same_for_every_fixed_unit_with_defaults(
    capacity_w: float, eer: float
) -> None:
    unit = IsoCoolingUnit(full=IsoStage(capacity_w=capacity_w, power_w=capacity_w / eer))
    assert cspf(unit).cspf / eer == pytest.approx(1.0619, abs=5e-5)


def test_tested_29_degree_values_replace_the_default_factors() -> None:
    # defaults 1.077 and 0.914, from memory
    spelled = IsoStage(capacity_w=3_500, power_w=1_000, capacity_29_w=3_500 * 1.077, power_29_w=914)
    assert cspf(IsoCoolingUnit(full=spelled)).cspf == pytest.approx(cspf(FIXED).cspf, rel=1e-12)
    other = replace(spelled, power_29_w=950)
    assert cspf(IsoCoolingUnit(full=other)).cspf < cspf(FIXED).cspf


def test_above_full_output_the_unit_runs_at_full_and_the_rest_is_not_counted() -> None:
    hot = Bins(outdoor_c=np.array([40.0]), hours=np.array([10.0]))
    rating = cspf(FIXED, bins=hot)
    full_w = 3_500 + 3_500 * 0.077 * (35 - 40) / 6
    assert rating.removed_kwh == pytest.approx(full_w * 10 / 1000)
    assert rating.bins.power_w.item() == pytest.approx(1_000 - 86 * (35 - 40) / 6)


def test_inactive_energy_lowers_the_total_factor() -> None:
    rating = cspf(FIXED)
    assert rating.total_cspf(0.0) == rating.cspf
    assert rating.total_cspf(10.0) == pytest.approx(rating.removed_kwh / (rating.energy_kwh + 10))


@given(st.floats(0.0, 0.5), st.floats(0.001, 0.4))
def test_cspf_falls_as_the_degradation_coefficient_rises(cd: float, more: float) -> None:
    for unit in (FIXED, VARIABLE, WITH_MINIMUM):
        low, high = cspf(replace(unit, cd=cd)), cspf(replace(unit, cd=cd + more))
        assert high.cspf < low.cspf


@st.composite
def cooling_units(draw: st.DrawFn) -> IsoCoolingUnit:
    eers = sorted(draw(st.tuples(*[st.floats(2.0, 7.0)] * 3)))
    full_w = draw(st.floats(1_000.0, 20_000.0))
    half_w = full_w * draw(st.floats(0.4, 0.7))
    minimum_w = half_w * draw(st.floats(0.2, 0.8))
    stages = []
    for capacity, eer in zip((full_w, half_w, minimum_w), eers, strict=True):
        tested = draw(st.booleans())
        stages.append(
            IsoStage(
                capacity_w=capacity,
                power_w=capacity / eer,
                capacity_29_w=capacity * draw(st.floats(1.0, 1.15)) if tested else None,
                power_29_w=capacity / eer * draw(st.floats(0.85, 1.0)) if tested else None,
            )
        )
    count = draw(st.integers(1, 3))
    half, minimum = (stages[1] if count > 1 else None), (stages[2] if count > 2 else None)
    return IsoCoolingUnit(full=stages[0], half=half, minimum=minimum, cd=draw(st.floats(0.0, 0.5)))


@settings(max_examples=200, deadline=None)
@given(cooling_units(), st.floats(15.0, 21.0))
def test_kernel_and_clauses_give_the_same_cspf_for_any_unit(
    unit: IsoCoolingUnit, zero_load_c: float
) -> None:
    bins = Bins(outdoor_c=np.arange(16.0, 42.0), hours=np.linspace(10.0, 200.0, 26))
    rules = IsoCoolingRules(zero_load_c=zero_load_c)
    clauses = cspf(unit, bins=bins, rules=rules)
    kernel = iso_cooling_curve(unit, rules).on_bins(bins)
    assert kernel.cop_system == pytest.approx(clauses.cspf, rel=1e-9)
    assert kernel.power_w == pytest.approx(clauses.bins.power_w, rel=1e-9, abs=1e-9)
    assert kernel.delivered_w == pytest.approx(clauses.bins.delivered_w, rel=1e-9, abs=1e-9)


@pytest.mark.parametrize("unit", [FIXED, VARIABLE, WITH_MINIMUM])
def test_kernel_gives_the_cspf_of_the_examples(unit: IsoCoolingUnit) -> None:
    kernel = iso_cooling_curve(unit).on_bins(reference_cooling_bins())
    assert kernel.cop_system == pytest.approx(cspf(unit).cspf, rel=1e-9)


def test_a_missing_half_output_is_named() -> None:
    with pytest.raises(EquipmentError, match="the half output is missing"):
        IsoCoolingUnit(full=FULL, minimum=MINIMUM)


def test_impossible_stages_are_refused_by_name() -> None:
    with pytest.raises(EquipmentError, match="half output at 35 degC is not below the full"):
        IsoCoolingUnit(full=HALF, half=FULL)
    with pytest.raises(EquipmentError, match="minimum output has a capacity or power"):
        IsoCoolingUnit(full=FULL, half=HALF, minimum=IsoStage(capacity_w=0, power_w=140))
    with pytest.raises(EquipmentError, match=r"full 35 degC has EER 12\.00, above the second-law"):
        IsoCoolingUnit(full=IsoStage(capacity_w=3_500, power_w=3_500 / 12))
    with pytest.raises(EquipmentError, match="full 29 degC has EER"):
        IsoCoolingUnit(full=replace(FULL, capacity_29_w=3_800, power_29_w=200))
    with pytest.raises(EquipmentError, match=r"degradation coefficient 1\.5"):
        IsoCoolingUnit(full=FULL, cd=1.5)


def test_a_load_line_that_never_meets_a_stage_is_refused() -> None:
    falling = replace(FULL, capacity_29_w=100.0, power_29_w=900.0)
    with pytest.raises(EquipmentError, match="never meets the full output"):
        cspf(IsoCoolingUnit(full=falling))


# --- part 2 and 3: recalled constants, the caller's bins -------------------------------------

WINTER = Bins(outdoor_c=np.arange(-15.0, 17.0), hours=np.linspace(20.0, 120.0, 32))
HEAT_PUMP = IsoHeatingUnit(capacity_7_w=4_000, power_7_w=1_000)


def test_default_lines_of_a_fixed_speed_heat_pump() -> None:
    # ISO 16358-2 defaults 0.64, 0.82, 1.12, 1.06 (from memory, medium confidence)
    capacity, power = heating_lines(HEAT_PUMP, IsoHeatingRules())
    assert capacity.at(-7) == pytest.approx(0.64 * 4_000)
    assert power.at(-7) == pytest.approx(0.82 * 1_000)
    dry_2 = 2_560 + (4_000 - 2_560) * 9 / 14
    assert capacity.at(2) == pytest.approx(dry_2 / 1.12)
    assert power.at(2) == pytest.approx((820 + 180 * 9 / 14) / 1.06)
    assert capacity.at(5.6) == pytest.approx(2_560 + 1_440 * 12.6 / 14)
    assert capacity.at(5.5) < capacity.at(5.6)


def test_heating_load_is_zero_at_17_and_82_percent_at_0() -> None:
    # ISO 16358-2 load line (from memory, medium confidence)
    bins = Bins(outdoor_c=np.array([0.0, 17.0, 18.0]), hours=np.array([1.0, 1.0, 1.0]))
    load = fixed_speed_hspf(HEAT_PUMP, bins).bins.load_w
    assert load.tolist() == pytest.approx([0.82 * 4_000, 0.0, 0.0])


def test_make_up_heat_is_electric_and_inside_the_hspf() -> None:
    # ISO 16358-2:2013, scope: electric heaters run at the same time (published)
    cold = Bins(outdoor_c=np.array([-15.0]), hours=np.array([100.0]))
    rating = fixed_speed_hspf(HEAT_PUMP, cold)
    full_w, power_w = 2_560 - 1_440 * 8 / 14, 820 - 180 * 8 / 14
    load_w = 0.82 * 4_000 * 32 / 17
    assert rating.bins.backup_w.item() == pytest.approx(load_w - full_w)
    assert rating.hspf == pytest.approx(load_w / (power_w + load_w - full_w))


@given(st.floats(1.0, 7.0))
def test_constant_cop_without_losses_is_the_hspf(cop: float) -> None:
    power = 4_000 / cop
    unit = IsoHeatingUnit(
        capacity_7_w=4_000,
        power_7_w=power,
        capacity_minus7_w=4_000,
        power_minus7_w=power,
        capacity_2_w=4_000,
        power_2_w=power,
        cd=0.0,
    )
    mild = Bins(outdoor_c=np.arange(0.0, 17.0), hours=np.ones(17))
    assert fixed_speed_hspf(unit, mild).hspf == pytest.approx(cop, rel=1e-9)


@settings(max_examples=100, deadline=None)
@given(st.floats(0.4, 1.0), st.floats(0.5, 1.0), st.floats(0.0, 0.5), st.floats(2.0, 5.0))
def test_kernel_and_clauses_give_the_same_hspf_for_any_unit(
    cold_share: float, power_share: float, cd: float, cop: float
) -> None:
    assume(cold_share / power_share * cop < 6.0)
    unit = IsoHeatingUnit(
        capacity_7_w=4_000,
        power_7_w=4_000 / cop,
        capacity_minus7_w=4_000 * cold_share,
        power_minus7_w=4_000 / cop * power_share,
        cd=cd,
    )
    clauses = fixed_speed_hspf(unit, WINTER)
    kernel = iso_heating_curve(unit).on_bins(WINTER)
    assert kernel.cop_system == pytest.approx(clauses.hspf, rel=1e-9)
    assert kernel.backup_w == pytest.approx(clauses.bins.backup_w, abs=1e-6)


def test_the_annual_factor_lies_between_those_of_its_seasons() -> None:
    # ISO 16358-3:2013, clause 5 (definition from memory, high confidence)
    cooling, heating = cspf(FIXED), fixed_speed_hspf(HEAT_PUMP, WINTER)
    annual = apf(cooling, heating)
    assert min(cooling.cspf, heating.hspf) < annual < max(cooling.cspf, heating.hspf)
    moved = cooling.removed_kwh + heating.heat_kwh
    assert annual == pytest.approx(moved / (cooling.energy_kwh + heating.energy_kwh))


def test_impossible_heating_points_are_refused() -> None:
    with pytest.raises(EquipmentError, match="capacity rises with cold"):
        IsoHeatingUnit(capacity_7_w=4_000, power_7_w=1_000, capacity_minus7_w=5_000)
    with pytest.raises(EquipmentError, match="power_7_w is 0"):
        IsoHeatingUnit(capacity_7_w=4_000, power_7_w=0)
    with pytest.raises(EquipmentError, match=r"7 degC has COP 20\.00"):
        IsoHeatingUnit(capacity_7_w=4_000, power_7_w=200)
