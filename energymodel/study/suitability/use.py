"""Other ways and special rooms: use now and then, ducts of the house, one outdoor unit for many."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from energymodel.arrays import Array
from energymodel.building.load import LoadLine
from energymodel.study.suitability.hours import Duty
from energymodel.weather.year import WeatherYear

_SECONDS_PER_HOUR = 3600.0
TURN_DOWN = (2.5, 4.0)
"""Full over lowest output of one outdoor unit with several heads (common practice)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PullUp:
    """A cold room that is to be warm in a given time.

    Parameters
    ----------
    line
        Heating load at the set-point of the room in use.
    capacity_j_per_k
        Heat capacity of the room with its structure.
    from_c
        Set-point that keeps it from freezing, degC.
    hours
        Time in which it is to be warm, h.
    """

    line: LoadLine
    capacity_j_per_k: float
    from_c: float
    hours: float

    def _unheated_c(self, outdoor_c: float) -> float:
        return outdoor_c + self.line.indoor_c - self.line.balance_c

    @property
    def _time_constant_s(self) -> float:
        return self.capacity_j_per_k / self.line.slope_w_per_k

    def frost_load_w(self, outdoor_c: float) -> float:
        """Load that keeps the room from freezing.

        Parameters
        ----------
        outdoor_c
            degC.

        Returns
        -------
        float
            W.
        """
        cold = self.line.at_set_point(self.from_c)
        return float(cold.load_w(np.array([outdoor_c]))[0])

    def needed_w(self, outdoor_c: float) -> float:
        """Output that warms the room in the wanted time.

        Parameters
        ----------
        outdoor_c
            degC, steady while the room warms.

        Returns
        -------
        float
            W.

        Notes
        -----
        One heat capacity C behind one heat-loss coefficient UA with steady gains: from T0 to T1 in
        time t, with e = exp(-t UA / C), the room heads for (T1 - T0 e) / (1 - e), and the output is
        UA times what that lies above the temperature of the unheated room.
        """
        decay = float(np.exp(-self.hours * _SECONDS_PER_HOUR / self._time_constant_s))
        heading_c = (self.line.indoor_c - self.from_c * decay) / (1.0 - decay)
        return max(self.line.slope_w_per_k * (heading_c - self._unheated_c(outdoor_c)), 0.0)

    def time_h(self, output_w: float, outdoor_c: float) -> float:
        """Time that a steady output takes.

        Parameters
        ----------
        output_w
            W.
        outdoor_c
            degC.

        Returns
        -------
        float
            h; infinite where the output never warms the room.
        """
        heading_c = self._unheated_c(outdoor_c) + output_w / self.line.slope_w_per_k
        if heading_c <= self.line.indoor_c:
            return float("inf")
        ratio = (heading_c - self.from_c) / (heading_c - self.line.indoor_c)
        return self._time_constant_s * float(np.log(max(ratio, 1.0))) / _SECONDS_PER_HOUR


@dataclass(frozen=True, slots=True, kw_only=True)
class SpareDuct:
    """The ducted system of the house as the other way to serve a room.

    Parameters
    ----------
    refused
        Whether the room is a garage, which shares no ducts with the house.
    capacity_w, house_load_w
        Output of the system and load of the house at the design temperature, W.
    room_load_w
        Load of the room, W.
    efficiency
        Of the run to the room; None: not known, losses not counted.
    measured
        Whether capacity and load were measured or calculated, not taken from a plate.
    """

    refused: bool
    capacity_w: float
    house_load_w: float
    room_load_w: float
    efficiency: float | None
    measured: bool

    @property
    def spare_w(self) -> float:
        """Capacity less house load, W."""
        return self.capacity_w - self.house_load_w

    @property
    def needed_w(self) -> float:
        """Load of the room at the system, W: duct loss included where it is known."""
        return self.room_load_w / (self.efficiency or 1.0)

    @property
    def lost_w(self) -> float:
        """Heat or cold lost on the way to the room, W."""
        return self.needed_w - self.room_load_w

    @property
    def carries(self) -> bool:
        """Whether house and room together stay within the capacity."""
        return not self.refused and self.needed_w <= self.spare_w


@dataclass(frozen=True, slots=True, kw_only=True)
class SharedUnit:
    """One outdoor unit for several heads against the load of this room alone.

    Parameters
    ----------
    heads
        Indoor units on it.
    lowest_w
        Lowest output, from and to, W; equal where the user gave it.
    known
        Whether the user gave it; else it is full output over 4 to over 2.5 (common practice).
    below
        Share of the heating season in which the room's load lies below it, 0..1, from and to.
    """

    heads: int
    lowest_w: tuple[float, float]
    known: bool
    below: tuple[float, float]


def shared_unit(
    heads: int, full_w: float, lowest_w: float | None, duty: Duty, weather: WeatherYear
) -> SharedUnit:
    """Hold the lowest output of a shared outdoor unit against one room.

    Parameters
    ----------
    heads
        Indoor units on it.
    full_w, lowest_w
        Largest and lowest output, W; None: not known.
    duty
        Load of the room.
    weather
        The year.

    Returns
    -------
    SharedUnit
        As if this room alone called for heat.
    """
    band = (
        (full_w / TURN_DOWN[1], full_w / TURN_DOWN[0]) if lowest_w is None else (lowest_w, lowest_w)
    )
    load_w = duty.load_w(weather)
    return SharedUnit(
        heads=heads,
        lowest_w=band,
        known=lowest_w is not None,
        below=(_below(load_w, band[0]), _below(load_w, band[1])),
    )


def _below(load_w: Array, limit_w: float) -> float:
    loaded = load_w > 0
    return float((load_w[loaded] < limit_w).mean()) if loaded.any() else 0.0
