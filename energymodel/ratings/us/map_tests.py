"""Test points of the US procedures read off a performance map."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np

from energymodel.equipment.curves import Frost, PerformanceMap, SpeedCurve
from energymodel.equipment.kernel import Stack, respond, time_shared
from energymodel.equipment.operation import Operation
from energymodel.errors import EquipmentError
from energymodel.ratings.conditions import TestPoint
from energymodel.ratings.us.points import Rate, between, frost_estimate
from energymodel.ratings.us.units import (
    Construction,
    DemandDefrost,
    Service,
    SingleSpeedUnit,
    TwoCapacityUnit,
    UsUnit,
    VariableSpeedUnit,
)
from energymodel.units import btu_h_from_w, c_from_f, w_from_btu_h

RATED = "rated"
"""Name of the speed that is the full speed of the cooling tests and the nominal one at 47 F."""
_STEADY_TO_FROST = (0.90, 0.985)
"""Capacity and power in a frost test over steady values, section 3.6 of Appendices M and M1
(from memory; quoted in a state code method)."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class MappedUnit:
    """A unit known by its maps.

    Parameters
    ----------
    heating, cooling
        Net maps; None: it does not serve that function.
    service, construction
        What it is sold for and how it is built.
    cd_heating, cd_cooling
        Degradation coefficients; None: the procedure's defaults.
    heating_operation, cooling_operation
        Cut-outs.
    defrost
        Demand defrost; None: no credit.
    tested_at_5_f
        Whether the optional test at 5 F counts.
    """

    heating: PerformanceMap | None
    cooling: PerformanceMap | None
    service: Service = Service.HEAT_PUMP
    construction: Construction = Construction.SPLIT
    cd_heating: float | None = None
    cd_cooling: float | None = None
    heating_operation: Operation = field(default_factory=Operation)
    cooling_operation: Operation = field(default_factory=Operation)
    defrost: DemandDefrost | None = None
    tested_at_5_f: bool = False


def unit_of_maps(mapped: MappedUnit) -> UsUnit:
    """Read the tests of the US procedures off the maps of a unit.

    Parameters
    ----------
    mapped
        The unit.

    Returns
    -------
    UsUnit
        One map with one speed: single speed; two speeds that share the time: two capacity; else
        variable speed.

    Raises
    ------
    EquipmentError
        If there is no map, or the two maps are of different kinds.

    Notes
    -----
    Full speed in cooling is the rated speed; in heating the highest, with the rated one as the
    nominal test H1_N at 47 F. The intermediate test lies at Q1 + (Q2 - Q1)/3 at 35 or 87 F. A
    steady map becomes a frost test by the procedure's own estimate.
    """
    maps = [one for one in (mapped.heating, mapped.cooling) if one is not None]
    if not maps:
        raise EquipmentError("a unit without a heating or a cooling map has no rating")
    kinds = {_kind(one) for one in maps}
    if len(kinds) > 1:
        raise EquipmentError(
            "the heating and the cooling map have different kinds of speed control",
            expected="both single speed, both two-stage or both variable speed",
        )
    kind = kinds.pop()
    tests: dict[str, TestPoint] = {}
    if mapped.cooling is not None:
        tests |= _COOLING[kind](mapped.cooling)
    if mapped.heating is not None:
        tests |= _HEATING[kind](mapped.heating, tested_at_5_f=mapped.tested_at_5_f)
    return kind(
        tests=tests,
        service=mapped.service,
        construction=mapped.construction,
        cd_heating=mapped.cd_heating,
        cd_cooling=mapped.cd_cooling,
        defrost=mapped.defrost,
        heating_operation=mapped.heating_operation,
        cooling_operation=mapped.cooling_operation,
    )


def _kind(one: PerformanceMap) -> type[SingleSpeedUnit | TwoCapacityUnit | VariableSpeedUnit]:
    if len(one.speeds) == 1:
        return SingleSpeedUnit
    staged = one.staging is time_shared and len(one.speeds) == 2
    return TwoCapacityUnit if staged else VariableSpeedUnit


def _named(one: PerformanceMap) -> int:
    """Index of the rated speed; the highest where none has that name."""
    names = [speed.name for speed in one.speeds]
    return names.index(RATED) if RATED in names else len(names) - 1


def _at(speed: SpeedCurve, outdoor_f: float) -> Rate:
    outdoor_c = np.array([c_from_f(outdoor_f)])
    capacity_w, power_w = speed.capacity_w(outdoor_c)[0], speed.power_w(outdoor_c)[0]
    return Rate(float(btu_h_from_w(capacity_w)), float(power_w))


def _points(rates: dict[str, Rate]) -> dict[str, TestPoint]:
    return {
        name: TestPoint(capacity_btu_h=rate.capacity_btu_h, power_w=rate.power_w)
        for name, rate in rates.items()
    }


