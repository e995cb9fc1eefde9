"""Thermostats: a contact with a dead band and minimum times, and a control that changes speed.

The classes here keep the state of one run; they are made new for each and never shared.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol

import numpy as np

from energymodel.errors import InputError

START_UP_TAU_S = 75.0
"""Time constant with which a heat pump's output comes up: 60 s to 90 s (common practice)."""
_SETTLED = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True)
class Thermostat:
    """Settings of a room thermostat; all defaults are common practice.

    Parameters
    ----------
    dead_band_k
        From switching on to switching off, K, the set-point in the middle; 0.5 to 1.5 K is usual.
    minimum_off_s, minimum_run_s
        Times for which a compressor stays off, and on, s.
    second_stage_k
        How far below the first stage a second stage or backup heat comes on, K.
    response_s
        Time in which a modulating control takes the room back to its set-point, s.
    """

    dead_band_k: float = 1.0
    minimum_off_s: float = 300.0
    minimum_run_s: float = 180.0
    second_stage_k: float = 0.5
    response_s: float = 900.0

    def __post_init__(self) -> None:
        if not 0.0 < self.dead_band_k <= 5.0:
            raise InputError(
                f"a dead band of {self.dead_band_k:g} K", expected="above 0 K and at most 5 K"
            )
        if min(self.minimum_off_s, self.minimum_run_s, self.second_stage_k) < 0:
            raise InputError("a thermostat time or offset below zero", expected="0 or more")
        if not self.response_s >= 60.0:
            raise InputError(
                f"a control that responds in {self.response_s:g} s", expected="60 s or more"
            )


USUAL_THERMOSTAT = Thermostat()
"""All settings as is common practice."""


def start_up_factors(tau_s: float, *, step_s: float) -> tuple[float, ...]:
    """Mean output over steady output in each step after a start.

    Parameters
    ----------
    tau_s
        Time constant of 1 - exp(-t/tau), s; 0: full output at once.
    step_s
        Length of a step, s.

    Returns
    -------
    tuple of float
        One factor per step until the output has come up; full power is drawn from the first.

    Notes
    -----
    Mean of 1 - exp(-t/tau) from t to t + d: 1 - tau/d (exp(-t/tau) - exp(-(t + d)/tau)).

    Examples
    --------
    >>> [round(factor, 3) for factor in start_up_factors(75.0, step_s=60.0)[:3]]
    [0.312, 0.691, 0.861]
    """
    if tau_s < 0:
        raise InputError(f"a start-up time constant of {tau_s:g} s", expected="0 s or more")
    if tau_s == 0:
        return ()
    lost = tau_s / step_s * -np.expm1(-step_s / tau_s)
    count = int(np.ceil(np.log(lost / _SETTLED) * tau_s / step_s))
    begun = np.exp(-np.arange(max(count, 0)) * step_s / tau_s)
    return tuple(float(factor) for factor in 1.0 - lost * begun)


class Contact:
    """A contact that closes in the cold and opens in the warmth, not oftener than it may.

    Parameters
    ----------
    minimum_off, minimum_on
        Steps for which it stays open, and closed.
    """

    __slots__ = ("minimum_off", "minimum_on", "on", "steps")

    def __init__(self, *, minimum_off: int, minimum_on: int) -> None:
        self.minimum_off = minimum_off
        self.minimum_on = minimum_on
        self.on = False
        self.steps = minimum_off

    def settle(self, air_c: float, on_at_c: float, off_at_c: float) -> bool:
        """Read the room at the beginning of a step.

        Parameters
        ----------
        air_c
            Room temperature, degC.
        on_at_c, off_at_c
            Closes at or below the first, opens at or above the second, degC.

        Returns
        -------
        bool
            Whether it is closed during the step.
        """
        self.steps += 1
        if self.on:
            if air_c >= off_at_c and self.steps > self.minimum_on:
                self.on, self.steps = False, 1
        elif air_c <= on_at_c and self.steps > self.minimum_off:
            self.on, self.steps = True, 1
        return self.on

    def open(self) -> None:
        """Open at once: the outdoor limits stop the machine."""
        if self.on:
            self.on, self.steps = False, 0


class Control(Protocol):
    """What tells a machine how much to give in a step."""

    def ask(self, air_c: float, hold_w: float, set_point_c: float) -> float:
        """Decide for a step.

        Parameters
        ----------
        air_c
            Room temperature, degC.
        hold_w
            Heat that holds the room at that temperature through the step, W.
        set_point_c
            Set-point, degC.

        Returns
        -------
        float
            Heat asked of the machine, W.
        """
        ...

    def limits(self, lowest_w: float, full_w: float) -> None:
        """Take over the outputs of the hour.

        Parameters
        ----------
        lowest_w, full_w
            Lowest and full output of the machine, W; 0: it may not run.
        """
        ...


def _steps(time_s: float, step_s: float) -> int:
    return int(np.ceil(time_s / step_s - 1e-9))


