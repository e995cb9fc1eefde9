"""Energy of many variants by month and by the cells of tariffs: who draws it for what, and when."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from energymodel.arrays import Array, Index, Mask
from energymodel.scenario.prices import ELECTRICITY
from energymodel.season.batch.cells import PeakWindows
from energymodel.season.batch.loads import loads_by_cell
from energymodel.season.batch.many import any_side
from energymodel.season.batch.run import BatchPlan, BatchResult, run_batch
from energymodel.season.batch.variants import Variants
from energymodel.season.option import Option
from energymodel.season.result import COOLING, HEATING, IDLE
from energymodel.season.states import distinct_states
from energymodel.study.batch.bills import CellBills
from energymodel.weather.year import WeatherYear

_MONTHS = 12


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Rows:
    """Rows of the sums: the cells of each tariff one after the other, or the months.

    `whole` are rows that together are the year.
    """

    weights: Array
    label: Index
    whole: slice
    of: dict[str, slice]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Windows:
    """Which of the peaks that were asked for is the one of each demand window.

    A window is asked for with heating alone, with idle power on top, and with everything, as far
    as some variant needs it.
    """

    label: Index
    asked: PeakWindows
    bare: Index
    idle: Index
    every: Index


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class BlockEnergy:
    """Energy of some variants.

    Parameters
    ----------
    result
        Sums by row.
    heats
        Months whose idle power belongs to heating, shape (12, variants).
    rows
        What the rows are.
    windows
        Demand windows of the electricity tariff; None: it has none.
    """

    result: BatchResult
    heats: Mask
    rows: _Rows
    windows: _Windows | None

    @property
    def count(self) -> int:
        """Number of variants."""
        return int(self.heats.shape[1])

    @property
    def no_peaks(self) -> Array:
        """Peaks of a tariff without demand windows, shape (0, variants)."""
        return np.zeros((0, self.count))

    def carriers(self) -> list[str]:
        """Electricity and the fuels that the option has columns for.

        Returns
        -------
        list of str
            With spaces, as prices name them.
        """
        fuels = [
            name.partition("_fuel_")[2].removesuffix("_kwh").replace("_", " ")
            for function in (HEATING, COOLING)
            for name in self.result.names_of(function, "fuel")
        ]
        return list(dict.fromkeys((ELECTRICITY, *fuels)))

    def _own(self, service: str, carrier: str) -> list[str]:
        if carrier == ELECTRICITY:
            return self.result.names_of(service, "electricity")
        return [f"{service}_fuel_{carrier.replace(' ', '_')}_kwh"]

    def _used(self, service: str, carrier: str, rows: slice) -> Array:
        """Use of a service in some rows, its idle share included, kWh."""
        used = self.result.cells(self._own(service, carrier), rows)
        idle = self.result.names_of(IDLE, "electricity")
        if carrier != ELECTRICITY or not idle:
            return used
        bears = self.heats if service == HEATING else ~self.heats
        used += self.result.cells(idle, rows) * bears[self.rows.label[rows]]
        return used

    def added_kwh(self, service: str, carrier: str) -> Array:
        """Use by row of the carrier's tariff.

        Parameters
        ----------
        service
            "heating" or "cooling", with its idle share.
        carrier
            Of a tariff that is billed by cells.

        Returns
        -------
        Array
            kWh, and kWh x price in the rows of hourly prices, shape (rows, variants).
        """
        return self._used(service, carrier, self.rows.of[carrier])

    def year_kwh(self, service: str, carrier: str) -> Array:
        """Use of the year.

        Parameters
        ----------
        service
            "heating" or "cooling", with its idle share.
        carrier
            Electricity or a fuel.

        Returns
        -------
        Array
            kWh, shape (variants,).
        """
        total: Array = self._used(service, carrier, self.rows.whole).sum(axis=0)
        return total

    def by_carrier(self) -> dict[str, Array]:
        """Use of both services by carrier.

        Returns
        -------
        dict of Array
            kWh, shape (variants,); carriers that no variant uses are left out.
        """
        used = {
            carrier: self.year_kwh(HEATING, carrier) + self.year_kwh(COOLING, carrier)
            for carrier in self.carriers()
        }
        return {carrier: kwh for carrier, kwh in used.items() if kwh.any()}

    def unmet_kwh(self, service: str) -> Array:
        """Load that stays unmet.

        Parameters
        ----------
        service
            "heating" or "cooling".

        Returns
        -------
        Array
            kWh, shape (variants,).
        """
        unmet: Array = self.result.cells([f"{service}_unmet_kwh"], self.rows.whole).sum(axis=0)
        return unmet

    def peak_kw(self, service: str) -> Array:
        """Highest power in each demand window up to a service: heating first, cooling on top.

        Parameters
        ----------
        service
            "heating" or "cooling".

        Returns
        -------
        Array
            kW, the other use included, shape (windows, variants).
        """
        windows, found = self.windows, self.result.peak_kw
        if windows is None or found is None:
            return self.no_peaks
        if service == COOLING:
            return found.T[windows.every]
        heats = self.heats[windows.label]
        return np.where(heats, found.T[windows.idle], found.T[windows.bare])


def block_energy(
    option: Option, weather: WeatherYear, variants: Variants, bills: tuple[CellBills, ...] = ()
) -> BlockEnergy:
    """Run the variants of an option.

    Parameters
    ----------
    option
        Without a memory.
    weather
        The year.
    variants
        Load lines and factors.
    bills
        Tariffs that are billed by cells, laid on the option's states.

    Returns
    -------
    BlockEnergy
        By month, or by the cells of the tariffs.
    """
    states = distinct_states(option, weather)
    loads = loads_by_cell(option, states, variants)
    heats = _heats(loads, option.idle_serves, len(variants))
    rows = _rows(bills, states.hours_in_month)
    electric = [one for one in bills if one.house.carrier == ELECTRICITY and len(one.base_w)]
    windows = _windows(electric[0], option, heats, loads) if electric else None
    plan = BatchPlan(
        hours=rows.weights,
        windows=None if windows is None else windows.asked,
        by_use=False,
    )
    result = run_batch(option, states, variants, plan, any_side)
    return BlockEnergy(result=result, heats=heats, rows=rows, windows=windows)


def _heats(loads: dict[str, Array], serves: frozenset[str], count: int) -> Mask:
    """Months whose idle power belongs to heating, by the rule of a single year's result."""
    none = np.zeros((_MONTHS, count))
    heating, cooling = loads.get(HEATING, none), loads.get(COOLING, none)
    heats: Mask = heating > cooling
    if serves == {COOLING}:
        heats = np.zeros_like(heats)
    if serves == {HEATING}:
        heats = heats | heating.any(axis=0)
    every: Mask = heats | ~cooling.any(axis=0)
    return every


