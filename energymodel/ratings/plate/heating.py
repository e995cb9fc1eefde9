"""Heating points of a plate, the missing ones from usual ratios."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from energymodel.arrays import Array, frozen
from energymodel.equipment.curves import Function
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
from energymodel.ratings.plate.input import Level, PlatePoint
from energymodel.ratings.plate.ratios import (
    NATIONAL_STANDARD,
    STATE_RULES,
    capacity_ratio_17,
    cop_17,
    cop_47,
)
from energymodel.ratings.plate.shapes import RatedSize
from energymodel.units import c_from_f

USUAL_C = frozen([c_from_f(t) for t in (5.0, 17.0, 47.0)])


def heating_grid(facts: Facts, cooling_w: float, points: Sequence[PlatePoint]) -> Grid:
    """Fill the heating points of a unit.

    Parameters
    ----------
    facts
        The plate.
    cooling_w
        Rated cooling capacity, given or usual, W.
    points
        Given heating points.

    Returns
    -------
    Grid
        All speeds at 5, 17 and 47 F and at the given temperatures.
    """
    outdoor_c = places(USUAL_C.tolist(), points)
    given = {level: [p for p in points if p.level is level] for level in Level}
    rated = filled(given[Level.RATED], _rated(facts, cooling_w), outdoor_c)
    rows = {Level.RATED: rated}
    if facts.inverter:
        full = filled(given[Level.MAXIMUM], _maximum(facts, outdoor_c, rated), outdoor_c)
        size = _size(cooling_w, (outdoor_c, rated, full))
        least = _minimum(facts, size, (outdoor_c, rated, full))
        low = filled(given[Level.MINIMUM], least, outdoor_c)
        rows = {Level.MINIMUM: low, Level.RATED: rated, Level.MAXIMUM: full}
    elif Level.MINIMUM in facts.plate.kind.speeds:
        low = filled(given[Level.MINIMUM], _low_stage(facts, outdoor_c, rated), outdoor_c)
        rows = {Level.MINIMUM: low, Level.RATED: rated}
    return Grid(function=Function.HEATING, outdoor_c=outdoor_c, rows=in_order(rows))


def _rated(facts: Facts, cooling_w: float) -> Template:
    """Rated speed of an inverter, high stage, or the only speed."""
    capacity = facts.heating_from_cooling(cooling_w)
    basis = "heating_relation_factor" if facts.inverter else "heating_per_cooling"
    q17, q17_source = _capacity_17(facts)
    cop, cop_source = _rated_cop(facts)
    cop17, cop17_source = _cop_17(facts, cop)
    return Template(
        outdoor_c=USUAL_C,
        capacity_w=frozen([capacity * facts.ratio("q5_per_q47"), capacity * q17, capacity]),
        cop=frozen([cop * facts.ratio("cop5_per_cop47"), cop17, cop]),
        capacity_source=(facts.source("q5_per_q47"), q17_source, facts.source(basis)),
        cop_source=(facts.source("cop5_per_cop47"), cop17_source, cop_source),
    )


def _central(facts: Facts) -> bool:
    """Whether the state's rules for central heat pumps apply."""
    return facts.hspf is not None and Level.MINIMUM not in facts.plate.kind.speeds


def _capacity_17(facts: Facts) -> tuple[float, str]:
    spread = facts.ratios["q17_per_q47"]
    if facts.hspf is None or not _central(facts):
        return spread.of(facts.case), spread.source
    ratio = capacity_ratio_17(facts.hspf) * spread.of(facts.case) / spread.likely
    return ratio, f"{STATE_RULES}, from HSPF {facts.hspf:.1f}"


def _rated_cop(facts: Facts) -> tuple[float, str]:
    """First guess; of an inverter the usual one, as the rules are for central heat pumps."""
    spread = facts.ratios["cop47"]
    if facts.hspf is None:
        return spread.of(facts.case), spread.source
    return cop_47(facts.hspf), f"{STATE_RULES}, from HSPF {facts.hspf:.1f}"


