"""The index of a year: which hours share a state, and how often each state occurs per month.

A year has few distinct states. An option without memory is evaluated once per state and its hours
are read back through the index: the hourly answer, at the cost of bins.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import TypeAlias

import numpy as np

from energymodel.arrays import Array, Index, Mask
from energymodel.equipment.frost import DEFAULT_HUMIDITY_PCT, in_frost_band
from energymodel.season.option import IdleUnit, Option
from energymodel.units import c_from_f, whole_f
from energymodel.weather.year import WeatherYear


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class States:
    """States of a year for one option.

    Parameters
    ----------
    outdoor_c, relative_humidity_pct
        Conditions of each state, shape (states,).
    month_of_state
        A month, 1..12, in which the state occurs; only its membership in the option's month
        lists matters.
    inverse
        State of each hour, shape (hours,).
    hours_in_month
        Hours of each state in each month, shape (12, states).
    no_supply
        By function, "heating" or "cooling", whose supply is cut at times: states without it,
        shape (states,).
    """

    outdoor_c: Array
    relative_humidity_pct: Array
    month_of_state: Index
    inverse: Index
    hours_in_month: Array
    no_supply: Mapping[str, Mask] = field(default_factory=dict)

    def __len__(self) -> int:
        return int(self.outdoor_c.size)

    def in_months(self, months: frozenset[int]) -> Mask:
        """States that lie in the given months.

        Parameters
        ----------
        months
            Months, 1..12; one of the option's own month lists.

        Returns
        -------
        Mask
            Shape (states,).
        """
        return np.isin(self.month_of_state, sorted(months))

    def connected(self, unit: IdleUnit) -> Mask:
        """States in which a unit with idle power is switched on and supplied.

        Parameters
        ----------
        unit
            One of the option's own.

        Returns
        -------
        Mask
            Shape (states,).
        """
        on = np.ones(len(self), dtype=np.bool_)
        if unit.months_off:
            on = ~self.in_months(unit.months_off)
        cut = self.no_supply.get(unit.supplied_for)
        return on if cut is None else on & ~cut


Indexing: TypeAlias = Callable[[Option, WeatherYear], States]
"""How a year becomes states."""


def _humidity(weather: WeatherYear) -> Array:
    humidity = weather.relative_humidity_pct
    return np.where(np.isnan(humidity), DEFAULT_HUMIDITY_PCT, humidity)


def _months(weather: WeatherYear) -> Index:
    return weather.month.astype(np.intp)


def _no_supply(option: Option, weather: WeatherYear) -> dict[str, Mask]:
    """Hours without supply, by function; one rule for both is laid on the year once."""
    rules = {
        function: supply.interruption
        for function, supply in option.supplies.items()
        if supply.interruption is not None
    }
    hours = {rule: rule.hours(weather) for rule in dict.fromkeys(rules.values())}
    return {function: hours[rule] for function, rule in rules.items()}


def _index(outdoor_c: Array, humidity: Array, weather: WeatherYear, option: Option) -> States:
    months, no_supply = _months(weather), _no_supply(option, weather)
    code = np.unique(outdoor_c, return_inverse=True)[1].astype(np.int64)
    if option.uses_humidity:
        wet = np.where(in_frost_band(outdoor_c), humidity, -1.0)
        levels, wet_code = np.unique(wet, return_inverse=True)
        code = code * levels.size + wet_code
    for group in option.months_that_matter:
        code = code * 2 + np.isin(months, sorted(group))
    for cut in no_supply.values():
        code = code * 2 + cut
    _, first, inverse = np.unique(code, return_index=True, return_inverse=True)
    hours = np.zeros((12, first.size))
    np.add.at(hours, (months - 1, inverse), 1.0)
    return States(
        outdoor_c=outdoor_c[first],
        relative_humidity_pct=humidity[first],
        month_of_state=months[first],
        inverse=inverse.astype(np.intp),
        hours_in_month=hours,
        no_supply={function: cut[first] for function, cut in no_supply.items()},
    )


def distinct_states(option: Option, weather: WeatherYear) -> States:
    """One state per distinct set of inputs that the option uses: exact to rounding.

    Parameters
    ----------
    option
        Says whether humidity, months and the supply matter.
    weather
        A complete year.

    Returns
    -------
    States
        Key: outdoor temperature; humidity inside the frost band where frost is modelled; the
        option's month lists; whether there is supply, where it is cut at times.
    """
    return _index(weather.outdoor_c, _humidity(weather), weather, option)


def every_hour(option: Option, weather: WeatherYear) -> States:
    """One state per hour: the plain path, against which the others are checked.

    Parameters
    ----------
    option
        Says when its supply is cut.
    weather
        A complete year.

    Returns
    -------
    States
        As many states as hours.
    """
    months = _months(weather)
    hours = np.zeros((12, months.size))
    hours[months - 1, np.arange(months.size)] = 1.0
    return States(
        outdoor_c=weather.outdoor_c,
        relative_humidity_pct=_humidity(weather),
        month_of_state=months,
        inverse=np.arange(months.size, dtype=np.intp),
        hours_in_month=hours,
        no_supply=_no_supply(option, weather),
    )


def bins_5f(option: Option, weather: WeatherYear) -> States:
    """Classical bins 5 F wide: every hour at the centre of its bin.

    Parameters
    ----------
    option
        Says whether humidity and months matter.
    weather
        A complete year.

    Returns
    -------
    States
        Hours rounded to whole F, 60-64 -> 62; humidity is the mean of the bin.
    """
    centre = c_from_f(np.floor(whole_f(weather.outdoor_c) / 5.0) * 5.0 + 2.0)
    return _binned(centre, option, weather)


def bins_1k(option: Option, weather: WeatherYear) -> States:
    """Bins 1 K wide, at whole degrees Celsius.

    Parameters
    ----------
    option
        Says whether humidity and months matter.
    weather
        A complete year.

    Returns
    -------
    States
        Hours rounded to the nearest whole degree; humidity is the mean of the bin.
    """
    return _binned(np.floor(weather.outdoor_c + 0.5), option, weather)


def _binned(centre: Array, option: Option, weather: WeatherYear) -> States:
    humidity = _humidity(weather)
    _, inverse = np.unique(centre, return_inverse=True)
    mean = np.bincount(inverse, weights=humidity) / np.bincount(inverse)
    return _index(centre, mean[inverse], weather, option)
