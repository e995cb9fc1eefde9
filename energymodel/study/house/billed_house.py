"""A house as its meters show it: fits, loads, base use and what stands beside them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from energymodel.building.change_point import choose_form
from energymodel.building.change_point_forms import (
    ALL_FORMS,
    GIVEN_BALANCE,
    GIVEN_BALANCE_AND_BASE,
)
from energymodel.building.fit_bands import Band
from energymodel.building.given_balance import GivenBalance
from energymodel.building.period_use import PeriodUse
from energymodel.errors import InputError
from energymodel.meters.periods import REPAIR, MeterPeriods
from energymodel.meters.reading_files import ELECTRICITY, HouseReadings
from energymodel.notices import Notice, UsedDefault
from energymodel.study.house.base_use import SOUTHERN_SUMMER, SUMMER, BaseUse, base_use
from energymodel.study.house.bill_load import BillLoad, MeteredSystem, cooling_load, heating_load
from energymodel.study.house.from_bills import BillFit, fit_readings
from energymodel.study.house.heat_pump_bills import HeatPumpFit, fit_through_heat_pump
from energymodel.study.house.hot_water import WithoutHotWater, without_hot_water_rise
from energymodel.study.house.hourly_line import hourly_load
from energymodel.study.house.house_meters import covered_by, fit_heating_meter, heating_carrier
from energymodel.study.house.load_slips import slip_notices
from energymodel.study.house.period_weather import (
    DailyWeather,
    daily_weather,
    hour_counts,
    temperatures_of_days,
    temperatures_of_hours,
)
from energymodel.study.house.predicted_use import PUMP_SERVICE, PowerOfLoad
from energymodel.units import KELVIN_PER_DEGF, c_from_f
from energymodel.weather.design import design_temperatures_of
from energymodel.weather.year import WeatherYear

USUAL_INDOOR_C = c_from_f(70.0)
USUAL_COOLING_INDOOR_C = c_from_f(75.0)
_GIVEN = (GIVEN_BALANCE, GIVEN_BALANCE_AND_BASE)
_NO_RISE = (
    "No winter rise of hot water is taken off: with a given balance temperature the base use is not"
    " known well enough to take a share of it."
)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class MeteredPump:
    """An existing heat pump on the meter that heats.

    Parameters
    ----------
    power_w
        Its electric power, strips behind it and ducts around it, in service as is likely.
    unit
        Key of the catalogue, or a file.
    duct_efficiency
        Of its ducts; None: no ducts.
    in_service
        In-service factor over the likely one: 0.80 to 1.00 over 0.90 (our choice).
    """

    power_w: PowerOfLoad
    unit: str
    duct_efficiency: float | None = None
    in_service: Band = PUMP_SERVICE


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class HouseFacts:
    """What an auditor knows of a house besides its readings.

    Parameters
    ----------
    heating
        What turns the metered energy into heat; None: not known, refused where it is needed.
    cooling
        What cools, where electricity shows cooling.
    heat_pump
        Existing heat pump; None: none on the meter that heats.
    indoor_c, cooling_indoor_c
        Set-points in the metered time, degC.
    design_c
        Heating design temperature, degC; None: colder in 1 % of the hours of the weather.
    heat_content
        Of one unit of the fuel, with its unit.
    hot_water_share
        Share of the base use that heats water, 0..1; None: no correction.
    balance
        Balance temperature where it is given, with the base in the meter's unit per day; None: it
        is fitted.
    base_per_day
        Base use in the meter's unit per day, taken where fills show none; None: not known.
    used_defaults
        What of this the auditor did not give.
    """

    heating: MeteredSystem | None
    cooling: MeteredSystem
    heat_pump: MeteredPump | None = None
    indoor_c: float = USUAL_INDOOR_C
    cooling_indoor_c: float = USUAL_COOLING_INDOOR_C
    design_c: float | None = None
    heat_content: str | None = None
    hot_water_share: float | None = None
    balance: GivenBalance | None = None
    base_per_day: float | None = None
    used_defaults: tuple[UsedDefault, ...] = field(default=())

    @property
    def duct_efficiency(self) -> float:
        """Of the ducts that the present heating uses; 1 without ducts."""
        if self.heat_pump is not None:
            return self.heat_pump.duct_efficiency or 1.0
        return 1.0 if self.heating is None else self.heating.duct_efficiency


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class BilledHouse:
    """What the meters of a house say.

    Parameters
    ----------
    carrier
        Carrier that heats.
    readings
        Periods of its meter that the weather covers.
    weather
        Days of the weather years.
    years
        The weather years.
    facts
        What was known besides.
    bills
        Fit of the meter that heats; None: it was fitted through a heat pump.
    pump
        Fit through the existing heat pump; None: there is none.
    heating, cooling
        Load lines as fitted, by daily means; None: the meters show none.
    heating_by_hour, cooling_by_hour
        The same turned into lines of the hours, for scenarios and checks.
    rest
        Fit of the electricity beside a fuel; None: no such readings.
    water
        The fit without the winter rise of hot water; None: no correction was asked for.
    base
        Base use by several methods; None without a fit of bills.
    design_c, cooling_design_c
        Design temperatures, degC.
    used_defaults, notices
        What was assumed and what the reader should know.
    """

    carrier: str
    readings: MeterPeriods
    weather: DailyWeather
    years: tuple[WeatherYear, ...]
    facts: HouseFacts
    bills: BillFit | None
    pump: HeatPumpFit | None
    heating: BillLoad | None
    cooling: BillLoad | None
    heating_by_hour: BillLoad | None
    cooling_by_hour: BillLoad | None
    rest: BillFit | None
    water: WithoutHotWater | None
    base: BaseUse | None
    design_c: float
    cooling_design_c: float
    used_defaults: tuple[UsedDefault, ...]
    notices: tuple[Notice, ...]

    @property
    def design_load_w(self) -> Band | None:
        """Heating load at the design temperature, W."""
        return None if self.heating is None else self.heating.load_w(self.design_c)

    @property
    def scatter(self) -> float:
        """CV(RMSE) of the fit that the heating load stands on, as a fraction."""
        if self.pump is not None:
            return self.pump.cv_rmse_pct / 100.0
        return self.bills.fit.statistics.cv_rmse_pct / 100.0 if self.bills is not None else 0.0


def billed_house(
    readings: HouseReadings,
    years: Sequence[WeatherYear],
    facts: HouseFacts,
    *,
    fuel: str | None = None,
) -> BilledHouse:
    """Read a house off its meters.

    Parameters
    ----------
    readings
        Periods of one meter or more.
    years
        Observed weather years that cover them.
    facts
        What is known besides.
    fuel
        Carrier that heats; None: the one fuel, else electricity.

    Returns
    -------
    BilledHouse
        Fits, load lines and base use.

    Raises
    ------
    InputError
        If no load line can be told from the readings; the message says why and what is missing.
    """
    weather = daily_weather(years)
    carrier = heating_carrier(readings, fuel)
    meter = covered_by(readings.meters[carrier], weather)
    design = design_temperatures_of(np.concatenate([year.outdoor_c for year in years]))
    house = BilledHouse(
        carrier=carrier,
        readings=meter,
        weather=weather,
        years=tuple(years),
        facts=facts,
        bills=None,
        pump=None,
        heating=None,
        cooling=None,
        heating_by_hour=None,
        cooling_by_hour=None,
        rest=None,
        water=None,
        base=None,
        design_c=design.heating_99_c if facts.design_c is None else facts.design_c,
        cooling_design_c=design.cooling_1_c,
        used_defaults=facts.used_defaults,
        notices=meter.notices,
    )
    house = _through_heat_pump(house) if facts.heat_pump is not None else _by_bills(house)
    house = _with_electricity(house, readings)
    return replace(house, notices=(*slip_notices(house.heating), *house.notices))


def _through_heat_pump(house: BilledHouse) -> BilledHouse:
    """Fit on load, through the heat pump's own map, hour by hour."""
    facts = house.facts
    if house.carrier != ELECTRICITY or facts.heat_pump is None:
        raise InputError(
            f"a heat pump does not burn {house.carrier}", expected="readings of electricity"
        )
    unit_kwh = 1000.0 if house.readings.meter.unit == "MWh" else 1.0
    data = PeriodUse(
        use_per_day=house.readings.per_day * unit_kwh,
        days=house.readings.days,
        temperatures=temperatures_of_hours(house.readings, house.weather),
    )
    change_c = _cooling_change_c(house, data)
    pump = fit_through_heat_pump(
        data,
        facts.heat_pump.power_w,
        hours=hour_counts(house.readings, house.weather),
        indoor_c=facts.indoor_c,
        cooling_change_c=change_c,
    )
    load = pump.load(in_service=facts.heat_pump.in_service)
    notices = (*house.notices, *load.notices)
    return replace(house, pump=pump, heating=load, heating_by_hour=load, notices=notices)


