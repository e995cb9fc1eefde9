"""Use in a normal year, savings before and after, and the effect of a changed set-point."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from energymodel.arrays import Array
from energymodel.building.fit_bands import Band, FitBands, band_of
from energymodel.errors import InputError
from energymodel.study.house.from_bills import BillFit
from energymodel.study.house.period_weather import DailyWeather


@dataclass(frozen=True, slots=True, kw_only=True)
class YearUse:
    """Use that a fit gives under one weather year.

    Parameters
    ----------
    label
        Weather year.
    use_kwh
        Metered energy of the year.
    """

    label: str
    use_kwh: Band


@dataclass(frozen=True, slots=True, kw_only=True)
class NormalUse:
    """Use under one weather year or several.

    Parameters
    ----------
    years
        One entry per weather year.
    mean_kwh
        Mean over the years, with its band.
    """

    years: tuple[YearUse, ...]
    mean_kwh: Band

    @property
    def median_kwh(self) -> float:
        """Median of the likely values over the years, kWh."""
        return float(np.median([year.use_kwh.likely for year in self.years]))

    @property
    def spread_kwh(self) -> tuple[float, float]:
        """Lowest and highest likely value over the years, kWh: the weather alone."""
        likely = [year.use_kwh.likely for year in self.years]
        return min(likely), max(likely)


def normal_use(bills: BillFit, years: Sequence[DailyWeather]) -> NormalUse:
    """State the use of a house under a typical year or a set of years.

    Parameters
    ----------
    bills
        Fit of one meter.
    years
        Weather years, from :func:`energymodel.study.house.period_weather.year_of_days`.

    Returns
    -------
    NormalUse
        Forms by day are summed over days, forms by mean over calendar months.

    Raises
    ------
    InputError
        If there is no year.
    """
    if not years:
        raise InputError("no weather year", expected="a typical year or observed years")
    sums = [_year_kwh(bills.bands, year) for year in years]
    mean = np.mean([resampled for _, resampled in sums], axis=0)
    return NormalUse(
        years=tuple(
            YearUse(label=year.label, use_kwh=band_of(resampled, likely))
            for year, (likely, resampled) in zip(years, sums, strict=True)
        ),
        mean_kwh=band_of(mean, float(np.mean([likely for likely, _ in sums]))),
    )


def _year_kwh(bands: FitBands, year: DailyWeather) -> tuple[float, Array]:
    months = year.by_month()
    likely = float(bands.fit.use_per_day(months) @ months.count)
    return likely, np.asarray(bands.resampled_use_per_day(months) @ months.count)


@dataclass(frozen=True, slots=True, kw_only=True)
class Saving:
    """Difference of two fits under the same weather.

    Parameters
    ----------
    label
        Weather year.
    saved_kwh
        Before less after, with its band.
    saved_share
        The same over the use before.
    """

    label: str
    saved_kwh: Band
    saved_share: Band

    @property
    def is_certain(self) -> bool:
        """The band does not hold zero."""
        return not self.saved_kwh.holds(0.0)


def normalised_saving(before: BillFit, after: BillFit, year: DailyWeather) -> Saving:
    """State the saving of a change in the house, both states under the same weather.

    Parameters
    ----------
    before, after
        Fits of the periods before and after, one carrier.
    year
        Weather for both.

    Returns
    -------
    Saving
        The two fits scatter independently.

    Raises
    ------
    InputError
        If the fits are of different carriers.
    """
    carriers = before.readings.meter.carrier, after.readings.meter.carrier
    if carriers[0] != carriers[1]:
        raise InputError(
            f"readings of {carriers[0]} before and of {carriers[1]} after",
            expected="the same carrier; compare fuels by their cost",
        )
    old, old_resampled = _year_kwh(before.bands, year)
    new, new_resampled = _year_kwh(after.bands, year)
    count = min(old_resampled.size, new_resampled.size)
    # reversed: equal seeds must not pair resample with resample
    saved = old_resampled[:count] - new_resampled[::-1][:count]
    return Saving(
        label=year.label,
        saved_kwh=band_of(saved, old - new),
        saved_share=band_of(saved / old_resampled[:count], (old - new) / old),
    )


def set_point_effect(bills: BillFit, year: DailyWeather, change_k: float) -> Band:
    """Additional use of a year when the set-point is changed.

    Parameters
    ----------
    bills
        Fit with a change point.
    year
        Weather of the year.
    change_k
        New less old set-point, K; both change points move by as much.

    Returns
    -------
    Band
        kWh of metered energy, negative: saved.

    Raises
    ------
    InputError
        If the form has no change point.
    """
    bands = bills.bands
    if not bands.fit.form.change_points:
        raise InputError(
            f"the {bands.fit.form.name} form knows no set-point", expected="a change point"
        )
    moved = replace(
        bands,
        fit=replace(bands.fit, change_c=bands.fit.change_c + change_k),
        change_c=bands.change_c + change_k,
    )
    old, old_resampled = _year_kwh(bands, year)
    new, new_resampled = _year_kwh(moved, year)
    return band_of(new_resampled - old_resampled, new - old)
