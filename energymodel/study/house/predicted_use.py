"""Use that is to be expected in metered periods, with its band."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import TypeAlias

import numpy as np

from energymodel.arrays import Array, frozen
from energymodel.building.fit_bands import Band, band_of
from energymodel.building.period_use import PeriodTemperatures
from energymodel.errors import InputError
from energymodel.study.house.bill_load import BillLoad
from energymodel.study.house.from_bills import BillFit
from energymodel.study.house.period_weather import HourCounts
from energymodel.units import HOURS_PER_DAY

PowerOfLoad: TypeAlias = Callable[[Array, Array, Array], Array]
"""Metered power, W, of outdoor temperatures, degC, outdoor humidities, %, and loads, W, all of one
shape."""
RATED = Band(low=1.0, likely=1.0, high=1.0)
PUMP_SERVICE = Band(low=0.80 / 0.90, likely=1.0, high=1.00 / 0.90)
BURNER_SERVICE = Band(low=0.95 / 0.98, likely=1.0, high=1.00 / 0.98)
"""In-service factors over the likely one that the option itself carries (our choice)."""
NO_BASE = Band(low=0.0, likely=0.0, high=0.0)
_LINES = 200
_NORMAL_90 = 1.6449
_SEED = 27_183


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PredictedUse:
    """Expected use of some periods.

    Parameters
    ----------
    likely_kwh
        Metered energy of each period, shape (periods,).
    resampled_kwh
        The same in each resample, shape (resamples, periods).
    """

    likely_kwh: Array
    resampled_kwh: Array

    @property
    def total_kwh(self) -> Band:
        """All periods together; what varies together between periods does so here."""
        return band_of(self.resampled_kwh.sum(axis=1), float(self.likely_kwh.sum()))

    @property
    def periods_kwh(self) -> tuple[Band, ...]:
        """Band of each period."""
        return tuple(
            band_of(self.resampled_kwh[:, at], float(likely))
            for at, likely in enumerate(self.likely_kwh)
        )


def together(first: PredictedUse, second: PredictedUse) -> PredictedUse:
    """Add the expected use of two things on one meter.

    Parameters
    ----------
    first, second
        Of the same periods; they scatter independently.

    Returns
    -------
    PredictedUse
        Sums, with as many resamples as the smaller set.
    """
    count = min(first.resampled_kwh.shape[0], second.resampled_kwh.shape[0])
    # reversed: equal seeds must not pair resample with resample
    resampled = first.resampled_kwh[:count] + second.resampled_kwh[::-1][:count]
    return PredictedUse(
        likely_kwh=frozen(first.likely_kwh + second.likely_kwh), resampled_kwh=frozen(resampled)
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class NewSystem:
    """What is metered after installation.

    Parameters
    ----------
    power_w
        Metered power as a function of outdoor temperature, humidity and load.
    base_kwh_per_day
        What the same meter counts besides.
    in_service
        In-service factor: power is divided by it.
    scatter
        Scatter of single periods about any prediction, as a fraction: CV(RMSE) of the fit before.
    """

    power_w: PowerOfLoad
    base_kwh_per_day: Band = NO_BASE
    in_service: Band = RATED
    scatter: float = 0.0

    def __post_init__(self) -> None:
        if not 0 < self.in_service.low <= self.in_service.likely <= self.in_service.high:
            raise InputError("an in-service factor that is not above zero and in order")


def expected_of_system(load: BillLoad, system: NewSystem, hours: HourCounts) -> PredictedUse:
    """Use that a new system should have in the metered periods' real weather.

    Parameters
    ----------
    load
        Load line with its resamples, hour by hour.
    system
        What is metered now.
    hours
        Outdoor air in the hours of exactly the days of the periods.

    Returns
    -------
    PredictedUse
        Band from the load line, the in-service factor, the base and the scatter of readings.
    """
    random = np.random.default_rng(_SEED)
    lines = load.lines(_LINES)
    days = hours.hours / HOURS_PER_DAY
    shape = (len(lines), days.size)
    base = system.base_kwh_per_day
    loads = np.array([line.load_w(hours.outdoor_c) for line in (*lines, load.line)])
    energy = energy_of_lines(system.power_w, hours, loads)
    heat = energy[:-1] / _factors(system.in_service, shape, random)
    bases = base.likely + _deviation(base) * random.standard_normal((shape[0], 1))
    likely = energy[-1] / system.in_service.likely + base.likely * days
    noise = system.scatter * likely * random.standard_normal(shape)
    return PredictedUse(
        likely_kwh=frozen(likely), resampled_kwh=frozen(heat + bases * days + noise)
    )


def expected_without_heating(bills: BillFit, days: PeriodTemperatures) -> PredictedUse:
    """Use that a meter should show besides its heating: base and cooling as before.

    Parameters
    ----------
    bills
        Fit of the periods before.
    days
        Daily temperatures of exactly the days of the periods after.

    Returns
    -------
    PredictedUse
        The fit with a heating slope of zero; the scatter of readings stays.
    """
    bands = bills.bands
    if bands.fit.form.heating:
        keep = np.ones(bands.fit.coefficients.size)
        keep[1] = 0.0
        fit = replace(bands.fit, coefficients=bands.fit.coefficients * keep)
        bands = replace(bands, fit=fit, coefficients=bands.coefficients * keep)
    return expected_of_bills(replace(bills, bands=bands), days)


def expected_of_bills(bills: BillFit, days: PeriodTemperatures) -> PredictedUse:
    """Use that the house of some bills would have in other periods, unchanged.

    Parameters
    ----------
    bills
        Fit of the periods before.
    days
        Daily temperatures of exactly the days of the periods after.

    Returns
    -------
    PredictedUse
        Band from the fit and the scatter of readings.
    """
    likely = bills.bands.fit.use_per_day(days) * days.count
    resampled = bills.bands.resampled_reading_per_day(days, days.count) * days.count
    return PredictedUse(likely_kwh=frozen(likely), resampled_kwh=frozen(resampled))


def energy_of_lines(power_w: PowerOfLoad, counts: HourCounts, load_w: Array) -> Array:
    """Energy of each period under several load lines, all asked of the equipment at once.

    Parameters
    ----------
    power_w
        Metered power as a function of outdoor temperature, humidity and load.
    counts
        Outdoor air of the periods.
    load_w
        Load of each line at each distinct state, W, shape (lines, states).

    Returns
    -------
    Array
        kWh, shape (lines, periods).
    """
    air = (counts.outdoor_c, counts.relative_humidity_pct)
    outdoor_c, humidity_pct = (np.broadcast_to(one, load_w.shape).ravel() for one in air)
    power = power_w(outdoor_c, humidity_pct, load_w.ravel()).reshape(load_w.shape)
    return np.asarray(power @ counts.count.T / 1000.0)


def _factors(band: Band, shape: tuple[int, int], random: np.random.Generator) -> Array:
    if not band.low < band.high:
        return np.full((shape[0], 1), band.likely)
    return random.triangular(band.low, band.likely, band.high, (shape[0], 1))


def _deviation(band: Band) -> float:
    return (band.high - band.low) / 2.0 / _NORMAL_90
