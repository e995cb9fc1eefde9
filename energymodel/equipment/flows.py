"""What passes through a source of heat or cold at each state: one record, added and scaled."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Protocol

import numpy as np

from energymodel.arrays import Array, Mask


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Conditions:
    """Outdoor and indoor conditions at each state.

    Parameters
    ----------
    outdoor_c
        Outdoor dry-bulb temperature, degC.
    relative_humidity_pct
        Outdoor relative humidity, %, same shape.
    indoor_c
        Indoor set-point of the function at hand, degC.
    """

    outdoor_c: Array
    relative_humidity_pct: Array
    indoor_c: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Flows:
    """Heat, electricity and fuel at each state, W; all arrays of one shape.

    Parameters
    ----------
    delivered_w
        Heat (or cold) that reaches the room.
    unmet_w
        Load that nothing covers.
    electricity_w
        Electric power by use, such as "compressor", "defrost", "backup", "blower".
    fuel_w
        Fuel by carrier, higher heating value.
    running_w
        Electric power of what runs, while it runs: for the running peak.
    run_share
        Share of the time in which the heat pump or air conditioner runs, 0..1.
    pump_heat_w, pump_power_w
        Heat from the heat pump (or cold from the air conditioner) and its electricity.
    duct_loss_w
        Heat lost between unit and room.
    cycling, at_full, outside, extrapolated
        Masks, only where there is a load: below the lowest output, at full output, outside the
        operating range, outside the tested points.
    """

    delivered_w: Array
    unmet_w: Array
    electricity_w: Mapping[str, Array]
    fuel_w: Mapping[str, Array] = field(default_factory=dict)
    running_w: Array
    run_share: Array
    pump_heat_w: Array
    pump_power_w: Array
    duct_loss_w: Array
    cycling: Mask
    at_full: Mask
    outside: Mask
    extrapolated: Mask


class Source(Protocol):
    """Anything that answers a load at each state, without memory."""

    def run(self, conditions: Conditions, load_w: Array) -> Flows:
        """Answer a load.

        Parameters
        ----------
        conditions
            Outdoor and indoor conditions.
        load_w
            Load of the room, W, >= 0.

        Returns
        -------
        Flows
            delivered + unmet = load at each state.
        """
        ...

    @property
    def uses_humidity(self) -> bool:
        """Whether the answer depends on outdoor humidity inside the frost band."""
        ...


def simple_flows(
    load_w: Array,
    delivered_w: Array,
    *,
    electricity_w: Mapping[str, Array],
    fuel_w: Mapping[str, Array] | None = None,
    running_w: Array | None = None,
) -> Flows:
    """Flows of a source that is not a heat pump.

    Parameters
    ----------
    load_w, delivered_w
        Load and what is delivered of it, W.
    electricity_w, fuel_w
        By use and by carrier, W.
    running_w
        Power while running, W; by default the mean power.

    Returns
    -------
    Flows
        With empty heat-pump columns.
    """
    none = np.zeros_like(load_w)
    no = np.zeros(load_w.shape, dtype=bool)
    total = sum(electricity_w.values(), none)
    return Flows(
        delivered_w=delivered_w,
        unmet_w=load_w - delivered_w,
        electricity_w=electricity_w,
        fuel_w=fuel_w or {},
        running_w=total if running_w is None else running_w,
        run_share=none,
        pump_heat_w=none,
        pump_power_w=none,
        duct_loss_w=none,
        cycling=no,
        at_full=no,
        outside=no,
        extrapolated=no,
    )


def _merge(first: Mapping[str, Array], second: Mapping[str, Array]) -> dict[str, Array]:
    merged = dict(first)
    for name, values in second.items():
        merged[name] = merged[name] + values if name in merged else values
    return merged


def scaled(flows: Flows, share: Array) -> Flows:
    """Flows of a source that runs only a share of the time.

    Parameters
    ----------
    flows
        Flows while it may run.
    share
        Share of the time, 0..1, shape of the states.

    Returns
    -------
    Flows
        Everything times the share; running power is kept where the share is above zero.
    """
    on = share > 0
    return Flows(
        delivered_w=flows.delivered_w * share,
        unmet_w=flows.unmet_w * share,
        electricity_w={name: w * share for name, w in flows.electricity_w.items()},
        fuel_w={name: w * share for name, w in flows.fuel_w.items()},
        running_w=np.where(on, flows.running_w, 0.0),
        run_share=flows.run_share * share,
        pump_heat_w=flows.pump_heat_w * share,
        pump_power_w=flows.pump_power_w * share,
        duct_loss_w=flows.duct_loss_w * share,
        cycling=flows.cycling & on,
        at_full=flows.at_full & on,
        outside=flows.outside & on,
        extrapolated=flows.extrapolated & on,
    )


def together(first: Flows, second: Flows, *, at_once: bool) -> Flows:
    """Sum of two sources.

    Parameters
    ----------
    first, second
        Flows of the two.
    at_once
        Whether both run at the same moment (running powers add) or in turn (the larger counts).

    Returns
    -------
    Flows
        Sums; `unmet_w` is summed too, so give each source its own part of the load.
    """
    running = (
        first.running_w + second.running_w
        if at_once
        else np.maximum(first.running_w, second.running_w)
    )
    return Flows(
        delivered_w=first.delivered_w + second.delivered_w,
        unmet_w=first.unmet_w + second.unmet_w,
        electricity_w=_merge(first.electricity_w, second.electricity_w),
        fuel_w=_merge(first.fuel_w, second.fuel_w),
        running_w=running,
        run_share=first.run_share + second.run_share,
        pump_heat_w=first.pump_heat_w + second.pump_heat_w,
        pump_power_w=first.pump_power_w + second.pump_power_w,
        duct_loss_w=first.duct_loss_w + second.duct_loss_w,
        cycling=first.cycling | second.cycling,
        at_full=first.at_full | second.at_full,
        outside=first.outside | second.outside,
        extrapolated=first.extrapolated | second.extrapolated,
    )


def chosen(flows: Flows, instead: Flows, *, instead_where: Mask) -> Flows:
    """Flows of one source in some states and of another in the rest.

    Parameters
    ----------
    flows, instead
        Answers of the two to the same load.
    instead_where
        States in which the second one answers.

    Returns
    -------
    Flows
        Nothing of the first is left where the second answers.
    """

    def pick(own: Array, other: Array) -> Array:
        return np.where(instead_where, other, own)

    def pick_each(own: Mapping[str, Array], other: Mapping[str, Array]) -> dict[str, Array]:
        none = np.zeros_like(flows.delivered_w)
        return {
            name: pick(own.get(name, none), other.get(name, none))
            for name in dict.fromkeys((*own, *other))
        }

    def pick_mask(own: Mask, other: Mask) -> Mask:
        return np.where(instead_where, other, own)

    return Flows(
        delivered_w=pick(flows.delivered_w, instead.delivered_w),
        unmet_w=pick(flows.unmet_w, instead.unmet_w),
        electricity_w=pick_each(flows.electricity_w, instead.electricity_w),
        fuel_w=pick_each(flows.fuel_w, instead.fuel_w),
        running_w=pick(flows.running_w, instead.running_w),
        run_share=pick(flows.run_share, instead.run_share),
        pump_heat_w=pick(flows.pump_heat_w, instead.pump_heat_w),
        pump_power_w=pick(flows.pump_power_w, instead.pump_power_w),
        duct_loss_w=pick(flows.duct_loss_w, instead.duct_loss_w),
        cycling=pick_mask(flows.cycling, instead.cycling),
        at_full=pick_mask(flows.at_full, instead.at_full),
        outside=pick_mask(flows.outside, instead.outside),
        extrapolated=pick_mask(flows.extrapolated, instead.extrapolated),
    )
