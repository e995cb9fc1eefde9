"""Two code paths, one SCOP and SEER for any unit; identities true by algebra."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from energymodel.equipment.curves import Function
from energymodel.equipment.limits import kindest_carnot
from energymodel.errors import EquipmentError
from energymodel.ratings.europe.checks import (
    check_cooling,
    check_heating,
    required_heating_points,
)
from energymodel.ratings.europe.cooling import CoolingRating, rate_cooling
from energymodel.ratings.europe.curve import cooling_curve, heating_curve
from energymodel.ratings.europe.heating import HeatingRating, rate_heating
from energymodel.ratings.europe.points import (
    AirDegradation,
    ColdPoint,
    Control,
    CoolingDeclaration,
    DeclaredPoint,
    Degrade,
    HeatingDeclaration,
    PartLoadRules,
    Shortfall,
    WarmEnd,
    WaterDegradation,
)
from energymodel.ratings.europe.seasonal import scop, seer
from energymodel.ratings.europe.tables import (
    Climate,
    ModePower,
    UnitKind,
    cooling_bins,
    heating_season,
    mode_hours,
)


def points(*rows: tuple[float, float, float]) -> tuple[DeclaredPoint, ...]:
    return tuple(DeclaredPoint(outdoor_c=t, capacity_w=q, cop=c) for t, q, c in rows)


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


@st.composite
def rules(draw: st.DrawFn) -> PartLoadRules:
    air = st.builds(AirDegradation, cd=st.floats(0.0, 0.5))
    water = st.builds(WaterDegradation, cc=st.floats(0.5, 0.99))
    return PartLoadRules(
        degradation=draw(st.one_of(air, water)),
        warm_end=draw(st.sampled_from(WarmEnd)),
        degrade=draw(st.sampled_from(Degrade)),
        match_tolerance=draw(st.sampled_from([0.0, 0.10])),
        shortfall=draw(st.sampled_from(Shortfall)),
        cold_point=draw(st.sampled_from(ColdPoint)),
    )


@st.composite
def heating_units(draw: st.DrawFn) -> tuple[HeatingDeclaration, Climate, PartLoadRules]:
    climate = draw(st.sampled_from(Climate))
    season = heating_season(climate)
    chosen = draw(rules())
    limit = float(draw(st.integers(-28, int(season.limit_max_c))))
    lowest = max(limit, season.design_c)
    bivalent = float(draw(st.integers(int(lowest), int(season.bivalent_max_c))))
    design_w = draw(st.floats(1_000.0, 20_000.0))
    empty = HeatingDeclaration(
        design_load_w=design_w,
        bivalent_c=bivalent,
        limit_c=limit,
        points=(),
        control=draw(st.sampled_from([Control.STAGED, Control.VARIABLE])),
    )
    rows = []
    for place in set(required_heating_points(empty, season, chosen.cold_point).values()):
        load = design_w * (16 - place) / (16 - season.design_c)
        low, high = (0.4, 1.0) if place < bivalent else (0.92, 1.08 if place == bivalent else 2.5)
        ideal = float(kindest_carnot(Function.HEATING, np.array([place]))[0])
        share = draw(st.floats(0.15, 0.55))
        rows.append((place, load * draw(st.floats(low, high)), share * ideal))
    return replace(empty, points=points(*draw(st.permutations(rows)))), climate, chosen


@settings(max_examples=150, deadline=None)
@given(heating_units())
def test_kernel_and_clauses_give_the_same_scop_for_any_unit(
    case: tuple[HeatingDeclaration, Climate, PartLoadRules],
) -> None:
    unit, climate, chosen = case
    season = heating_season(climate)
    check_heating(unit, season, chosen.cold_point)
    hours = mode_hours(UnitKind.REVERSIBLE, Function.HEATING, climate)
    curve = heating_curve(unit, season, chosen)
    try:
        clauses = rate_heating(unit, season, hours, chosen)
    except EquipmentError:  # COP extrapolated below zero: both paths must refuse it
        with pytest.raises(EquipmentError, match="not above zero"):
            curve.on_bins(season.bins)
        return
    kernel = curve.on_bins(season.bins)
    assert kernel.cop_system == pytest.approx(clauses.scop_on, rel=1e-9)
    assert kernel.cop_unit == pytest.approx(clauses.scop_net, rel=1e-9)
    assert kernel.backup_w == pytest.approx(clauses.bins.backup_w, abs=1e-6)
    assert kernel.power_w == pytest.approx(clauses.bins.power_w, rel=1e-9, abs=1e-6)
    assert clauses.bins.delivered_w + clauses.bins.backup_w == pytest.approx(clauses.bins.load_w)


@st.composite
def cooling_units(draw: st.DrawFn) -> tuple[CoolingDeclaration, PartLoadRules]:
    design_w = draw(st.floats(1_000.0, 20_000.0))
    rows = []
    for place in (35.0, 30.0, 25.0, 20.0):
        load = design_w * (place - 16) / 19
        ideal = float(kindest_carnot(Function.COOLING, np.array([place]))[0])
        rows.append((place, load * draw(st.floats(0.92, 3.0)), draw(st.floats(0.1, 0.55)) * ideal))
    unit = CoolingDeclaration(
        design_load_w=design_w,
        points=points(*draw(st.permutations(rows))),
        control=draw(st.sampled_from(Control)),
    )
    return unit, draw(rules())


@settings(max_examples=100, deadline=None)
@given(cooling_units())
def test_kernel_and_clauses_give_the_same_seer_for_any_unit(
    case: tuple[CoolingDeclaration, PartLoadRules],
) -> None:
    unit, chosen = case
    check_cooling(unit)
    hours = mode_hours(UnitKind.REVERSIBLE, Function.COOLING)
    clauses = rate_cooling(unit, cooling_bins(), hours, chosen)
    kernel = cooling_curve(unit, chosen).on_bins(cooling_bins())
    assert kernel.cop_system == pytest.approx(clauses.seer_on, rel=1e-9)
    assert kernel.power_w == pytest.approx(clauses.bins.power_w, rel=1e-9)


# --- identities true by algebra --------------------------------------------------------------


def scaled(unit: HeatingDeclaration, factor: float) -> HeatingDeclaration:
    larger = tuple(replace(p, capacity_w=p.capacity_w * factor) for p in unit.points)
    return replace(unit, design_load_w=unit.design_load_w * factor, points=larger)


def average(unit: HeatingDeclaration, chosen: PartLoadRules | None = None) -> HeatingRating:
    season = heating_season(Climate.AVERAGE)
    hours = mode_hours(UnitKind.HEATING_ONLY, Function.HEATING, Climate.AVERAGE)
    return rate_heating(unit, season, hours, chosen or PartLoadRules())


@given(st.floats(0.1, 20.0))
def test_size_does_not_change_scop_on_but_changes_scop_through_standby(factor: float) -> None:
    base, larger = average(VARIABLE), average(scaled(VARIABLE, factor))
    assert larger.scop_on == pytest.approx(base.scop_on, rel=1e-9)
    assert larger.scop_net == pytest.approx(base.scop_net, rel=1e-9)
    powers = ModePower(thermostat_off_w=10 * factor, standby_w=1.5 * factor, off_w=1.5 * factor)
    alike = average(replace(scaled(VARIABLE, factor), modes=powers))
    assert alike.scop == pytest.approx(base.scop, rel=1e-9)
    assert (larger.scop - base.scop) * (factor - 1.0) >= -1e-12


@given(st.floats(1.0, 8.0))
def test_constant_cop_without_cycling_loss_and_backup_is_the_scop(cop: float) -> None:
    flat = tuple(
        replace(p, cop=cop, capacity_w=3_000 * (16 - p.outdoor_c) / 26) for p in VARIABLE.points
    )
    unit = replace(VARIABLE, points=flat)
    rating = average(unit, PartLoadRules(degradation=AirDegradation(cd=0.0)))
    assert rating.scop_on == pytest.approx(cop, rel=1e-9)
    assert rating.scop_net == pytest.approx(cop, rel=1e-9)


def test_a_heat_pump_that_never_runs_is_an_electric_heater() -> None:
    rating = average(replace(VARIABLE, limit_c=99.0))
    assert rating.scop_on == 1.0
    assert math.isnan(rating.scop_net)
    assert np.isnan(rating.bins.cop).all()


@settings(max_examples=50, deadline=None)
@given(heating_units())
def test_scop_never_exceeds_scop_on_nor_scop_on_scop_net(
    case: tuple[HeatingDeclaration, Climate, PartLoadRules],
) -> None:
    unit, climate, chosen = case
    season = heating_season(climate)
    hours = mode_hours(UnitKind.HEATING_ONLY, Function.HEATING, climate)
    held = replace(chosen, warm_end=WarmEnd.HELD)
    rating = rate_heating(replace(unit, modes=MODES), season, hours, held)
    runs = rating.bins.power_w > 0
    assert rating.scop < rating.scop_on
    if np.all(rating.bins.cop[runs] > 1.0):
        assert rating.scop_on <= rating.scop_net * (1 + 1e-12)


@given(st.floats(0.0, 0.5), st.floats(0.0, 0.5), st.floats(0.0, 50.0))
def test_more_cycling_loss_or_standby_never_raises_a_rating(
    cd: float, more: float, standby_w: float
) -> None:
    low = average(VARIABLE, PartLoadRules(degradation=AirDegradation(cd=cd)))
    high = average(VARIABLE, PartLoadRules(degradation=AirDegradation(cd=min(cd + more, 0.9))))
    assert high.scop_on <= low.scop_on * (1 + 1e-12)
    idle = replace(VARIABLE, modes=replace(MODES, off_w=MODES.off_w + standby_w))
    assert average(idle).scop <= average(VARIABLE).scop * (1 + 1e-12)
    hours = mode_hours(UnitKind.COOLING_ONLY, Function.COOLING)
    lossy = PartLoadRules(degradation=AirDegradation(cd=cd))
    worse = PartLoadRules(degradation=AirDegradation(cd=min(cd + more, 0.9)))
    seers = [
        rate_cooling(AIR_CONDITIONER, cooling_bins(), hours, chosen).seer
        for chosen in (lossy, worse)
    ]
    assert seers[1] <= seers[0] * (1 + 1e-12)


def test_label_energy_is_demand_over_rating() -> None:
    heating = scop(VARIABLE, climate=Climate.AVERAGE, unit=UnitKind.REVERSIBLE)
    cooling: CoolingRating = seer(AIR_CONDITIONER, unit=UnitKind.REVERSIBLE)
    assert heating.annual_kwh == pytest.approx(heating.demand_kwh / heating.scop)
    assert cooling.annual_kwh == pytest.approx(cooling.demand_kwh / cooling.seer)


def test_other_hours_by_mode_can_be_given() -> None:
    other = mode_hours(UnitKind.HYDRONIC_HEATING_ONLY, Function.HEATING, Climate.AVERAGE)
    rating = scop(VARIABLE, climate=Climate.AVERAGE, unit=UnitKind.HEATING_ONLY, hours=other)
    assert rating.demand_kwh == pytest.approx(3.0 * 2066)
