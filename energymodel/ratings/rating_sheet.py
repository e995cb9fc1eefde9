"""Every seasonal figure that the maps or tests of a unit give, in all regions and climates."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

import numpy as np

from energymodel.arrays import Array
from energymodel.equipment.curves import PerformanceMap
from energymodel.equipment.kernel import Stack, modulating, respond
from energymodel.errors import EquipmentError, InputError
from energymodel.ratings.europe.map_declarations import (
    Declared,
    control_of,
    cooling_declaration,
    heating_declaration,
)
from energymodel.ratings.europe.points import Control, CoolingDeclaration, HeatingDeclaration
from energymodel.ratings.europe.seasonal import scop, seer
from energymodel.ratings.europe.tables import Climate, UnitKind
from energymodel.ratings.iso.cooling import IsoCoolingUnit, IsoStage, cspf
from energymodel.ratings.us import seasonal as us
from energymodel.ratings.us.load import Requirement
from energymodel.ratings.us.tables import Region
from energymodel.ratings.us.units import Service, UsUnit

_HOT_C, _MILD_C = 35.0, 29.0


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class RatingSheet:
    """Seasonal figures of a unit, unrounded; what a standard refuses for it is left out.

    Parameters
    ----------
    hspf2, hspf, hspf_maximum
        By climatic region, Btu/Wh; the last under the maximum design heating requirement.
    seer2, seer, eer2
        Btu/Wh; None: no cooling. SEER, HSPF and SEER2, HSPF2 from the same points.
    scop
        By reference climate, W/W.
    seer_europe, cspf
        W/W; None: not to be had.
    refused
        Why figures are left out.
    """

    hspf2: Mapping[Region, float]
    hspf: Mapping[Region, float]
    hspf_maximum: Mapping[Region, float]
    seer2: float | None
    seer: float | None
    eer2: float | None
    scop: Mapping[Climate, float]
    seer_europe: float | None
    cspf: float | None
    refused: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class EuropeanSide:
    """What the European and international figures of a unit come from.

    Parameters
    ----------
    kind
        Kind of unit, for the hours by mode.
    heating
        Declaration of a climate.
    cooling
        Cooling declaration; None: no cooling.
    cooling_map
        Map for the international figure; None: not to be had.
    """

    kind: UnitKind
    heating: Mapping[Climate, Callable[[], HeatingDeclaration]]
    cooling: Callable[[], CoolingDeclaration] | None
    cooling_map: PerformanceMap | None


def european_side(
    heating: PerformanceMap | None,
    cooling: PerformanceMap | None,
    *,
    declared: tuple[Declared, Declared],
    kind: UnitKind,
) -> EuropeanSide:
    """Read the European side of a unit off its maps.

    Parameters
    ----------
    heating, cooling
        Net maps; None: no such function.
    declared
        Design loads and limits, heating and cooling.
    kind
        Kind of unit.

    Returns
    -------
    EuropeanSide
        Declarations are read when they are asked for; one design load serves all climates.
    """
    by_climate: dict[Climate, Callable[[], HeatingDeclaration]] = {}
    if heating is not None:
        by_climate = {climate: _Read(heating, declared[0], climate) for climate in Climate}
    return EuropeanSide(
        kind=kind,
        heating=by_climate,
        cooling=None if cooling is None else lambda: cooling_declaration(cooling, declared[1]),
        cooling_map=cooling,
    )


@dataclass(frozen=True, slots=True, eq=False)
class _Read:
    performance: PerformanceMap
    declared: Declared
    climate: Climate

    def __call__(self) -> HeatingDeclaration:
        return heating_declaration(self.performance, self.declared, climate=self.climate)


def rating_sheet(unit: UsUnit | None, european: EuropeanSide) -> RatingSheet:
    """Rate a unit by every standard.

    Parameters
    ----------
    unit
        Tests of the US procedures; None: not to be had.
    european
        European and international side.

    Returns
    -------
    RatingSheet
        All figures that the points allow.
    """
    refused: list[str] = []
    heating = _without(unit, Service.AIR_CONDITIONER)
    cooling = _without(unit, Service.HEATING_ONLY)
    return RatingSheet(
        hspf2=_by_region(heating, _hspf2, refused),
        hspf=_by_region(heating, _hspf, refused),
        hspf_maximum=_by_region(heating, _hspf_maximum, refused),
        seer2=_of_unit(cooling, lambda one: us.seer2(one).value_btu_per_wh, refused),
        seer=_of_unit(cooling, lambda one: us.seer(one).value_btu_per_wh, refused),
        eer2=_of_unit(cooling, us.eer2, refused),
        scop=_scops(european, refused),
        seer_europe=_seer_europe(european, refused),
        cspf=_international(european, refused),
        refused=tuple(dict.fromkeys(refused)),
    )


def _without(unit: UsUnit | None, service: Service) -> UsUnit | None:
    return None if unit is None or unit.service is service else unit


def _hspf2(unit: UsUnit, region: Region) -> float:
    return us.hspf2(unit, region=region).value_btu_per_wh


def _hspf(unit: UsUnit, region: Region) -> float:
    return us.hspf(unit, region=region).value_btu_per_wh


def _hspf_maximum(unit: UsUnit, region: Region) -> float:
    return us.hspf(unit, region=region, requirement=Requirement.MAXIMUM).value_btu_per_wh


def _by_region(
    unit: UsUnit | None, rate: Callable[[UsUnit, Region], float], refused: list[str]
) -> dict[Region, float]:
    found: dict[Region, float] = {}
    if unit is None:
        return found
    for region in Region:
        try:
            found[region] = rate(unit, region)
        except EquipmentError as error:
            refused.append(error.what)
    return found


def _of_unit(
    unit: UsUnit | None, rate: Callable[[UsUnit], float], refused: list[str]
) -> float | None:
    if unit is None:
        return None
    try:
        return rate(unit)
    except EquipmentError as error:
        refused.append(error.what)
        return None


def _scops(european: EuropeanSide, refused: list[str]) -> dict[Climate, float]:
    found: dict[Climate, float] = {}
    for climate, read in european.heating.items():
        try:
            found[climate] = scop(read(), climate=climate, unit=european.kind).scop
        except (EquipmentError, InputError) as error:
            refused.append(f"SCOP, {climate.value} climate: {error.what}")
    return found


def _seer_europe(european: EuropeanSide, refused: list[str]) -> float | None:
    if european.cooling is None:
        return None
    try:
        return seer(european.cooling(), unit=european.kind).seer
    except (EquipmentError, InputError) as error:
        refused.append(f"European SEER: {error.what}")
        return None


def _international(european: EuropeanSide, refused: list[str]) -> float | None:
    if european.cooling_map is None:
        return None
    try:
        return _cspf(european.cooling_map)
    except EquipmentError as error:
        refused.append(f"CSPF: {error.what}")
        return None


def _cspf(performance: PerformanceMap) -> float:
    """CSPF from full, half and lowest output at 35 and 29 degC; staged units are not covered."""
    if control_of(performance) is Control.STAGED:
        raise EquipmentError("two-stage units are not covered")
    outdoor = np.array([_HOT_C, _MILD_C])
    capacity, power = performance.raw(outdoor)
    full = _stage(capacity[-1], power[-1])
    if len(performance.speeds) == 1:
        return cspf(IsoCoolingUnit(full=full)).cspf
    half_w = np.full(2, 0.5 * capacity[-1, 0])
    stack = Stack(
        capacity_w=capacity,
        power_w=power,
        available=np.ones(capacity.shape, dtype=bool),
        staging=modulating,
        cycling=performance.cycling,
    )
    always = np.ones(2)
    half_power = respond(stack, half_w, part_share=always, full_share=always).power_w
    lowest = _stage(capacity[0], power[0]) if capacity[0, 0] < 0.45 * capacity[-1, 0] else None
    return cspf(IsoCoolingUnit(full=full, half=_stage(half_w, half_power), minimum=lowest)).cspf


def _stage(capacity: Array, power: Array) -> IsoStage:
    return IsoStage(
        capacity_w=float(capacity[0]),
        power_w=float(power[0]),
        capacity_29_w=float(capacity[1]),
        power_29_w=float(power[1]),
    )
