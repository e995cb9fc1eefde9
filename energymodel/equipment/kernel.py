"""The kernel: this load at this temperature - how much heat, how much power, what is missing.

One small function serves hours, bins and rating points. A machine is a stack of speed curves,
lowest first, already evaluated at the states, and a rule for what happens between two speeds.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np

from energymodel.arrays import Array, Mask

StagingRule: TypeAlias = Callable[[Array, Array, Array, Array, Array], Array]
"""Power at a load between two speeds: (load, capacity and power of the lower, of the higher)."""

PartLoadFactor: TypeAlias = Callable[[Array], Array]
"""Part-load factor (0..1] at a load factor X = load / capacity while cycling."""


def modulating(load_w: Array, q_low: Array, p_low: Array, q_high: Array, p_high: Array) -> Array:
    """Power of a compressor that changes speed: COP linear in load between two speeds.

    Parameters
    ----------
    load_w
        Load, W, between the two capacities.
    q_low, p_low
        Capacity and power of the lower speed, W.
    q_high, p_high
        Capacity and power of the higher speed, W.

    Returns
    -------
    Array
        Power, W.

    References
    ----------
    10 CFR 430 Subpart B, Appendix M1, section 4.1.4 and 4.2.4: EER and COP piecewise linear in
    load at each bin temperature (from memory).
    """
    share = (load_w - q_low) / (q_high - q_low)
    cop = q_low / p_low + share * (q_high / p_high - q_low / p_low)
    return load_w / cop


def time_shared(load_w: Array, q_low: Array, p_low: Array, q_high: Array, p_high: Array) -> Array:
    """Power of a two-stage compressor that alternates between stages: power linear in load.

    Parameters
    ----------
    load_w
        Load, W, between the two capacities.
    q_low, p_low
        Capacity and power of the lower stage, W.
    q_high, p_high
        Capacity and power of the higher stage, W.

    Returns
    -------
    Array
        Power, W.

    References
    ----------
    10 CFR 430 Subpart B, Appendix M1, section 4.1.3 and 4.2.3, case b (from memory).
    """
    share = (load_w - q_low) / (q_high - q_low)
    return p_low + share * (p_high - p_low)


def no_cycling_loss(load_factor: Array) -> Array:
    """Part-load factor of a machine that loses nothing by starting: 1.

    Parameters
    ----------
    load_factor
        Load / capacity, 0..1.

    Returns
    -------
    Array
        Ones, same shape.
    """
    return np.ones_like(load_factor)


@dataclass(frozen=True, slots=True, kw_only=True)
class AirCycling:
    """Part-load factor of an air-to-air machine: PLF = 1 - Cd (1 - X).

    Parameters
    ----------
    cd
        Degradation coefficient, 0..0.5.

    References
    ----------
    10 CFR 430 Subpart B, Appendix M1, section 4.1 and 4.2 (from memory).
    """

    cd: float

    def __call__(self, load_factor: Array) -> Array:
        """Part-load factor at a load factor."""
        return 1.0 - self.cd * (1.0 - load_factor)


@dataclass(frozen=True, slots=True, kw_only=True)
class WaterCycling:
    """Part-load factor of a hydronic machine: PLF = X / (Cc X + 1 - Cc).

    Parameters
    ----------
    cc
        Degradation coefficient, 0..1; 0.9 means 10 % of the rated power while idle.

    References
    ----------
    EN 14825, part-load formula for water-based units (quoted).
    """

    cc: float

    def __call__(self, load_factor: Array) -> Array:
        """Part-load factor at a load factor."""
        slope = self.cc * load_factor + (1.0 - self.cc)
        return np.divide(load_factor, slope, out=np.ones_like(slope), where=slope > 0)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Stack:
    """Speed curves evaluated at the states, lowest speed first.

    Parameters
    ----------
    capacity_w, power_w
        W, shape (speeds, *states).
    available
        Shape (speeds, *states): the speed may run at that state.
    staging
        What happens between two speeds.
    cycling
        Part-load factor of each speed when it is the lowest that may run.
    """

    capacity_w: Array
    power_w: Array
    available: Mask
    staging: StagingRule
    cycling: Sequence[PartLoadFactor]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Response:
    """What the machine does at each state; all arrays have the shape of the load.

    Parameters
    ----------
    delivered_w
        Heat (or cold) given, W.
    power_w
        Mean electric power, W.
    run_share
        Share of the time in which the compressor runs, 0..1.
    running_w
        Electric power while it runs, W.
    full_w
        Largest output that may run at that state, W.
    cycling, at_full
        Masks: below the lowest speed; at or above the highest.
    """

    delivered_w: Array
    power_w: Array
    run_share: Array
    running_w: Array
    full_w: Array
    cycling: Mask
    at_full: Mask


def respond(stack: Stack, load_w: Array, *, part_share: Array, full_share: Array) -> Response:
    """Answer a load at each state.

    Parameters
    ----------
    stack
        The machine at the states; no speed may fall below the one before it.
    load_w
        Load, W, >= 0, shape of the states.
    part_share, full_share
        Share of the time in which the controls let it run, in {0, 1/2, 1}, when the load is
        below the full capacity and when it is not.

    Returns
    -------
    Response
        delivered = share x min(load, full capacity); the rest is the caller's backup or unmet.

    Notes
    -----
    Below the lowest speed: X = load/Q1, power = P1 X / PLF(X). Between two speeds: the staging
    rule. At or above the highest: its power. A locked-out speed is passed over.
    """
    climb = _Climb(load_w, np.broadcast_shapes(load_w.shape, stack.capacity_w.shape[1:]))
    for q, p, may, factor in zip(
        stack.capacity_w, stack.power_w, stack.available, stack.cycling, strict=True
    ):
        usable = may & (q > 0)
        climb.cycle(q, p, usable, factor)
        climb.between(q, p, usable, stack.staging)
        climb.pass_speed(q, p, usable)
    return climb.answer(part_share, full_share)


class _Climb:
    """Working arrays while the speeds are gone through from the lowest to the highest."""

    __slots__ = ("cycling", "load", "lower_power", "lower_q", "none_yet", "power", "run", "running")

    def __init__(self, load_w: Array, shape: tuple[int, ...]) -> None:
        self.load = np.broadcast_to(load_w, shape)
        self.lower_q = np.zeros(shape)
        self.lower_power = np.zeros(shape)
        self.power = np.zeros(shape)
        self.run = np.zeros(shape)
        self.running = np.zeros(shape)
        self.cycling = np.zeros(shape, dtype=bool)
        self.none_yet = np.ones(shape, dtype=bool)

    def cycle(self, q: Array, p: Array, usable: Mask, factor: PartLoadFactor) -> None:
        here = usable & self.none_yet & (self.load <= q) & (self.load > 0)
        x = np.divide(self.load, q, out=np.zeros(here.shape), where=here)
        share = np.divide(x, factor(x), out=np.zeros(here.shape), where=here)
        self.run = np.where(here, share, self.run)
        self.power = np.where(here, p * share, self.power)
        self.running = np.where(here, p, self.running)
        self.cycling |= here & (self.load < q)

    def between(self, q: Array, p: Array, usable: Mask, staging: StagingRule) -> None:
        here = usable & ~self.none_yet & (self.load > self.lower_q) & (self.load <= q)
        if not here.any():
            return
        with np.errstate(divide="ignore", invalid="ignore"):
            mixed = staging(self.load, self.lower_q, self.lower_power, q, p)
        self.power = np.where(here, mixed, self.power)
        self.running = np.where(here, mixed, self.running)
        self.run = np.where(here, 1.0, self.run)

    def pass_speed(self, q: Array, p: Array, usable: Mask) -> None:
        self.lower_q = np.where(usable, q, self.lower_q)
        self.lower_power = np.where(usable, p, self.lower_power)
        self.none_yet &= ~usable

    def answer(self, part_share: Array, full_share: Array) -> Response:
        top, top_power = self.lower_q, self.lower_power
        full = (self.load >= top) & (top > 0)
        shares = np.where(full, full_share, part_share) * (top > 0)
        loaded = (shares > 0) & (self.load > 0)
        return Response(
            delivered_w=shares * np.minimum(self.load, top),
            power_w=shares * np.where(full, top_power, self.power),
            run_share=shares * np.where(full, 1.0, self.run),
            running_w=np.where(loaded, np.where(full, top_power, self.running), 0.0),
            full_w=top,
            cycling=self.cycling & loaded & ~full,
            at_full=full & loaded,
        )
