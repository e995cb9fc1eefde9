"""Energy through the meter: what is taken from the grid and what is fed in."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from energymodel.arrays import Array
from energymodel.errors import InputError
from energymodel.notices import Notice
from energymodel.tariffs.export import ExportRule
from energymodel.tariffs.tariff import Tariff


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Flows:
    """Energy through the meter.

    Parameters
    ----------
    use_kwh
        Taken from the grid, >= 0, shape (rows, columns).
    fed_in_kwh
        Fed into the grid, >= 0, same shape; None: nothing.
    reactive_kvar
        Highest reactive demand of each bill, shape (bills, columns); None: not known.
    notices
        What the reader should know.
    """

    use_kwh: Array
    fed_in_kwh: Array | None = None
    reactive_kvar: Array | None = None
    notices: tuple[Notice, ...] = ()


def columns_of(values: ArrayLike, rows: int, what: str) -> Array:
    """Bring loads to the shape (rows, columns).

    Parameters
    ----------
    values
        Shape (rows,) or (rows, columns).
    rows
        Number that is wanted.
    what
        Name for messages.

    Returns
    -------
    Array
        Shape (rows, columns).

    Raises
    ------
    InputError
        If the shape does not fit or a value is not finite.
    """
    array = np.asarray(values, dtype=np.float64)
    if array.ndim not in (1, 2) or array.shape[0] != rows:
        raise InputError(
            f"{what} has the shape {array.shape}", expected=f"({rows},) or ({rows}, columns)"
        )
    if not np.isfinite(array).all():
        raise InputError(f"{what} has values that are not numbers", remedy="fill the gaps first")
    return array[:, None] if array.ndim == 1 else array


def flows_of(tariff: Tariff, load: Array, fed_in: Array | None, *, step_min: int) -> Flows:
    """Divide loads into use and feed-in by the tariff's rule.

    Parameters
    ----------
    tariff
        With its export credit, if any.
    load
        kWh of each row, negative: fed in; shape (rows, columns).
    fed_in
        kWh of the register of what is fed in (of all generation, where all of it is sold), same
        shape; None: the negative values of the load.
    step_min
        Length of the rows, minutes.

    Returns
    -------
    Flows
        Both >= 0.

    Raises
    ------
    InputError
        If energy is fed in and the tariff has no credit for it, or the rule needs both flows.
    """
    export = tariff.export
    feeds = fed_in is not None or bool((load < 0).any())
    if not feeds:
        return Flows(use_kwh=load)
    if export is None:
        out = -load if fed_in is None else fed_in
        row = int(np.argmax(out.max(axis=1)))
        raise InputError(
            f"energy is fed in (row {row}: {out[row].max():.3g} kWh)",
            where=tariff.name,
            expected="a tariff with a credit for it",
            remedy="add [export] to the tariff, or give the use without generation",
        )
    if export.rule is ExportRule.SELL_ALL:
        return _gross(load, fed_in, tariff.name)
    if export.rule is ExportRule.NET_BILLING:
        return _as_counted(load, fed_in, f"{export.name}: only the net of each {step_min} minutes")
    net = load if fed_in is None else load - fed_in
    if export.rule is ExportRule.HOURLY_NET_BILLING:
        net = _netted_by_hour(net, step_min)
    return Flows(use_kwh=np.maximum(net, 0.0), fed_in_kwh=np.maximum(-net, 0.0))


def _gross(load: Array, fed_in: Array | None, where: str) -> Flows:
    if fed_in is None or (load < 0).any():
        raise InputError(
            "all generation is sold, and only the net load is given",
            where=where,
            expected="the whole use as the load, the whole generation as fed_in_kwh",
        )
    return Flows(use_kwh=load, fed_in_kwh=fed_in)


def _as_counted(load: Array, fed_in: Array | None, what: str) -> Flows:
    """Both registers as they are; a net load says less, and the reader is told."""
    use, out = np.maximum(load, 0.0), np.maximum(-load, 0.0)
    if fed_in is not None:
        return Flows(use_kwh=use, fed_in_kwh=fed_in + out)
    text = (
        f"{what} is known; a meter with a register for each direction counts more both ways, and"
        " its bill differs."
    )
    return Flows(use_kwh=use, fed_in_kwh=out, notices=(Notice(topic="export", text=text),))


def _netted_by_hour(net: Array, step_min: int) -> Array:
    rows = 60 // step_min
    if rows == 1:
        return net
    by_hour = net.reshape(-1, rows, net.shape[1])
    netted = np.zeros_like(by_hour)
    netted[:, 0] = by_hour.sum(axis=1)
    return netted.reshape(net.shape)
