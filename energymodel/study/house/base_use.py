"""Base use - hot water, cooking, lights - by several methods side by side."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from energymodel.arrays import Array
from energymodel.building.fit_bands import Band
from energymodel.meters.month_shares import days_by_month
from energymodel.notices import Notice
from energymodel.study.house.from_bills import BillFit

LOWEST = 3
"""Number of lowest bills in the usual rule (common practice)."""
SUMMER = frozenset({6, 7, 8})
"""Summer months, northern half of the world."""
SOUTHERN_SUMMER = frozenset({12, 1, 2})
"""The same, southern half."""
_WIDE = 0.25
_RISE = (
    "Water heating takes more in winter, when the water comes in colder: part of it then counts as"
    " heating. --hot-water SHARE takes that off."
)


@dataclass(frozen=True, slots=True, kw_only=True)
class BaseEstimate:
    """Base use by one method.

    Parameters
    ----------
    method
        In words.
    kwh_per_day
        Metered energy per day.
    """

    method: str
    kwh_per_day: float


@dataclass(frozen=True, slots=True, kw_only=True)
class BaseUse:
    """Base use by all methods that the periods allow.

    Parameters
    ----------
    estimates
        One per method, the fit first where it has a change point.
    fit_band
        Band of the fit, kWh per day; None: the form has no base.
    notices
        How far the methods differ, and what may lie behind it.
    """

    estimates: tuple[BaseEstimate, ...]
    fit_band: Band | None
    notices: tuple[Notice, ...]

    @property
    def low_kwh_per_day(self) -> float:
        """Lowest of the methods, kWh per day."""
        return min(estimate.kwh_per_day for estimate in self.estimates)

    @property
    def high_kwh_per_day(self) -> float:
        """Highest of the methods, kWh per day."""
        return max(estimate.kwh_per_day for estimate in self.estimates)


def base_use(
    bills: BillFit, *, summer: frozenset[int] = SUMMER, hot_water_known: bool = False
) -> BaseUse:
    """Find the base use by the fit, by the lowest periods and by the summer mean.

    Parameters
    ----------
    bills
        Fit of one meter.
    summer
        Summer months, 1..12.
    hot_water_known
        The winter rise of hot water is taken off elsewhere.

    Returns
    -------
    BaseUse
        Methods that the periods do not allow are left out.
    """
    use, days = bills.fit.data.use_per_day, bills.fit.data.days
    estimates = []
    band = None
    if bills.fit.form.change_points:
        band = bills.bands.base_per_day
        name = f"fit, {bills.fit.form.name} form"
        estimates.append(BaseEstimate(method=name, kwh_per_day=band.likely))
    lowest = np.argsort(use)[:LOWEST]
    estimates.append(
        BaseEstimate(
            method=f"mean of the {LOWEST} lowest periods",
            kwh_per_day=float(np.average(use[lowest], weights=days[lowest])),
        )
    )
    share = _summer_days(bills, summer)
    mostly = share > days / 2.0
    if mostly.any():
        estimates.append(
            BaseEstimate(
                method=f"mean of the {int(mostly.sum())} summer periods",
                kwh_per_day=float(np.average(use[mostly], weights=days[mostly])),
            )
        )
    return BaseUse(
        estimates=tuple(estimates),
        fit_band=band,
        notices=_notices(
            bills,
            [estimate.kwh_per_day for estimate in estimates],
            hot_water_known=hot_water_known,
        ),
    )


def _summer_days(bills: BillFit, summer: frozenset[int]) -> Array:
    return np.array(
        [
            sum(days for (_, month), days in days_by_month(period).items() if month in summer)
            for period in bills.readings.periods
        ],
        dtype=np.float64,
    )


def _notices(bills: BillFit, values: list[float], *, hot_water_known: bool) -> tuple[Notice, ...]:
    texts = [] if hot_water_known else [_RISE]
    low, high = min(values), max(values)
    if high - low > _WIDE * max(abs(high), abs(low)):
        texts.append(
            f"The methods differ widely ({low:.1f} to {high:.1f} kWh a day): the base is uncertain."
        )
    if bills.readings.meter.carrier == "electricity" and bills.fit.form.cooling:
        texts.append("Summer periods hold cooling: their mean is no base use.")
    return tuple(Notice(topic="base use", text=text) for text in texts)
