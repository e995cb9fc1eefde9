"""Where the answer flips as rows of CSV and one JSON record; SI units, money not rounded."""

from __future__ import annotations

import json
import math
from collections.abc import Mapping
from typing import Any

import numpy as np

from energymodel.study.switchover.lockout import Lockout
from energymodel.study.switchover.pair_flips import PairFlips
from energymodel.study.switchover.pairs import SwitchPair
from energymodel.study.switchover.price_map import PriceMap
from energymodel.study.switchover.switchover import SwitchoverResult

_STEP_K = 0.5
Row = dict[str, Any]


def balance_rows(result: SwitchoverResult) -> list[Row]:
    """Break-even COP and balance points, one row per pair.

    Parameters
    ----------
    result
        All of it.

    Returns
    -------
    list of dict
        Several temperatures in one cell are separated by a space.
    """
    return [
        {
            "heat_pump": pair.heat_pump,
            "against": pair.other,
            "source": pair.balance.second,
            "own_backup_runs": pair.backup,
            "break_even_cop": pair.break_even.cops.fan_credited,
            "break_even_cop_fan_heat_not_credited": pair.break_even.cops.fan_counted,
            "break_even_cop_without_fan": pair.break_even.cops.without_fan,
            "season_cop": pair.season_cop,
            "answer": pair.answer,
            "cost_balance_c": _joined(pair.balance.balances_c),
            "cost_balance_is_a_step": " ".join(
                "yes" if step else "no" for step in pair.balance.steps
            ),
            "capacity_balance_c": _joined(pair.capacity_balances_c),
            "load_balance_c": pair.load_balance_c,
            "frost_humidity_pct": "" if pair.humidity_pct is None else pair.humidity_pct,
            "electricity_per_kwh": pair.pump_cost.prices.electricity_per_kwh,
            "run": pair.advice(),
            "basis": pair.balance.basis,
        }
        for pair in result.pairs
    ]


def _joined(values: tuple[float, ...]) -> str:
    return " ".join(repr(value) for value in values)


def cost_of_heat_rows(result: SwitchoverResult) -> list[Row]:
    """Cost of heat of both sources against outdoor temperature.

    Parameters
    ----------
    result
        All of it.

    Returns
    -------
    list of dict
        Steps of half a kelvin; empty cells where a source stops.
    """
    rows: list[Row] = []
    for pair in result.pairs:
        ends = pair.balance.coldest_c, pair.balance.warmest_c
        steps = max(int(np.ceil((ends[1] - ends[0]) / _STEP_K)), 1)
        outdoor_c = np.linspace(*ends, steps + 1)
        columns = {
            "outdoor_c": outdoor_c,
            "load_w": pair.pump_cost.line.load_w(outdoor_c),
            "heat_pump_cop": pair.pump_cost.cop(outdoor_c),
            "heat_pump_cost_per_kwh": pair.pump_cost.per_kwh_heat(outdoor_c),
            "other_cost_per_kwh": pair.other_cost.per_kwh_heat(outdoor_c),
            "heat_pump_cost_per_hour": pair.pump_cost.per_hour(outdoor_c),
            "other_cost_per_hour": pair.other_cost.per_hour(outdoor_c),
        }
        rows += [
            {"heat_pump": pair.heat_pump, "against": pair.other}
            | {name: float(values[k]) for name, values in columns.items()}
            for k in range(outdoor_c.size)
        ]
    return rows


def switch_rows(result: SwitchoverResult) -> list[Row]:
    """Yearly heating cost against the switch temperature.

    Parameters
    ----------
    result
        All of it.

    Returns
    -------
    list of dict
        The first row of an option is the heat pump at all temperatures, the last the backup.
    """
    return [
        {
            "option": one.option,
            "backup_alone_at_and_below_c": float(at),
            "yearly_heating_cost": float(cost),
        }
        for one in result.lockouts
        for at, cost in zip(one.switch_c, one.yearly_cost, strict=True)
    ]


def flip_value_rows(result: SwitchoverResult) -> list[Row]:
    """Flip values, one row per pair and input.

    Parameters
    ----------
    result
        All of it.

    Returns
    -------
    list of dict
        Empty where there is no such value in the range.
    """
    rows: list[Row] = []
    for pair in result.flips:
        for value in pair.values:
            rows.append(
                {
                    "first": pair.first,
                    "second": pair.second,
                    "yearly_saving_of_second": pair.saving,
                    "extra_installed_cost_of_second": pair.extra_cost,
                    "moved": value.moved.value,
                    "input": value.name,
                    "unit": value.unit,
                    "today": value.today,
                    "same_yearly_cost_at": _known(value.same_cost),
                    "change_to_same_cost": _known(value.change(value.same_cost)),
                    "payback_limit_years": pair.limit_years,
                    "pays_back_at": _known(value.pays_back),
                    "change_to_pays_back": _known(value.change(value.pays_back)),
                    "from": value.low,
                    "to": _known(value.high),
                }
            )
    return rows


