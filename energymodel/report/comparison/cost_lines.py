"""What an option costs, line by line: energy, demand, fixed charges and fuel."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from enum import Enum

import numpy as np

from energymodel.arrays import Array
from energymodel.scenario.prices import ELECTRICITY, CarrierPrice
from energymodel.season.result import COOLING, HEATING, AnnualResult
from energymodel.study.comparison.outcome import Outcome

_NOTHING = 1e-9
_FIXED_KINDS = ("customer", "minimum")
_DEMAND_KINDS = ("demand", "reactive")
_USE_KINDS = ("energy", "adjustment", "export")


class LineGroup(Enum):
    """What a line of a bill is charged for, as named in charts."""

    ENERGY = "electricity by use"
    DEMAND = "peak demand"
    FUEL = "fuel"
    FIXED = "fixed charges"
    OTHER = "taxes and rebates"


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class CostLine:
    """One line of what an option adds to the bills of the house.

    Parameters
    ----------
    carrier
        Whose bill it is on.
    label
        Text of the line.
    group
        What it is charged for.
    service
        "heating" or "cooling" under a flat price; empty where a line serves both.
    unit
        Of the quantity; empty: none.
    quantity
        By month, shape (12,).
    price
        Money per unit; None where the line has no single price.
    by_month
        Money, shape (12,).
    """

    carrier: str
    label: str
    group: LineGroup
    service: str = ""
    unit: str = ""
    quantity: Array
    price: float | None = None
    by_month: Array

    @property
    def year(self) -> float:
        """Money per year."""
        return float(self.by_month.sum())


def cost_lines(outcome: Outcome, prices: Mapping[str, CarrierPrice]) -> tuple[CostLine, ...]:
    """List the lines of which the yearly cost of an option is made.

    Parameters
    ----------
    outcome
        One option.
    prices
        By carrier.

    Returns
    -------
    tuple of CostLine
        Their sum over the year is :attr:`Outcome.yearly_cost`; lines without any amount are left
        out. Under a tariff: the bill with the option less the bill without it, line by line.
    """
    lines: list[CostLine] = []
    for carrier in dict.fromkeys((*outcome.energy_kwh, *outcome.bills, *prices)):
        if carrier in outcome.bills:
            lines += _billed(outcome, carrier)
        elif carrier in prices:
            lines += _flat(outcome.result, prices[carrier])
        lines += _account(outcome, carrier)
    return tuple(line for line in lines if np.abs(line.by_month).max() > _NOTHING)


def used_by_month(result: AnnualResult, service: str, carrier: str) -> Array:
    """Energy of one carrier for one service.

    Parameters
    ----------
    result
        The option's year.
    service
        "heating" or "cooling".
    carrier
        "electricity", "natural gas", ...

    Returns
    -------
    Array
        kWh, fuels by higher heating value, shape (12,).
    """
    if f"{service}_load_kwh" not in result.columns:
        return np.zeros(12)
    if carrier == ELECTRICITY:
        return result.electricity_by_month(service)
    fuels = result.fuel_by_month(service)
    return fuels.get(carrier.replace(" ", "_"), np.zeros(12))


def _group(carrier: str, kind: str) -> LineGroup:
    if kind in _FIXED_KINDS:
        return LineGroup.FIXED
    if kind in _DEMAND_KINDS:
        return LineGroup.DEMAND
    if kind not in _USE_KINDS:
        return LineGroup.OTHER
    return LineGroup.ENERGY if carrier == ELECTRICITY else LineGroup.FUEL


def _billed(outcome: Outcome, carrier: str) -> Iterator[CostLine]:
    for line in outcome.bills[carrier].whole.lines:
        yield CostLine(
            carrier=carrier,
            label=line.label,
            group=_group(carrier, line.kind.value),
            unit=line.unit,
            quantity=line.quantity,
            by_month=line.amount,
        )


def _flat(result: AnnualResult, price: CarrierPrice) -> Iterator[CostLine]:
    for service in (HEATING, COOLING):
        used_kwh = used_by_month(result, service, price.carrier)
        quantity = used_kwh / price.kwh_per_unit
        yield CostLine(
            carrier=price.carrier,
            label=f"{price.carrier} for {service}",
            group=_group(price.carrier, "energy"),
            service=service,
            unit=price.per,
            quantity=quantity,
            price=price.per_kwh * price.kwh_per_unit,
            by_month=used_kwh * price.per_kwh,
        )


def _account(outcome: Outcome, carrier: str) -> Iterator[CostLine]:
    fixed = outcome.standing_charges.get(carrier, 0.0)
    word = "end" if fixed < 0 else "of the account"
    yield _even(carrier, f"standing charges {word}", LineGroup.FIXED, fixed)
    other = outcome.other_use_cost.get(carrier, 0.0)
    if carrier == ELECTRICITY and outcome.billed is not None:
        other -= outcome.billed.appliance_cost  # in the lines of its bill already
    label = "other use that ends" if other < 0 else "use of new appliances"
    yield _even(carrier, label, _group(carrier, "energy"), other)


def _even(carrier: str, label: str, group: LineGroup, per_year: float) -> CostLine:
    return CostLine(
        carrier=carrier,
        label=f"{carrier}: {label}",
        group=group,
        quantity=np.zeros(12),
        by_month=np.full(12, per_year / 12.0),
    )
