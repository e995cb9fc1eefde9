"""Energy of one option by month over many loads and factors."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from energymodel.arrays import Array, Index, Mask
from energymodel.equipment.flows import Conditions
from energymodel.equipment.frost import DEFAULT_HUMIDITY_PCT
from energymodel.scenario.assemble import Model, PlannedOption
from energymodel.scenario.heat_pump_kind import CompressorRecord
from energymodel.season.annual import annual
from energymodel.season.batch.many import many_years
from energymodel.season.batch.run import BatchResult
from energymodel.season.batch.segments import no_batch
from energymodel.season.batch.sources import heat_pumps_in, heaters_in
from energymodel.season.batch.variants import Variants
from energymodel.season.option import Option
from energymodel.season.result import COOLING, HEATING, IDLE
from energymodel.season.states import distinct_states
from energymodel.study.batch.money import kind_costs, laid_out
from energymodel.study.comparison.bill_costs import HouseBill
from energymodel.study.sweep.loads import Case, Line, built_for_load, option_line, source_of


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class OptionEnergy:
    """Energy of an option, each array of shape (cases, 12), kWh.

    Parameters
    ----------
    electricity, load, delivered, unmet
        By service.
    fuel
        By service and carrier.
    short
        Cases in which it does not carry the design load, shape (cases,); None: no heating.
    billed
        By service and carrier under a tariff: money per year, shape (cases,).
    """

    electricity: Mapping[str, Array]
    load: Mapping[str, Array]
    delivered: Mapping[str, Array]
    unmet: Mapping[str, Array]
    fuel: Mapping[str, Mapping[str, Array]]
    short: Mask | None
    billed: Mapping[tuple[str, str], Array]

    @property
    def services(self) -> tuple[str, ...]:
        """Services that the option gives."""
        return tuple(self.load)

    def used(self, service: str) -> dict[str, Array]:
        """Energy of a service by carrier.

        Parameters
        ----------
        service
            "heating" or "cooling".

        Returns
        -------
        dict of Array
            Shape (cases, 12).
        """
        return {"electricity": self.electricity[service], **self.fuel[service]}


def option_energy(
    cases: tuple[Case, ...], model: Model, number: int, houses: Mapping[str, HouseBill]
) -> OptionEnergy:
    """Run an option over many loads and factors.

    Parameters
    ----------
    cases
        Loads and factors.
    model
        The structure.
    number
        Of the option.
    houses
        Tariffs laid on the year, by carrier.

    Returns
    -------
    OptionEnergy
        By month.

    Raises
    ------
    NoBatchError
        If only single runs can answer.
    """
    planned = model.options[number]
    heating = option_line(cases, planned, model, number=number, heating=True)
    cooling = option_line(cases, planned, model, number=number, heating=False)
    columns = _Columns(heating=heating, cooling=cooling, **_factors(cases, planned, number))
    every = np.arange(len(cases))
    parts = [(planned.option, every)]
    if len(cases) > 1 and built_for_load(planned):
        sources = [source_of(case, model, number) for case in cases]
        parts = [
            (replace(planned.option, heating=source), every[at : at + 1])
            for at, source in enumerate(sources)
        ]
    shorts = [
        _short(option, [cases[at] for at in rows], columns.at(rows), model)
        for option, rows in parts
    ]
    billed = [
        _billed(model, replace(planned, option=option), columns.at(rows), houses)
        for option, rows in parts
    ]
    return replace(
        _energy(_years(model, parts, columns), planned.option.idle_serves, _joined(shorts)),
        billed={key: np.concatenate([part[key] for part in billed]) for key in billed[0]},
    )


def _years(model: Model, parts: list[tuple[Option, Index]], columns: _Columns) -> BatchResult:
    """Run the parts; where heat stands apart from cooling, the cooling of all of them at once."""
    first = parts[0][0]
    if len(parts) == 1 or any(unit.heats for unit in first.idle):
        years = [many_years(option, model.weather, columns.at(rows)) for option, rows in parts]
        return replace(years[0], kwh=np.concatenate([year.kwh for year in years]))
    result = _heating_years(model, parts, columns)
    if first.cooling is None or columns.cooling is None:
        return result
    rows = np.concatenate([rows for _, rows in parts])
    cooled = many_years(
        replace(first, heating=None, heating_load=None),
        model.weather,
        columns.at(rows, heats=False),
    )
    kwh = np.concatenate([result.kwh, cooled.kwh], axis=2)
    return replace(result, names=(*result.names, *cooled.names), kwh=kwh)


def _heating_years(
    model: Model, parts: list[tuple[Option, Index]], columns: _Columns
) -> BatchResult:
    """Heat of sources that differ, one year each over the same states."""
    line = columns.heating
    own = parts[0][0].heating_load
    if line is None or own is None:
        raise no_batch(f"{parts[0][0].name} has no heating load", "a load to build the heating for")
    heats = [
        replace(
            option,
            cooling=None,
            idle=(),
            heating_load=replace(
                own,
                slope_w_per_k=float(line.slope_w_per_k[rows[0]]),
                balance_c=float(line.balance_c[rows[0]]),
            ),
        )
        for option, rows in parts
    ]
    states = distinct_states(heats[0], model.weather)
    years = [annual(option, model.weather, indexing=lambda *_: states) for option in heats]
    names = tuple(name for name in years[0].columns if name.endswith("_kwh"))
    kwh = np.array([[year.month_totals(name) for name in names] for year in years])
    return BatchResult(names=names, kwh=kwh.transpose(0, 2, 1), peak_kw=None)


def _billed(
    model: Model, planned: PlannedOption, variants: Variants, houses: Mapping[str, HouseBill]
) -> dict[tuple[str, str], Array]:
    if not houses:
        return {}
    money = kind_costs(laid_out(model, planned, houses), variants).money
    return {key: values for key, values in money.items() if key[1] in houses}


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Columns:
    """Loads and factors of all cases; None: the option's own."""

    heating: Line | None
    cooling: Line | None
    heating_in_service: Array | None
    cooling_in_service: Array | None
    burner_in_service: Array | None

    def at(self, rows: Index, *, heats: bool = True) -> Variants:
        """Columns of some cases."""
        return Variants(
            **(_line_columns("heating", self.heating, rows) if heats else {}),
            **_line_columns("cooling", self.cooling, rows),
            heating_in_service_factor=_rows(self.heating_in_service, rows) if heats else None,
            cooling_in_service_factor=_rows(self.cooling_in_service, rows),
            burner_in_service_factor=_rows(self.burner_in_service, rows) if heats else None,
        )


