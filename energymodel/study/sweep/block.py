"""Numbers of a piece of a sweep, and how a single comparison fills them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from energymodel.arrays import Array, Index, Mask
from energymodel.scenario.prices import ELECTRICITY, carrier_of
from energymodel.season.result import COOLING, HEATING, AnnualResult
from energymodel.study.comparison.outcome import Comparison, Outcome
from energymodel.study.sweep.plan import SweepPlan

SERVICES = (HEATING, COOLING)
FLAGS = ("present", "carries")
NUMBERS = (
    "installed_cost", "heating_cost", "cooling_cost", "yearly_cost", "like_cost", "saving",
    "payback_years", "heating_cop", "cooling_cop", "heating_unmet_kwh", "cooling_unmet_kwh",
    "co2e_kg",
)  # fmt: skip
MONTH_NUMBERS = ("heating_cost", "cooling_cost", "heating_unmet_kwh", "cooling_unmet_kwh")


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Block:
    """Results of some variants.

    Parameters
    ----------
    variants
        Their numbers, shape (n,).
    years
        By column, shape (n, options); nan where there is none.
    months
        By column, shape (n, options, 12); empty where months are not wanted.
    in_batch
        Which ran in a batch, shape (n,); the others ran one by one.
    reasons
        Why a variant was refused, by its position.
    """

    variants: Index
    years: dict[str, Array]
    months: dict[str, Array]
    in_batch: Mask
    reasons: dict[int, str]


def carriers_of(plan: SweepPlan) -> tuple[str, ...]:
    """List the carriers that have a price in a sweep.

    Parameters
    ----------
    plan
        The sweep.

    Returns
    -------
    tuple of str
        Electricity first.
    """
    priced = [carrier_of(key) for key in plan.base.content.price]
    return tuple(dict.fromkeys((ELECTRICITY, *priced)))


def kwh_column(carrier: str) -> str:
    """Name the column of a carrier.

    Parameters
    ----------
    carrier
        Such as "natural gas".

    Returns
    -------
    str
        Such as "natural_gas_kwh".
    """
    return f"{carrier.replace(' ', '_')}_kwh"


def empty_block(plan: SweepPlan, variants: Index) -> Block:
    """Make a block without numbers.

    Parameters
    ----------
    plan
        The sweep.
    variants
        Numbers of the variants.

    Returns
    -------
    Block
        All nan.
    """
    uses = [kwh_column(carrier) for carrier in carriers_of(plan)]
    shape = (variants.size, len(plan.options))
    months = [*MONTH_NUMBERS, *uses] if plan.months else []
    return Block(
        variants=variants,
        years={name: np.full(shape, np.nan) for name in (*FLAGS, *NUMBERS, *uses)},
        months={name: np.full((*shape, 12), np.nan) for name in months},
        in_batch=np.zeros(variants.size, dtype=bool),
        reasons={},
    )


def fill(block: Block, at: int, comparison: Comparison, options: Sequence[str]) -> None:
    """Write a comparison into a block.

    Parameters
    ----------
    block
        Changed in place.
    at
        Position of the variant.
    comparison
        Of that variant.
    options
        Names in the order of the block.
    """
    for outcome in comparison.outcomes:
        place = (at, options.index(outcome.name))
        for name, value in _year(outcome).items():
            block.years[name][place] = np.nan if value is None else value
        for carrier, kwh in _by_carrier(block.years, outcome).items():
            block.years[carrier][place] = kwh
        for name, values in _months(outcome, block.months).items():
            block.months[name][place] = values


def _year(outcome: Outcome) -> dict[str, float | None]:
    cost, result = outcome.service_cost, outcome.result
    against = outcome.against_present
    saved = against.payback if against is not None else None
    return {
        "present": float(outcome.present),
        "carries": float(outcome.carries),
        "installed_cost": outcome.planned.table.installed_cost,
        "yearly_cost": outcome.yearly_cost,
        "like_cost": outcome.like_cost,
        "saving": saved.yearly_saving if saved else None,
        "payback_years": saved.years if saved else None,
        "co2e_kg": outcome.emissions.co2e_kg,
        **{f"{service}_cost": cost.get(service) for service in SERVICES},
        **{f"{service}_cop": result.cop_season(service) for service in SERVICES},
        **{f"{service}_unmet_kwh": _unmet(result, service) for service in SERVICES},
    }


def _unmet(result: AnnualResult, service: str) -> float | None:
    name = f"{service}_unmet_kwh"
    return result.total(name) if name in result.columns else None


def _by_carrier(columns: dict[str, Array], outcome: Outcome) -> dict[str, float]:
    used = {kwh_column(carrier): kwh for carrier, kwh in outcome.energy_kwh.items()}
    ours = [name for name in columns if name.endswith("_kwh") and "_unmet_" not in name]
    return {name: used.get(name, 0.0) for name in ours}


def _months(outcome: Outcome, wanted: dict[str, Array]) -> dict[str, Array]:
    if not wanted:
        return {}
    result = outcome.result
    months: dict[str, Array] = {name: np.zeros(12) for name in wanted}
    for service in SERVICES:
        name = f"{service}_unmet_kwh"
        there = service in outcome.cost_by_month
        months[name] = result.month_totals(name) if there else np.full(12, np.nan)
        nothing = np.full(12, np.nan)
        months[f"{service}_cost"] = outcome.cost_by_month.get(service, nothing)
        months[kwh_column(ELECTRICITY)] += result.electricity_by_month(service)
        for carrier, kwh in result.fuel_by_month(service).items():
            months[kwh_column(carrier)] += kwh
    return months
