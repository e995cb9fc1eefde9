"""The figure that a map of a plate would carry on a label."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from energymodel.equipment.curves import PerformanceMap
from energymodel.ratings.europe.map_declarations import (
    Declared,
    cooling_declaration,
    heating_declaration,
)
from energymodel.ratings.europe.seasonal import scop, seer
from energymodel.ratings.europe.tables import Climate, UnitKind
from energymodel.ratings.plate.metrics import Metric
from energymodel.ratings.us import seasonal as us
from energymodel.ratings.us.map_tests import MappedUnit, unit_of_maps
from energymodel.ratings.us.units import Service, UsUnit

_US: dict[Metric, Callable[[UsUnit], float]] = {
    Metric.HSPF2: lambda unit: us.hspf2(unit).value_btu_per_wh,
    Metric.HSPF: lambda unit: us.hspf(unit).value_btu_per_wh,
    Metric.SEER2: lambda unit: us.seer2(unit).value_btu_per_wh,
    Metric.SEER: lambda unit: us.seer(unit).value_btu_per_wh,
}


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Declarations:
    """What the European figures of a unit need besides its maps.

    Parameters
    ----------
    heating, cooling
        Design loads, limits and modes.
    kind
        Kind of unit, for the hours by mode.
    """

    heating: Declared
    cooling: Declared
    kind: UnitKind


def unit_kind(service: Service) -> UnitKind:
    """European kind of a unit.

    Parameters
    ----------
    service
        What it is sold for.

    Returns
    -------
    UnitKind
        Reversible, cooling only or heating only.
    """
    return {
        Service.HEAT_PUMP: UnitKind.REVERSIBLE,
        Service.AIR_CONDITIONER: UnitKind.COOLING_ONLY,
        Service.HEATING_ONLY: UnitKind.HEATING_ONLY,
    }[service]


def figure(metric: Metric, mapped: MappedUnit, declarations: Declarations) -> float:
    """Return the figure of a label that a unit with these maps would have.

    Parameters
    ----------
    metric
        Which figure: HSPF2 and HSPF of region IV, SCOP of the average climate.
    mapped
        The unit.
    declarations
        For European figures.

    Returns
    -------
    float
        Unrounded, in the label's own unit, the demand-defrost credit included.

    Raises
    ------
    EquipmentError
        If a point of the map cannot be true.
    """
    if metric in _US:
        return _US[metric](unit_of_maps(mapped))
    if metric is Metric.SCOP:
        heating = heating_declaration(_there(mapped.heating), declarations.heating)
        return scop(heating, climate=Climate.AVERAGE, unit=declarations.kind).scop
    cooling = cooling_declaration(_there(mapped.cooling), declarations.cooling)
    return seer(cooling, unit=declarations.kind).seer


def _there(performance: PerformanceMap | None) -> PerformanceMap:
    if performance is None:
        raise ValueError("a figure was asked for without its map")
    return performance
