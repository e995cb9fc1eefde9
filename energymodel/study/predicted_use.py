"""Use that is to be expected in metered periods, with its band."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np

from energymodel.arrays import Array, frozen
from energymodel.building.fit_bands import Band, band_of
from energymodel.building.load import LoadLine
from energymodel.building.period_use import PeriodTemperatures
from energymodel.errors import InputError
from energymodel.study.bill_load import BillLoad
from energymodel.study.from_bills import BillFit
from energymodel.units import HOURS_PER_DAY

PowerOfLoad: TypeAlias = Callable[[Array, Array], Array]
"""Metered power, W, of outdoor temperatures, degC, and loads, W, all of one shape."""
RATED = Band(low=1.0, likely=1.0, high=1.0)
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


@dataclass(frozen=True, slots=True, kw_only=True)
class NewSystem:
    """What is metered after installation.

    Parameters
    ----------
    power_w
        Metered power as a function of outdoor temperature and load.
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


def expected_of_system(
    load: BillLoad, system: NewSystem, hours: PeriodTemperatures
) -> PredictedUse:
    """Use that a new system should have in the metered periods' real weather.

    Parameters
    ----------
    load
        Load line with its resamples.
    system
        What is metered now.
    hours
        Hourly temperatures of exactly the days of the periods.

    Returns
    -------
    PredictedUse
        Band from the load line, the in-service factor, the base and the scatter of readings.
    """
    random = np.random.default_rng(_SEED)
    lines = load.lines(_LINES)
    shape = (len(lines), len(hours))
    days = hours.count / HOURS_PER_DAY
    base = system.base_kwh_per_day
    heat = np.array([_line_kwh(line, system, hours) for line in lines]) / _factors(
        system.in_service, shape, random
    )
    bases = base.likely + _deviation(base) * random.standard_normal((shape[0], 1))
    likely = _line_kwh(load.line, system, hours) / system.in_service.likely + base.likely * days
    noise = system.scatter * likely * random.standard_normal(shape)
    return PredictedUse(
        likely_kwh=frozen(likely), resampled_kwh=frozen(heat + bases * days + noise)
    )


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
    likely = bills.fit.use_per_day(days) * days.count
    resampled = bills.bands.resampled_reading_per_day(days, days.count) * days.count
    return PredictedUse(likely_kwh=frozen(likely), resampled_kwh=frozen(resampled))


def _line_kwh(line: LoadLine, system: NewSystem, hours: PeriodTemperatures) -> Array:
    outdoor_c = hours.samples_c
    known = ~np.isnan(outdoor_c)
    power = np.zeros(outdoor_c.shape)
    power[known] = system.power_w(outdoor_c[known], line.load_w(outdoor_c[known]))
    return np.asarray(power.sum(axis=1) / 1000.0)


def _factors(band: Band, shape: tuple[int, int], random: np.random.Generator) -> Array:
    if not band.low < band.high:
        return np.full((shape[0], 1), band.likely)
    return random.triangular(band.low, band.likely, band.high, (shape[0], 1))


def _deviation(band: Band) -> float:
    return (band.high - band.low) / 2.0 / _NORMAL_90
