"""Idle power of a batch: what is drawn in any case, less what the running compressor saves."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from energymodel.arrays import Array
from energymodel.season.option import IdleUnit, Option
from energymodel.season.states import States

IDLE_USES = ("controls", "crankcase_heater", "pan_heater", "idle_fan")
FAN = IDLE_USES.index("idle_fan")
"""The last of them."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class IdleWeights:
    """Idle power of all units of an option.

    Parameters
    ----------
    off_w
        Drawn while no compressor runs, W, shape (idle uses, states); without the indoor fans.
    heating_saved_w, cooling_saved_w
        Not drawn while the compressor heats, or cools, W, shape (idle uses, states).
    heating_fan_w, cooling_fan_w
        Indoor fans in hours with a load, W, shape (states,).
    uses
        Names of the uses.
    """

    off_w: Array
    heating_saved_w: Array
    cooling_saved_w: Array
    heating_fan_w: Array
    cooling_fan_w: Array
    uses: tuple[str, ...] = IDLE_USES

    @property
    def fan_use(self) -> int:
        """Number of the use in which the indoor fans are."""
        return len(self.uses) - 1

    def together(self) -> IdleWeights:
        """All uses as one.

        Returns
        -------
        IdleWeights
            With the use "all".
        """
        return replace(
            self,
            off_w=self.off_w.sum(axis=0, keepdims=True),
            heating_saved_w=self.heating_saved_w.sum(axis=0, keepdims=True),
            cooling_saved_w=self.cooling_saved_w.sum(axis=0, keepdims=True),
            uses=("all",),
        )


def idle_weights(option: Option, states: States) -> IdleWeights:
    """Gather the idle power of an option.

    Parameters
    ----------
    option
        With its idle units.
    states
        Of that option.

    Returns
    -------
    IdleWeights
        In the order of :data:`IDLE_USES`.
    """
    shape = (len(IDLE_USES), len(states))
    off, heating, cooling = np.zeros(shape), np.zeros(shape), np.zeros(shape)
    for unit in option.idle:
        idle_w = _waiting(unit, states, run_share=0.0)
        saved_w = idle_w - _waiting(unit, states, run_share=1.0)
        off += idle_w
        heating += saved_w if unit.heats else 0.0
        cooling += saved_w if unit.cools else 0.0
    off[FAN] = 0.0  # only in hours with a load
    return IdleWeights(
        off_w=off,
        heating_saved_w=heating,
        cooling_saved_w=cooling,
        heating_fan_w=heating[FAN],
        cooling_fan_w=cooling[FAN],
    )


def _waiting(unit: IdleUnit, states: States, *, run_share: float) -> Array:
    everywhere = np.ones(len(states), dtype=bool)
    drawn = unit.idle.electricity_w(
        states.outdoor_c,
        np.full(len(states), run_share),
        loaded=everywhere,
        switched_on=states.connected(unit),
    )
    return np.stack([drawn[use.replace("_", " ")] for use in IDLE_USES])


def loads_below(hours: Array, depth_c: Array, balance_c: Array) -> Array:
    """Sum weights of the states with a load.

    Parameters
    ----------
    hours
        Hours of each state in each cell, or hours times a weight, shape (..., cells, states).
    depth_c
        Outdoor temperature, degC, shape (states,); infinite where there is no load.
    balance_c
        Shape (variants,).

    Returns
    -------
    Array
        Sum of the hours below the balance temperature, shape (..., cells, variants).
    """
    order = np.argsort(depth_c, kind="stable")
    sums = np.zeros((*hours.shape[:-1], depth_c.size + 1))
    np.cumsum(hours[..., order], axis=-1, out=sums[..., 1:])
    below = np.searchsorted(depth_c[order], balance_c, side="left")
    return np.take(sums, below, axis=-1)
