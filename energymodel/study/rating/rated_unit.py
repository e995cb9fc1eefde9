"""A unit to be rated, from a plate file, test points, declared points or the catalogue."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from energymodel.equipment.curves import Function, PerformanceMap
from energymodel.equipment.idle import IdlePower
from energymodel.equipment.operation import Operation
from energymodel.errors import EnergyModelError, InputError, ManyFaultsError
from energymodel.notices import Notice, UsedDefault
from energymodel.ratings.europe.map import cooling_site_map, heating_site_map
from energymodel.ratings.europe.map_declarations import Declared
from energymodel.ratings.europe.points import HeatingDeclaration, PartLoadRules
from energymodel.ratings.europe.tables import Climate, heating_season
from energymodel.ratings.plate.figures import unit_kind
from energymodel.ratings.plate.metrics import Label
from energymodel.ratings.plate.performance import PlateMap
from energymodel.ratings.plate.ratios import Case
from energymodel.ratings.plate.set import PlateSet
from energymodel.ratings.rating_sheet import EuropeanSide, european_side
from energymodel.ratings.us.map_tests import MappedUnit, unit_of_maps
from energymodel.ratings.us.maps import cooling_map, heating_map
from energymodel.ratings.us.units import Service, UsUnit
from energymodel.scenario.catalogue import catalogue_unit
from energymodel.scenario.faults import validated
from energymodel.scenario.plate_unit import PlateFile, unit_of_plate
from energymodel.scenario.tested_schema import DeclarationFile, TestsFile
from energymodel.scenario.toml_file import read_toml
from energymodel.scenario.unit_schema import FunctionTable, Unit, UnitTable, build_unit


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class RatedSet:
    """Maps and points of a unit for one end of the spreads.

    Parameters
    ----------
    mapped
        Maps for site runs, with controls.
    us
        Tests of the US procedures; None: not to be had.
    european
        European and international side.
    """

    mapped: MappedUnit
    us: UsUnit | None
    european: EuropeanSide


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class RatedUnit:
    """A unit ready to be rated.

    Parameters
    ----------
    name
        As printed.
    basis
        What its numbers are: plate values, US tests, declared points, a table.
    sets
        Maps and points by case; all three are one where nothing was guessed.
    labels
        Figures printed on the label.
    idle
        Idle power.
    guessed
        What was not given.
    notices
        What the reader should know.
    plate
        The plate map; None: not from a plate.
    """

    name: str
    basis: str
    sets: Mapping[Case, RatedSet]
    labels: tuple[Label, ...]
    idle: IdlePower
    guessed: tuple[UsedDefault, ...]
    notices: tuple[Notice, ...]
    plate: PlateMap | None = None

    @property
    def likely(self) -> RatedSet:
        """The likely set."""
        return self.sets[Case.LIKELY]

    def label(self, function: Function) -> Label | None:
        """Return the printed figure of a function.

        Parameters
        ----------
        function
            Heating or cooling.

        Returns
        -------
        Label or None
            None if none was given.
        """
        return next((one for one in self.labels if one.metric.function is function), None)


def read_rated_unit(file_or_key: str) -> RatedUnit:
    """Read what is to be rated.

    Parameters
    ----------
    file_or_key
        A TOML file: plate values, US tests (a table `tests`), European declared points (a table
        `declared_heating` or `declared_cooling`) or a unit in the catalogue's form; or a key of
        the catalogue.

    Returns
    -------
    RatedUnit
        With the low and the high set where something was guessed.

    Raises
    ------
    InputError
        If there is neither such a file nor such a unit.
    ManyFaultsError
        If the file is faulty.
    EquipmentError
        If a point cannot be true.
    """
    path = Path(file_or_key)
    if not path.is_file():
        if path.suffix or len(path.parts) > 1:
            raise InputError("there is no such file", where=file_or_key, remedy=_WAYS)
        return _of_table(catalogue_unit(file_or_key))
    content = read_toml(path)
    _check_no_scenario(content, path)
    try:
        return _reader(content)(content, path)
    except ManyFaultsError:
        raise
    except EnergyModelError as error:
        if error.where.startswith(path.name):
            raise
        where = f"{path.name}: {error.where}" if error.where else path.name
        raise type(error)(
            error.what, where=where, expected=error.expected, remedy=error.remedy
        ) from None


def _check_no_scenario(content: Mapping[str, Any], path: Path) -> None:
    if "option" in content and "room" in content:
        own = [key for key in content.get("unit", {}) if isinstance(key, str)]
        named = f" (it holds the units {', '.join(own)})" if own else ""
        raise InputError(
            f"this is a scenario with options, not a unit{named}",
            where=path.name,
            expected="the file of one unit, or a key of the catalogue",
            remedy="copy the unit's table into a file of its own; energymodel compare"
            f" {path.name} runs the scenario",
        )


_WAYS = (
    "give a TOML file with at least kind, capacity and a seasonal figure, such as kind ="
    ' "inverter", capacity = "12 kBtu/h", hspf2 = 9.5; or a key of the catalogue'
)


_Reader = Callable[[dict[str, Any], Path], RatedUnit]


def _reader(content: Mapping[str, Any]) -> _Reader:
    if "tests" in content:
        return _tests
    if "declared_heating" in content or "declared_cooling" in content:
        return _declaration
    tables = (content.get("heating"), content.get("cooling"))
    if any(isinstance(table, dict) for table in tables):
        return _table
    return _plate


def _table(content: dict[str, Any], path: Path) -> RatedUnit:
    return _of_table(build_unit(path.stem, validated(UnitTable, content, where=path.name)))


def _plate(content: dict[str, Any], path: Path) -> RatedUnit:
    table = validated(PlateFile, content, where=path.name)
    unit, made = unit_of_plate(table, name=table.name, idle=table.idle)
    defaults = made.guessed
    if table.idle is None:
        defaults = (*defaults, _idle_default(unit.idle.idle_power()))
    labels = (made.plate.heating_label, made.plate.cooling_label)
    return RatedUnit(
        name=unit.name,
        basis="plate",
        sets={one.case: _of_set(one) for one in (made.low, made.likely, made.high)},
        labels=tuple(label for label in labels if label is not None),
        idle=unit.idle.idle_power(),
        guessed=defaults,
        notices=made.notices,
        plate=made,
    )


def _idle_default(idle: IdlePower) -> UsedDefault:
    return UsedDefault(
        name="idle power",
        value=f"controls {idle.controls_w:.0f} W, crankcase or motor winding"
        f" {idle.crankcase_w:.0f} W below 55 F",
        source="common practice",
    )


def _of_set(one: PlateSet) -> RatedSet:
    return RatedSet(
        mapped=one.mapped,
        us=one.unit,
        european=european_side(
            one.mapped.heating,
            one.mapped.cooling,
            declared=(one.declarations.heating, one.declarations.cooling),
            kind=one.declarations.kind,
        ),
    )


def _service(heating: object, cooling: object) -> Service:
    if heating is None:
        return Service.AIR_CONDITIONER
    return Service.HEATING_ONLY if cooling is None else Service.HEAT_PUMP


def _same(one: RatedSet) -> dict[Case, RatedSet]:
    return dict.fromkeys(Case, one)


def _of_table(unit: Unit) -> RatedUnit:
    heating, cooling = unit.table.heating, unit.table.cooling
    mapped = MappedUnit(
        heating=unit.heating,
        cooling=unit.cooling,
        service=_service(unit.heating, unit.cooling),
        cd_heating=None if heating is None else heating.cd,
        cd_cooling=None if cooling is None else cooling.cd,
        tested_at_5_f=_has_5_f(unit.heating),
        **_operations(heating, cooling),
    )
    cooling_w = unit.table.size_class
    limit_c = mapped.heating_operation.off_c
    heating_w = 0.8 * cooling_w if cooling_w and _modulates(unit.heating) else None
    declared = (
        Declared(design_load_w=heating_w, limit_c=limit_c),
        Declared(design_load_w=cooling_w),
    )
    done = RatedSet(
        mapped=mapped,
        us=unit_of_maps(mapped),
        european=european_side(
            unit.heating, unit.cooling, declared=declared, kind=unit_kind(mapped.service)
        ),
    )
    return RatedUnit(
        name=unit.table.name,
        basis="performance table",
        labels=(),
        idle=unit.table.idle.idle_power(),
        guessed=_european_default(heating_w),
        notices=unit.notices,
        sets=_same(done),
    )


def _european_default(heating_w: float | None) -> tuple[UsedDefault, ...]:
    if heating_w is None:
        return ()
    return (
        UsedDefault(
            name="European design load, heating",
            value=f"{heating_w / 1000.0:.1f} kW: 0.80 of the class",
            source="common practice",
        ),
    )


def _modulates(performance: PerformanceMap | None) -> bool:
    return performance is not None and len(performance.speeds) > 2


def _has_5_f(performance: PerformanceMap | None) -> bool:
    if performance is None:
        return False
    return any(abs(t - -15.0) < 0.3 for t in performance.speeds[-1].points[:, 0])


def _operations(heating: FunctionTable | None, cooling: FunctionTable | None) -> dict[str, Any]:
    tables = {"heating_operation": heating, "cooling_operation": cooling}
    return {name: table.operation() for name, table in tables.items() if table is not None}


def _tests(content: dict[str, Any], path: Path) -> RatedUnit:
    table = validated(TestsFile, content, where=path.name)
    us = table.unit()
    heats = us.service is not Service.AIR_CONDITIONER and us.nominal_heating_test in us.tests
    cools = us.service is not Service.HEATING_ONLY and us.rated_cooling_test in us.tests
    if not heats and not cools:
        raise InputError(
            "neither the rated heating nor the rated cooling test is given",
            expected=f"test {us.rated_cooling_test} or test {us.nominal_heating_test}",
        )
    service = us.service if heats and cools else _service(heats or None, cools or None)
    us = replace(us, service=service)
    mapped = MappedUnit(
        heating=heating_map(us) if heats else None,
        cooling=cooling_map(us) if cools else None,
        service=service,
        heating_operation=us.heating_operation,
        cooling_operation=us.cooling_operation,
    )
    limit_c = us.heating_operation.off_c
    declared = (Declared(design_load_w=None, limit_c=limit_c), Declared(design_load_w=None))
    european = european_side(
        mapped.heating, mapped.cooling, declared=declared, kind=unit_kind(service)
    )
    done = RatedSet(mapped=mapped, us=us, european=european)
    return RatedUnit(
        name=table.name or path.stem,
        basis="US test points",
        labels=(),
        idle=table.idle.idle_power(),
        guessed=(),
        notices=(),
        sets=_same(done),
    )


def _declaration(content: dict[str, Any], path: Path) -> RatedUnit:
    table = validated(DeclarationFile, content, where=path.name)
    heating, cooling = table.heating(), table.cooling()
    service = _service(heating or None, cooling)
    rules = PartLoadRules()
    heating_maps = [
        heating_site_map(one, heating_season(climate), rules) for climate, one in heating.items()
    ]
    mapped = MappedUnit(
        heating=heating_maps[0] if heating_maps else None,
        cooling=None if cooling is None else cooling_site_map(cooling, rules),
        service=service,
        heating_operation=_down_to(heating),
    )
    kind = unit_kind(service)
    done = RatedSet(
        mapped=mapped,
        us=None,
        european=EuropeanSide(
            kind=kind,
            heating={climate: _Given(one) for climate, one in heating.items()},
            cooling=None if cooling is None else lambda: cooling,
            cooling_map=mapped.cooling,
        ),
    )
    return RatedUnit(
        name=table.name or path.stem,
        basis="European declared points",
        labels=(),
        idle=table.idle.idle_power(),
        guessed=(),
        notices=(),
        sets=_same(done),
    )


def _down_to(heating: Mapping[Climate, HeatingDeclaration]) -> Operation:
    """Stop below the operation limit; at the limit itself the unit still runs."""
    limits = [one.limit_c for one in heating.values()]
    return Operation(off_c=limits[0] - _JUST_BELOW_K) if limits else Operation()


_JUST_BELOW_K = 1e-6


@dataclass(frozen=True, slots=True, eq=False)
class _Given:
    declaration: HeatingDeclaration

    def __call__(self) -> HeatingDeclaration:
        return self.declaration
