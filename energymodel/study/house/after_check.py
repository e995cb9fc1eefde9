"""Readings after a change in the house against what was to be expected in their real weather."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from energymodel.arrays import Array
from energymodel.building.period_use import PeriodTemperatures
from energymodel.economics.fuels import heat_content
from energymodel.equipment.curves import Function
from energymodel.equipment.flows import Conditions, Source
from energymodel.equipment.idle import IdlePower
from energymodel.errors import InputError
from energymodel.meters.periods import MeterPeriods
from energymodel.notices import Notice
from energymodel.scenario.assemble import PlannedOption
from energymodel.scenario.context import Context
from energymodel.scenario.heat_pump_kind import HeatPumpRecord, build_heat_pump
from energymodel.scenario.ledger import Ledger
from energymodel.scenario.unit_schema import Unit
from energymodel.study.house.bill_load import BillLoad
from energymodel.study.house.from_bills import BillFit
from energymodel.study.house.installed_check import (
    InstalledCheck,
    Subject,
    check_after_installation,
)
from energymodel.study.house.period_weather import (
    DailyWeather,
    hour_counts,
    temperatures_of_days,
)
from energymodel.study.house.predicted_use import (
    BURNER_SERVICE,
    PUMP_SERVICE,
    NewSystem,
    PowerOfLoad,
    PredictedUse,
    expected_of_bills,
    expected_of_system,
    expected_without_heating,
    together,
)

ELECTRICITY = "electricity"


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class CheckedPeriods:
    """Readings after a change and their verdict.

    Parameters
    ----------
    readings
        Periods after.
    content_kwh
        Energy of one unit, kWh.
    mean_c
        Mean outdoor temperature of each period, degC, shape (periods,).
    predicted
        Expected use.
    check
        Verdict and causes.
    basis
        What was expected, in words.
    notices
        What was assumed.
    """

    readings: MeterPeriods
    content_kwh: float
    mean_c: Array
    predicted: PredictedUse
    check: InstalledCheck
    basis: str
    notices: tuple[Notice, ...]

    @property
    def metered_kwh(self) -> Array:
        """Readings, kWh, shape (periods,)."""
        return np.asarray(self.readings.amount * self.content_kwh)


def power_of_source(
    source: Source, *, indoor_c: float, idle: IdlePower | None = None
) -> PowerOfLoad:
    """Electric power of a source as a function of outdoor temperature, humidity and load.

    Parameters
    ----------
    source
        What heats: a heat pump with its backup and ducts, a resistance heater, ...
    indoor_c
        Set-point, degC.
    idle
        Idle power of the same unit; None: none.

    Returns
    -------
    Callable
        Watts.
    """

    def power_w(outdoor_c: Array, humidity_pct: Array, load_w: Array) -> Array:
        conditions = Conditions(
            outdoor_c=outdoor_c, relative_humidity_pct=humidity_pct, indoor_c=indoor_c
        )
        flows = source.run(conditions, load_w)
        power = sum(flows.electricity_w.values(), np.zeros_like(outdoor_c))
        if idle is not None:
            drawn = idle.electricity_w(
                outdoor_c,
                flows.run_share,
                loaded=load_w > 0,
                switched_on=np.ones(outdoor_c.shape, dtype=np.bool_),
            )
            power = power + sum(drawn.values(), np.zeros_like(outdoor_c))
        return np.asarray(power)

    return power_w


def power_of_unit(unit: Unit, *, duct_efficiency: float | None, indoor_c: float) -> PowerOfLoad:
    """Electric power of an existing heat pump with electric strips behind it.

    Parameters
    ----------
    unit
        Of the catalogue, or the user's own.
    duct_efficiency
        What reaches the rooms over what enters the ducts; None: no ducts.
    indoor_c
        Set-point, degC.

    Returns
    -------
    Callable
        Watts, idle power included; in service as is likely (0.90).

    Raises
    ------
    InputError
        If the unit does not heat.
    """
    content: dict[str, object] = {
        "kind": "heat pump",
        "unit": unit.key,
        "backup": {"heater": {"kind": "electric resistance"}},
    }
    if duct_efficiency is not None:
        content["ducts"] = {"efficiency": duct_efficiency}
    context = Context(
        function=Function.HEATING,
        elevation_m=0.0,
        design_load_w=0.0,
        find_unit=lambda _: unit,
        ledger=Ledger(),
    )
    built = build_heat_pump(HeatPumpRecord.model_validate(content), context)
    return power_of_source(built.source, indoor_c=indoor_c, idle=built.idle)


def fuel_of_source(source: Source, carrier: str, *, indoor_c: float) -> PowerOfLoad:
    """Fuel of a source as a function of outdoor temperature, humidity and load.

    Parameters
    ----------
    source
        Furnace, boiler, ...
    carrier
        Fuel.
    indoor_c
        Set-point, degC.

    Returns
    -------
    Callable
        Watts, higher heating value.
    """

    def power_w(outdoor_c: Array, humidity_pct: Array, load_w: Array) -> Array:
        conditions = Conditions(
            outdoor_c=outdoor_c, relative_humidity_pct=humidity_pct, indoor_c=indoor_c
        )
        return source.run(conditions, load_w).fuel_w.get(carrier, np.zeros_like(outdoor_c))

    return power_w


def check_unchanged(
    bills: BillFit, after: MeterPeriods, weather: DailyWeather, *, given_heat_content: str | None
) -> CheckedPeriods:
    """Compare later readings with what the house of some bills would have used, unchanged.

    Parameters
    ----------
    bills
        Fit of the periods before.
    after
        Periods after, of the same carrier.
    weather
        Days that cover them.
    given_heat_content
        As for the bills before.

    Returns
    -------
    CheckedPeriods
        Inside the band: nothing that shows has changed.

    Raises
    ------
    InputError
        If the carriers differ, or the weather does not cover a period.
    """
    carrier = bills.readings.meter.carrier
    if after.meter.carrier != carrier:
        raise InputError(
            f"readings of {after.meter.carrier} after bills of {carrier}",
            expected=f"readings of {carrier}, or a scenario option that says what was installed",
            remedy="add --scenario FILE --option NAME",
        )
    days = temperatures_of_days(after, weather)
    return _checked(
        after,
        _Expected(
            predicted=expected_of_bills(bills, days),
            days=days,
            balance_c=bills.fit.heating_change_c,
            subject=Subject.HOUSE,
            basis="the same house, unchanged, in the weather of those days",
        ),
        given_heat_content,
    )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Installed:
    """What was installed in a house whose bills are known.

    Parameters
    ----------
    planned
        The option of a scenario.
    load
        Load line from the bills before, hour by hour.
    scatter
        CV(RMSE) of that fit, as a fraction.
    rest
        Fit of the meter that now counts the option too, before it did; None: the option has a
        meter of its own.
    indoor_c
        Set-point, degC.
    """

    planned: PlannedOption
    load: BillLoad
    scatter: float
    rest: BillFit | None
    indoor_c: float

    @property
    def is_heat_pump(self) -> bool:
        """The option heats by a heat pump."""
        return isinstance(self.planned.table.heating, HeatPumpRecord)


def check_installed(
    installed: Installed,
    after: MeterPeriods,
    weather: DailyWeather,
    *,
    given_heat_content: str | None = None,
) -> CheckedPeriods:
    """Compare readings after an installation with what the option should use.

    Parameters
    ----------
    installed
        Option, load and the rest of the meter.
    after
        Periods after.
    weather
        Hours that cover them.
    given_heat_content
        Where the option burns a fuel sold by volume or mass.

    Returns
    -------
    CheckedPeriods
        Verdict with the usual causes.

    Raises
    ------
    InputError
        If the option does not heat, or uses nothing of the carrier that was read.
    """
    hours = hour_counts(after, weather)
    days = temperatures_of_days(after, weather)
    system = _system(installed, after.meter.carrier)
    expected = expected_of_system(installed.load, system, hours)
    if not expected.likely_kwh.sum() > 0:
        raise InputError(
            f"{installed.planned.option.name} uses no {after.meter.carrier} in these periods",
            expected="readings of what the option uses, from the heating season",
        )
    beside = "alone: the readings are taken as those of a meter of its own"
    if installed.rest is not None:
        expected = together(expected, expected_without_heating(installed.rest, days))
        beside = "with the rest of the house as before (base use, and cooling as it was)"
    return _checked(
        after,
        _Expected(
            predicted=expected,
            days=days,
            balance_c=installed.load.line.balance_c,
            subject=Subject.HEAT_PUMP if installed.is_heat_pump else Subject.HOUSE,
            basis=f"{installed.planned.option.name}, {beside}",
        ),
        given_heat_content,
    )


def _system(installed: Installed, carrier: str) -> NewSystem:
    option, heating = installed.planned.option, installed.planned.heating
    if option.heating is None or heating is None:
        raise InputError(f"{option.name} does not heat", expected="an option with heating")
    power = (
        power_of_source(option.heating, indoor_c=installed.indoor_c, idle=heating.idle)
        if carrier == ELECTRICITY
        else fuel_of_source(option.heating, carrier, indoor_c=installed.indoor_c)
    )
    return NewSystem(
        power_w=power,
        in_service=PUMP_SERVICE if installed.is_heat_pump else BURNER_SERVICE,
        scatter=installed.scatter,
    )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Expected:
    predicted: PredictedUse
    days: PeriodTemperatures
    balance_c: float | None
    subject: Subject
    basis: str


def _checked(
    after: MeterPeriods, expected: _Expected, given_heat_content: str | None
) -> CheckedPeriods:
    given = None if after.meter.carrier == ELECTRICITY else given_heat_content
    content = heat_content(after.meter.carrier, after.meter.unit, given=given)
    check = check_after_installation(
        after.amount * content.kwh_per_unit,
        expected.predicted,
        mean_c=expected.days.mean_c,
        balance_c=np.inf if expected.balance_c is None else expected.balance_c,
        subject=expected.subject,
    )
    return CheckedPeriods(
        readings=after,
        content_kwh=content.kwh_per_unit,
        mean_c=expected.days.mean_c,
        predicted=expected.predicted,
        check=check,
        basis=expected.basis,
        notices=(*after.notices, *content.notices),
    )