def _line_columns(function: str, line: Line | None, rows: Index) -> dict[str, Array]:
    if line is None:
        return {}
    return {
        f"{function}_slope_w_per_k": line.slope_w_per_k[rows],
        f"{function}_balance_c": line.balance_c[rows],
    }


def _rows(column: Array | None, rows: Index) -> Array | None:
    return None if column is None else column[rows]


def _factors(
    cases: tuple[Case, ...], planned: PlannedOption, number: int
) -> dict[str, Array | None]:
    """In-service factors, where the cases differ in them."""
    heats = [case.options[number].heating for case in cases]
    cools = [case.options[number].cooling for case in cases]
    found: dict[str, Array | None] = {
        "heating_in_service": None, "cooling_in_service": None, "burner_in_service": None,
    }  # fmt: skip
    for records, source, name in (
        (heats, planned.option.heating, "heating_in_service"),
        (cools, planned.option.cooling, "cooling_in_service"),
    ):
        given = [getattr(record, "in_service", None) for record in records]
        own = getattr(planned.table, name.partition("_")[0])
        if source is None or all(value == getattr(own, "in_service", None) for value in given):
            continue
        pump = isinstance(own, CompressorRecord)
        machines = heat_pumps_in(source) if pump else heaters_in(source)
        if not machines:
            raise no_batch(
                f"in-service factors of {planned.option.name}", "a heat pump or a burner"
            )
        factors = [machines[0].in_service_factor if value is None else value for value in given]
        found[name if pump else "burner_in_service"] = np.array(factors)
    return found


def _short(option: Option, cases: list[Case], variants: Variants, model: Model) -> Mask | None:
    """Cases in which the option gives less than the load at the design temperature."""
    slope, balance = variants.heating_slope_w_per_k, variants.heating_balance_c
    if option.heating is None or slope is None or balance is None:
        return None
    coldest_c = float(model.weather.outdoor_c.min())
    at = np.array([coldest_c if case.design_c is None else case.design_c for case in cases])
    load_w = slope * np.maximum(balance - at, 0.0)
    conditions = Conditions(
        outdoor_c=at,
        relative_humidity_pct=np.full(at.size, DEFAULT_HUMIDITY_PCT),
        indoor_c=option.heating_indoor_c,
    )
    given_w = option.heating.run(conditions, load_w).delivered_w
    for at_c in np.unique(at).tolist() if option.heating_supply.interruption else ():
        left = option.left_in_cold(option.heating, at_c, model.weather)
        given_w = np.where(at == at_c, left.run(conditions, load_w).delivered_w, given_w)
    short: Mask = given_w < load_w * (1.0 - 1e-9)
    return short


def _joined(masks: list[Mask | None]) -> Mask | None:
    there = [mask for mask in masks if mask is not None]
    return np.concatenate(there) if there else None


def _energy(result: BatchResult, serves: frozenset[str], short: Mask | None) -> OptionEnergy:
    services = [name for name in (HEATING, COOLING) if f"{name}_load_kwh" in result.names]
    load = {service: result.column(f"{service}_load_kwh") for service in services}
    idle = _sum(result, result.names_of(IDLE, "electricity"))
    belongs = _idle_belongs(result, serves)
    return OptionEnergy(
        electricity={
            service: _sum(result, result.names_of(service, "electricity"))
            + np.where(belongs[service], idle, 0.0)
            for service in (HEATING, COOLING)
        },
        load=load,
        delivered={service: result.column(f"{service}_delivered_kwh") for service in services},
        unmet={service: result.column(f"{service}_unmet_kwh") for service in services},
        fuel={
            service: {
                _carrier(name, service): result.column(name)
                for name in result.names_of(service, "fuel")
            }
            for service in (HEATING, COOLING)
        },
        short=short,
        billed={},
    )


def _idle_belongs(result: BatchResult, serves: frozenset[str]) -> dict[str, Mask]:
    """Months whose idle power is heating's, and cooling's, as a single year has them."""
    heating, cooling = result.column("heating_load_kwh"), result.column("cooling_load_kwh")
    heats = heating > cooling
    heated = heating.any(axis=1, keepdims=True)
    cooled = cooling.any(axis=1, keepdims=True)
    all_heats = ~cooled | (heated & (serves == {HEATING}))
    heats = np.where(serves == {COOLING}, all_heats, heats | all_heats)
    return {HEATING: heats, COOLING: ~heats}


def _carrier(name: str, service: str) -> str:
    return name.removeprefix(f"{service}_fuel_").removesuffix("_kwh").replace("_", " ")


def _sum(result: BatchResult, names: list[str]) -> Array:
    return sum((result.column(name) for name in names), np.zeros(result.kwh.shape[:2]))
