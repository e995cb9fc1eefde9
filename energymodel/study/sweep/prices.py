"""Flat prices and installed costs of the variants of one structure."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from energymodel.arrays import Array, Index, Mask
from energymodel.errors import EnergyModelError, ManyFaultsError
from energymodel.scenario.assemble import Model
from energymodel.scenario.changes import changed
from energymodel.scenario.faults import placed, validated
from energymodel.scenario.field_path import read_path
from energymodel.scenario.ledger import Ledger
from energymodel.scenario.prices import build_prices, carrier_of
from energymodel.scenario.schema import Price
from energymodel.study.sweep.groups import AxisKind, axes_of, combined
from energymodel.study.sweep.plan import Axis, SweepPlan


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Prices:
    """Prices over the variants.

    Parameters
    ----------
    per_kwh
        By carrier, shape (n,).
    reasons
        Why a variant is refused, by its position.
    """

    per_kwh: Mapping[str, Array]
    reasons: dict[int, str]


def prices_of(plan: SweepPlan, model: Model, variants: Index) -> Prices:
    """Make the flat prices of some variants.

    Parameters
    ----------
    plan
        The sweep.
    model
        Their structure.
    variants
        Numbers of the variants.

    Returns
    -------
    Prices
        As single runs build them.
    """
    reasons: dict[int, str] = {}
    per_kwh = {name: np.full(variants.size, price.per_kwh) for name, price in model.prices.items()}
    axes = axes_of(plan, AxisKind.PRICE)
    keys = dict.fromkeys(str(read_path(path)[1]) for axis in axes for path in axis.paths)
    for key in keys:
        own = [axis for axis in axes if key in {read_path(path)[1] for path in axis.paths}]
        first, which = combined(own, variants)
        numbers = np.full(first.size, np.nan)
        for number, variant in enumerate(variants[first].tolist()):
            try:
                numbers[number] = _per_kwh(model, key, plan.changes(variant, own))
            except EnergyModelError as error:
                reasons.update(dict.fromkeys(np.flatnonzero(which == number).tolist(), str(error)))
        per_kwh[carrier_of(key)] = numbers[which]
    return Prices(per_kwh=per_kwh, reasons=reasons)


def _per_kwh(model: Model, key: str, changes: Mapping[str, object]) -> float:
    scenario = model.scenario
    own = {steps[2]: value for path, value in changes.items()
           if (steps := read_path(path))[1] == key}  # fmt: skip
    written = {**scenario.written["price"][key], **own}
    table = {name: value for name, value in written.items() if value is not None}
    try:
        price = validated(Price, table, where="")
    except ManyFaultsError as error:
        faults = placed(error, f"price.{key}.")
        raise ManyFaultsError(faults, where=scenario.path.name) from None
    zone = model.weather.site.zone
    made = build_prices({key: price}, Ledger(), path=scenario.path, zone=zone)
    return made[carrier_of(key)].per_kwh


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class InstalledCosts:
    """Installed costs over the variants.

    Parameters
    ----------
    cost
        Money, shape (n, options).
    known
        Whether the cost is given, or the option is there now, shape (n, options).
    reasons
        Why a variant is refused, by its position.
    """

    cost: Array
    known: Mask
    reasons: dict[int, str]


def installed_costs(plan: SweepPlan, model: Model, variants: Index) -> InstalledCosts:
    """Make the installed costs of some variants.

    Parameters
    ----------
    plan
        The sweep.
    model
        Their structure.
    variants
        Numbers of the variants.

    Returns
    -------
    InstalledCosts
        As written.
    """
    reasons: dict[int, str] = {}
    tables = [option.table for option in model.options]
    cost = np.tile([table.installed_cost for table in tables], (variants.size, 1))
    known = np.tile([table.cost_given for table in tables], (variants.size, 1))
    for axis in axes_of(plan, AxisKind.COST):
        codes = axis.code(variants)
        for code in np.unique(codes).tolist():
            rows = np.flatnonzero(codes == code)
            try:
                values = _costs(model, axis, code)
            except EnergyModelError as error:
                reasons.update(dict.fromkeys(rows.tolist(), str(error)))
                continue
            for place, value in values.items():
                cost[rows, place] = value
                known[rows, place] |= code != axis.as_written
    return InstalledCosts(cost=cost, known=known, reasons=reasons)


def _costs(model: Model, axis: Axis, code: int) -> dict[int, float]:
    value = axis.values[code]
    names = [planned.option.name for planned in model.options]
    steps = [read_path(path)[1] for path in axis.paths]
    places = [step if isinstance(step, int) else names.index(step) for step in steps]
    if type(value) in (int, float) and 0 <= value < np.inf:  # type: ignore[operator]
        return dict.fromkeys(places, float(value))  # type: ignore[arg-type]
    made = changed(model.scenario, dict.fromkeys(axis.paths, value))
    return {place: made.content.option[place].installed_cost for place in places}