def _power_at_output(
    one: PerformanceMap, outdoor_f: float, output_btu_h: float, factors: tuple[float, float]
) -> float:
    """Power of the map at an output, with capacity and power of every speed times factors."""
    capacity, power = one.raw(np.array([c_from_f(outdoor_f)]))
    stack = Stack(
        capacity_w=capacity * factors[0],
        power_w=power * factors[1],
        available=np.ones(capacity.shape, dtype=bool),
        staging=one.staging,
        cycling=one.cycling,
    )
    always = np.ones(1)
    load = np.array([w_from_btu_h(output_btu_h)])
    return float(respond(stack, load, part_share=always, full_share=always).power_w[0])


def _intermediate(low: Rate, full: Rate, power_w: float) -> Rate:
    """Rate at a third of the way in capacity, with the power read there, inside its neighbours."""
    output = low.capacity_btu_h + (full.capacity_btu_h - low.capacity_btu_h) / 3.0
    return Rate(output, float(np.clip(power_w, low.power_w, full.power_w)))


def _third(low: Rate, full: Rate) -> float:
    return low.capacity_btu_h + (full.capacity_btu_h - low.capacity_btu_h) / 3.0


def _single_cooling(one: PerformanceMap) -> dict[str, TestPoint]:
    return _points({"A": _at(one.speeds[-1], 95.0), "B": _at(one.speeds[-1], 82.0)})


def _staged_cooling(one: PerformanceMap) -> dict[str, Rate]:
    low, full = one.speeds[0], one.speeds[_named(one)]
    return {
        "A2": _at(full, 95.0),
        "B2": _at(full, 82.0),
        "B1": _at(low, 82.0),
        "F1": _at(low, 67.0),
    }


def _two_capacity_cooling(one: PerformanceMap) -> dict[str, TestPoint]:
    return _points(_staged_cooling(one))


def _variable_cooling(one: PerformanceMap) -> dict[str, TestPoint]:
    rates = _staged_cooling(one)
    low = between(87.0, (67.0, rates["F1"]), (82.0, rates["B1"]))
    full = between(87.0, (82.0, rates["B2"]), (95.0, rates["A2"]))
    power = _power_at_output(one, 87.0, _third(low, full), (1.0, 1.0))
    return _points({**rates, "E_V": _intermediate(low, full, power)})


def _frosted(speed: SpeedCurve, at17: Rate, at47: Rate) -> Rate:
    if speed.frost is Frost.INCLUDED:
        return _at(speed, 35.0)
    return frost_estimate(at17, at47)


def _single_heating(one: PerformanceMap, *, tested_at_5_f: bool) -> dict[str, TestPoint]:
    full = one.speeds[-1]
    h1, h3 = _at(full, 47.0), _at(full, 17.0)
    rates = {"H1": h1, "H2": _frosted(full, h3, h1), "H3": h3}
    return _points({**rates, "H4": _at(full, 5.0)} if tested_at_5_f else rates)


def _staged_heating(one: PerformanceMap, *, tested_at_5_f: bool) -> dict[str, Rate]:
    low, full = one.speeds[0], one.speeds[-1]
    h1, h3 = _at(full, 47.0), _at(full, 17.0)
    rates = {
        "H0_1": _at(low, 62.0),
        "H1_1": _at(low, 47.0),
        "H1_2": h1,
        "H2_2": _frosted(full, h3, h1),
        "H3_2": h3,
    }
    return {**rates, "H4_2": _at(full, 5.0)} if tested_at_5_f else rates


def _two_capacity_heating(one: PerformanceMap, *, tested_at_5_f: bool) -> dict[str, TestPoint]:
    rates = _staged_heating(one, tested_at_5_f=tested_at_5_f)
    return _points({**rates, "H3_1": _at(one.speeds[0], 17.0)})


def _variable_heating(one: PerformanceMap, *, tested_at_5_f: bool) -> dict[str, TestPoint]:
    rates = _staged_heating(one, tested_at_5_f=tested_at_5_f)
    low = between(35.0, (47.0, rates["H1_1"]), (62.0, rates["H0_1"]))
    full = rates["H2_2"]
    steady = one.speeds[-1].frost is Frost.STEADY
    factors = _STEADY_TO_FROST if steady else (1.0, 1.0)
    power = _power_at_output(one, 35.0, _third(low, full), factors)
    nominal = _at(one.speeds[_named(one)], 47.0)
    return _points({**rates, "H1_N": nominal, "H2_V": _intermediate(low, full, power)})


_COOLING: dict[type, Callable[[PerformanceMap], dict[str, TestPoint]]] = {
    SingleSpeedUnit: _single_cooling,
    TwoCapacityUnit: _two_capacity_cooling,
    VariableSpeedUnit: _variable_cooling,
}
_HEATING: dict[type, Callable[..., dict[str, TestPoint]]] = {
    SingleSpeedUnit: _single_heating,
    TwoCapacityUnit: _two_capacity_heating,
    VariableSpeedUnit: _variable_heating,
}