def _rows(bills: tuple[CellBills, ...], hours_in_month: Array) -> _Rows:
    if not bills:
        return _Rows(
            weights=hours_in_month, label=np.arange(_MONTHS), whole=slice(0, _MONTHS), of={}
        )
    stops = np.cumsum([len(one.weights) for one in bills]).tolist()
    return _Rows(
        weights=np.concatenate([one.weights for one in bills]),
        label=np.concatenate([one.label for one in bills]),
        whole=bills[0].cells,
        of={
            one.house.carrier: slice(stop - len(one.weights), stop)
            for one, stop in zip(bills, stops, strict=True)
        },
    )


def _windows(bills: CellBills, option: Option, heats: Mask, loads: dict[str, Array]) -> _Windows:
    label, waits, cools = bills.window_label, bool(option.idle), COOLING in loads
    some, all_of_them = heats.any(axis=1), heats.all(axis=1)
    cooled = loads[COOLING].any(axis=1) if cools else np.zeros(_MONTHS, dtype=bool)
    # without idle power, heating alone and heating with it are the same
    in_month = [~all_of_them & waits, some | (not waits), (cooled | ~all_of_them) & cools]
    sets = [np.flatnonzero(np.asarray(one)[label]) for one in in_month]
    number = _numbers(sets, label.size)
    bare = np.where(number[0] >= 0, number[0], number[1])
    idle = np.where(number[1] >= 0, number[1], number[0])
    asked = np.concatenate(sets)
    kind = np.repeat(np.arange(3), [one.size for one in sets])
    return _Windows(
        label=label,
        asked=PeakWindows(
            base_w=bills.base_w[asked],
            heating=np.ones(asked.size, dtype=bool),
            cooling=(kind == 2) | (not cools),
            idle=kind > 0,
        ),
        bare=bare,
        idle=idle,
        every=np.where(number[2] >= 0, number[2], idle),
    )


def _numbers(sets: list[Index], windows: int) -> list[Index]:
    """Place of each window in each set among all that are asked for; -1: it is not in the set."""
    numbers, start = [], 0
    for one in sets:
        number = np.full(windows, -1)
        number[one] = np.arange(start, start + one.size)
        numbers.append(number)
        start += one.size
    return numbers