def _cooling_change_c(house: BilledHouse, data: PeriodUse) -> float | None:
    """Temperature at which cooling begins on the meter of a heat pump, where it shows."""
    by_day = replace(data, temperatures=temperatures_of_days(house.readings, house.weather))
    try:
        return choose_form(by_day, ALL_FORMS).chosen.cooling_change_c
    except InputError:
        return None


def _by_bills(house: BilledHouse) -> BilledHouse:
    facts = house.facts
    bills = fit_heating_meter(house.readings, house.weather, facts)
    found = replace(
        house,
        bills=bills,
        base=_base(house, bills),
        used_defaults=(*house.used_defaults, *bills.used_defaults),
        notices=bills.notices,
    )
    if house.carrier == ELECTRICITY and not bills.fit.form.heating and bills.fit.form.cooling:
        return _with_cooling(found, bills)
    found = _with_heating(found, bills)
    return _with_cooling(found, bills) if bills.fit.form.cooling else found


def _base(house: BilledHouse, bills: BillFit) -> BaseUse | None:
    """Find the base use by several methods; none where the balance temperature is given."""
    if bills.fit.form in _GIVEN:
        return None
    southern = house.years[0].site.latitude_deg < 0
    return base_use(
        bills,
        summer=SOUTHERN_SUMMER if southern else SUMMER,
        hot_water_known=bool(house.facts.hot_water_share),
    )


