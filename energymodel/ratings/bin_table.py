"""Temperature bins of a rating season, and what a unit does in each of them."""

from __future__ import annotations

from dataclasses import dataclass, fields

import numpy as np

from energymodel.arrays import Array, frozen
from energymodel.errors import InputError


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Bins:
    """Hours of a season by outdoor temperature.

    Parameters
    ----------
    outdoor_c
        Bin temperatures, degC, rising, shape (bins,).
    hours
        Hours in each bin, h, shape (bins,).

    Raises
    ------
    InputError
        If the two do not fit together, temperatures do not rise or hours are negative.
    """

    outdoor_c: Array
    hours: Array

    def __post_init__(self) -> None:
        object.__setattr__(self, "outdoor_c", frozen(self.outdoor_c))
        object.__setattr__(self, "hours", frozen(self.hours))
        if self.outdoor_c.ndim != 1 or self.outdoor_c.shape != self.hours.shape:
            raise InputError(
                f"bins with {self.outdoor_c.size} temperatures and {self.hours.size} hours",
                expected="one number of hours for each temperature",
            )
        if not np.all(np.diff(self.outdoor_c) > 0):
            raise InputError("bin temperatures do not rise", remedy="sort them, each once")
        if not (np.all(np.isfinite(self.hours)) and np.all(self.hours >= 0)):
            raise InputError("bin hours must be numbers of zero or more")


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class BinTable:
    """A season bin by bin; all arrays have the shape (bins,).

    Parameters
    ----------
    outdoor_c
        Bin temperature, degC.
    hours
        Hours in the bin, h.
    load_w
        Load, W.
    delivered_w
        Heat or cold from the unit, W.
    power_w
        Electric power of the unit, W, without backup.
    backup_w
        Electric backup heat = its power, W; zero in cooling.
    """

    outdoor_c: Array
    hours: Array
    load_w: Array
    delivered_w: Array
    power_w: Array
    backup_w: Array

    def __post_init__(self) -> None:
        for column in fields(self):
            object.__setattr__(self, column.name, frozen(getattr(self, column.name)))

    @property
    def cop(self) -> Array:
        """COP or EER of the unit alone in each bin; nan where it does not run."""
        nothing = np.full_like(self.power_w, np.nan)
        return np.divide(self.delivered_w, self.power_w, out=nothing, where=self.power_w > 0)

    @property
    def load_kwh(self) -> Array:
        """Load of each bin over the season, kWh."""
        return self.hours * self.load_w / 1000.0

    @property
    def delivered_kwh(self) -> Array:
        """Heat or cold from the unit in each bin, kWh."""
        return self.hours * self.delivered_w / 1000.0

    @property
    def unit_kwh(self) -> Array:
        """Electricity of the unit in each bin, kWh."""
        return self.hours * self.power_w / 1000.0

    @property
    def backup_kwh(self) -> Array:
        """Electricity of the backup in each bin, kWh."""
        return self.hours * self.backup_w / 1000.0

    @property
    def electricity_kwh(self) -> Array:
        """Electricity of unit and backup in each bin, kWh."""
        return self.unit_kwh + self.backup_kwh

    @property
    def cop_system(self) -> float:
        """All heat (or cold) over all electricity of the season, backup included."""
        supplied = float(self.delivered_kwh.sum() + self.backup_kwh.sum())
        return supplied / float(self.electricity_kwh.sum())

    @property
    def cop_unit(self) -> float:
        """Heat (or cold) of the unit over its electricity; nan if it never runs."""
        electricity = float(self.unit_kwh.sum())
        return float(self.delivered_kwh.sum()) / electricity if electricity > 0 else float("nan")

    def rows(self) -> list[dict[str, float]]:
        """Return the table row by row, for printing or export.

        Returns
        -------
        list of dict
            One dict per bin: temperature (degC), hours (h), load, delivered, power and backup
            (W), COP, load and electricity of the season (kWh).
        """
        columns = {
            "outdoor_c": self.outdoor_c,
            "hours": self.hours,
            "load_w": self.load_w,
            "delivered_w": self.delivered_w,
            "power_w": self.power_w,
            "backup_w": self.backup_w,
            "cop": self.cop,
            "load_kwh": self.load_kwh,
            "electricity_kwh": self.electricity_kwh,
        }
        return [
            {name: float(values[row]) for name, values in columns.items()}
            for row in range(self.hours.size)
        ]
