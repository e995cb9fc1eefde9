"""Heat loss of a room or house from its parts: areas, slab edges, leaking and ventilation air."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

from energymodel.building.load import LoadLine
from energymodel.errors import InputError
from energymodel.notices import Notice, UsedDefault
from energymodel.units import HOURS_PER_DAY

if TYPE_CHECKING:
    from energymodel.building.air_change import Infiltration, Ventilation
    from energymodel.building.assemblies import SlabEdge, Surface

INFILTRATION = "infiltration"
VENTILATION = "ventilation"


@dataclass(frozen=True, slots=True, kw_only=True)
class Envelope:
    """Everything through which a room or house loses heat.

    Parameters
    ----------
    parts
        Surfaces and slab edges; each name once.
    infiltration, ventilation
        Air that leaks in and air that is brought in; None: none.
    altitude_m
        Height above sea level, m: thinner air carries less heat.
    """

    parts: tuple[Surface | SlabEdge, ...]
    infiltration: Infiltration | None = None
    ventilation: Ventilation | None = None
    altitude_m: float = 0.0

    def __post_init__(self) -> None:
        names = [part.name for part in self.parts]
        twice = sorted({name for name in names if names.count(name) > 1})
        reserved = sorted({INFILTRATION, VENTILATION} & set(names))
        if twice or reserved:
            raise InputError(
                "envelope parts with the name " + ", ".join(twice + reserved),
                expected=f'each name once, and neither "{INFILTRATION}" nor "{VENTILATION}"',
            )

    def components_w_per_k(self) -> dict[str, float]:
        """Heat-loss coefficient of each component.

        Returns
        -------
        dict of float
            W/K by name; air last.
        """
        from energymodel.building.air_change import (  # noqa: PLC0415 - few rooms give components
            air_ua_w_per_k,
        )

        ua = {part.name: part.ua_w_per_k for part in self.parts}
        if self.infiltration is not None:
            flow = self.infiltration.flow_m3_per_h
            ua[INFILTRATION] = air_ua_w_per_k(flow, altitude_m=self.altitude_m)
        if self.ventilation is not None:
            flow = self.ventilation.effective_flow_m3_per_h
            ua[VENTILATION] = air_ua_w_per_k(flow, altitude_m=self.altitude_m)
        return ua

    @property
    def used_defaults(self) -> tuple[UsedDefault, ...]:
        """Table values that went into it."""
        found = [part.used_default for part in self.parts if part.used_default is not None]
        leaks = self.infiltration.used_defaults if self.infiltration is not None else ()
        return (*found, *leaks)


@dataclass(frozen=True, slots=True, kw_only=True)
class HeatLoss:
    """Heat loss of a room or house, with the load lines that follow.

    Parameters
    ----------
    components_w_per_k
        Heat-loss coefficient by component, W/K.
    indoor_c
        Heating set-point, degC.
    gains_w
        Mean internal and solar gain in the heating season, W.
    used_defaults
        Table values that went into it.
    """

    components_w_per_k: Mapping[str, float]
    indoor_c: float
    gains_w: float
    used_defaults: tuple[UsedDefault, ...] = ()

    @property
    def ua_w_per_k(self) -> float:
        """Sum of the components, W/K."""
        return sum(self.components_w_per_k.values())

    @property
    def balance_c(self) -> float:
        """Outdoor temperature at which gains cover the loss, degC: indoor - gains / UA."""
        return self.indoor_c - self.gains_w / self.ua_w_per_k

    @property
    def heating(self) -> LoadLine:
        """Heating load line: UA x (balance - outdoor)."""
        return LoadLine(
            slope_w_per_k=self.ua_w_per_k,
            balance_c=self.balance_c,
            indoor_c=self.indoor_c,
            heating=True,
        )

    def design_load_w(self, design_c: float) -> float:
        """Heat loss at a design temperature, gains not subtracted.

        Parameters
        ----------
        design_c
            Outdoor design temperature, degC.

        Returns
        -------
        float
            W.
        """
        return self.ua_w_per_k * max(self.indoor_c - design_c, 0.0)


def heat_loss(envelope: Envelope, *, indoor_c: float, gains_w: float) -> HeatLoss:
    """Heat loss of an envelope.

    Parameters
    ----------
    envelope
        What it consists of.
    indoor_c
        Heating set-point, degC.
    gains_w
        Mean internal and solar gain in the heating season, W, >= 0.

    Returns
    -------
    HeatLoss
        UA by component, balance temperature and heating line.

    Raises
    ------
    InputError
        If nothing loses heat, or the gains are negative.

    Notes
    -----
    t_balance = t_indoor - gains / UA (degree-day method, from memory).
    """
    components = envelope.components_w_per_k()
    if not sum(components.values()) > 0:
        raise InputError("an envelope that loses no heat", expected="at least one part")
    if not gains_w >= 0:
        raise InputError(f"gains of {gains_w:g} W", expected="0 W or more")
    return HeatLoss(
        components_w_per_k=components,
        indoor_c=indoor_c,
        gains_w=gains_w,
        used_defaults=envelope.used_defaults,
    )


def rough_cooling_line(
    loss: HeatLoss, *, indoor_c: float, cooling_gain_w: float
) -> tuple[LoadLine, Notice]:
    """Cooling line from the same UA and one steady gain: an approximation.

    Parameters
    ----------
    loss
        Heat loss of the room.
    indoor_c
        Cooling set-point, degC.
    cooling_gain_w
        Mean internal, solar and latent gain in hours with cooling, W, >= 0.

    Returns
    -------
    line : LoadLine
        UA x (outdoor - indoor) + gain, zero at indoor - gain / UA.
    notice : Notice
        Says what the line leaves out.

    Raises
    ------
    InputError
        If the gain is negative.
    """
    if not cooling_gain_w >= 0:
        raise InputError(f"a cooling gain of {cooling_gain_w:g} W", expected="0 W or more")
    line = LoadLine(
        slope_w_per_k=loss.ua_w_per_k,
        balance_c=indoor_c - cooling_gain_w / loss.ua_w_per_k,
        indoor_c=indoor_c,
        heating=False,
    )
    return line, Notice(
        topic="cooling load",
        text="The cooling line takes sun, people and moisture as one steady gain. Sun and moisture "
        "change with the hour: use a cooling load calculation where cooling decides.",
    )


def degree_day_heat_kwh(ua_w_per_k: float, degree_days_k_d: float) -> float:
    """Heat of a season by degree-days.

    Parameters
    ----------
    ua_w_per_k
        Heat-loss coefficient, W/K.
    degree_days_k_d
        Degree-days below the balance temperature, K d; name the base beside the result.

    Returns
    -------
    float
        kWh: 24 x UA x degree-days.

    References
    ----------
    Degree-day method: ASHRAE Handbook Fundamentals, energy estimating (from memory).

    Examples
    --------
    >>> degree_day_heat_kwh(100.0, 2500.0)
    6000.0
    """
    return ua_w_per_k * degree_days_k_d * HOURS_PER_DAY / 1000.0
