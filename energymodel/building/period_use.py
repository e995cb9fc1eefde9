"""Use per day of metered periods with the outdoor temperatures of exactly those days."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from energymodel.arrays import Array, Index, frozen
from energymodel.errors import InputError


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PeriodTemperatures:
    """Outdoor temperatures of some periods.

    Parameters
    ----------
    samples_c
        Temperature of each day (or hour) of each period, degC, nan after the last one of a
        shorter period, shape (periods, most samples); kept in rising order. One column: only
        the means are known.
    """

    samples_c: Array
    _sums: Array = field(init=False, repr=False)

    def __post_init__(self) -> None:
        if self.samples_c.ndim != 2 or self.samples_c.shape[1] == 0:
            raise InputError("temperatures of periods", expected="one row of values per period")
        if np.isnan(self.samples_c).all(axis=1).any():
            raise InputError("a period without any outdoor temperature")
        rising = np.sort(self.samples_c, axis=1)
        sums = np.zeros((rising.shape[0], rising.shape[1] + 1))
        np.cumsum(np.nan_to_num(rising), axis=1, out=sums[:, 1:])
        object.__setattr__(self, "samples_c", frozen(rising))
        object.__setattr__(self, "_sums", frozen(sums))

    def __len__(self) -> int:
        return int(self.samples_c.shape[0])

    @property
    def has_days(self) -> bool:
        """More than the mean of each period is known."""
        return bool(self.samples_c.shape[1] > 1)

    @property
    def count(self) -> Array:
        """Number of samples in each period, shape (periods,)."""
        return np.asarray((~np.isnan(self.samples_c)).sum(axis=1), dtype=np.float64)

    @property
    def mean_c(self) -> Array:
        """Mean temperature of each period, degC, shape (periods,)."""
        return np.asarray(self._sums[:, -1] / self.count)

    def as_means(self) -> PeriodTemperatures:
        """Return the same periods with their mean temperatures only.

        Returns
        -------
        PeriodTemperatures
            One column.
        """
        return PeriodTemperatures(samples_c=self.mean_c[:, None])

    def degrees_below(self, base_c: Array) -> Array:
        """Mean of (base - temperature), where positive, over the samples of each period.

        Parameters
        ----------
        base_c
            Base temperatures, degC, shape (bases,).

        Returns
        -------
        Array
            K (heating degree-days per day), shape (bases, periods).
        """
        below = self._number_below(base_c)
        sums = self._sums[np.arange(len(self)), below]
        return np.asarray(np.maximum((base_c[:, None] * below - sums) / self.count, 0.0))

    def degrees_above(self, base_c: Array) -> Array:
        """Mean of (temperature - base), where positive, over the samples of each period.

        Parameters
        ----------
        base_c
            Base temperatures, degC, shape (bases,).

        Returns
        -------
        Array
            K (cooling degree-days per day), shape (bases, periods).
        """
        below = self._number_below(base_c)
        sums = self._sums[:, -1] - self._sums[np.arange(len(self)), below]
        above = self.count - below
        return np.asarray(np.maximum((sums - base_c[:, None] * above) / self.count, 0.0))

    def share_below(self, base_c: Array) -> Array:
        """Share of the samples of each period that lie below a base temperature.

        Parameters
        ----------
        base_c
            Base temperatures, degC, shape (bases,).

        Returns
        -------
        Array
            0..1, shape (bases, periods); the rise of `degrees_below` with the base.
        """
        return np.asarray(self._number_below(base_c) / self.count)

    def _number_below(self, base_c: Array) -> Index:
        number = np.empty((base_c.size, len(self)), dtype=np.intp)
        for period, samples in enumerate(self.samples_c):
            number[:, period] = np.searchsorted(samples, base_c)
        return number


def known_means(mean_c: Array) -> PeriodTemperatures:
    """Temperatures of periods of which only the means are known.

    Parameters
    ----------
    mean_c
        Mean outdoor temperature of each period, degC, shape (periods,).

    Returns
    -------
    PeriodTemperatures
        One column.
    """
    return PeriodTemperatures(samples_c=np.asarray(mean_c, dtype=np.float64)[:, None])


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PeriodUse:
    """What a bill regression needs of each period.

    Parameters
    ----------
    use_per_day
        Use per day, any unit of energy, shape (periods,).
    days
        Days of each period, > 0: its weight, shape (periods,).
    temperatures
        Outdoor temperatures of those days.
    """

    use_per_day: Array
    days: Array
    temperatures: PeriodTemperatures

    def __post_init__(self) -> None:
        periods = len(self.temperatures)
        if self.use_per_day.shape != (periods,) or self.days.shape != (periods,):
            raise InputError(
                f"{self.use_per_day.size} values of use and {self.days.size} of days for "
                f"{periods} periods of weather",
                expected="one of each per period",
            )
        if not (np.isfinite(self.use_per_day).all() and (self.days > 0).all()):
            raise InputError("a period without a use or without days")
        object.__setattr__(self, "use_per_day", frozen(self.use_per_day))
        object.__setattr__(self, "days", frozen(self.days))

    def __len__(self) -> int:
        return len(self.temperatures)

    @property
    def weights(self) -> Array:
        """Days over their mean, shape (periods,)."""
        return np.asarray(self.days / self.days.mean())
