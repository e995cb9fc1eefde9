"""A unit against the hours of a year: what it gives, what is short, when it cycles or stands."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

import numpy as np

from energymodel.arrays import Array, Mask
from energymodel.building.load import LoadLine
from energymodel.equipment.curves import Function
from energymodel.equipment.flows import Conditions, Flows
from energymodel.equipment.frost import DEFAULT_HUMIDITY_PCT
from energymodel.equipment.heat_pump import HeatPump
from energymodel.weather.year import WeatherYear

LIMITLESS_W = 1e9
SPELL_H = 72
"""Length of the coldest spell: three days, about what the structure of a house bridges (our
choice)."""
MOST_CYCLES_PER_HOUR = 3.0
"""Cycles per hour at half load, Nmax (common practice)."""
_ROUNDING = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Duty:
    """What a room asks of a unit for one function.

    Parameters
    ----------
    function
        Heating or cooling.
    line
        Load of the room.
    indoor_c
        Set-point, degC.
    months_without
        Months, 1..12, without this load.
    gains_off
        Whether gains of sun, people and appliances are taken off a heat-loss sheet's load.
    """

    function: Function
    line: LoadLine
    indoor_c: float
    months_without: frozenset[int] = frozenset()
    gains_off: bool = False

    def sheet_load_w(self, outdoor_c: float) -> float:
        """Load of the heat-loss sheet, which leaves gains out: the load of a night.

        Parameters
        ----------
        outdoor_c
            degC.

        Returns
        -------
        float
            W; the load with gains where no gains were taken off.
        """
        if not self.gains_off:
            return float(self.line.load_w(np.array([outdoor_c]))[0])
        return self.line.slope_w_per_k * max(self.line.indoor_c - outdoor_c, 0.0)

    def load_w(self, weather: WeatherYear) -> Array:
        """Load of the room in each hour.

        Parameters
        ----------
        weather
            A year.

        Returns
        -------
        Array
            W, shape (hours,).
        """
        load_w = self.line.load_w(weather.outdoor_c)
        if self.months_without:
            closed = np.isin(weather.month, sorted(self.months_without))
            load_w = np.where(closed, 0.0, load_w)
        return load_w

    def conditions(self, weather: WeatherYear) -> Conditions:
        """Conditions of each hour.

        Parameters
        ----------
        weather
            A year.

        Returns
        -------
        Conditions
            Shape (hours,).
        """
        humidity = weather.relative_humidity_pct
        return Conditions(
            outdoor_c=weather.outdoor_c,
            relative_humidity_pct=np.where(np.isnan(humidity), DEFAULT_HUMIDITY_PCT, humidity),
            indoor_c=self.indoor_c,
        )

    def at(self, outdoor_c: float) -> Conditions:
        """Conditions at one outdoor temperature.

        Parameters
        ----------
        outdoor_c
            degC.

        Returns
        -------
        Conditions
            Shape (1,), humidity 80 %.
        """
        return Conditions(
            outdoor_c=np.array([outdoor_c]),
            relative_humidity_pct=np.array([DEFAULT_HUMIDITY_PCT]),
            indoor_c=self.indoor_c,
        )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Installed:
    """One function of a unit as it would stand here.

    Parameters
    ----------
    pump
        With line losses and limits, power as rated.
    carried
        Share of its output that reaches the room, 0..1: duct efficiency, else 1.
    """

    pump: HeatPump
    carried: float = 1.0

    def flows(self, at: Conditions, load_w: Array) -> Flows:
        """Answer the load of the room.

        Parameters
        ----------
        at
            Conditions.
        load_w
            Load of the room, W.

        Returns
        -------
        Flows
            At the unit, before the ducts.
        """
        return self.pump.run(at, load_w / self.carried)

    def unmet_w(self, at: Conditions, load_w: Array) -> Array:
        """Load of the room that stays without heat or cold.

        Parameters
        ----------
        at
            Conditions.
        load_w
            Load of the room, W.

        Returns
        -------
        Array
            W.
        """
        return self.flows(at, load_w).unmet_w * self.carried

    def full_w(self, at: Conditions) -> Array:
        """Largest output in the room.

        Parameters
        ----------
        at
            Conditions.

        Returns
        -------
        Array
            W, limits of operation included.
        """
        return self.pump.full_output_w(at) * self.carried

    def lowest_w(self, at: Conditions) -> Array:
        """Output in the room below which the unit cycles.

        Parameters
        ----------
        at
            Conditions.

        Returns
        -------
        Array
            W.
        """
        return self.pump.lowest_output_w(at) * self.carried

    def full_power_w(self, at: Conditions) -> Array:
        """Electric power at full output, as rated.

        Parameters
        ----------
        at
            Conditions.

        Returns
        -------
        Array
            W; zero where the unit stands.
        """
        return self.pump.run(at, np.full_like(at.outdoor_c, LIMITLESS_W)).running_w


def longest_run_h(mask: Mask) -> int:
    """Return the longest run of hours that follow each other.

    Parameters
    ----------
    mask
        Hours in their order, shape (hours,).

    Returns
    -------
    int
        Hours.

    Examples
    --------
    >>> longest_run_h(np.array([True, False, True, True, False]))
    2
    """
    edges = np.flatnonzero(np.diff(np.concatenate(([0], mask.astype(np.int8), [0]))))
    return int((edges[1::2] - edges[::2]).max(initial=0))


@dataclass(frozen=True, slots=True, kw_only=True)
class Shortfall:
    """Load that a unit does not carry, over some hours.

    Parameters
    ----------
    hours, longest_run_h
        Hours in which something is missing, and the longest run of them.
    energy_kwh, load_kwh
        What is missing, and the load of all hours.
    largest_w
        Largest missing heat flow, W.
    """

    hours: int
    longest_run_h: int
    energy_kwh: float
    load_kwh: float
    largest_w: float

    @property
    def share(self) -> float:
        """Missing over load, 0..1."""
        return self.energy_kwh / self.load_kwh if self.load_kwh > 0 else 0.0


def shortfall(load_w: Array, unmet_w: Array) -> Shortfall:
    """Sum up what is missing.

    Parameters
    ----------
    load_w, unmet_w
        W, hour by hour, shape (hours,).

    Returns
    -------
    Shortfall
        Over these hours.

    Examples
    --------
    >>> short = shortfall(np.array([2000.0, 3000.0, 1000.0]), np.array([500.0, 1000.0, 0.0]))
    >>> short.hours, short.longest_run_h, short.energy_kwh, short.largest_w
    (2, 2, 1.5, 1000.0)
    """
    missing = unmet_w > _ROUNDING * np.maximum(load_w, 1.0)
    return Shortfall(
        hours=int(missing.sum()),
        longest_run_h=longest_run_h(missing),
        energy_kwh=float(unmet_w[missing].sum()) / 1000.0,
        load_kwh=float(load_w.sum()) / 1000.0,
        largest_w=float(unmet_w.max(initial=0.0)),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Spell:
    """The coldest hours of a year that follow each other.

    Parameters
    ----------
    start
        Index of its first hour.
    begins
        First hour as month and day, such as "11 January".
    mean_c, lowest_c
        Outdoor temperature, degC.
    """

    start: int
    begins: str
    mean_c: float
    lowest_c: float

    @property
    def hours(self) -> slice:
        """Its hours."""
        return slice(self.start, self.start + SPELL_H)


def coldest_spell(weather: WeatherYear) -> Spell:
    """Find the 72 hours with the lowest mean temperature.

    Parameters
    ----------
    weather
        A year.

    Returns
    -------
    Spell
        The first of equal ones; inside the calendar year.
    """
    outdoor_c = weather.outdoor_c
    sums = np.cumsum(np.concatenate(([0.0], outdoor_c)))
    means = (sums[SPELL_H:] - sums[:-SPELL_H]) / SPELL_H
    start = int(means.argmin())
    stamp: datetime = weather.starts[start].astype("datetime64[s]").item()
    return Spell(
        start=start,
        begins=f"{stamp.day} {stamp:%B}",
        mean_c=float(means[start]),
        lowest_c=float(outdoor_c[start : start + SPELL_H].min()),
    )


def cycles_per_hour(load_share: Array, *, most: float = MOST_CYCLES_PER_HOUR) -> Array:
    """Estimate how often a unit starts while its load lies below its lowest output.

    Parameters
    ----------
    load_share
        Load over lowest output, x, 0..1.
    most
        Cycles per hour at x = 1/2.

    Returns
    -------
    Array
        N = 4 Nmax x (1 - x), the law of a thermostat with a fixed band (common practice).

    Examples
    --------
    >>> cycles_per_hour(np.array([0.0, 0.25, 0.5, 1.0])).tolist()
    [0.0, 2.25, 3.0, 0.0]
    """
    result: Array = 4.0 * most * load_share * (1.0 - load_share)
    return result