class StagedControl:
    """On or off with a dead band; a second stage, where there is one, comes on further down.

    Parameters
    ----------
    thermostat
        Settings.
    step_s
        Length of a step, s.
    """

    __slots__ = ("contact", "full_w", "half_k", "lowest_w", "second", "second_k")

    def __init__(self, thermostat: Thermostat, step_s: float) -> None:
        self.half_k = thermostat.dead_band_k / 2.0
        self.second_k = thermostat.second_stage_k
        self.contact = _compressor_contact(thermostat, step_s)
        self.second = Contact(minimum_off=0, minimum_on=0)
        self.lowest_w = self.full_w = 0.0

    def limits(self, lowest_w: float, full_w: float) -> None:
        """Take over the outputs of the hour.

        Parameters
        ----------
        lowest_w, full_w
            Output of the lowest stage and of all, W; 0: it may not run.
        """
        self.lowest_w, self.full_w = lowest_w, full_w
        if full_w <= 0:
            self.contact.open()
            self.second.open()

    def ask(self, air_c: float, hold_w: float, set_point_c: float) -> float:
        """Decide for a step.

        Parameters
        ----------
        air_c
            Room temperature, degC.
        hold_w
            Not used; the signature is that of every control.
        set_point_c
            Set-point, degC.

        Returns
        -------
        float
            0, the lowest or the full output, W.
        """
        del hold_w
        if self.full_w <= 0:
            return 0.0
        low_c = set_point_c - self.half_k
        if not self.contact.settle(air_c, low_c, set_point_c + self.half_k):
            self.second.open()
            return 0.0
        if self.lowest_w >= self.full_w:
            return self.full_w
        more = self.second.settle(air_c, low_c - self.second_k, set_point_c)
        return self.full_w if more else self.lowest_w


class ModulatingControl:
    """Gives what the room needs; below the lowest speed it cycles within the dead band.

    Parameters
    ----------
    thermostat
        Settings.
    step_s
        Length of a step, s.
    recovery_w_per_k
        Extra heat per kelvin below the set-point, W/K.

    Notes
    -----
    Asked = heat that holds the room where it is + recovery x (set-point - room), within the
    lowest and the full output. In a room that stands at its set-point that is the load.
    """

    __slots__ = ("contact", "full_w", "half_k", "lowest_w", "recovery_w_per_k")

    def __init__(self, thermostat: Thermostat, step_s: float, recovery_w_per_k: float) -> None:
        self.half_k = thermostat.dead_band_k / 2.0
        self.recovery_w_per_k = recovery_w_per_k
        self.contact = _compressor_contact(thermostat, step_s)
        self.lowest_w = self.full_w = 0.0

    def limits(self, lowest_w: float, full_w: float) -> None:
        """Take over the outputs of the hour.

        Parameters
        ----------
        lowest_w, full_w
            Output of the lowest speed and of the highest, W; 0: it may not run.
        """
        self.lowest_w, self.full_w = lowest_w, full_w
        if full_w <= 0:
            self.contact.open()

    def ask(self, air_c: float, hold_w: float, set_point_c: float) -> float:
        """Decide for a step.

        Parameters
        ----------
        air_c
            Room temperature, degC.
        hold_w
            Heat that holds the room at that temperature through the step, W.
        set_point_c
            Set-point, degC.

        Returns
        -------
        float
            0 or an output from the lowest to the full one, W.
        """
        if self.full_w <= 0:
            return 0.0
        if not self.contact.settle(air_c, set_point_c - self.half_k, set_point_c + self.half_k):
            return 0.0
        need_w = hold_w + self.recovery_w_per_k * (set_point_c - air_c)
        return min(max(need_w, self.lowest_w), self.full_w)


class BackupControl:
    """Backup heat: on below the second-stage temperature, or in the dead band where it is alone.

    Parameters
    ----------
    thermostat
        Settings.
    """

    __slots__ = ("contact", "half_k", "second_k")

    def __init__(self, thermostat: Thermostat) -> None:
        self.half_k = thermostat.dead_band_k / 2.0
        self.second_k = thermostat.second_stage_k
        self.contact = Contact(minimum_off=0, minimum_on=0)

    def helps(self, air_c: float, set_point_c: float) -> bool:
        """Decide for a step in which the main machine may run.

        Parameters
        ----------
        air_c, set_point_c
            Room temperature and set-point, degC.

        Returns
        -------
        bool
            Whether the backup is on.
        """
        low_c = set_point_c - self.half_k
        return self.contact.settle(air_c, low_c - self.second_k, low_c)

    def alone(self, air_c: float, set_point_c: float) -> bool:
        """Decide for a step in which the main machine may not run.

        Parameters
        ----------
        air_c, set_point_c
            Room temperature and set-point, degC.

        Returns
        -------
        bool
            Whether the backup is on.
        """
        return self.contact.settle(air_c, set_point_c - self.half_k, set_point_c + self.half_k)


def _compressor_contact(thermostat: Thermostat, step_s: float) -> Contact:
    return Contact(
        minimum_off=_steps(thermostat.minimum_off_s, step_s),
        minimum_on=_steps(thermostat.minimum_run_s, step_s),
    )
