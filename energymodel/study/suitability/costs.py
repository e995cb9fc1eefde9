"""What each candidate would cost a year: the comparison run with one option per candidate."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from energymodel.equipment.curves import Function
from energymodel.equipment.operation import Operation
from energymodel.scenario.assemble import Model
from energymodel.scenario.prices import ELECTRICITY
from energymodel.scenario.schema import OptionTable
from energymodel.scenario.site_schema import SiteTable
from energymodel.season.result import COOLING, HEATING
from energymodel.study.comparison.compare import compare
from energymodel.study.suitability.units import DUCTED, Candidate, duct_efficiency

PANEL = "electric panel"
_RESISTANCE: dict[str, Any] = {"kind": "electric resistance"}


@dataclass(frozen=True, slots=True, kw_only=True)
class YearlyCost:
    """Money per year; electric resistance gives what heat the unit does not.

    Parameters
    ----------
    heating, cooling
        None: no such service.
    """

    heating: float | None
    cooling: float | None

    @property
    def total(self) -> float:
        """Both services."""
        return (self.heating or 0.0) + (self.cooling or 0.0)


def yearly_costs(model: Model, candidates: Sequence[Candidate]) -> Mapping[str, YearlyCost]:
    """Compare all candidates and an electric panel over the scenario's year.

    Parameters
    ----------
    model
        Room, weather, prices.
    candidates
        Units.

    Returns
    -------
    dict of YearlyCost
        By label of the candidate, and "electric panel" where the room is heated; empty where
        electricity has no price.
    """
    if ELECTRICITY not in model.prices:
        return {}
    site = model.scenario.content.site
    heats, cools = model.load.heating is not None, model.load.cooling is not None
    entries = [_entry(one, site, heats=heats, cools=cools) for one in candidates]
    tables = [entry for entry in entries if entry is not None]
    if heats:
        tables.append({"name": PANEL, "heating": _RESISTANCE})
    if not tables:
        return {}
    options = [OptionTable.model_validate(table) for table in tables]
    content = model.scenario.content.model_copy(update={"option": options})
    found = compare(replace(model.scenario, content=content))
    return {
        outcome.name: YearlyCost(
            heating=outcome.service_cost.get(HEATING), cooling=outcome.service_cost.get(COOLING)
        )
        for outcome in found.outcomes
    }


def _entry(
    candidate: Candidate, site: SiteTable, *, heats: bool, cools: bool
) -> dict[str, Any] | None:
    entry: dict[str, Any] = {"name": candidate.label}
    if heats:
        pump = _record(candidate, Function.HEATING, site)
        entry["heating"] = (
            _RESISTANCE
            if pump is None
            else {"kind": "heat pump", "backup": {"heater": _RESISTANCE}, **pump}
        )
    unit = _record(candidate, Function.COOLING, site) if cools else None
    if unit is not None:
        entry["cooling"] = {"kind": "air conditioner", **unit}
    return entry if len(entry) > 1 else None


def _record(candidate: Candidate, function: Function, site: SiteTable) -> dict[str, Any] | None:
    operation = candidate.operation(function)
    if operation is None:
        return None
    line = candidate.line(site)
    heats = function is Function.HEATING
    factor = None if line is None else line.heating_factor if heats else line.cooling_factor
    record: dict[str, Any] = {"unit": candidate.key, **_limits(operation)}
    if factor is not None:
        record["capacity_factor"] = factor
    carried = duct_efficiency(site.ducts, function) if candidate.form == DUCTED else None
    if carried is not None:
        record["ducts"] = {"efficiency": carried}
    return record


def _limits(operation: Operation) -> dict[str, str]:
    limits = {"off": operation.off_c, "on": operation.on_c}
    return {name: f"{value!r} degC" for name, value in limits.items() if value is not None}
