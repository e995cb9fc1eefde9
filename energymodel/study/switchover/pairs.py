"""Each heat pump against each other source of heat: break-even COP and three balance points."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from energymodel.economics.break_even import CostBalance, cost_balance
from energymodel.equipment.curves import Function
from energymodel.equipment.flows import Source
from energymodel.equipment.frost import DEFAULT_HUMIDITY_PCT
from energymodel.scenario.heat_pump_kind import HeatPumpRecord
from energymodel.scenario.heater_kinds import HeaterRecord
from energymodel.study.comparison.capacity_curve import CapacityCurve, capacity_curve
from energymodel.study.comparison.house_tariffs import heat_prices
from energymodel.study.comparison.outcome import Comparison, Outcome
from energymodel.study.pump_changes import head_in_zone, pump_alone, pump_of, without_switch
from energymodel.study.switchover.heat_cost import (
    HeatCost,
    SeasonBreakEven,
    electricity_w,
    season_break_even,
)
from energymodel.study.switchover.zones import Zone, zones, zones_in_brief, zones_in_words

HEAT_PUMP = "the heat pump"
BELOW_BALANCE_K = 0.25
"""Nearer to the balance temperature there is hardly a load to compare costs at (our choice)."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SwitchPair:
    """A heat pump against another source of heat, at the user's load and prices.

    Parameters
    ----------
    heat_pump
        Name of the option with the heat pump.
    other
        Name of the option with the other source; that of the heat pump's own option for its own
        backup.
    also
        Further options with the same heater.
    backup
        How the heat pump's own backup runs, "with" or "instead"; empty for a source of another
        option.
    break_even
        COP that the heat pump needs over the year.
    season_cop
        COP that it has over the year's hours, at the room, without backup and idle power.
    balance
        Cost balance: the heat pump is its first source.
    balance_cops
        COP at each cost balance, where the heat pump runs on both sides of it.
    capacity_balances_c
        Capacity balance: where it begins or ceases to carry the load alone, mildest first, degC.
    load_balance_c
        Balance temperature of the load, degC.
    humidity_pct
        Outdoor humidity at which frost is counted; None where frost plays no part.
    pump_cost, other_cost
        Their costs of heat against outdoor temperature.
    """

    heat_pump: str
    other: str
    also: tuple[str, ...]
    backup: str
    break_even: SeasonBreakEven
    season_cop: float
    balance: CostBalance
    balance_cops: tuple[float, ...]
    capacity_balances_c: tuple[float, ...]
    load_balance_c: float
    humidity_pct: float | None
    pump_cost: HeatCost
    other_cost: HeatCost

    @property
    def zones(self) -> tuple[Zone, ...]:
        """What to run where, from cold to warm."""
        return zones(self.balance, self.pump_cost, capacity_balances_c=self.capacity_balances_c)

    @property
    def carries_all(self) -> bool:
        """Whether the heat pump alone carries the load in the whole range."""
        at = np.array([self.balance.coldest_c])
        met_w = float(self.pump_cost.flows(at).delivered_w[0])
        load_w = float(self.pump_cost.line.load_w(at)[0])
        return not self.capacity_balances_c and met_w >= load_w * (1.0 - 1e-9)

    @property
    def answer(self) -> str:
        """One of "always cheaper", "never cheaper", "same cost"; empty where there is a balance."""
        if self.balance.balances_c:
            return ""
        if self.balance.always_first:
            return "always cheaper"
        return "never cheaper" if self.balance.cheaper == (self.balance.second,) else "same cost"

    def advice(self, temperature: Callable[[float], str] = "{:.1f} degC".format) -> str:
        """Say what to run where.

        Parameters
        ----------
        temperature
            Writes an outdoor temperature, degC, as text.

        Returns
        -------
        str
            One sentence, without a final stop.
        """
        return zones_in_words(
            self.zones,
            self.balance.second,
            in_turn=self.backup == "instead",
            temperature=temperature,
        )

    def brief_advice(self, temperature: Callable[[float], str] = "{:.1f} degC".format) -> str:
        """Say the same in few words, for a table.

        Parameters
        ----------
        temperature
            Writes an outdoor temperature, degC, as text.

        Returns
        -------
        str
            A phrase.
        """
        noun = self.balance.second.removeprefix("the ")
        return zones_in_brief(self.zones, noun, temperature=temperature)


def switch_pairs(comparison: Comparison) -> tuple[SwitchPair, ...]:
    """Hold every heat pump of a comparison against every other source of heat.

    Parameters
    ----------
    comparison
        All options.

    Returns
    -------
    tuple of SwitchPair
        By heat pump, its own backup first; empty where there is nothing to hold against.
    """
    heaters = [one for one in comparison.outcomes if _heater_record(one) is not None]
    found: list[SwitchPair] = []
    for outcome in comparison.outcomes:
        if _has_pump(outcome):
            found += _pairs_of(comparison, outcome, heaters)
    return tuple(found)


