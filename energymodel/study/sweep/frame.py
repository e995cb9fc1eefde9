"""Labelled tables of a sweep: a row per variant and option, and a row per month of each."""

from __future__ import annotations

from typing import Any

import numpy as np
import pandas as pd

from energymodel.arrays import Index
from energymodel.scenario.fields import shown
from energymodel.study.sweep.block import FLAGS, Block
from energymodel.study.sweep.plan import LABEL, Axis, SweepPlan

RUNS = ("one by one", "batch")


def years_frame(plan: SweepPlan, block: Block) -> pd.DataFrame:
    """Set out the years of a block.

    Parameters
    ----------
    plan
        The sweep.
    block
        Its numbers.

    Returns
    -------
    DataFrame
        A row per variant and option: `variant` counts from 1; then the fields that vary; `option`;
        the numbers; `run` says which path ran. A refused variant has one row without an option,
        its reason in `refused`.
    """
    at, option = _rows(block, len(plan.options))
    data = _heads(plan, block.variants[at])
    data["option"] = pd.Categorical.from_codes(option, pd.Index(list(plan.options)))
    for name, values in block.years.items():
        column = values[at, np.maximum(option, 0)]
        data[name] = column == 1.0 if name in FLAGS else column
    data["run"] = pd.Categorical.from_codes(
        block.in_batch[at].astype(np.intp), pd.Index(list(RUNS))
    )
    reasons = sorted(set(block.reasons.values()))
    codes = np.full(block.variants.size, -1)
    for place, reason in block.reasons.items():
        codes[place] = reasons.index(reason)
    data["refused"] = pd.Categorical.from_codes(codes[at], pd.Index(reasons, dtype=object))
    return pd.DataFrame(data)


def months_frame(plan: SweepPlan, block: Block) -> pd.DataFrame:
    """Set out the months of a block.

    Parameters
    ----------
    plan
        The sweep.
    block
        Its numbers.

    Returns
    -------
    DataFrame
        A row per variant, option and month, 1..12; refused variants have none. `variant` is that
        of the years.
    """
    at, option = _rows(block, len(plan.options))
    at, option = at[option >= 0], option[option >= 0]
    data: dict[str, Any] = {
        "variant": np.repeat(block.variants[at] + 1, 12),
        "option": pd.Categorical.from_codes(np.repeat(option, 12), pd.Index(list(plan.options))),
        "month": np.tile(np.arange(1, 13, dtype=np.int8), at.size),
    }
    for name, values in block.months.items():
        data[name] = values[at, option].ravel()
    return pd.DataFrame(data)


def _rows(block: Block, options: int) -> tuple[Index, Index]:
    """Position of the variant and of the option of each row; -1: none, the variant is refused."""
    refused = np.zeros(block.variants.size, dtype=bool)
    refused[list(block.reasons)] = True
    counts = np.where(refused, 1, options)
    at = np.repeat(np.arange(block.variants.size), counts)
    option = np.arange(at.size) - np.repeat(np.cumsum(counts) - counts, counts)
    return at, np.where(refused[at], -1, option)


def _heads(plan: SweepPlan, variants: Index) -> dict[str, Any]:
    data: dict[str, Any] = {"variant": variants + 1}
    if plan.labels:
        data[LABEL] = np.array(plan.labels, dtype=object)[variants]
    for axis in plan.axes:
        column = axis_column(axis, axis.code(variants))
        data.update(dict.fromkeys(axis.paths, column))
    return data


def axis_column(axis: Axis, codes: Index) -> Any:
    """Write the values of a field as a column.

    Parameters
    ----------
    axis
        The field.
    codes
        Positions of the values.

    Returns
    -------
    Array or Categorical
        Numbers where all values are numbers or not written (nan), else texts.
    """
    plain = [type(value) in (int, float) or value is None for value in axis.values]
    if all(plain) and any(value is not None for value in axis.values):
        numbers = [np.nan if value is None else value for value in axis.values]
        return np.array(numbers, dtype=np.float64)[codes]
    texts = [value_text(value) for value in axis.values]
    kinds = list(dict.fromkeys(texts))
    places = np.array([kinds.index(text) for text in texts])
    return pd.Categorical.from_codes(places[codes], pd.Index(kinds))


def value_text(value: object) -> str:
    """Write a value of a field as text.

    Parameters
    ----------
    value
        As a scenario file writes it; None: not written.

    Returns
    -------
    str
        For a column or a table.

    Examples
    --------
    >>> value_text("8 kBtu/h"), value_text(0.14), value_text(None)
    ('8 kBtu/h', '0.14', 'not written')
    """
    if isinstance(value, str):
        return value
    if value is None:
        return "not written"
    if isinstance(value, list | dict):
        return repr(value)
    return shown(value)
