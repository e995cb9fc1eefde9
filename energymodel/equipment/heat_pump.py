"""Heat pumps and air conditioners of one or more speeds: the kernel and what stands around it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from energymodel.arrays import Array, Mask
from energymodel.equipment import frost as frost_loss
from energymodel.equipment.curves import Evaluated, Frost, Function, PerformanceMap
from energymodel.equipment.flows import Conditions, Flows
from energymodel.equipment.indoor import heating_factors
from energymodel.equipment.kernel import Response, Stack, respond
from energymodel.equipment.operation import ALWAYS, Operation
from energymodel.errors import EquipmentError

IndoorFactors = Callable[[float, Array], tuple[Array, Array]]


def no_indoor_effect(indoor_c: float, outdoor_c: Array) -> tuple[Array, Array]:
    """Capacity and power factors of 1 at every indoor temperature.

    Parameters
    ----------
    indoor_c
        Indoor set-point, degC; not used.
    outdoor_c
        Outdoor temperature, degC.

    Returns
    -------
    capacity_factor, power_factor : Array
        Ones.
    """
    del indoor_c
    return np.ones_like(outdoor_c), np.ones_like(outdoor_c)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _FactorsByState:
    """Indoor factors times an installation's factors that differ between the states."""

    indoor: IndoorFactors
    capacity: Array | float
    in_service: Array | float

    def __call__(self, indoor_c: float, outdoor_c: Array) -> tuple[Array, Array]:
        capacity, power = self.indoor(indoor_c, outdoor_c)
        return capacity * self.capacity, power / self.in_service


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PumpStacks:
    """A heat pump at the states, as the kernel takes it.

    Parameters
    ----------
    running
        As it runs: as installed, with frost and lock-outs.
    clear
        The same without frost; None: frost changes nothing.
    extrapolated
        States outside the tested points.
    """

    running: Stack
    clear: Stack | None
    extrapolated: Mask


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class HeatPump:
    """One function (heating or cooling) of a heat pump, or of an air conditioner, as installed.

    Parameters
    ----------
    performance
        Net performance map.
    operation
        Cut-outs and lock-outs.
    capacity_factor
        Line length x altitude x the installation's own capacity factor; power is unchanged.
    in_service_factor
        Divides the electric power: charge, air flow, placement, controls.
    frost_loss
        Whether steady curves lose capacity to frost.
    indoor_factors
        Effect of the indoor temperature; by default that of a heating map.
    """

    performance: PerformanceMap
    operation: Operation = ALWAYS
    capacity_factor: float = 1.0
    in_service_factor: float = 1.0
    frost_loss: bool = True
    indoor_factors: IndoorFactors | None = None

    def __post_init__(self) -> None:
        speeds = len(self.performance.speeds)
        if any(not 0 <= lockout.speed < speeds for lockout in self.operation.lockouts):
            raise EquipmentError(
                "a lock-out names a speed that the map does not have",
                expected=f"a speed from 0 to {speeds - 1}, 0 being the lowest",
            )
        if not 0.3 <= self.in_service_factor <= 1.2:
            raise EquipmentError(
                f"in-service factor {self.in_service_factor:g} is not plausible",
                expected="0.3 to 1.2; 0.90 is likely, 1.00 means as rated",
            )
        if not 0.3 <= self.capacity_factor <= 1.2:
            raise EquipmentError(
                f"capacity factor {self.capacity_factor:g} is not plausible",
                expected="0.3 to 1.2; 1.00 means as rated",
            )

    @property
    def uses_humidity(self) -> bool:
        """Whether frost makes the answer depend on outdoor humidity."""
        return (
            self.frost_loss
            and self.performance.function is Function.HEATING
            and any(speed.frost is Frost.STEADY for speed in self.performance.speeds)
        )

    def with_factors(
        self, *, capacity: Array | None = None, in_service: Array | None = None
    ) -> HeatPump:
        """Return the same heat pump with factors that differ from state to state.

        Parameters
        ----------
        capacity, in_service
            Take the place of the capacity and in-service factors, shape of the states; None: the
            factor stays as it is.

        Returns
        -------
        HeatPump
            For conditions of that shape only.
        """
        own = _FactorsByState(
            indoor=self._indoor,
            capacity=self.capacity_factor if capacity is None else capacity,
            in_service=self.in_service_factor if in_service is None else in_service,
        )
        return replace(self, capacity_factor=1.0, in_service_factor=1.0, indoor_factors=own)

    @property
    def _indoor(self) -> IndoorFactors:
        if self.indoor_factors is not None:
            return self.indoor_factors
        heats = self.performance.function is Function.HEATING
        return heating_factors if heats else no_indoor_effect

    def _installed(self, conditions: Conditions) -> Evaluated:
        at = self.performance.on_site(conditions.outdoor_c)
        capacity, power = self._indoor(conditions.indoor_c, conditions.outdoor_c)
        return Evaluated(
            capacity_w=at.capacity_w * capacity * self.capacity_factor,
            power_w=at.power_w * power / self.in_service_factor,
            available=at.available,
            extrapolated=at.extrapolated,
        )

    def _stack(self, at: Evaluated, outdoor_c: Array) -> Stack:
        speeds = len(self.performance.speeds)
        available = at.available & self.operation.speeds_allowed(outdoor_c, speeds)
        above = np.full_like(outdoor_c, np.inf)
        for index in reversed(range(speeds)):
            available[index] &= at.capacity_w[index] < above
            above = np.where(available[index], at.capacity_w[index], above)
        return Stack(
            capacity_w=at.capacity_w,
            power_w=at.power_w,
            available=available,
            staging=self.performance.staging,
            cycling=self.performance.cycling,
        )

    def _frosted(self, at: Evaluated, conditions: Conditions) -> Evaluated:
        loss = frost_loss.capacity_factor(conditions.outdoor_c, conditions.relative_humidity_pct)
        power = frost_loss.power_factor(loss)
        steady = np.array([speed.frost is Frost.STEADY for speed in self.performance.speeds])
        column = steady.reshape(-1, *([1] * conditions.outdoor_c.ndim))
        return Evaluated(
            capacity_w=np.where(column, at.capacity_w * loss, at.capacity_w),
            power_w=np.where(column, at.power_w * power, at.power_w),
            available=at.available,
            extrapolated=at.extrapolated,
        )

    def stacks(self, conditions: Conditions) -> PumpStacks:
        """Capacity and power of every speed at each state, before any load.

        Parameters
        ----------
        conditions
            Outdoor and indoor conditions.

        Returns
        -------
        PumpStacks
            With the capacity and in-service factors in them, without the cut-outs.
        """
        clear = self._installed(conditions)
        outdoor_c = conditions.outdoor_c
        if not self.uses_humidity:
            return PumpStacks(
                running=self._stack(clear, outdoor_c), clear=None, extrapolated=clear.extrapolated
            )
        at = self._frosted(clear, conditions)
        return PumpStacks(
            running=self._stack(at, outdoor_c),
            clear=self._stack(clear, outdoor_c),
            extrapolated=at.extrapolated,
        )

    def run(self, conditions: Conditions, load_w: Array) -> Flows:
        """Answer a load at each state.

        Parameters
        ----------
        conditions
            Outdoor and indoor conditions.
        load_w
            Load on the unit, W, >= 0.

        Returns
        -------
        Flows
            Uses "compressor" (with both fans and controls while running) and "defrost": power
            with frost less power without, for the same delivered heat.
        """
        share = self.operation.temperature_share(conditions.outdoor_c)
        return self.run_allowed(conditions, load_w, share=share)

    def run_allowed(self, conditions: Conditions, load_w: Array, *, share: Array) -> Flows:
        """Answer a load while the controls allow a given share of the time.

        Parameters
        ----------
        conditions
            Outdoor and indoor conditions.
        load_w
            Load on the unit, W, >= 0.
        share
            Share of the time the temperature limits allow, 0..1.

        Returns
        -------
        Flows
            As :meth:`run`.
        """
        at = self.stacks(conditions)
        part, full = self._shares(at.running, share)
        answer = respond(at.running, load_w, part_share=part, full_share=full)
        defrost = self._defrost(at.clear, answer, conditions, load_w)
        loaded = load_w > 0
        could = np.minimum(load_w, answer.full_w)
        stopped = (answer.delivered_w < could * (1.0 - 1e-12)) | (answer.full_w <= 0)
        return Flows(
            delivered_w=answer.delivered_w,
            unmet_w=load_w - answer.delivered_w,
            electricity_w={"compressor": answer.power_w - defrost, "defrost": defrost},
            running_w=answer.running_w,
            run_share=answer.run_share,
            pump_heat_w=answer.delivered_w,
            pump_power_w=answer.power_w,
            duct_loss_w=np.zeros_like(load_w),
            cycling=answer.cycling,
            at_full=answer.at_full,
            outside=loaded & stopped,
            extrapolated=loaded & at.extrapolated & (answer.delivered_w > 0),
        )

    def _shares(self, stack: Stack, share: Array) -> tuple[Array, Array]:
        capacity = np.where(stack.available, stack.capacity_w, 0.0)
        top = capacity.argmax(axis=0)[np.newaxis]
        capacity_w = np.take_along_axis(capacity, top, axis=0)[0]
        power_w = np.take_along_axis(stack.power_w, top, axis=0)[0]
        return self.operation.shares(share, capacity_w < power_w)

    def _defrost(
        self, clear: Stack | None, answer: Response, conditions: Conditions, load_w: Array
    ) -> Array:
        if clear is None:
            return np.zeros_like(load_w)
        ran = np.where(load_w > 0, answer.delivered_w, 0.0) > 0
        met = np.minimum(load_w, answer.full_w)
        share = np.divide(answer.delivered_w, met, out=np.zeros_like(load_w), where=ran)
        without = respond(clear, met, part_share=share, full_share=share)
        # a frost-free unit that would cycle may need a trifle more: that is no defrost
        extra_w = np.maximum(answer.power_w - without.power_w, 0.0)
        return np.where(frost_loss.in_frost_band(conditions.outdoor_c) & ran, extra_w, 0.0)

    def full_output_w(self, conditions: Conditions) -> Array:
        """Largest output at each state, cut-outs included.

        Parameters
        ----------
        conditions
            Outdoor and indoor conditions.

        Returns
        -------
        Array
            W; what the unit gives to a load without limit.
        """
        return self.run(conditions, np.full_like(conditions.outdoor_c, 1e9)).delivered_w

    def lowest_output_w(self, conditions: Conditions) -> Array:
        """Output of the lowest speed that may run at each state, cut-outs included.

        Parameters
        ----------
        conditions
            Outdoor and indoor conditions.

        Returns
        -------
        Array
            W; below it the unit cycles. Zero where no speed may run.
        """
        stack = self.stacks(conditions).running
        part, _ = self._shares(stack, self.operation.temperature_share(conditions.outdoor_c))
        lowest = np.where(stack.available, stack.capacity_w, np.inf).min(axis=0)
        return part * np.where(np.isfinite(lowest), lowest, 0.0)
