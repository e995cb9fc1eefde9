"""The result of a year: columns at the states, read as hours, months or the whole year."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import numpy as np

from energymodel.arrays import Array, Index, Mask
from energymodel.notices import Notice
from energymodel.season.states import States

if TYPE_CHECKING:
    import pandas as pd

HEATING = "heating"
COOLING = "cooling"
IDLE = "idle"


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class AnnualResult:
    """A year of one option.

    Parameters
    ----------
    option_name
        Name of the option.
    states
        Index of the year.
    columns
        Values at the states, shape (states,): energies in kWh per hour under names that end in
        `_kwh`; hours (0 or 1) under names that end in `_h`. The first word of a name is the
        function: heating, cooling or idle.
    running_w
        Electric power of what runs at each state, W.
    notices
        What the reader should know.
    idle_serves
        Functions that the units with idle power serve; empty: not known, as if both.
    own_meter_kwh
        Electricity that passes a meter of the option's own: kWh per hour at the states, by
        function and for what waits ("idle"); empty: all passes the household's meter.

    Notes
    -----
    Names: `{function}_load_kwh`, `_delivered_kwh`, `_unmet_kwh`, `_duct_loss_kwh`,
    `_pump_heat_kwh`, `_pump_power_kwh`, `_electricity_{use}_kwh`, `_fuel_{carrier}_kwh` (higher
    heating value), `_cycling_h`, `_at_full_h`, `_outside_range_h`, `_extrapolated_h`, `_loaded_h`;
    `_no_supply_h` (hours with a load) where the supply is cut at times.
    """

    option_name: str
    states: States
    columns: Mapping[str, Array]
    running_w: Array
    notices: tuple[Notice, ...] = ()
    idle_serves: frozenset[str] = frozenset()
    own_meter_kwh: Mapping[str, Array] = field(default_factory=dict)

    def month_totals(self, name: str) -> Array:
        """Sum of a column by month.

        Parameters
        ----------
        name
            Column name; a column that the option does not have is zero.

        Returns
        -------
        Array
            Shape (12,).
        """
        values = self.columns.get(name)
        if values is None:
            return np.zeros(12)
        totals: Array = self.states.hours_in_month @ values
        return totals

    def total(self, name: str) -> float:
        """Sum of a column over the year.

        Parameters
        ----------
        name
            Column name; a column that the option does not have is zero.

        Returns
        -------
        float
            kWh or hours.
        """
        return float(self.month_totals(name).sum())

    def names(self, function: str, kind: str) -> list[str]:
        """Names of the columns of one function and kind.

        Parameters
        ----------
        function
            "heating", "cooling" or "idle".
        kind
            "electricity" or "fuel".

        Returns
        -------
        list of str
            In the order in which they were made.
        """
        return [name for name in self.columns if name.startswith(f"{function}_{kind}_")]

    def _sum_by_month(self, names: Iterable[str]) -> Array:
        return sum((self.month_totals(name) for name in names), np.zeros(12))

    def idle_by_month(self, function: str) -> Array:
        """Idle electricity that belongs to a function.

        Parameters
        ----------
        function
            "heating" or "cooling".

        Returns
        -------
        Array
            kWh, shape (12,): all of a month goes to heating where its heating load exceeds its
            cooling load, else to cooling. Where every unit with idle power serves one function
            alone, all of it goes there: a window unit that waits through the winter is a cost of
            cooling, and the heat beside it costs what it cost without.
        """
        idle = self._sum_by_month(self.names(IDLE, "electricity"))
        return np.where(self._idle_belongs(function), idle, 0.0)

    def _idle_belongs(self, function: str) -> Mask:
        heating = self.month_totals("heating_load_kwh")
        cooling = self.month_totals("cooling_load_kwh")
        heats = heating > cooling
        if not cooling.any() or (self.idle_serves == {HEATING} and heating.any()):
            heats = np.ones(12, dtype=bool)
        elif self.idle_serves == {COOLING}:
            heats = np.zeros(12, dtype=bool)
        return heats if function == HEATING else ~heats

    def electricity_by_month(self, function: str) -> Array:
        """Electricity of a function, its idle share included.

        Parameters
        ----------
        function
            "heating" or "cooling".

        Returns
        -------
        Array
            kWh, shape (12,).
        """
        own = self._sum_by_month(self.names(function, "electricity"))
        return own + self.idle_by_month(function)

    def fuel_by_month(self, function: str) -> dict[str, Array]:
        """Fuel of a function by carrier.

        Parameters
        ----------
        function
            "heating" or "cooling".

        Returns
        -------
        dict of Array
            kWh, higher heating value, shape (12,).
        """
        head = f"{function}_fuel_"
        return {
            name.removeprefix(head).removesuffix("_kwh"): self.month_totals(name)
            for name in self.names(function, "fuel")
        }

    def cop_unit(self, function: str) -> float | None:
        """Heat from the heat pump over its electricity, hours with load.

        Parameters
        ----------
        function
            "heating" or "cooling".

        Returns
        -------
        float or None
            None where no heat pump runs.
        """
        return _ratio(
            self.total(f"{function}_pump_heat_kwh"), self.total(f"{function}_pump_power_kwh")
        )

    def cop_system(self, function: str) -> float | None:
        """All heat to the room, backup included, over all energy of that function.

        Parameters
        ----------
        function
            "heating" or "cooling".

        Returns
        -------
        float or None
            Without idle power; fuel counts with its higher heating value.
        """
        own = float(self._sum_by_month(self.names(function, "electricity")).sum())
        return _ratio(self.total(f"{function}_delivered_kwh"), own + self._fuel(function))

    def cop_season(self, function: str) -> float | None:
        """As `cop_system`, with the idle power of that function's months.

        Parameters
        ----------
        function
            "heating" or "cooling".

        Returns
        -------
        float or None
            The figure used in tables.
        """
        used = float(self.electricity_by_month(function).sum()) + self._fuel(function)
        return _ratio(self.total(f"{function}_delivered_kwh"), used)

    def _fuel(self, function: str) -> float:
        return float(sum(values.sum() for values in self.fuel_by_month(function).values()))

    def hourly_electricity_kwh(self) -> Array:
        """All electricity of each hour.

        Returns
        -------
        Array
            kWh, shape (hours,).
        """
        names = [name for name in self.columns if "_electricity_" in name]
        at_states = sum((self.columns[name] for name in names), np.zeros(len(self.states)))
        by_hour: Array = at_states[self.states.inverse]
        return by_hour

    def hourly_electricity_of(self, function: str, month_of_hour: Index) -> Array:
        """Electricity of a function in each hour, its idle share included.

        Parameters
        ----------
        function
            "heating" or "cooling".
        month_of_hour
            Month of each hour, 1..12, shape (hours,).

        Returns
        -------
        Array
            kWh, shape (hours,).
        """
        nothing = np.zeros(len(self.states))
        own = sum((self.columns[name] for name in self.names(function, "electricity")), nothing)
        idle = sum((self.columns[name] for name in self.names(IDLE, "electricity")), nothing)
        return self._with_idle(own, idle, function, month_of_hour)

    def hourly_own_meter_of(self, function: str, month_of_hour: Index) -> Array:
        """Electricity of a function that passes the option's own meter in each hour.

        Parameters
        ----------
        function
            "heating" or "cooling".
        month_of_hour
            Month of each hour, 1..12, shape (hours,).

        Returns
        -------
        Array
            kWh, idle share included, shape (hours,); zero without such a meter.
        """
        nothing = np.zeros(len(self.states))
        own = self.own_meter_kwh.get(function, nothing)
        return self._with_idle(own, self.own_meter_kwh.get(IDLE, nothing), function, month_of_hour)

    def _with_idle(self, own: Array, idle: Array, function: str, month_of_hour: Index) -> Array:
        counts = self._idle_belongs(function)[month_of_hour - 1]
        by_hour: Array = own[self.states.inverse]
        return by_hour + np.where(counts, idle[self.states.inverse], 0.0)

    @property
    def peak_hour_kw(self) -> float:
        """Largest hourly mean electric power, kW."""
        return float(self.hourly_electricity_kwh().max())

    @property
    def peak_running_kw(self) -> float:
        """Largest electric power of what runs at once, kW; demand in shorter windows is between."""
        return float(self.running_w.max()) / 1000.0

    def monthly(self) -> pd.DataFrame:
        """Every column by month.

        Returns
        -------
        DataFrame
            12 rows, index `month`.
        """
        import pandas as pd  # noqa: PLC0415

        index = pd.Index(range(1, 13), name="month")
        return pd.DataFrame({name: self.month_totals(name) for name in self.columns}, index=index)

    def hourly(self, index: pd.Index | None = None) -> pd.DataFrame:
        """Every column by hour.

        Parameters
        ----------
        index
            Hour labels, for example the weather table's; by default 0, 1, 2, ...

        Returns
        -------
        DataFrame
            One row per hour, with `outdoor_c` first.
        """
        import pandas as pd  # noqa: PLC0415

        data = {"outdoor_c": self.states.outdoor_c, **self.columns, "running_w": self.running_w}
        return pd.DataFrame({k: v[self.states.inverse] for k, v in data.items()}, index=index)


def _ratio(useful: float, spent: float) -> float | None:
    return useful / spent if spent > 0 and useful > 0 else None