def _cop_17(facts: Facts, cop: float) -> tuple[float, str]:
    spread = facts.ratios["cop17_per_cop47"]
    if facts.hspf is None or not _central(facts):
        return cop * spread.of(facts.case), spread.source
    first = cop_17(facts.hspf) * spread.of(facts.case) / spread.likely
    return first, f"{STATE_RULES}, from HSPF {facts.hspf:.1f}"


def _maximum(facts: Facts, outdoor_c: Array, rated: SpeedRow) -> Template:
    """Maximum speed of an inverter, from its own value at 47 F down."""
    capacity, cop = row_at(rated, outdoor_c, USUAL_C)
    names = ("max5_per_max47", "max17_per_max47")
    cops = ("max_cop5_per_max_cop47", "max_cop17_per_max_cop47")
    q47 = capacity[-1] * facts.ratio("max47_per_rated")
    cop47 = cop[-1] * facts.ratio("max_cop47_per_rated")
    return Template(
        outdoor_c=USUAL_C,
        capacity_w=frozen([*(q47 * facts.ratio(name) for name in names), q47]),
        cop=frozen([*(cop47 * facts.ratio(name) for name in cops), cop47]),
        capacity_source=tuple(facts.source(name) for name in (*names, "max47_per_rated")),
        cop_source=tuple(facts.source(name) for name in (*cops, "max_cop47_per_rated")),
    )


_Speeds = tuple[Array, SpeedRow, SpeedRow]


def _size(cooling_w: float, speeds: _Speeds) -> RatedSize:
    outdoor_c, rated, full = speeds
    q_rated, q_full = (row_at(row, outdoor_c, USUAL_C)[0][-1] for row in (rated, full))
    return RatedSize(
        cooling_w=cooling_w, rated_w=float(q_rated), maximum_w=float(max(q_full, q_rated))
    )


def _minimum(facts: Facts, size: RatedSize, speeds: _Speeds) -> Template:
    """Minimum speed: parallel to the maximum; COP by ratio, or by the part-load shape."""
    outdoor_c, rated, full = speeds
    q_full, _ = row_at(full, outdoor_c, USUAL_C)
    q_rated, cop_rated = row_at(rated, outdoor_c, USUAL_C)
    rises = ("min_ratio_rise5", "min_ratio_rise17")
    rise = np.array([*(facts.ratio(name) for name in rises), 1.0])
    capacity = np.minimum(q_full * rise / facts.ratio("turn_down47"), q_rated)
    shape = facts.plate.shape
    names = ("min_cop5_per_rated", "min_cop17_per_rated", "min_cop47_per_rated")
    if shape is None:
        cop = cop_rated * np.array([facts.ratio(name) for name in names])
        sources = tuple(facts.source(name) for name in names)
    else:
        at_minimum, at_rated = (
            shape.relative_cop(Function.HEATING, size, USUAL_C, q / size.rated_w)
            for q in (capacity, q_rated)
        )
        cop = cop_rated * at_minimum / at_rated
        sources = (f"part-load shape {shape.name!r}: {NATIONAL_STANDARD}",) * USUAL_C.size
    turn_down = facts.source("turn_down47")
    return Template(
        outdoor_c=USUAL_C,
        capacity_w=frozen(capacity),
        cop=frozen(cop),
        capacity_source=(*(facts.source(name) for name in rises), turn_down),
        cop_source=sources,
    )


def _low_stage(facts: Facts, outdoor_c: Array, full: SpeedRow) -> Template:
    """Low stage of a two-stage unit, from high stage at the same temperature."""
    capacity, cop = row_at(full, outdoor_c, USUAL_C)
    names = ("low_q5_per_full", "low_q17_per_full", "low_q47_per_full")
    cops = ("low_cop5_per_full", "low_cop17_per_full", "low_cop47_per_full")
    return Template(
        outdoor_c=USUAL_C,
        capacity_w=frozen(capacity * [facts.ratio(name) for name in names]),
        cop=frozen(cop * [facts.ratio(name) for name in cops]),
        capacity_source=tuple(facts.source(name) for name in names),
        cop_source=tuple(facts.source(name) for name in cops),
    )