def _with_cooling(house: BilledHouse, bills: BillFit) -> BilledHouse:
    facts = house.facts
    load = cooling_load(bills, facts.cooling, indoor_c=facts.cooling_indoor_c)
    by_hour = _by_hour(house, bills, load, design_c=house.cooling_design_c)
    return replace(house, cooling=load, cooling_by_hour=by_hour)


def _by_hour(house: BilledHouse, bills: BillFit, load: BillLoad, *, design_c: float) -> BillLoad:
    return hourly_load(
        load,
        bills.fit.form,
        days=bills.fit.data.temperatures,
        hours=temperatures_of_hours(bills.readings, house.weather),
        design_c=design_c,
    )


def _with_heating(house: BilledHouse, bills: BillFit) -> BilledHouse:
    facts, water = house.facts, None
    if facts.heating is None:
        raise InputError(
            "electricity heats here, and what turns it into heat is not said",
            expected="--efficiency 1 for baseboards and electric furnaces, or --heat-pump UNIT",
        )
    source = bills
    if facts.hot_water_share and bills.fit.form in _GIVEN:
        note = Notice(topic="hot water", text=_NO_RISE)
        house = replace(house, notices=(*house.notices, note))
    elif facts.hot_water_share:
        heating_load(bills, facts.heating, indoor_c=facts.indoor_c)
        water = without_hot_water_rise(bills, house.weather, share_of_base=facts.hot_water_share)
        source = water.bills
    load = heating_load(source, facts.heating, indoor_c=facts.indoor_c)
    more = (*load.notices, *(water.notices if water is not None else ()))
    by_hour = _by_hour(house, source, load, design_c=house.design_c)
    return replace(
        house,
        heating=load,
        heating_by_hour=by_hour,
        water=water,
        notices=(*house.notices, *more),
    )


def _with_electricity(house: BilledHouse, readings: HouseReadings) -> BilledHouse:
    """Add the electricity beside a fuel: base use, and cooling where it shows."""
    meter = readings.meters.get(ELECTRICITY)
    if house.carrier == ELECTRICITY or meter is None:
        return house
    try:
        rest = fit_readings(covered_by(meter, house.weather), house.weather, forms=ALL_FORMS)
    except InputError as fault:
        note = Notice(topic="electricity", text=f"Its readings are not used: {fault.what}.")
        return replace(house, notices=(*house.notices, note))
    house = replace(house, rest=rest, notices=(*house.notices, *_of_the_rest(rest)))
    cools = rest.fit.form.cooling and (rest.fit.cooling_slope or 0.0) > 0
    return _with_cooling(house, rest) if cools else house


def _of_the_rest(rest: BillFit) -> list[Notice]:
    found = [note for note in rest.readings.notices if note.topic == REPAIR]
    slope = rest.fit.heating_slope
    if slope is None or slope <= 0:
        return found
    text = (
        f"The electricity rises in the cold too, by {slope * KELVIN_PER_DEGF:.2f} kWh a day and"
        f" degF ({slope:.2f} and kelvin): blower, pumps or electric heaters. What electric heaters"
        " give is not in the load."
    )
    return [*found, Notice(topic="electricity", text=text)]
