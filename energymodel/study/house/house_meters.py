"""Which meter of a house heats, which of its periods the weather covers, and how it is fitted."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from energymodel.errors import InputError
from energymodel.meters.periods import MeterPeriods, repair_notice
from energymodel.meters.reading_files import ELECTRICITY, HouseReadings
from energymodel.notices import UsedDefault
from energymodel.scenario.fields import temperature_text
from energymodel.study.house.from_bills import (
    BillFit,
    fit_from_balance,
    fit_readings,
    usual_balance,
)
from energymodel.study.house.period_weather import DailyWeather, read_to_read

if TYPE_CHECKING:
    from energymodel.study.house.billed_house import HouseFacts

DELIVERED = ("heating oil", "propane", "kerosene", "wood", "pellets")
"""Fuels that come in fills, of which summer has few."""


def covered_by(readings: MeterPeriods, weather: DailyWeather) -> MeterPeriods:
    """Leave out periods that the weather does not cover, and name them.

    Parameters
    ----------
    readings
        Periods of a meter.
    weather
        Days of weather.

    Returns
    -------
    MeterPeriods
        Covered periods, with a notice of the others.

    Raises
    ------
    InputError
        If no period is covered.
    """
    kept, lost = [], []
    for period in readings.periods:
        try:
            weather.days_of(period)
        except InputError:
            lost.append(read_to_read(period))
        else:
            kept.append(period)
    if not kept:
        raise InputError(
            f"the weather ({weather.label}) covers no period of {readings.meter.carrier}",
            expected=f"observed hours between {readings.periods[0].first_day} and "
            f"{readings.periods[-1].end_day}",
            remedy="get the station years of the readings: energymodel weather fetch",
        )
    if not lost:
        return readings
    text = f"The weather ({weather.label}) does not cover {', '.join(lost)}: left out."
    return replace(readings, periods=tuple(kept), notices=(*readings.notices, repair_notice(text)))


def heating_carrier(readings: HouseReadings, fuel: str | None = None) -> str:
    """Tell which meter heats.

    Parameters
    ----------
    readings
        All meters.
    fuel
        What the auditor says; None: the one fuel, else electricity.

    Returns
    -------
    str
        Carrier.

    Raises
    ------
    InputError
        If there are two fuels, or none of the one that was named.
    """
    there = list(readings.meters)
    fuels = [carrier for carrier in there if carrier != ELECTRICITY]
    if fuel is None and len(fuels) < 2:
        return fuels[0] if fuels else ELECTRICITY
    if fuel in there:
        return fuel
    raise InputError(
        f"the readings are of {' and '.join(there)}",
        expected="one fuel, or its name" if fuel is None else f"readings of {fuel}",
        remedy="say which one heats: --fuel",
    )


def _with_unused_base(found: BillFit) -> BillFit:
    text = "The given base use is not taken: these fills tell it themselves."
    return replace(found, notices=(repair_notice(text), *found.notices))


def fit_heating_meter(meter: MeterPeriods, weather: DailyWeather, facts: HouseFacts) -> BillFit:
    """Fit the meter that heats: from a given balance temperature, or by a change point.

    Parameters
    ----------
    meter
        Its periods.
    weather
        Days that cover them.
    facts
        What is known of the house.

    Returns
    -------
    BillFit
        From the given balance temperature where there is one. Of a fuel that is delivered, whose
        fills show no change point: from 10 degF below the set-point, with the reason.

    Raises
    ------
    InputError
        As :func:`energymodel.study.house.from_bills.fit_readings`.
    """
    content = None if meter.meter.carrier == ELECTRICITY else facts.heat_content
    if facts.balance is not None:
        return fit_from_balance(
            meter,
            weather,
            facts.balance,
            why="The temperature at which heating begins is given.",
            given_heat_content=content,
        )
    if meter.meter.carrier not in DELIVERED:
        return fit_readings(meter, weather, given_heat_content=content)
    try:
        found = fit_readings(meter, weather, given_heat_content=content)
    except InputError:
        found = None
    if found is not None and (found.fit.heating_slope or 0.0) > 0:
        return found if facts.base_per_day is None else _with_unused_base(found)
    usual = replace(usual_balance(facts.indoor_c), base_per_day=facts.base_per_day)
    found = fit_from_balance(
        meter,
        weather,
        usual,
        why="Too few of these fills lie in the warm season to tell when heating begins: 10 degF"
        " below the set-point is assumed (our choice; --balance gives another).",
        given_heat_content=content,
    )
    assumed = UsedDefault(
        name="outdoor temperature at which heating begins",
        value=f"{temperature_text(usual.balance_c)}, give or take {usual.range_k:g} K",
        source="our choice",
    )
    return replace(found, used_defaults=(*found.used_defaults, assumed))
