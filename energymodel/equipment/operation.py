"""When a compressor may run: cut-outs, lock-outs of single speeds, stop at COP below one."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from energymodel.arrays import Array, Mask
from energymodel.errors import EquipmentError


@dataclass(frozen=True, slots=True, kw_only=True)
class SpeedLockout:
    """One speed may not run on one side of an outdoor temperature.

    Parameters
    ----------
    speed
        Index of the speed, 0 = lowest.
    below_c, above_c
        Locked out at or below, or at or above, this outdoor temperature, degC.
    """

    speed: int
    below_c: float | None = None
    above_c: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Operation:
    """Temperatures at which the controls stop and allow the compressor.

    Parameters
    ----------
    off_c, on_c
        Heating: stops at or below `off_c`, certainly allowed again above `on_c`; half of the
        time in between. None: never stops for cold.
    off_above_c
        Stops above this outdoor temperature (heating: warm limit; cooling: high-ambient limit).
    stop_below_cop_1
        Stops at full load where COP < 1: with resistance backup it would only cost.
    stop_below_cop_1_at_part_load
        The same in part load (single-speed units of the federal rating procedure).
    lockouts
        Speeds that may not run on one side of a temperature.

    References
    ----------
    Factors 0, 1/2, 1: 10 CFR 430 Subpart B, Appendix M1, section 4.2 (from memory).
    """

    off_c: float | None = None
    on_c: float | None = None
    off_above_c: float | None = None
    stop_below_cop_1: bool = False
    stop_below_cop_1_at_part_load: bool = False
    lockouts: tuple[SpeedLockout, ...] = ()

    def __post_init__(self) -> None:
        if self.on_c is not None and self.off_c is None:
            raise EquipmentError(
                "a cut-in temperature stands without a cut-out temperature",
                remedy="give both, or neither",
            )
        if self.off_c is not None and self.on_c is not None and self.on_c < self.off_c:
            raise EquipmentError(
                f"cut-in ({self.on_c:.1f} degC) lies below cut-out ({self.off_c:.1f} degC)",
                expected="cut-in at or above cut-out",
            )

    def temperature_share(self, outdoor_c: Array) -> Array:
        """Share of the time the temperature limits let the compressor run.

        Parameters
        ----------
        outdoor_c
            Outdoor temperature, degC.

        Returns
        -------
        Array
            0, 1/2 or 1, same shape.
        """
        share = np.ones_like(outdoor_c)
        if self.off_c is not None:
            on = self.off_c if self.on_c is None else self.on_c
            share = np.where(outdoor_c <= on, 0.5, share)
            share = np.where(outdoor_c <= self.off_c, 0.0, share)
        if self.off_above_c is not None:
            share = np.where(outdoor_c > self.off_above_c, 0.0, share)
        return share

    def shares(self, allowed: Array, below_cop_1: Mask) -> tuple[Array, Array]:
        """Shares of the time the controls let the compressor run, by load.

        Parameters
        ----------
        allowed
            Share of the time that the temperature limits allow, 0..1.
        below_cop_1
            States at which the full output takes more electricity than it gives heat.

        Returns
        -------
        part_share, full_share : Array
            For loads below and at the full capacity.
        """
        stopped = np.where(below_cop_1, 0.0, allowed)
        part = stopped if self.stop_below_cop_1_at_part_load else allowed
        full = stopped if self.stop_below_cop_1 else allowed
        return part, full

    def speeds_allowed(self, outdoor_c: Array, speeds: int) -> Mask:
        """Which speeds the lock-outs allow.

        Parameters
        ----------
        outdoor_c
            Outdoor temperature, degC.
        speeds
            Number of speeds.

        Returns
        -------
        Mask
            Shape (speeds, *states).
        """
        allowed = np.ones((speeds, *outdoor_c.shape), dtype=bool)
        for lockout in self.lockouts:
            if lockout.below_c is not None:
                allowed[lockout.speed] &= outdoor_c > lockout.below_c
            if lockout.above_c is not None:
                allowed[lockout.speed] &= outdoor_c < lockout.above_c
        return allowed


@dataclass(frozen=True, slots=True, kw_only=True)
class RememberingOperation(Operation):
    """Limits with a memory: once stopped for cold, it starts again only above the cut-in.

    Parameters
    ----------
    off_c, on_c
        As in :class:`Operation`; between them the compressor stays as it was in the hour before.
    off_above_c, stop_below_cop_1, stop_below_cop_1_at_part_load, lockouts
        As in :class:`Operation`.

    Notes
    -----
    The states must be the hours of a year in their order (the plain hourly path). The year begins
    with the compressor allowed where the first hour lies between the limits.
    """

    def temperature_share(self, outdoor_c: Array) -> Array:
        """Share of each hour the temperature limits let the compressor run.

        Parameters
        ----------
        outdoor_c
            Outdoor temperature of each hour in order, degC, shape (hours,).

        Returns
        -------
        Array
            0 or 1, same shape.
        """
        share = np.ones_like(outdoor_c)
        if self.off_c is not None:
            on = self.off_c if self.on_c is None else self.on_c
            decided = np.where(outdoor_c <= self.off_c, 0.0, np.where(outdoor_c > on, 1.0, np.nan))
            last = np.where(np.isnan(decided), -1, np.arange(decided.size))
            last = np.maximum.accumulate(last)
            share = np.where(last >= 0, decided[np.maximum(last, 0)], 1.0)
        if self.off_above_c is not None:
            share = np.where(outdoor_c > self.off_above_c, 0.0, share)
        return share


ALWAYS = Operation()
"""No cut-out, no lock-out."""
