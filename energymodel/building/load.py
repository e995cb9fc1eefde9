"""Load lines: heating and cooling load of a room or house against outdoor temperature."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from energymodel.arrays import Array
from energymodel.errors import InputError


@dataclass(frozen=True, slots=True, kw_only=True)
class LoadLine:
    """A straight load line that is zero on one side of its balance temperature.

    Parameters
    ----------
    slope_w_per_k
        Rise of the load per kelvin away from the balance temperature, W/K, > 0.
    balance_c
        Outdoor temperature at which the load is zero, degC.
    indoor_c
        Set-point the line holds for, degC.
    heating
        True: the load rises towards the cold; False: towards the heat.
    """

    slope_w_per_k: float
    balance_c: float
    indoor_c: float
    heating: bool

    def __post_init__(self) -> None:
        if not self.slope_w_per_k > 0:
            raise InputError(
                f"the load line rises by {self.slope_w_per_k:g} W/K", expected="above 0 W/K"
            )

    def load_w(self, outdoor_c: Array) -> Array:
        """Load at each outdoor temperature; the line goes on past the design temperature.

        Parameters
        ----------
        outdoor_c
            Outdoor temperature, degC.

        Returns
        -------
        Array
            W, >= 0.
        """
        away = self.balance_c - outdoor_c if self.heating else outdoor_c - self.balance_c
        return self.slope_w_per_k * np.maximum(away, 0.0)

    def at_set_point(self, indoor_c: float) -> LoadLine:
        """Return the line at another set-point: the balance temperature moves by as much.

        Parameters
        ----------
        indoor_c
            New set-point, degC.

        Returns
        -------
        LoadLine
            Same slope.
        """
        return LoadLine(
            slope_w_per_k=self.slope_w_per_k,
            balance_c=self.balance_c + indoor_c - self.indoor_c,
            indoor_c=indoor_c,
            heating=self.heating,
        )


def heating_line_without_gains(
    *, design_load_w: float, design_c: float, balance_c: float, indoor_c: float
) -> LoadLine:
    """Heating line from a heat-loss sheet, whose design load leaves gains out.

    Parameters
    ----------
    design_load_w
        Heat loss at the design temperature, W, gains not subtracted.
    design_c
        Outdoor design temperature, degC.
    balance_c
        Outdoor temperature at which gains cover the loss, degC.
    indoor_c
        Set-point of the sheet, degC.

    Returns
    -------
    LoadLine
        UA = design load / (indoor - design temperature); load = UA (balance - T).

    Raises
    ------
    InputError
        If the temperatures are not in the order design < balance <= indoor.

    Examples
    --------
    >>> line = heating_line_without_gains(
    ...     design_load_w=3000.0, design_c=-10.0, balance_c=15.0, indoor_c=20.0
    ... )
    >>> line.slope_w_per_k, line.load_w(np.array([-10.0])).tolist()
    (100.0, [2500.0])
    """
    _ordered(design_c, balance_c, indoor_c)
    return LoadLine(
        slope_w_per_k=design_load_w / (indoor_c - design_c),
        balance_c=balance_c,
        indoor_c=indoor_c,
        heating=True,
    )


def heating_line_with_gains(
    *, design_load_w: float, design_c: float, balance_c: float, indoor_c: float
) -> LoadLine:
    """Heating line whose design load has the gains subtracted, as metered loads have.

    Parameters
    ----------
    design_load_w
        Heat needed from the heating system at the design temperature, W.
    design_c
        Outdoor design temperature, degC.
    balance_c
        Outdoor temperature at which the load is zero, degC.
    indoor_c
        Set-point, degC.

    Returns
    -------
    LoadLine
        Straight through (balance, 0) and the design point.

    Raises
    ------
    InputError
        If the temperatures are not in the order design < balance <= indoor.
    """
    _ordered(design_c, balance_c, indoor_c)
    return LoadLine(
        slope_w_per_k=design_load_w / (balance_c - design_c),
        balance_c=balance_c,
        indoor_c=indoor_c,
        heating=True,
    )


def cooling_line(
    *, design_load_w: float, design_c: float, balance_c: float, indoor_c: float
) -> LoadLine:
    """Cooling line through its balance temperature and its design point, gains included.

    Parameters
    ----------
    design_load_w
        Total (sensible and latent) cooling load at the design temperature, W.
    design_c
        Outdoor design temperature, degC.
    balance_c
        Outdoor temperature at which the load is zero, degC.
    indoor_c
        Set-point, degC.

    Returns
    -------
    LoadLine
        Straight through (balance, 0) and the design point.

    Raises
    ------
    InputError
        If the design temperature is not above the balance temperature.
    """
    if not design_c > balance_c:
        raise InputError(
            f"the cooling design temperature ({design_c:.1f} degC) is not above the cooling "
            f"balance temperature ({balance_c:.1f} degC)",
            expected="design temperature above balance temperature",
        )
    return LoadLine(
        slope_w_per_k=design_load_w / (design_c - balance_c),
        balance_c=balance_c,
        indoor_c=indoor_c,
        heating=False,
    )


def _ordered(design_c: float, balance_c: float, indoor_c: float) -> None:
    if not design_c < balance_c <= indoor_c:
        raise InputError(
            f"heating temperatures out of order: design {design_c:.1f}, balance {balance_c:.1f}, "
            f"indoor {indoor_c:.1f} degC",
            expected="design below balance, balance not above the indoor set-point",
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class RoomLoad:
    """Loads of one room or house.

    Parameters
    ----------
    heating, cooling
        Load lines; None: no such load.
    months_without_cooling
        Months, 1..12, in which windows are opened instead.
    sensible_heat_ratio
        Sensible share of the cooling load, 0..1; None: not known.
    """

    heating: LoadLine | None
    cooling: LoadLine | None
    months_without_cooling: frozenset[int] = frozenset()
    sensible_heat_ratio: float | None = None

    def __post_init__(self) -> None:
        if (
            self.heating is not None
            and self.cooling is not None
            and self.heating.balance_c > self.cooling.balance_c
        ):
            raise InputError(
                f"the heating balance temperature ({self.heating.balance_c:.1f} degC) lies above "
                f"the cooling balance temperature ({self.cooling.balance_c:.1f} degC)",
                expected="heating balance at or below cooling balance",
                remedy="the room would heat and cool in the same hour; check the two balance "
                "temperatures",
            )
