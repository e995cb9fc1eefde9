"""Hot water on the same fuel: its rise in winter, which a fit takes for heating.

The water comes in colder in winter, so that the same hot water takes more energy then. Without a
correction this rise is counted as heat loss of the house.

References
----------
Temperature of the mains over the year: a sine after the outdoor temperature with an offset, a
ratio and a lag that depend on the yearly mean, after Burch and Christensen (2007), from memory.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import timedelta

import numpy as np

from energymodel.arrays import Array
from energymodel.building.change_point import fit_form
from energymodel.building.fit_bands import bootstrap_bands
from energymodel.building.period_use import PeriodUse
from energymodel.errors import InputError
from energymodel.notices import Notice
from energymodel.study.house.from_bills import BillFit
from energymodel.study.house.period_weather import DailyWeather
from energymodel.units import c_from_f, f_from_c

HOT_C = c_from_f(125.0)
"""Temperature of the hot water (common practice: 120 to 130 F)."""
_ROUNDS = 3
_LEAST_DAYS = 330


@dataclass(frozen=True, slots=True, kw_only=True)
class MainsTemperature:
    """Temperature of the cold water over the year.

    Parameters
    ----------
    mean_c
        Yearly mean outdoor temperature, degC.
    swing_k
        Warmest less coldest monthly mean outdoor temperature, K.
    """

    mean_c: float
    swing_k: float

    def on_days(self, day_of_year: Array) -> Array:
        """Temperature on days of the year.

        Parameters
        ----------
        day_of_year
            1..366, shape (days,).

        Returns
        -------
        Array
            degC, shape (days,).

        Notes
        -----
        T = mean + 6 + R swing/2 sin(0.986 (day - 15 - lag) - 90), in degF and degrees of arc,
        R = 0.4 + 0.01 (mean - 44), lag = 35 - (mean - 44) days; northern half of the world.

        Examples
        --------
        >>> mains = MainsTemperature(mean_c=12.0, swing_k=24.0)
        >>> days = np.array([31.0, 213.0])
        >>> mains.on_days(days).round(1).tolist()
        [9.5, 21.2]
        """
        mean_f, swing_f = f_from_c(self.mean_c), 1.8 * self.swing_k
        ratio = 0.4 + 0.01 * (mean_f - 44.0)
        lag = 35.0 - (mean_f - 44.0)
        angle = np.deg2rad(0.986 * (day_of_year - 15.0 - lag) - 90.0)
        found_f = mean_f + 6.0 + ratio * swing_f / 2.0 * np.sin(angle)
        return c_from_f(np.asarray(found_f))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class WithoutHotWater:
    """A fit of what is left when the winter rise of hot water is taken off.

    Parameters
    ----------
    bills
        Fit of the rest: its heating slope is the house's alone.
    rise_kwh
        What was taken off in all periods together, metered energy.
    notices
        What was assumed.
    """

    bills: BillFit
    rise_kwh: float
    notices: tuple[Notice, ...]


def mains_of(weather: DailyWeather) -> MainsTemperature:
    """Mains temperature at the place of a weather record.

    Parameters
    ----------
    weather
        At least about a year of days.

    Returns
    -------
    MainsTemperature
        From the yearly mean and the warmest and coldest month.

    Raises
    ------
    InputError
        If less than eleven months are known.
    """
    daily_c = weather.daily_c
    known = ~np.isnan(daily_c)
    if known.sum() < _LEAST_DAYS:
        raise InputError(
            f"{int(known.sum())} days of weather for the yearly course of the cold water",
            expected="a year",
        )
    month = np.array([(weather.first_day + timedelta(days=at)).month for at in range(daily_c.size)])
    means = [float(daily_c[known & (month == one)].mean()) for one in np.unique(month[known])]
    return MainsTemperature(mean_c=float(np.mean(means)), swing_k=max(means) - min(means))


def without_hot_water_rise(
    bills: BillFit, weather: DailyWeather, *, share_of_base: float
) -> WithoutHotWater:
    """Take the winter rise of hot water off the readings and fit the same form again.

    Parameters
    ----------
    bills
        Fit of a meter whose form has a heating slope.
    weather
        Days that cover the periods.
    share_of_base
        Share of the base use that heats water, 0..1; the rest (cooking, pilot) stays even.

    Returns
    -------
    WithoutHotWater
        The base of the new fit is the use of a day with the warmest cold water.

    Raises
    ------
    InputError
        If the share is not between 0 and 1, or the form has no heating slope.

    Notes
    -----
    Use of hot water goes with (hot - mains); the rise of a period is share x base x ((hot - mains)
    / (hot - warmest mains) - 1). Base and rise are found in turn, three times.
    """
    if not 0.0 <= share_of_base <= 1.0:
        raise InputError(
            f"a share of hot water of {share_of_base:g}", expected="a fraction of the base, 0 to 1"
        )
    if bills.fit.form.heating is False:
        raise InputError(
            f"the {bills.fit.form.name} form has no heating that hot water could hide in",
            expected="a form with a heating slope",
        )
    more = _more_than_warmest(bills, mains_of(weather))
    data, fit, rise = bills.fit.data, bills.fit, np.zeros(len(bills.fit.data))
    for _ in range(_ROUNDS):
        rise = share_of_base * max(fit.base_per_day, 0.0) * more
        rest = PeriodUse(
            use_per_day=data.use_per_day - rise, days=data.days, temperatures=data.temperatures
        )
        fit = fit_form(bills.fit.form, rest)
    choice = replace(bills.choice, chosen=fit)
    taken = float((rise * data.days).sum())
    text = (
        f"{share_of_base:.0%} of the base use is taken as hot water of {f_from_c(HOT_C):.0f} degF;"
        f" its rise in winter, {taken:.0f} kWh over the periods, is taken off the heating."
    )
    return WithoutHotWater(
        bills=replace(bills, choice=choice, bands=bootstrap_bands(fit)),
        rise_kwh=taken,
        notices=(Notice(topic="hot water", text=text),),
    )


def _more_than_warmest(bills: BillFit, mains: MainsTemperature) -> Array:
    """Relative use of hot water above that of the warmest mains, shape (periods,)."""
    year = mains.on_days(np.arange(1.0, 366.0))
    warmest = HOT_C - float(year.max())
    relative = []
    for period in bills.readings.periods:
        days = [period.first_day + timedelta(days=at) for at in range(period.days)]
        number = np.array([float(day.timetuple().tm_yday) for day in days])
        relative.append(float((HOT_C - mains.on_days(number)).mean()) / warmest - 1.0)
    return np.array(relative)
