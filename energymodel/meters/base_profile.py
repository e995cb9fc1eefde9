"""Monthly use of a household spread over the hours by a stated profile.

The spread is an assumption and is marked as one; the monthly totals are kept.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from energymodel.arrays import Array, frozen
from energymodel.errors import InputError
from energymodel.meters.interval_data import Moments
from energymodel.notices import Notice, UsedDefault

_HOURS = 24
_THURSDAY = 3
"""1970-01-01 was a Thursday, the fourth day of the week."""


@dataclass(frozen=True, slots=True, kw_only=True)
class DayProfile:
    """Shape of the use over a day; only the ratios between the hours count.

    Parameters
    ----------
    name
        What it is, as printed.
    weekday, weekend
        Relative use in each hour of a weekday and of a Saturday or Sunday, 24 values each, >= 0,
        on one scale.
    source
        Document, measurement, "our choice" or "given by the user".
    """

    name: str
    weekday: tuple[float, ...]
    weekend: tuple[float, ...]
    source: str


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class BaseUse:
    """Hourly use made from monthly use.

    Parameters
    ----------
    start_local
        Start of each hour, local standard time, shape (hours,).
    use_kwh
        Energy of each hour, kWh, shape (hours,).
    notices, defaults
        That the profile is an assumption.
    """

    start_local: Moments
    use_kwh: Array
    notices: tuple[Notice, ...]
    defaults: tuple[UsedDefault, ...]


FLAT = DayProfile(
    name="flat", weekday=(1.0,) * _HOURS, weekend=(1.0,) * _HOURS, source="our choice"
)


def day_profile(
    weekday: Sequence[float],
    weekend: Sequence[float] | None = None,
    *,
    name: str = "own shape of the day",
    source: str = "given by the user",
) -> DayProfile:
    """Return a profile from the user's own values.

    Parameters
    ----------
    weekday
        Relative use in each hour of a weekday, 24 values >= 0, from midnight.
    weekend
        The same for Saturday and Sunday; None: as weekdays.
    name, source
        As printed.

    Returns
    -------
    DayProfile
        Profile.

    Raises
    ------
    InputError
        If there are not 24 values, one is negative or no number, or all are zero.
    """
    days = tuple(tuple(float(value) for value in (day or weekday)) for day in (weekday, weekend))
    for values in days:
        sound = all(math.isfinite(value) and value >= 0.0 for value in values)
        if len(values) != _HOURS or not sound or not any(values):
            raise InputError(
                f"the profile {name!r} has {len(values)} values"
                + ("" if sound else ", some of them negative or no numbers")
                + ("" if any(values) else ", all of them zero"),
                expected="24 values of 0 or more, one for each hour of the day",
            )
    return DayProfile(name=name, weekday=days[0], weekend=days[1], source=source)


def spread_months(
    monthly_kwh: Sequence[float], hours: Moments, *, profile: DayProfile = FLAT
) -> BaseUse:
    """Spread monthly use over hours.

    Parameters
    ----------
    monthly_kwh
        Use in January to December, kWh, 12 values >= 0.
    hours
        Start of each hour, local standard time, whole months of one or several years; 29 February
        may be left out, as in typical years. Shape (hours,).
    profile
        Shape of the day by hours of local standard time.

    Returns
    -------
    BaseUse
        Hourly use. In every month the hours add up to the monthly use.

    Raises
    ------
    InputError
        If there are not 12 values, one is negative, or a month of `hours` is not whole.
    """
    monthly = _checked(monthly_kwh)
    start = np.asarray(hours).astype("datetime64[h]")
    month = start.astype("datetime64[M]")
    _refuse_parts(start)
    weight = _weights(start, profile)
    use = np.empty(start.size)
    for label in np.unique(month):
        rows = np.flatnonzero(month == label)
        total = float(monthly[int(label.astype(np.int64)) % 12])
        use[rows] = _shared(total, weight[rows])
    start.flags.writeable = False
    text = (
        f"The household's other use is known by month only and was spread over the hours by the "
        f"profile {profile.name!r} ({profile.source}), an assumption; charges by hour or by peak "
        "depend on it."
    )
    used = UsedDefault(name="profile of the other use", value=profile.name, source=profile.source)
    return BaseUse(
        start_local=start,
        use_kwh=frozen(use),
        notices=(Notice(topic="base use", text=text),),
        defaults=(used,),
    )


def _checked(monthly_kwh: Sequence[float]) -> Array:
    monthly: Array = np.array(monthly_kwh, dtype=np.float64)
    if monthly.shape != (12,) or not np.isfinite(monthly).all() or (monthly < 0.0).any():
        raise InputError(
            f"the monthly use has {monthly.size} values, or some are negative or no numbers",
            expected="12 values of 0 kWh or more, January to December",
        )
    return monthly


def _refuse_parts(start: Moments) -> None:
    """Refuse months cut short: a part of their hours would get the use of the whole month."""
    month = start.astype("datetime64[M]")
    labels, counts = np.unique(month, return_counts=True)
    wanted = ((labels + 1).astype("datetime64[D]") - labels.astype("datetime64[D]")).astype(int)
    leap = wanted == 29
    whole = (counts == wanted * _HOURS) | (leap & (counts == 28 * _HOURS))
    if not labels.size or not whole.all() or np.unique(start).size != start.size:
        first = labels[np.argmin(whole)] if labels.size else "none"
        raise InputError(
            f"the hours are not those of whole months (first fault: {first})",
            expected="every hour of each month once; 29 February may be left out",
        )


def _weights(start: Moments, profile: DayProfile) -> Array:
    hour = start.astype(np.int64) % _HOURS
    weekend = (start.astype("datetime64[D]").astype(np.int64) + _THURSDAY) % 7 >= 5
    shapes = np.array([profile.weekday, profile.weekend])
    weight: Array = shapes[weekend.astype(np.intp), hour]
    return weight


def _shared(total: float, weight: Array) -> Array:
    """Share a total by weights; the largest share takes the rounding, so that the sum is exact."""
    parts: Array = total * weight / weight.sum()
    largest = int(np.argmax(parts))
    parts[largest] += total - math.fsum(parts)
    return parts
