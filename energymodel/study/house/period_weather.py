"""Hours of weather years laid on the exact days of metered periods."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np

from energymodel.arrays import Array, frozen
from energymodel.building.period_use import PeriodTemperatures
from energymodel.equipment.frost import DEFAULT_HUMIDITY_PCT, in_frost_band
from energymodel.errors import InputError
from energymodel.meters.periods import MeterPeriods, Period
from energymodel.weather.year import WeatherYear

_HOURS = 24


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class DailyWeather:
    """Whole days of hourly outdoor temperature, midnight to midnight in local standard time.

    Parameters
    ----------
    first_day
        First day.
    outdoor_c
        Outdoor temperature, degC, nan on days between the years that are not known, shape
        (days, 24).
    relative_humidity_pct
        Outdoor relative humidity, %, the default of frost where a file has none, shape (days, 24).
    label
        "2013", "2013 and 2014" or "typical year".
    """

    first_day: date
    outdoor_c: Array
    relative_humidity_pct: Array
    label: str

    @property
    def end_day(self) -> date:
        """Day after the last one."""
        return self.first_day + timedelta(days=self.outdoor_c.shape[0])

    @property
    def daily_c(self) -> Array:
        """Mean temperature of each day, degC, shape (days,)."""
        return np.asarray(self.outdoor_c.mean(axis=1))

    def days_of(self, period: Period) -> Array:
        """Hours of the days of a period.

        Parameters
        ----------
        period
            Metered period.

        Returns
        -------
        Array
            Outdoor temperature, degC, shape (days of the period, 24).

        Raises
        ------
        InputError
            If a day of the period is not covered.
        """
        rows = self._rows(period)
        hours = self.outdoor_c[rows]
        if hours.shape[0] < period.days or np.isnan(hours).any():
            raise InputError(
                f"the weather ({self.label}) does not cover {read_to_read(period)}",
                where=period.where,
                expected=f"observed hours of all {period.days} days",
                remedy="get the station year of those days, or leave the period out",
            )
        return hours

    def humidity_of(self, period: Period) -> Array:
        """Humidity in the hours of the days of a period that is covered.

        Parameters
        ----------
        period
            Metered period.

        Returns
        -------
        Array
            Outdoor relative humidity, %, shape (days of the period, 24).
        """
        return self.relative_humidity_pct[self._rows(period)]

    def _rows(self, period: Period) -> slice:
        start = (period.first_day - self.first_day).days
        return slice(start, start + period.days) if start >= 0 else slice(0, 0)

    def by_month(self) -> PeriodTemperatures:
        """Daily means grouped by calendar month.

        Returns
        -------
        PeriodTemperatures
            One row per month.
        """
        days = [self.first_day + timedelta(days=at) for at in range(self.outdoor_c.shape[0])]
        months = np.array([12 * day.year + day.month for day in days])
        return PeriodTemperatures(
            samples_c=_padded([self.daily_c[months == month] for month in np.unique(months)])
        )


def daily_weather(years: Sequence[WeatherYear]) -> DailyWeather:
    """Join observed years into days.

    Parameters
    ----------
    years
        Observed years of one site, in any order.

    Returns
    -------
    DailyWeather
        From the first to the last day; days of years in between that are missing hold nan.

    Raises
    ------
    InputError
        If there is no year, a year stands twice or one is a typical year, whose days are no real
        days.
    """
    if not years:
        raise InputError("no weather year", expected="the observed years of the readings")
    typical = [year.site.name for year in years if year.kind == "typical"]
    if typical:
        raise InputError(
            f"the typical year of {typical[0]} has no real days",
            expected="observed years, to be matched with the days of the readings",
            remedy="get station years; use the typical year to state the use of a normal year",
        )
    ordered = sorted(years, key=_start)
    first, last = _start(ordered[0]), _start(ordered[-1])
    span = (last - first).days + _days(ordered[-1]).shape[0]
    hours, humidity = np.full((2, span, _HOURS), np.nan)
    for year in ordered:
        at = (_start(year) - first).days
        days = _days(year)
        if not np.isnan(hours[at : at + days.shape[0]]).all():
            raise InputError(f"the weather of {year.year_label} stands twice")
        hours[at : at + days.shape[0]] = days
        humidity[at : at + days.shape[0]] = _humidity(year)
    return DailyWeather(
        first_day=first,
        outdoor_c=frozen(hours),
        relative_humidity_pct=frozen(humidity),
        label=" and ".join(year.year_label for year in ordered),
    )


def year_of_days(year: WeatherYear) -> DailyWeather:
    """One weather year as days, typical or observed, to state a normal year's use.

    Parameters
    ----------
    year
        Any complete year.

    Returns
    -------
    DailyWeather
        Its days.
    """
    return DailyWeather(
        first_day=_start(year),
        outdoor_c=frozen(_days(year)),
        relative_humidity_pct=frozen(_humidity(year)),
        label=year.year_label,
    )


def _start(year: WeatherYear) -> date:
    return date.fromisoformat(str(year.table.index[0])[:10])


def _days(year: WeatherYear) -> Array:
    return year.outdoor_c.reshape(-1, _HOURS)


def _humidity(year: WeatherYear) -> Array:
    humidity = year.relative_humidity_pct.reshape(-1, _HOURS)
    return np.where(np.isnan(humidity), DEFAULT_HUMIDITY_PCT, humidity)


def read_to_read(period: Period) -> str:
    """Name a period by its two reads, as a bill prints them.

    Parameters
    ----------
    period
        Metered period.

    Returns
    -------
    str
        Day of the opening and of the closing read; the latter opens the next period.

    Examples
    --------
    >>> read_to_read(Period(first_day=date(2013, 1, 3), end_day=date(2013, 2, 4), amount=1.0))
    '2013-01-03 to 2013-02-04'
    """
    return f"{period.first_day} to {period.end_day}"


def temperatures_of_days(readings: MeterPeriods, weather: DailyWeather) -> PeriodTemperatures:
    """Daily mean temperatures of exactly the days of each period.

    Parameters
    ----------
    readings
        Periods of a meter.
    weather
        Days that cover them.

    Returns
    -------
    PeriodTemperatures
        One sample per day.

    Raises
    ------
    InputError
        If a day of a period is not covered; the period is named.
    """
    return PeriodTemperatures(
        samples_c=_padded([weather.days_of(period).mean(axis=1) for period in readings.periods])
    )


def temperatures_of_hours(readings: MeterPeriods, weather: DailyWeather) -> PeriodTemperatures:
    """Hourly temperatures of exactly the days of each period.

    Parameters
    ----------
    readings
        Periods of a meter.
    weather
        Days that cover them.

    Returns
    -------
    PeriodTemperatures
        One sample per hour.

    Raises
    ------
    InputError
        If a day of a period is not covered; the period is named.
    """
    return PeriodTemperatures(
        samples_c=_padded([weather.days_of(period).ravel() for period in readings.periods])
    )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class HourCounts:
    """How often each state of the outdoor air stands in each period.

    Parameters
    ----------
    outdoor_c
        Temperature of each distinct state, degC, shape (states,).
    relative_humidity_pct
        Its humidity, %, shape (states,); told apart only where frost can form.
    count
        Hours of each, shape (periods, states).
    """

    outdoor_c: Array
    relative_humidity_pct: Array
    count: Array

    @property
    def hours(self) -> Array:
        """Hours of each period, shape (periods,)."""
        return np.asarray(self.count.sum(axis=1))


def hour_counts(readings: MeterPeriods, weather: DailyWeather) -> HourCounts:
    """Count the distinct states of the outdoor air in exactly the days of each period.

    Parameters
    ----------
    readings
        Periods of a meter.
    weather
        Hours that cover them.

    Returns
    -------
    HourCounts
        Exact: no bins.

    Raises
    ------
    InputError
        If a day of a period is not covered; the period is named.
    """
    outdoor_c = np.concatenate([weather.days_of(one).ravel() for one in readings.periods])
    humidity = np.concatenate([weather.humidity_of(one).ravel() for one in readings.periods])
    wet = np.where(in_frost_band(outdoor_c), humidity, DEFAULT_HUMIDITY_PCT)
    states, place = np.unique(np.stack([outdoor_c, wet], axis=1), axis=0, return_inverse=True)
    period = np.repeat(np.arange(len(readings)), [one.days * _HOURS for one in readings.periods])
    count = np.zeros((len(readings), states.shape[0]))
    np.add.at(count, (period, place.ravel()), 1.0)
    return HourCounts(
        outdoor_c=frozen(states[:, 0]),
        relative_humidity_pct=frozen(states[:, 1]),
        count=frozen(count),
    )


def _padded(rows: Sequence[Array]) -> Array:
    samples = np.full((len(rows), max(row.size for row in rows)), np.nan)
    for at, row in enumerate(rows):
        samples[at, : row.size] = row
    return samples
