"""A heat pump at the states as straight segments of the load: what a batch of loads needs.

With the degradation of an air-to-air machine the COP is a continuous, piecewise linear function of
the load at each state, so a few multiplications answer any number of loads.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import TypeAlias

import numpy as np

from energymodel.arrays import Array, Index, Mask
from energymodel.equipment.flows import Conditions
from energymodel.equipment.frost import in_frost_band
from energymodel.equipment.heat_pump import HeatPump
from energymodel.equipment.kernel import (
    AirCycling,
    PartLoadFactor,
    Stack,
    modulating,
    no_cycling_loss,
    time_shared,
)
from energymodel.equipment.operation import Operation
from energymodel.errors import InputError


class NoBatchError(InputError):
    """An option that the batch cannot represent; it can be run one year at a time."""


def no_batch(what: str, expected: str) -> NoBatchError:
    """Return the error for something that only the plain path can run.

    Parameters
    ----------
    what
        What was found.
    expected
        What a batch can run.

    Returns
    -------
    NoBatchError
        With the remedy in it.
    """
    return NoBatchError(
        what, expected=expected, remedy="run this option one year at a time with season.annual"
    )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Buffers:
    """Working arrays of one shape, written over by every block of states.

    Parameters
    ----------
    lower, upper, curve, cycling
        Shape (states of the block, variants).
    """

    lower: Array
    upper: Array
    curve: Array
    cycling: Array


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Climb:
    """Answer of one machine to a batch of loads, cut-outs not yet counted.

    Parameters
    ----------
    met_w
        Smaller of load and full output, W, shape (states, variants).
    power_w
        Power for it, W.
    cycling_w
        Power for the smaller of load and lowest output, W: the lowest speed's power times the
        share of the time in which the compressor runs.
    """

    met_w: Array
    power_w: Array
    cycling_w: Array


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Segments:
    """Coefficients at the states, those that may run lowest first.

    Parameters
    ----------
    edge_w
        Capacity of each speed, W, shape (speeds, states, 1); a speed that may not run repeats the
        one below it, and where nothing may run all are 0.
    start
        COP at the smallest load, shape (states, 1).
    rise
        Shape (speeds, states, 1): first the COP per W of load while cycling, then what the rule
        between two speeds adds per W of load.
    lowest_w, full_w
        Power of the lowest and of the highest speed that may run, W, shape (states, 1).
    rule
        How the segments above the lowest speed are added.
    """

    edge_w: Array
    start: Array
    rise: Array
    lowest_w: Array
    full_w: Array
    rule: SegmentRule

    def at(self, rows: slice) -> Segments:
        """Coefficients of some of the states.

        Parameters
        ----------
        rows
            States.

        Returns
        -------
        Segments
            Views.
        """
        return Segments(
            edge_w=self.edge_w[:, rows],
            start=self.start[rows],
            rise=self.rise[:, rows],
            lowest_w=self.lowest_w[rows],
            full_w=self.full_w[rows],
            rule=self.rule,
        )

    def speeds_passed(self, most_w: Array) -> int:
        """Count the speeds whose capacity some load exceeds at some state.

        Parameters
        ----------
        most_w
            Largest load at each state, W, shape (states, 1).

        Returns
        -------
        int
            0: all loads are met by cycling; the number of speeds: some load exceeds the full
            output.
        """
        return int(np.count_nonzero((most_w > self.edge_w).any(axis=(1, 2))))


SegmentRule: TypeAlias = Callable[[Segments, Array, int, Buffers], Climb]
"""Answer loads: (segments, load, speeds passed by any load, working arrays)."""


def cop_segments(segments: Segments, load_w: Array, passed: int, buffers: Buffers) -> Climb:
    """Answer loads where the COP is linear in load between two speeds.

    Parameters
    ----------
    segments
        Coefficients at the states.
    load_w
        Load, W, >= 0, shape (states, variants).
    passed
        Number of speeds whose capacity some of the loads exceed.
    buffers
        Working arrays, written over.

    Returns
    -------
    Climb
        In the working arrays; `met_w` is `load_w` itself where no load exceeds the full output.

    Notes
    -----
    With t_k = min(load, Q_k): COP = (1 - Cd) Q_1/P_1 + (Cd/P_1) t_1 + sum of b_k (t_k+1 - t_k),
    b_k the rise of the COP per W of load between two speeds; power = t_n / COP.
    """
    lower, curve = _lowest(segments, load_w, passed, buffers)
    cycling = np.divide(lower, curve, out=buffers.cycling)
    if passed == 0:
        return Climb(met_w=lower, power_w=cycling, cycling_w=cycling)
    met = _add_segments(segments, load_w, passed, buffers)
    return Climb(met_w=met, power_w=np.divide(met, curve, out=curve), cycling_w=cycling)


def power_segments(segments: Segments, load_w: Array, passed: int, buffers: Buffers) -> Climb:
    """Answer loads where the power is linear in load between two speeds.

    Parameters
    ----------
    segments
        Coefficients at the states.
    load_w
        Load, W, >= 0, shape (states, variants).
    passed
        Number of speeds whose capacity some of the loads exceed.
    buffers
        Working arrays, written over.

    Returns
    -------
    Climb
        As :func:`cop_segments`.
    """
    lower, curve = _lowest(segments, load_w, passed, buffers)
    cycling = np.divide(lower, curve, out=buffers.cycling)
    if passed == 0:
        return Climb(met_w=lower, power_w=cycling, cycling_w=cycling)
    curve[...] = cycling
    met = _add_segments(segments, load_w, passed, buffers)
    return Climb(met_w=met, power_w=curve, cycling_w=cycling)


def _lowest(
    segments: Segments, load_w: Array, passed: int, buffers: Buffers
) -> tuple[Array, Array]:
    lower = load_w
    if passed:
        lower = np.minimum(load_w, segments.edge_w[0], out=buffers.lower)
    curve = np.multiply(lower, segments.rise[0], out=buffers.curve)
    return lower, np.add(curve, segments.start, out=curve)


def _add_segments(segments: Segments, load_w: Array, passed: int, buffers: Buffers) -> Array:
    lower, spare = buffers.lower, buffers.upper
    for k in range(1, min(passed + 1, len(segments.edge_w))):
        upper = load_w
        if k < passed:
            upper = np.minimum(load_w, segments.edge_w[k], out=spare)
        # the difference first: two speeds of almost the same capacity then lose no digits
        step = np.subtract(upper, lower, out=lower)
        np.multiply(step, segments.rise[k], out=step)
        np.add(buffers.curve, step, out=buffers.curve)
        lower, spare = upper, step
    return lower


_RULES: dict[object, SegmentRule] = {modulating: cop_segments, time_shared: power_segments}


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PumpSegments:
    """One function of a heat pump at the states, at an in-service factor of 1.

    Parameters
    ----------
    frosted
        As it runs.
    clear
        Without frost; None: frost changes nothing.
    frost_band
        States in which more power than without frost is defrost, shape (states,).
    allowed
        Share of the time the temperature limits allow, shape (states,).
    operation
        Cut-outs, for the stop at a COP below one.
    """

    frosted: Segments
    clear: Segments | None
    frost_band: Mask
    allowed: Array
    operation: Operation

    def stopped(self, in_service_factor: Array, rows: slice = slice(None)) -> Mask:
        """States at which the full output takes more electricity than it gives heat.

        Parameters
        ----------
        in_service_factor
            Divides the power, shape (factors,).
        rows
            States; by default all.

        Returns
        -------
        Mask
            Shape (factors, states); all False for controls that do not care.
        """
        full_w, power_w = self.frosted.edge_w[-1, rows, 0], self.frosted.full_w[rows, 0]
        if not (self.operation.stop_below_cop_1 or self.operation.stop_below_cop_1_at_part_load):
            return np.zeros((in_service_factor.size, full_w.size), dtype=bool)
        below: Mask = (full_w < power_w / in_service_factor[:, np.newaxis]) & (full_w > 0)
        return below


def pump_segments(
    pump: HeatPump, conditions: Conditions, *, capacity_factor: float
) -> PumpSegments:
    """Write one function of a heat pump as segments.

    Parameters
    ----------
    pump
        Heat pump or air conditioner; its in-service factor is set to 1.
    conditions
        The states.
    capacity_factor
        Takes the place of the pump's own.

    Returns
    -------
    PumpSegments
        Coefficients at the states.

    Raises
    ------
    NoBatchError
        If the staging rule, the cycling rule or the operation is not one of the fast ones.
    EquipmentError
        If the capacity factor is not plausible.
    """
    _check(pump)
    rated = replace(pump, in_service_factor=1.0, capacity_factor=capacity_factor)
    at = rated.stacks(conditions)
    return PumpSegments(
        frosted=_segments(at.running),
        clear=None if at.clear is None else _segments(at.clear),
        frost_band=in_frost_band(conditions.outdoor_c),
        allowed=pump.operation.temperature_share(conditions.outdoor_c),
        operation=pump.operation,
    )


def _name(thing: object) -> str:
    return getattr(thing, "__name__", type(thing).__name__)


def _check(pump: HeatPump) -> None:
    if type(pump.operation) is not Operation:
        raise no_batch(
            f"a heat pump run by {_name(pump.operation)}", "limits without a memory (Operation)"
        )
    staging = pump.performance.staging
    if staging not in _RULES:
        raise no_batch(
            f"a heat pump whose speeds are joined by {_name(staging)}", "modulating or time_shared"
        )
    for factor in pump.performance.cycling:
        _degradation(factor)


def _degradation(factor: PartLoadFactor) -> float:
    if factor is no_cycling_loss:
        return 0.0
    if isinstance(factor, AirCycling) and factor.cd < 1.0:
        return factor.cd
    raise no_batch(
        f"a heat pump that cycles by {_name(factor)}",
        "AirCycling with a degradation coefficient below 1, or no_cycling_loss",
    )


def _segments(stack: Stack) -> Segments:
    q, p, order, count = _lined_up(stack)
    cd = np.array([_degradation(factor) for factor in stack.cycling])[order]
    cop = q / p
    value = cop if stack.staging is modulating else p
    rise = np.zeros_like(q)
    rise[0] = np.where(count > 0, cd / p[0], 0.0)
    np.divide(
        np.diff(value, axis=0), np.diff(q, axis=0), out=rise[1:], where=np.diff(q, axis=0) > 0
    )
    return Segments(
        edge_w=q[..., np.newaxis],
        start=np.where(count > 0, (1.0 - cd) * cop[0], 1.0)[:, np.newaxis],
        rise=rise[..., np.newaxis],
        lowest_w=p[0][:, np.newaxis],
        full_w=p[-1][:, np.newaxis],
        rule=_RULES[stack.staging],
    )


def _lined_up(stack: Stack) -> tuple[Array, Array, Index, Index]:
    """Capacity and power of the speeds that may run first, then repeats of the highest of them."""
    usable = stack.available & (stack.capacity_w > 0)
    order = np.argsort(~usable, axis=0, kind="stable")
    count = usable.sum(axis=0)
    q = np.take_along_axis(stack.capacity_w, order, axis=0)
    p = np.take_along_axis(stack.power_w, order, axis=0)
    q[0], p[0] = np.where(count > 0, q[0], 0.0), np.where(count > 0, p[0], 1.0)
    for k in range(1, len(q)):
        q[k] = np.where(k < count, q[k], q[k - 1])
        p[k] = np.where(k < count, p[k], p[k - 1])
    return q, p, order[0], count
