"""One run between label and site: a setting of everything that differs, and its electricity."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace

import numpy as np

from energymodel.arrays import Array
from energymodel.building.load import LoadLine
from energymodel.equipment.backup import BackupWith
from energymodel.equipment.curves import Function, PerformanceMap
from energymodel.equipment.flows import Source
from energymodel.equipment.frost import DEFAULT_HUMIDITY_PCT
from energymodel.equipment.heat_pump import HeatPump, IndoorFactors
from energymodel.equipment.idle import IdlePower
from energymodel.equipment.kernel import AirCycling, no_cycling_loss
from energymodel.equipment.operation import Operation
from energymodel.equipment.resistance import Resistance
from energymodel.errors import InputError
from energymodel.ratings.bin_table import Bins
from energymodel.season.annual import annual
from energymodel.season.option import IdleUnit, Option
from energymodel.season.result import AnnualResult
from energymodel.season.states import Indexing, States
from energymodel.weather.year import WeatherYear


@dataclass(frozen=True, slots=True, kw_only=True)
class Backup:
    """What heats when the heat pump is short or stopped.

    Parameters
    ----------
    name
        As printed.
    around
        Puts it around a heat pump.
    resistance
        Whether it is electric resistance, so that the heat pump stops where its COP is below 1.
    """

    name: str
    around: Callable[[HeatPump], Source]
    resistance: bool


def _with_resistance(pump: HeatPump) -> Source:
    return BackupWith(main=pump, backup=Resistance(use="backup"))


def _alone(pump: HeatPump) -> Source:
    return pump


ELECTRIC_BACKUP = Backup(name="electric resistance", around=_with_resistance, resistance=True)
"""That of the heating labels."""
NO_BACKUP = Backup(name="none: what is missing stays missing", around=_alone, resistance=False)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class OtherFunction:
    """The other function of the unit, which shares its idle power.

    Parameters
    ----------
    performance
        Its map.
    operation
        Its cut-outs.
    load
        Its load line at the site.
    indoor_c
        Its set-point, degC.
    indoor_factors
        Effect of the indoor temperature; None: that of its function.
    """

    performance: PerformanceMap
    operation: Operation
    load: LoadLine
    indoor_c: float
    indoor_factors: IndoorFactors | None = None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Setting:
    """Everything that may differ between label and site.

    Parameters
    ----------
    function
        Heating or cooling.
    performance
        Map of the unit; its curves say whether frost is in them.
    operation
        Cut-outs.
    load
        Load line.
    indoor_c, indoor_factors
        Indoor temperature and its effect.
    weather
        The site's year.
    bins
        The label's season; None: the hours of the site.
    backup
        Second heater.
    idle
        Idle power; None: not counted.
    in_service_factor, capacity_factor
        Of the installation.
    other_kwh_per_kwh
        Electricity per heat that a label adds for times without load.
    other
        The other function; None: not served.
    months_off
        Months without idle power.
    """

    function: Function
    performance: PerformanceMap
    operation: Operation
    load: LoadLine
    indoor_c: float
    indoor_factors: IndoorFactors | None
    weather: WeatherYear
    bins: Bins | None
    backup: Backup
    idle: IdlePower | None = None
    in_service_factor: float = 1.0
    capacity_factor: float = 1.0
    other_kwh_per_kwh: float = 0.0
    other: OtherFunction | None = None
    months_off: frozenset[int] = field(default_factory=frozenset)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Use:
    """What a setting needs.

    Parameters
    ----------
    kwh_per_kwh
        Electricity (and backup fuel, if any) per heat delivered, or cold.
    backup_kwh_per_kwh
        Backup in it.
    cycling_kwh_per_kwh
        What stopping and starting costs in it.
    unmet_share
        Load that nothing covers, over the load.
    result
        The year.
    """

    kwh_per_kwh: float
    backup_kwh_per_kwh: float
    cycling_kwh_per_kwh: float
    unmet_share: float
    result: AnnualResult


def use_of(setting: Setting) -> Use:
    """Run a setting.

    Parameters
    ----------
    setting
        What to run.

    Returns
    -------
    Use
        Per kWh of heat or cold delivered.

    Raises
    ------
    InputError
        If there is no load, or nothing is delivered.
    """
    result = _run(setting)
    total = _per_delivered(setting, result)
    smooth = replace(
        setting,
        performance=replace(
            setting.performance, cycling=tuple(no_cycling_loss for _ in setting.performance.cycling)
        ),
    )
    without = _per_delivered(setting, _run(smooth))
    name = setting.function.value
    delivered = result.total(f"{name}_delivered_kwh")
    backup = result.total(f"{name}_electricity_backup_kwh")
    backup += float(sum(fuel.sum() for fuel in result.fuel_by_month(name).values()))
    return Use(
        kwh_per_kwh=total + setting.other_kwh_per_kwh,
        backup_kwh_per_kwh=backup / delivered,
        cycling_kwh_per_kwh=total - without,
        unmet_share=result.total(f"{name}_unmet_kwh") / result.total(f"{name}_load_kwh"),
        result=result,
    )


def _per_delivered(setting: Setting, result: AnnualResult) -> float:
    cop = result.cop_season(setting.function.value)
    if cop is None:
        season = "its own season" if setting.bins is not None else setting.weather.site.name
        raise InputError(
            f"the unit delivers no {setting.function.value} in {season}",
            remedy="check the load, the place and the cut-out temperatures",
        )
    return 1.0 / cop


def _run(setting: Setting) -> AnnualResult:
    option = _option(setting)
    if setting.bins is None:
        return annual(option, setting.weather)
    return annual(option, setting.weather, indexing=season_of(setting.bins))


def _option(setting: Setting) -> Option:
    heats = setting.function is Function.HEATING
    pump = HeatPump(
        performance=setting.performance,
        operation=replace(setting.operation, stop_below_cop_1=heats and setting.backup.resistance),
        capacity_factor=setting.capacity_factor,
        in_service_factor=setting.in_service_factor,
        indoor_factors=setting.indoor_factors,
    )
    source = setting.backup.around(pump) if heats else pump
    other = setting.other if setting.bins is None else None
    beside = _beside(setting, other)
    units = (
        ()
        if setting.idle is None
        else (
            IdleUnit(
                idle=setting.idle,
                heats=heats or other is not None,
                cools=not heats or other is not None,
                months_off=setting.months_off,
            ),
        )
    )
    indoor_c = other.indoor_c if other else setting.indoor_c
    return Option(
        name="between label and site",
        heating=source if heats else beside,
        cooling=beside if heats else source,
        heating_load=setting.load if heats else (other.load if other else None),
        cooling_load=(other.load if other else None) if heats else setting.load,
        idle=units,
        heating_indoor_c=setting.indoor_c if heats else indoor_c,
        cooling_indoor_c=indoor_c if heats else setting.indoor_c,
    )


def _beside(setting: Setting, other: OtherFunction | None) -> Source | None:
    if other is None:
        return None
    return HeatPump(
        performance=other.performance,
        operation=other.operation,
        capacity_factor=setting.capacity_factor,
        in_service_factor=setting.in_service_factor,
        indoor_factors=other.indoor_factors,
    )


def season_of(bins: Bins) -> Indexing:
    """Make the season of a label the hours of a run.

    Parameters
    ----------
    bins
        Hours, or shares of the hours, by outdoor temperature.

    Returns
    -------
    Indexing
        One state per bin; the weather is not used.
    """

    def index(option: Option, weather: WeatherYear) -> States:
        del option, weather
        count = bins.outdoor_c.size
        hours: Array = np.zeros((12, count))
        hours[0] = bins.hours
        return States(
            outdoor_c=bins.outdoor_c,
            relative_humidity_pct=np.full(count, DEFAULT_HUMIDITY_PCT),
            month_of_state=np.ones(count, dtype=np.intp),
            inverse=np.arange(count, dtype=np.intp),
            hours_in_month=hours,
        )

    return index


def with_cd(performance: PerformanceMap, cd: float) -> PerformanceMap:
    """Give all speeds of a map one degradation coefficient.

    Parameters
    ----------
    performance
        The map.
    cd
        Degradation coefficient.

    Returns
    -------
    PerformanceMap
        Otherwise the same.
    """
    return replace(performance, cycling=tuple(AirCycling(cd=cd) for _ in performance.cycling))