def _known(value: float | None) -> float | str:
    return "" if value is None or not math.isfinite(value) else value


def price_map_rows(prices: PriceMap) -> list[Row]:
    """Grid of the price map.

    Parameters
    ----------
    prices
        The map.

    Returns
    -------
    list of dict
        One row per grid point, with the cost of every option.
    """
    carrier = prices.fuel.carrier.replace(" ", "_")
    return [
        {
            f"electricity_{_unit(prices.electricity.unit)}": float(x),
            f"{carrier}_{_unit(prices.fuel.unit)}": float(y),
            "cheapest": prices.options[int(prices.cheapest[row, column])],
            **{
                f"cost: {name}": float(prices.cost[k, row, column])
                for k, name in enumerate(prices.options)
            },
        }
        for row, y in enumerate(prices.fuel_prices)
        for column, x in enumerate(prices.electricity_prices)
    ]


def _unit(text: str) -> str:
    return text.replace(" ", "_").replace("'", "")


def switchover_text(result: SwitchoverResult, prices: PriceMap | None) -> str:
    """Write everything but the curves as JSON.

    Parameters
    ----------
    result
        All of it.
    prices
        The map; None: there is none.

    Returns
    -------
    str
        Strictly valid: null where a number is not known or not finite.
    """
    content = result.comparison.model.scenario.content
    record = {
        "title": content.title,
        "kind": "estimate, not a quotation or guarantee",
        "currency": content.currency,
        "balance_points": [_pair(pair) for pair in result.pairs],
        "switch_temperatures": [_lockout(one) for one in result.lockouts],
        "flip_values": [_flips(pair) for pair in result.flips],
        "price_map": None if prices is None else _map(prices),
        "notices": [note.text for note in result.notices],
    }
    return json.dumps(_plain(record), indent=2, ensure_ascii=False, allow_nan=False) + "\n"


def _plain(value: Any) -> Any:
    if isinstance(value, Mapping):
        return {str(key): _plain(item) for key, item in value.items()}
    if isinstance(value, list | tuple):
        return [_plain(item) for item in value]
    if isinstance(value, float):
        return float(value) if math.isfinite(value) else None
    return value


def _pair(pair: SwitchPair) -> Row:
    return {
        "heat_pump": pair.heat_pump,
        "against": pair.other,
        "also": list(pair.also),
        "source": pair.balance.second,
        "own_backup_runs": pair.backup or None,
        "break_even_cop": pair.break_even.cops.default,
        "break_even_words": pair.break_even.words,
        "season_cop": pair.season_cop,
        "answer": pair.answer or None,
        "cost_balance_c": list(pair.balance.balances_c),
        "capacity_balance_c": list(pair.capacity_balances_c),
        "load_balance_c": pair.load_balance_c,
        "zones": [
            {"from_c": zone.from_c, "to_c": zone.to_c, "run": zone.runs.value}
            for zone in pair.zones
        ],
        "basis": pair.balance.basis,
    }


def _lockout(one: Lockout) -> Row:
    low, high = one.flat_range_c
    return {
        "option": one.option,
        "runs": one.runs,
        "best_c": one.best_c,
        "within_1_percent_c": [low, high],
        "best_cost": one.best_cost,
        "hourly_choice_cost": one.hourly_cost,
        "as_set_c": one.as_set_c,
        "as_set_cost": one.as_set_cost,
        "heat_pump_always_cost": one.always_pump_cost,
        "backup_alone_cost": one.backup_alone_cost,
        "hours_heat_pump": one.pump_hours,
        "hours_backup_alone": one.backup_hours,
        "hours_cut_off_by_the_tariff": one.forced_hours,
        "words": one.best_in_words(),
    }


def _flips(pair: PairFlips) -> Row:
    return {
        "first": pair.first,
        "second": pair.second,
        "yearly_saving_of_second": pair.saving,
        "extra_installed_cost_of_second": pair.extra_cost,
        "payback_limit_years": pair.limit_years,
        "values": [
            {
                "moved": value.moved.value,
                "input": value.name,
                "unit": value.unit,
                "today": value.today,
                "same_yearly_cost_at": value.same_cost,
                "pays_back_at": value.pays_back,
            }
            for value in pair.values
        ],
    }


def _map(prices: PriceMap) -> Row:
    return {
        "electricity": prices.electricity.unit,
        "fuel": f"{prices.fuel.carrier}, {prices.fuel.unit}",
        "today": list(prices.today),
        "installed_cost_spread_over_years": prices.spread_years,
        "areas": [
            {"option": area.option, "also": list(area.also), "corners": area.corners.tolist()}
            for area in prices.areas
        ],
        "boundaries": [
            {"between": [line.first, line.second], "line": line.line.tolist()}
            for line in prices.boundaries
        ],
    }