def _has_pump(outcome: Outcome) -> bool:
    record = outcome.planned.table.heating
    return isinstance(record, HeatPumpRecord) and outcome.planned.option.heating_load is not None


def _heater_record(outcome: Outcome) -> HeaterRecord | None:
    record = outcome.planned.table.heating
    return record if isinstance(record, HeaterRecord) else None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Rival:
    """The other source of a pair."""

    name: str
    also: tuple[str, ...] = ()
    noun: str
    source: Source
    backup: str = ""


def _rivals(outcome: Outcome, heaters: Sequence[Outcome]) -> Iterator[_Rival]:
    planned = outcome.planned
    record = planned.table.heating
    backup = record.backup if isinstance(record, HeatPumpRecord) else None
    alone = planned.backup_alone
    if backup is not None and alone is not None and alone.heating is not None:
        noun = _noun(backup.heater)
        yield _Rival(name=outcome.name, noun=noun, source=alone.heating, backup=backup.runs)
    seen: list[HeaterRecord] = []
    for heater in heaters:
        table, source = _heater_record(heater), heater.planned.option.heating
        if table is None or source is None or table in seen:
            continue
        seen.append(table)
        also = [one.name for one in heaters if one is not heater and _heater_record(one) == table]
        yield _Rival(name=heater.name, also=tuple(also), noun=_noun(table), source=source)


def _noun(record: HeaterRecord) -> str:
    kind = str(record.kind)
    return "resistance heat" if kind == "electric resistance" else f"the {kind}"


def _pairs_of(
    comparison: Comparison, outcome: Outcome, heaters: Sequence[Outcome]
) -> list[SwitchPair]:
    planned, weather = outcome.planned, comparison.model.weather
    free = head_in_zone(replace(planned.option, heating=without_switch(planned)))
    line, alone = free.heating_load, pump_alone(free.heating)
    table = comparison.model.scenario.content.room.heating
    design_c = table.design_temperature if table else None
    reach_c = [] if design_c is None else [design_c]
    curve = capacity_curve(free, weather, Function.HEATING, also_c=reach_c)
    if line is None or alone is None or curve is None:
        return []
    if not (line.load_w(weather.outdoor_c) > 0).any():
        return []
    pump = HeatCost(
        source=alone,
        line=line,
        indoor_c=free.heating_indoor_c,
        humidity_pct=DEFAULT_HUMIDITY_PCT if curve.humidity_pct is None else curve.humidity_pct,
        prices=heat_prices(comparison, [outcome, *heaters]),
    )
    return [_pair(comparison, outcome, pump, curve, rival) for rival in _rivals(outcome, heaters)]


def _pair(
    comparison: Comparison,
    outcome: Outcome,
    pump: HeatCost,
    curve: CapacityCurve,
    rival: _Rival,
) -> SwitchPair:
    other = replace(pump, source=rival.source, pilot_counted=not rival.backup)
    outdoor_c = comparison.model.weather.outdoor_c
    balance = cost_balance(
        pump.as_source(HEAT_PUMP, _pump_basis(outcome, curve)),
        other.as_source(rival.noun, _other_basis(other)),
        coldest_c=float(curve.outdoor_c.min()),
        warmest_c=curve.balance_c - BELOW_BALANCE_K,
    )
    return SwitchPair(
        heat_pump=outcome.name,
        other=rival.name,
        also=rival.also,
        backup=rival.backup,
        break_even=season_break_even(other, outdoor_c),
        season_cop=_season_cop(pump, outdoor_c),
        balance=balance,
        balance_cops=tuple(
            float(pump.cop(np.array([at]))[0])
            for at, step in zip(balance.balances_c, balance.steps, strict=True)
            if not step
        ),
        capacity_balances_c=curve.capacity_balances_c,
        load_balance_c=curve.balance_c,
        humidity_pct=curve.humidity_pct,
        pump_cost=pump,
        other_cost=other,
    )


def _season_cop(pump: HeatCost, outdoor_c: np.ndarray) -> float:
    flows = pump.flows(outdoor_c)
    used = float(electricity_w(flows).sum())
    return float(flows.delivered_w.sum()) / used if used > 0 else 0.0


def _pump_basis(outcome: Outcome, curve: CapacityCurve) -> str:
    pump = pump_of(outcome.planned.option.heating)
    parts = ["heat pump at its load here, its fans counted"]
    if pump is not None:
        parts.append(f"in-service factor {pump.in_service_factor:.2f}")
    if curve.humidity_pct is not None:
        parts.append(f"frost at {curve.humidity_pct:.0f} % humidity")
    return ", ".join(parts)


def _other_basis(cost: HeatCost) -> str:
    design = cost.flows(np.array([cost.line.balance_c - 20.0]))
    fan = float(np.sum(design.electricity_w.get("blower", 0.0))) > 0
    return "furnace fan counted, its heat credited" if fan and design.fuel_w else ""
