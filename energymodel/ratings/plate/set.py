"""Maps of a plate for one end of the spreads, calibrated to the label."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from energymodel.equipment.curves import Function, PerformanceMap
from energymodel.equipment.limits import check_map
from energymodel.equipment.operation import Operation
from energymodel.notices import Notice
from energymodel.ratings.europe.map_declarations import Declared
from energymodel.ratings.plate.build import Recipe, build
from energymodel.ratings.plate.calibration import Calibration, calibrate
from energymodel.ratings.plate.cooling import cooling_grid
from energymodel.ratings.plate.facts import Facts, rated_point
from energymodel.ratings.plate.figures import Declarations, figure, unit_kind
from energymodel.ratings.plate.grid import Grid, row_at
from energymodel.ratings.plate.heating import heating_grid
from energymodel.ratings.plate.input import (
    RATED_COOLING_C,
    RATED_HEATING_C,
    SAME_K,
    Level,
    Plate,
    PlatePoint,
)
from energymodel.ratings.plate.metrics import Label, Product
from energymodel.ratings.plate.ratios import Case, room_unit_maximum_cooling_w
from energymodel.ratings.plate.shapes import RatedSize
from energymodel.ratings.us.editions import DefaultCd
from energymodel.ratings.us.map_tests import MappedUnit, unit_of_maps
from energymodel.ratings.us.units import Construction, DemandDefrost, UsUnit
from energymodel.units import c_from_f

CREDIT = {Case.LOW: 1.03, Case.LIKELY: 1.015, Case.HIGH: 1.0}
"""Demand-defrost credit inside a US heating label: 1.00 to 1.03 by the procedure, the middle likely
(our choice)."""
_SHORTEST_H, _LONGEST_H, _LARGEST_CREDIT = 1.5, 12.0, 0.03


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PlateSet:
    """Maps and tests of a unit, for one end of the spreads of what was guessed.

    Parameters
    ----------
    case
        Low, likely or high.
    mapped
        Its maps, steady in heating, with controls and degradation coefficients.
    unit
        Tests of the US procedures read off the maps.
    declarations
        Design loads and modes of the European figures.
    heating_grid, cooling_grid
        What was given and what guessed; None: no such function.
    heating_calibration, cooling_calibration
        How the labels were met; None: no label.
    """

    case: Case
    mapped: MappedUnit
    unit: UsUnit
    declarations: Declarations
    heating_grid: Grid | None
    cooling_grid: Grid | None
    heating_calibration: Calibration | None
    cooling_calibration: Calibration | None


def plate_set(facts: Facts) -> PlateSet:
    """Build the maps of a plate.

    Parameters
    ----------
    facts
        The plate and the end of the spreads.

    Returns
    -------
    PlateSet
        Calibrated where there is a label.

    Raises
    ------
    EquipmentError
        If given points cannot be true.
    """
    work = _Work(facts)
    cooling = work.finished(Function.COOLING, None)
    heating = work.finished(Function.HEATING, cooling.performance if cooling else None)
    mapped = work.mapped(
        heating.performance if heating else None, cooling.performance if cooling else None
    )
    return PlateSet(
        case=facts.case,
        mapped=mapped,
        unit=unit_of_maps(mapped),
        declarations=work.declarations,
        heating_grid=heating.grid if heating else None,
        cooling_grid=cooling.grid if cooling else None,
        heating_calibration=heating.calibration if heating else None,
        cooling_calibration=cooling.calibration if cooling else None,
    )


def usual_cooling_w(facts: Facts) -> float:
    """Rated cooling capacity of a plate: given, or what goes with the capacity that is given.

    Parameters
    ----------
    facts
        The plate.

    Returns
    -------
    float
        W; of a heating-only unit the size of its relatives that cool.
    """
    rated = rated_point(facts.plate, Function.COOLING)
    if rated is not None and rated.capacity_w is not None:
        return rated.capacity_w
    known = next(
        point
        for function in (Function.COOLING, Function.HEATING)
        for level in (Level.RATED, Level.MAXIMUM, Level.MINIMUM)
        for point in facts.plate.given(function, level)
        if point.capacity_w is not None
    )
    trial = 3500.0
    for _ in range(3):
        trial *= (known.capacity_w or trial) / _usual_at(facts, trial, known)
    return trial


def _usual_at(facts: Facts, cooling_w: float, point: PlatePoint) -> float:
    """Capacity that a unit of this size usually has at a point."""
    if point.function is Function.COOLING:
        grid = cooling_grid(facts, cooling_w, ())
        row = grid.rows.get(point.level, grid.rows[Level.RATED])
    else:
        grid = heating_grid(facts, cooling_w, ())
        row = grid.rows[point.level]
    return float(row_at(row, grid.outdoor_c, np.array([point.outdoor_c]))[0][0])


def defrost_of(credit: float) -> DemandDefrost | None:
    """Demand defrost that gives a credit.

    Parameters
    ----------
    credit
        1.00 to 1.03.

    Returns
    -------
    DemandDefrost or None
        Times between defrosts; None: no credit.
    """
    if credit <= 1.0:
        return None
    late = 1.0 - (credit - 1.0) / _LARGEST_CREDIT
    return DemandDefrost(
        between_h=_SHORTEST_H + late * (_LONGEST_H - _SHORTEST_H), longest_h=_LONGEST_H
    )


def has_5_f(plate: Plate) -> bool:
    """Whether the plate gives the highest speed at 5 F, so that the optional test counts.

    Parameters
    ----------
    plate
        As given.

    Returns
    -------
    bool
        True if it does.
    """
    highest = list(plate.kind.speeds)[-1]
    return any(
        abs(point.outdoor_c - c_from_f(5.0)) <= SAME_K
        for point in plate.given(Function.HEATING, highest)
        if point.capacity_w is not None
    )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Finished:
    grid: Grid
    performance: PerformanceMap
    calibration: Calibration | None


class _Work:
    """A plate on its way to maps."""

    def __init__(self, facts: Facts) -> None:
        self.facts = facts
        self.plate = facts.plate
        self.cooling_w = usual_cooling_w(facts)
        self.declarations = self._declarations()

    def finished(self, function: Function, cooling: PerformanceMap | None) -> _Finished | None:
        if not self.plate.serves(function):
            return None
        grid = self._grid(function)
        recipe = self._recipe(grid)
        performance = build(recipe, 1.0)
        check_map(performance)
        label = self._label(function)
        if label is None:
            return _Finished(grid=grid, performance=performance, calibration=None)

        def rate(multiplier: float) -> float:
            built = build(recipe, multiplier)
            pair = (None, built) if function is Function.COOLING else (built, cooling)
            return figure(label.metric, self.mapped(*pair), self.declarations)

        calibration = calibrate(rate, label, guesses=grid.guesses)
        performance = build(recipe, calibration.multiplier)
        return _Finished(grid=grid, performance=performance, calibration=calibration)

    def _label(self, function: Function) -> Label | None:
        heats = function is Function.HEATING
        return self.plate.heating_label if heats else self.plate.cooling_label

    def _grid(self, function: Function) -> Grid:
        points = [point for point in self.plate.points if point.function is function]
        fill = heating_grid if function is Function.HEATING else cooling_grid
        return fill(self.facts, self.cooling_w, points)

    def _recipe(self, grid: Grid) -> Recipe:
        heats = grid.function is Function.HEATING
        return Recipe(
            grid=grid,
            kind=self.plate.kind,
            cd=self.cd_heating if heats else self.cd_cooling,
            shape=self.plate.shape,
            size=self._size(grid),
            off_c=self.heating_limits.off_c,
        )

    def _size(self, grid: Grid) -> RatedSize:
        heats = grid.function is Function.HEATING
        place = np.array([RATED_HEATING_C if heats else RATED_COOLING_C])
        rated = float(row_at(grid.rows[Level.RATED], grid.outdoor_c, place)[0][0])
        largest = rated
        if heats and Level.MAXIMUM in grid.rows:
            largest = float(row_at(grid.rows[Level.MAXIMUM], grid.outdoor_c, place)[0][0])
        if not heats:
            largest = room_unit_maximum_cooling_w(rated)
        return RatedSize(cooling_w=self.cooling_w, rated_w=rated, maximum_w=max(largest, rated))

    @property
    def cd_heating(self) -> float:
        given = self.plate.cd_heating
        return DefaultCd().heating if given is None else given

    @property
    def cd_cooling(self) -> float:
        if self.plate.cd_cooling is not None:
            return self.plate.cd_cooling
        default = DefaultCd()
        return default.cooling_variable if self.facts.inverter else default.cooling_fixed

    @property
    def heating_limits(self) -> Operation:
        return self.plate.heating_limits or self.plate.kind.heating_limits

    def mapped(self, heating: PerformanceMap | None, cooling: PerformanceMap | None) -> MappedUnit:
        packaged = self.facts.product is Product.SINGLE_PACKAGE
        credit = self.plate.defrost_credit
        return MappedUnit(
            heating=heating,
            cooling=cooling,
            service=self.plate.service,
            construction=Construction.SINGLE_PACKAGE if packaged else Construction.SPLIT,
            cd_heating=self.cd_heating,
            cd_cooling=self.cd_cooling,
            heating_operation=self.heating_limits,
            cooling_operation=self.plate.cooling_limits or self.plate.kind.cooling_limits,
            defrost=defrost_of(CREDIT[self.facts.case] if credit is None else credit),
            tested_at_5_f=has_5_f(self.plate),
        )

    def _declarations(self) -> Declarations:
        european = self.plate.european
        heating_w = european.heating_w
        if heating_w is None and self.facts.inverter:
            heating_w = self.cooling_w * self.facts.ratio("europe_load_per_cooling")
        return Declarations(
            heating=Declared(design_load_w=heating_w, limit_c=self.heating_limits.off_c),
            cooling=Declared(design_load_w=european.cooling_w or self.cooling_w),
            kind=unit_kind(self.plate.service),
        )


def checked(done: PlateSet) -> tuple[Notice, ...]:
    """Look over the calibrated maps.

    Parameters
    ----------
    done
        The maps.

    Returns
    -------
    tuple of Notice
        What is possible but doubtful.

    Raises
    ------
    EquipmentError
        If a map has become impossible.
    """
    maps = (done.mapped.heating, done.mapped.cooling)
    return tuple(note for one in maps if one is not None for note in check_map(one))
