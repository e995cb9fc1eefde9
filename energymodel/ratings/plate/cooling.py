"""Cooling points of a plate, the missing ones from usual ratios and published curves."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from energymodel.arrays import Array, frozen
from energymodel.equipment.air_conditioner import net_cooling, rated_fan_w
from energymodel.equipment.curves import Function
from energymodel.equipment.single_speed import (
    AIR_CONDITIONER_EIR,
    EFFICIENT_FAN_W_PER_CFM,
    FAN_W_PER_CFM,
    HEAT_PUMP_COOLING_EIR,
)
from energymodel.ratings.plate.facts import Facts
from energymodel.ratings.plate.grid import (
    Grid,
    SpeedRow,
    Template,
    filled,
    in_order,
    places,
    row_at,
)
from energymodel.ratings.plate.input import RATED_COOLING_C, Level, PlatePoint
from energymodel.ratings.plate.ratios import (
    NATIONAL_STANDARD,
    STATE_RULES,
    eer_95,
    room_unit_maximum_cooling_w,
)
from energymodel.ratings.plate.shapes import RatedSize
from energymodel.ratings.us.units import Service
from energymodel.units import BTU_PER_WH, c_from_f, f_from_c

USUAL_C = frozen([c_from_f(t) for t in (65.0, 82.0, 95.0, 115.0)])
_EFFICIENT_FROM_SEER = 15.0
_CURVES = "cooling curves of NREL/TP-5500-56354 (quoted), net of the indoor fan"


def cooling_grid(facts: Facts, cooling_w: float, points: Sequence[PlatePoint]) -> Grid:
    """Fill the cooling points of a unit.

    Parameters
    ----------
    facts
        The plate.
    cooling_w
        Rated cooling capacity, given or usual, W.
    points
        Given cooling points.

    Returns
    -------
    Grid
        All speeds at 65, 82, 95 and 115 F and at the given temperatures. A maximum above the
        rated speed is there only if the plate has one.
    """
    outdoor_c = places(USUAL_C.tolist(), points)
    given = {level: [p for p in points if p.level is level] for level in Level}
    rated = filled(given[Level.RATED], _rated(facts, cooling_w), outdoor_c)
    rows = {Level.RATED: rated}
    if Level.MINIMUM in facts.plate.kind.speeds:
        template = _minimum(facts, outdoor_c, rated)
        low = filled(given[Level.MINIMUM], template, outdoor_c)
        rows = {Level.MINIMUM: low, Level.RATED: rated}
    if given[Level.MAXIMUM]:
        template = _maximum(facts, outdoor_c, rated)
        rows[Level.MAXIMUM] = filled(given[Level.MAXIMUM], template, outdoor_c)
    return Grid(function=Function.COOLING, outdoor_c=outdoor_c, rows=in_order(rows))


def _along_curves(facts: Facts, capacity_w: float, eer: float) -> tuple[Array, Array]:
    """Capacity and EER (W/W) at the usual places, from their values at 95 F."""
    label = facts.plate.cooling_label
    high = label is not None and not label.metric.european and label.value > _EFFICIENT_FROM_SEER
    efficient = not facts.ducted or high
    per_cfm = EFFICIENT_FAN_W_PER_CFM if efficient else FAN_W_PER_CFM
    cools_only = facts.plate.service is Service.AIR_CONDITIONER
    capacity, power = net_cooling(
        capacity_w,
        capacity_w / eer,
        fan_w=min(rated_fan_w(capacity_w, w_per_cfm=per_cfm), 0.4 * capacity_w / eer),
        eir=AIR_CONDITIONER_EIR if cools_only else HEAT_PUMP_COOLING_EIR,
        outdoor_f=f_from_c(USUAL_C),
    )
    return capacity, capacity / power


def _template(
    facts: Facts, rated: tuple[float, float], capacity_source: str, eer_source: str
) -> Template:
    capacity, eer = _along_curves(facts, *rated)
    at_95 = USUAL_C == RATED_COOLING_C
    return Template(
        outdoor_c=USUAL_C,
        capacity_w=frozen(capacity),
        cop=frozen(eer),
        capacity_source=tuple(capacity_source if here else _CURVES for here in at_95),
        cop_source=tuple(eer_source if here else _CURVES for here in at_95),
    )


def _rated(facts: Facts, cooling_w: float) -> Template:
    """Rated speed; its EER from the SEER, of an inverter the usual one."""
    basis = "heating_relation_factor" if facts.inverter else "heating_per_cooling"
    spread = facts.ratios["eer95"]
    eer, eer_source = spread.of(facts.case), spread.source
    if facts.seer is not None:
        eer, eer_source = eer_95(facts.seer), f"{STATE_RULES}, from SEER {facts.seer:.1f}"
    return _template(facts, (cooling_w, eer / BTU_PER_WH), facts.source(basis), eer_source)


def _at_95(outdoor_c: Array, row: SpeedRow) -> tuple[float, float]:
    capacity, eer = row_at(row, outdoor_c, np.array([RATED_COOLING_C]))
    return float(capacity[0]), float(eer[0])


def _minimum(facts: Facts, outdoor_c: Array, rated: SpeedRow) -> Template:
    """Minimum speed, or low stage: a share of the rated one at 95 F, then along the curves."""
    capacity, eer = _at_95(outdoor_c, rated)
    names = ("low_q95_per_full", "low_eer95_per_full")
    share = facts.ratio(names[0]) if not facts.inverter else 0.0
    if facts.inverter:
        names = ("turn_down95", "min_eer95_per_rated")
        share = 1.0 / facts.ratio(names[0])
    usual = (capacity * share, eer * facts.ratio(names[1]))
    template = _template(facts, usual, facts.source(names[0]), facts.source(names[1]))
    shape = facts.plate.shape
    if shape is None:
        return template
    rated_q, rated_eer = row_at(rated, outdoor_c, USUAL_C)
    size = RatedSize(
        cooling_w=capacity, rated_w=capacity, maximum_w=room_unit_maximum_cooling_w(capacity)
    )
    at_minimum, at_rated = (
        shape.relative_cop(Function.COOLING, size, USUAL_C, q / capacity)
        for q in (template.capacity_w, rated_q)
    )
    return Template(
        outdoor_c=USUAL_C,
        capacity_w=template.capacity_w,
        cop=frozen(rated_eer * at_minimum / at_rated),
        capacity_source=template.capacity_source,
        cop_source=(f"part-load shape {shape.name!r}: {NATIONAL_STANDARD}",) * USUAL_C.size,
    )


def _maximum(facts: Facts, outdoor_c: Array, rated: SpeedRow) -> Template:
    """Maximum above the rated speed; its capacity is given at one place at least."""
    capacity, eer = _at_95(outdoor_c, rated)
    name = "max_eer95_per_rated"
    usual = (room_unit_maximum_cooling_w(capacity), eer * facts.ratio(name))
    return _template(facts, usual, NATIONAL_STANDARD, facts.source(name))
