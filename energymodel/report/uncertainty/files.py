"""An uncertainty run as JSON or CSV for other programs."""

from __future__ import annotations

import json
import math
from pathlib import Path
from typing import Any

from energymodel import __version__
from energymodel.new_file import TABLES, check_new_file, write_new
from energymodel.report.comparison.tables import csv_text
from energymodel.report.uncertainty.words import able_names
from energymodel.study.uncertainty.result import OptionSpread, Quantiles, UncertaintyResult


def write_spread(result: UncertaintyResult, path: Path, *, replace: bool) -> Path:
    """Write the result of an uncertainty run.

    Parameters
    ----------
    result
        Of all options.
    path
        A name that ends in .json (everything) or .csv (one row per option).
    replace
        Whether a file that exists may be replaced.

    Returns
    -------
    Path
        The file.

    Raises
    ------
    InputError
        If it cannot be written.
    """
    check_new_file(path, endings=TABLES, replace=replace)
    text = spread_json(result) if path.suffix == ".json" else spread_csv(result)
    return write_new(path, text)


def spread_csv(result: UncertaintyResult) -> str:
    """Write one row per option.

    Parameters
    ----------
    result
        Of all options.

    Returns
    -------
    str
        CSV; empty where there is no such figure or it is infinite.
    """
    return csv_text([_row(spread, result) for spread in result.options])


def _row(spread: OptionSpread, result: UncertaintyResult) -> dict[str, Any]:
    payback = spread.payback
    return {
        "option": spread.name,
        "present": "yes" if spread.present else "no",
        "carries_the_load": "yes" if spread.name in able_names(result) else "no",
        "currency": result.comparison.model.scenario.content.currency,
        "likely_yearly_cost": spread.likely_cost,
        **_columns("yearly_cost", spread.cost),
        **_columns("yearly_saving", spread.saving),
        **_columns("simple_payback_years", payback.years if payback else None),
        "share_never_paid_back": payback.never_share if payback else "",
        "paid_back_within_years": result.within_years,
        "share_paid_back_within": payback.within_share if payback else "",
        "share_lowest_cost": spread.lowest_share,
        "share_short_of_load": spread.short_share,
    }


def _columns(name: str, found: Quantiles | None) -> dict[str, Any]:
    parts = ("p10", "p50", "p90")
    return {f"{name}_{part}": "" if found is None else getattr(found, part) for part in parts}


def spread_json(result: UncertaintyResult) -> str:
    """Write everything.

    Parameters
    ----------
    result
        Of all options.

    Returns
    -------
    str
        Strictly valid JSON; "never" where a payback is infinite.
    """
    comparison = result.comparison
    record = {
        "program": {"name": "energymodel", "version": __version__},
        "title": comparison.model.scenario.content.title,
        "kind": "estimate, not a quotation or guarantee",
        "currency": comparison.model.scenario.content.currency,
        "weather": {
            "place": comparison.model.weather.site.name,
            "likely_year": comparison.model.weather.year_label,
            "winters": list(result.winter_labels),
        },
        "draws": result.draws,
        "seed": result.seed,
        "inputs": [
            {
                "name": one.name,
                "low": one.low,
                "likely": one.likely,
                "high": one.high,
                "given": one.given,
            }
            for one in result.inputs
        ],
        "options": [_option(spread, result) for spread in result.options],
        "defaults": [str(one) for one in (*result.defaults, *comparison.model.defaults)],
        "notices": [str(one) for one in (*result.notices, *comparison.notices)],
    }
    return json.dumps(record, indent=2, ensure_ascii=False, allow_nan=False) + "\n"


def _option(spread: OptionSpread, result: UncertaintyResult) -> dict[str, Any]:
    payback = spread.payback
    return {
        "name": spread.name,
        "present": spread.present,
        "carries_the_load": spread.name in able_names(result),
        "yearly_cost": {"likely": spread.likely_cost, **_percentiles(spread.cost)},
        "yearly_saving": None if spread.saving is None else _percentiles(spread.saving),
        "simple_payback_years": None if payback is None else _percentiles(payback.years),
        "share_never_paid_back": None if payback is None else payback.never_share,
        "share_paid_back_within": None
        if payback is None
        else {"years": result.within_years, "share": payback.within_share},
        "share_lowest_cost": spread.lowest_share,
        "share_short_of_load": spread.short_share,
        "yearly_cost_in_each_winter": spread.winter_costs.tolist(),
        "influences": {
            "on": spread.output,
            "inputs": [
                {
                    "name": one.uncertain.name,
                    "at_low": one.at_low,
                    "at_high": one.at_high,
                    "first_order": one.first_order,
                    "total": one.total,
                }
                for one in spread.influences
            ],
        },
    }


def _percentiles(found: Quantiles) -> dict[str, float | str]:
    parts = ("p10", "p50", "p90")
    values = {part: float(getattr(found, part)) for part in parts}
    return {part: value if math.isfinite(value) else "never" for part, value in values.items()}
