"""Hours, months and the year of a comparison as CSV text; SI units and kWh, as the names say."""

from __future__ import annotations

import csv
from collections.abc import Iterator, Sequence
from io import StringIO
from typing import Any

import numpy as np

from energymodel.scenario.prices import ELECTRICITY
from energymodel.season.result import COOLING, HEATING, AnnualResult
from energymodel.study.comparison.outcome import Comparison, Outcome
from energymodel.weather.year import WeatherYear

HOUR_COLUMN = "start_of_hour_local_standard_time"
_COPS = {
    "unit": AnnualResult.cop_unit,
    "system": AnnualResult.cop_system,
    "season": AnnualResult.cop_season,
}


def hourly_lines(outcome: Outcome, weather: WeatherYear) -> Iterator[str]:
    """Write every column of an option by hour.

    Parameters
    ----------
    outcome
        The option.
    weather
        The year, for the time stamps.

    Yields
    ------
    str
        Lines of CSV with their line ends; numbers in full, so that sums can be checked.
    """
    result = outcome.result
    columns = {
        "outdoor_c": result.states.outdoor_c,
        **result.columns,
        "running_w": result.running_w,
    }
    yield ",".join([HOUR_COLUMN, *columns]) + "\n"
    rows = zip(*(values.tolist() for values in columns.values()), strict=True)
    at_state = [",".join(_number(value) for value in row) for row in rows]
    for stamp, state in zip(weather.table.index, result.states.inverse, strict=True):
        yield f"{stamp:%Y-%m-%d %H:%M},{at_state[state]}\n"


def _number(value: float) -> str:
    return "0" if value == 0 else repr(value)


def monthly_rows(outcome: Outcome) -> list[dict[str, Any]]:
    """Every column of an option by month, with its energy costs.

    Parameters
    ----------
    outcome
        The option.

    Returns
    -------
    list of dict
        Twelve rows.
    """
    result = outcome.result
    columns = {name: result.month_totals(name) for name in result.columns}
    columns |= {f"{service}_cost": cost for service, cost in outcome.cost_by_month.items()}
    return [
        {"month": month + 1, **{name: float(values[month]) for name, values in columns.items()}}
        for month in range(12)
    ]


def annual_rows(comparison: Comparison) -> list[dict[str, Any]]:
    """One row per option: costs, energy, efficiency, coverage, and the total of every column.

    Parameters
    ----------
    comparison
        All options.

    Returns
    -------
    list of dict
        Same keys in every row; empty where an option has no such value.
    """
    heads = [_annual_head(outcome, comparison) for outcome in comparison.outcomes]
    totals = [_annual_totals(outcome.result) for outcome in comparison.outcomes]
    names = dict.fromkeys(name for rows in (heads, totals) for row in rows for name in row)
    return [
        {name: (head | total).get(name, "") for name in names}
        for head, total in zip(heads, totals, strict=True)
    ]


def _annual_totals(result: AnnualResult) -> dict[str, float]:
    return {name: result.total(name) for name in result.columns}


def _annual_head(outcome: Outcome, comparison: Comparison) -> dict[str, Any]:
    result = outcome.result
    payback = outcome.against_present.payback if outcome.against_present else None
    coverage = outcome.coverage
    row: dict[str, Any] = {
        "option": outcome.name,
        "present": _yes(outcome.present),
        "carries_the_load": _yes(outcome.carries),
        "cheapest": _yes(outcome is comparison.cheapest),
        "currency": comparison.model.scenario.content.currency,
        "installed_cost": outcome.planned.table.installed_cost,
        "yearly_cost": outcome.yearly_cost,
        **{f"{name}_cost": float(v.sum()) for name, v in outcome.cost_by_month.items()},
        "standing_charges": sum(outcome.standing_charges.values()),
        "yearly_saving_on_like_services": payback.yearly_saving if payback else "",
        "simple_payback_years": "" if payback is None or payback.years is None else payback.years,
        f"{ELECTRICITY}_kwh": 0.0,
        **{f"{carrier.replace(' ', '_')}_kwh": kwh for carrier, kwh in outcome.energy_kwh.items()},
        "co2e_kg": outcome.emissions.co2e_kg,
        "peak_hour_kw": result.peak_hour_kw,
        "peak_running_kw": result.peak_running_kw,
        "heating_unmet_share": coverage.unmet_share if coverage else "",
    }
    for service in (HEATING, COOLING):
        for name, cop in _COPS.items():
            value = cop(result, service)
            row[f"{service}_cop_{name}"] = "" if value is None else value
    return row


def _yes(answer: object) -> str:
    return "yes" if answer else "no"


def csv_text(rows: Sequence[dict[str, Any]]) -> str:
    """Write rows as CSV.

    Parameters
    ----------
    rows
        At least one; the keys of the first are the header.

    Returns
    -------
    str
        Numbers in full; nothing where a value is not finite.
    """
    text = StringIO()
    writer = csv.DictWriter(text, fieldnames=list(rows[0]), lineterminator="\n")
    writer.writeheader()
    for row in rows:
        writer.writerow({name: _cell(value) for name, value in row.items()})
    return text.getvalue()


def _cell(value: object) -> object:
    if isinstance(value, float):
        return _number(value) if np.isfinite(value) else ""
    return value
