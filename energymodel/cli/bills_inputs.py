"""What `energymodel from-bills` is given, turned into records."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

from energymodel.cli.bills_checks import (
    balance_c,
    check_carrier_facts,
    check_dials,
    check_given,
    design_c,
    indoor_c,
)
from energymodel.errors import InputError

if TYPE_CHECKING:
    from energymodel.building.given_balance import GivenBalance
    from energymodel.meters.reading_rows import ReadingFacts
    from energymodel.notices import UsedDefault
    from energymodel.scenario.assemble import PlannedOption
    from energymodel.study.house.bill_load import MeteredSystem
    from energymodel.study.house.billed_house import HouseFacts, MeteredPump
    from energymodel.weather.year import WeatherYear

_STATION = re.compile(r"^station\s+([A-Za-z0-9]{5})\s+(\d{4}(?:\s*[-,\s]\s*\d{4})*)$")
_FUELS = {"gas": "natural gas", "oil": "heating oil", "electric": "electricity", "lpg": "propane"}
_FUEL_EFFICIENCY = 0.80
_EFFICIENCY_BAND = 0.05
_GUESSED_BAND = 0.10
_COOLING_COP = 3.0
_OUR_CHOICE = "our choice"
_COMMON = "common practice"


@dataclass(frozen=True, slots=True, kw_only=True)
class Given:
    """Texts of the house as the user wrote them; None: not given."""

    fuel: str | None
    efficiency: float | None
    ducts: float | None
    efficiency_band: float | None
    cooling_efficiency: float | None
    heat_pump: str | None
    indoor: str | None
    cooling_indoor: str | None
    design_temperature: str | None
    heat_content: str | None
    hot_water: float | None
    balance: str | None
    balance_range: str | None
    base: float | None


def carrier_named(text: str | None) -> str | None:
    """Turn a short name of a fuel into that of the table."""
    if text is None:
        return None
    from energymodel.economics.fuel_units import check_carrier

    plain = text.strip().lower().replace("_", " ")
    carrier = _FUELS.get(plain, plain)
    check_carrier(carrier, where="--fuel")
    return carrier


def weather_years(texts: Sequence[str], *, option: str = "--weather") -> list[WeatherYear]:
    """Read weather years: shipped keys, files, or years of a fetched station."""
    years: list[WeatherYear] = []
    for text in texts:
        station = _STATION.match(text.strip())
        if station is not None:
            from energymodel.weather.stations import read_station_years

            named = station.group(2)
            years += read_station_years(station.group(1).upper(), _year_numbers(named))
        elif text.strip().lower().startswith("station"):
            raise InputError(
                f"{option} {text!r} names no years of a station",
                expected='"station 72502 2013", "station 72502 2013-2015"',
            )
        else:
            years.append(_one_year(text))
    return years


def _year_numbers(text: str) -> list[int]:
    numbers = [int(part) for part in re.findall(r"\d{4}", text)]
    if "-" in text and len(numbers) == 2:
        return list(range(numbers[0], numbers[1] + 1))
    return numbers


def _one_year(text: str) -> WeatherYear:
    from energymodel.weather.files import read_weather
    from energymodel.weather.library import shipped_year

    path = Path(text)
    if path.suffix or len(path.parts) > 1 or path.is_file():
        return read_weather(path)
    return shipped_year(text)


def scenario_weather(text: str, folder: Path) -> str:
    """Name a weather year as a scenario in a folder writes it."""
    text = text.strip()
    station = _STATION.match(text)
    if station is not None:
        return f"station {station.group(1).upper()} {_year_numbers(station.group(2))[-1]}"
    path = Path(text)
    if not path.is_file():
        return text
    import os

    return Path(os.path.relpath(path.resolve(), folder.resolve())).as_posix()


def reading_facts(
    unit: str | None,
    date_order: str | None,
    last_day: str | None,
    dials: int | None,
    column: str | None,
    decimal_mark: str | None,
) -> ReadingFacts:
    """Gather what the lists do not say."""
    from energymodel.meters.bills import LastDay
    from energymodel.meters.reading_rows import ReadingFacts

    check_dials(dials)
    rules = {"read": LastDay.OPENS_THE_NEXT, "included": LastDay.INCLUDED}
    marks = {"comma": ",", "point": "."}
    return ReadingFacts(
        unit=unit,
        last_day=rules.get(last_day or ""),
        dials=dials,
        date_order=date_order,  # type: ignore[arg-type]
        decimal_mark=marks.get(decimal_mark or ""),  # type: ignore[arg-type]
        value_column=int(column) if column is not None and column.isdigit() else column,
    )


def house_facts(given: Given, *, carrier: str) -> HouseFacts:
    """Turn what is known of the house into numbers, and list what had to be assumed."""
    from energymodel.notices import UsedDefault
    from energymodel.study.house.bill_load import MeteredSystem
    from energymodel.study.house.billed_house import (
        USUAL_COOLING_INDOOR_C,
        USUAL_INDOOR_C,
        HouseFacts,
    )

    check_given(given)
    check_carrier_facts(given, carrier)
    defaults: list[UsedDefault] = []
    heating = _heating(given, carrier, defaults)
    cooling = MeteredSystem(efficiency=given.cooling_efficiency or _COOLING_COP, uncertainty=0.15)
    if given.cooling_efficiency is None:
        name = "seasonal COP of the existing cooling"
        defaults.append(UsedDefault(name=name, value="3.0, give or take 15 %", source=_COMMON))
    set_point_c = indoor_c(given.indoor, "--indoor")
    cooling_c = indoor_c(given.cooling_indoor, "--cooling-indoor")
    heating_c = USUAL_INDOOR_C if set_point_c is None else set_point_c
    if given.indoor is None:
        name = "set-point while the readings ran"
        defaults.append(UsedDefault(name=name, value="70 degF", source=_COMMON))
    if given.design_temperature is None:
        name = "design temperature"
        value = "colder in 1 % of the hours of this weather; published values come first"
        defaults.append(UsedDefault(name=name, value=value, source=_OUR_CHOICE))
    if given.heat_pump is not None:
        name = "in-service factor of the existing heat pump"
        defaults.append(
            UsedDefault(name=name, value="0.90, range 0.80 to 1.00", source=_OUR_CHOICE)
        )
    return HouseFacts(
        heating=heating,
        cooling=cooling,
        heat_pump=_heat_pump(given, heating_c),
        indoor_c=heating_c,
        cooling_indoor_c=USUAL_COOLING_INDOOR_C if cooling_c is None else cooling_c,
        design_c=design_c(given.design_temperature),
        heat_content=given.heat_content,
        hot_water_share=given.hot_water,
        balance=_balance(given, defaults),
        base_per_day=given.base,
        used_defaults=tuple(defaults),
    )


def _heating(given: Given, carrier: str, defaults: list[UsedDefault]) -> MeteredSystem | None:
    from energymodel.notices import UsedDefault
    from energymodel.study.house.bill_load import MeteredSystem

    if given.efficiency is None and carrier == "electricity":
        return None
    band = given.efficiency_band
    if band is None:
        band = _GUESSED_BAND if given.efficiency is None else _EFFICIENCY_BAND
        name = "uncertainty of efficiency and ducts together"
        defaults.append(UsedDefault(name=name, value=f"{band:.0%}", source=_OUR_CHOICE))
    if given.efficiency is None:
        name = f"efficiency of the existing {carrier} heating"
        defaults.append(UsedDefault(name=name, value=f"{_FUEL_EFFICIENCY}", source=_COMMON))
    if given.ducts is None:
        name = "ducts"
        value = "none, or in heated rooms (efficiency 1)"
        defaults.append(UsedDefault(name=name, value=value, source=_OUR_CHOICE))
    return MeteredSystem(
        efficiency=given.efficiency if given.efficiency is not None else _FUEL_EFFICIENCY,
        duct_efficiency=1.0 if given.ducts is None else given.ducts,
        uncertainty=band,
        efficiency_assumed=given.efficiency is None,
        ducts_assumed=given.ducts is None,
    )


def _balance(given: Given, defaults: list[UsedDefault]) -> GivenBalance | None:
    """Balance temperature where it is given, with its range and the base."""
    from energymodel.building.given_balance import RANGE_K, GivenBalance
    from energymodel.notices import UsedDefault
    from energymodel.quantities import TEMPERATURE_DIFFERENCE, read_quantity

    found_c = balance_c(given.balance)
    if found_c is None:
        return None
    range_k = RANGE_K
    if given.balance_range is not None:
        range_k = read_quantity(
            given.balance_range, TEMPERATURE_DIFFERENCE, where="--balance-range"
        )
    else:
        name = "range of the given balance temperature"
        defaults.append(
            UsedDefault(name=name, value=f"{RANGE_K:g} K (5.4 degF) either way", source=_OUR_CHOICE)
        )
    return GivenBalance(balance_c=found_c, range_k=range_k, base_per_day=given.base)


def _heat_pump(given: Given, heating_c: float) -> MeteredPump | None:
    """Existing heat pump, strips behind it, ducts around it."""
    if given.heat_pump is None:
        return None
    from energymodel.building.fit_bands import Band
    from energymodel.scenario.catalogue import find_unit
    from energymodel.study.house.after_check import power_of_unit
    from energymodel.study.house.billed_house import MeteredPump
    from energymodel.study.house.predicted_use import PUMP_SERVICE

    unit = find_unit(given.heat_pump, {}, Path())
    band = given.efficiency_band
    return MeteredPump(
        power_w=power_of_unit(unit, duct_efficiency=given.ducts, indoor_c=heating_c),
        unit=given.heat_pump,
        duct_efficiency=given.ducts,
        in_service=PUMP_SERVICE
        if band is None
        else Band(low=1.0 - band, likely=1.0, high=1.0 + band),
    )


def day(text: str | None, option: str) -> date | None:
    """Read a day."""
    if text is None:
        return None
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise InputError(f"{option} {text!r} is no day", expected="such as 2013-09-30") from None


def area_m2(text: str | None) -> float | None:
    """Read the floor area."""
    from energymodel.quantities import AREA, read_quantity

    return None if text is None else read_quantity(text, AREA, where="--area")


def difference_k(text: str) -> float:
    """Read the change of the set-point, with its sign."""
    from energymodel.quantities import TEMPERATURE_DIFFERENCE, read_quantity

    return read_quantity(text, TEMPERATURE_DIFFERENCE, where="--set-point-change")


def planned_option(scenario: Path, name: str | None) -> PlannedOption:
    """Find the option of a scenario that was installed."""
    from energymodel.scenario.assemble import assemble
    from energymodel.scenario.files import read_scenario

    model = assemble(read_scenario(scenario))
    new = [one for one in model.options if not one.table.present and one.option.heating]
    if name is None and len(new) == 1:
        return new[0]
    for one in model.options:
        if name is not None and one.option.name.lower() == name.strip().lower():
            return one
    names = ", ".join(f'"{one.option.name}"' for one in model.options)
    raise InputError(
        f"there is no option {name!r}" if name else "it is not said which option was installed",
        where=scenario.name,
        expected=f"one of {names}",
        remedy="add --option NAME",
    )
