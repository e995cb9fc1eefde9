"""Loads of many variants by cell, from their load lines alone."""

from __future__ import annotations

import numpy as np

from energymodel.arrays import Array
from energymodel.season.batch.idle import loads_below
from energymodel.season.batch.variants import (
    FunctionVariants,
    Rows,
    Variants,
    function_variants,
)
from energymodel.season.option import Option
from energymodel.season.result import COOLING, HEATING
from energymodel.season.states import States


def balance_depth_c(function: str, columns: FunctionVariants, rows: Rows) -> Array:
    """Balance temperature on the scale of the depths.

    Parameters
    ----------
    function
        "heating" or "cooling".
    columns
        Variants.
    rows
        Which of them.

    Returns
    -------
    Array
        degC, negated for cooling, shape (rows,).
    """
    balance_c: Array = columns.balance_c[rows]
    return balance_c if function == HEATING else -balance_c


def load_sums(hours: Array, depth_c: Array, slope_w_per_k: Array, balance_depth_c: Array) -> Array:
    """Load in each cell: slope x (balance x hours below it - degree-hours below it).

    Parameters
    ----------
    hours
        Hours of each state in each cell, shape (cells, states).
    depth_c
        Of the states, degC; negated for cooling, infinite where switched off.
    slope_w_per_k, balance_depth_c
        Load lines, shape (variants,); balance temperatures on the scale of the depths.

    Returns
    -------
    Array
        kWh, shape (cells, variants).
    """
    there = np.where(np.isfinite(depth_c), depth_c, 0.0)
    below = loads_below(np.stack([hours, hours * there]), depth_c, balance_depth_c)
    load_kwh: Array = np.multiply(below[0], balance_depth_c, out=below[0])
    load_kwh -= below[1]
    return np.multiply(load_kwh, slope_w_per_k / 1000.0, out=load_kwh)


def loads_by_cell(
    option: Option, states: States, variants: Variants, hours: Array | None = None
) -> dict[str, Array]:
    """Sum the loads that an option serves, before it is run.

    Parameters
    ----------
    option
        Its sources say which.
    states
        States of its year.
    variants
        Load lines.
    hours
        As in :class:`BatchPlan`.

    Returns
    -------
    dict of Array
        kWh by "heating" and "cooling", shape (cells, variants).
    """
    hours = states.hours_in_month if hours is None else hours
    lines = (
        (HEATING, option.heating, option.heating_load),
        (COOLING, option.cooling, option.cooling_load),
    )
    found = {}
    for function, source, line in lines:
        columns = function_variants(variants, (), line, function=function)
        if source is None or columns is None:
            continue
        depth_c = states.outdoor_c if function == HEATING else -states.outdoor_c
        if function == COOLING:
            off = states.in_months(option.months_without_cooling)
            depth_c = np.where(off, np.inf, depth_c)
        balance_c = balance_depth_c(function, columns, slice(None))
        found[function] = load_sums(hours, depth_c, columns.slope_w_per_k, balance_c)
    return found
