"""Published shapes of single-speed machines: biquadratic curves and a heating table.

References
----------
NREL/TP-5500-56354, tables 8, 12 and 13 (quoted): y = c0 + c1 A + c2 A^2 + c3 B + c4 B^2 + c5 A B
in degF, with A the indoor entering temperature (heating: dry bulb, rated 70 F; cooling: wet bulb,
rated 67 F) and B the outdoor dry-bulb temperature (rated 47 F and 95 F). Gross values: the indoor
fan is outside both the capacity and the input. EIR is input over output.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from energymodel.arrays import Array, frozen
from energymodel.datafiles import read_table
from energymodel.equipment.curves import PiecewiseLinear
from energymodel.units import c_from_f

RATED_HEATING_INDOOR_F = 70.0
RATED_COOLING_WET_BULB_F = 67.0
RATED_HEATING_OUTDOOR_F = 47.0
RATED_COOLING_OUTDOOR_F = 95.0
FAN_W_PER_CFM = 0.365
"""Rated fan of a ducted unit up to SEER 15, W per cfm (NREL/TP-5500-56354, quoted)."""
EFFICIENT_FAN_W_PER_CFM = 0.14
"""Rated fan of a unit above SEER 15, W per cfm (NREL/TP-5500-56354, quoted)."""
CFM_PER_BTU_H = 400.0 / 12_000.0
"""Air flow of 400 cfm per 12 kBtu/h of gross rated capacity (NREL/TP-5500-56354, quoted)."""


@dataclass(frozen=True, slots=True)
class Biquadratic:
    """A polynomial of second degree in an indoor and an outdoor temperature.

    Parameters
    ----------
    coefficients
        c0 to c5, temperatures in degF.

    Examples
    --------
    >>> round(float(COOLING_CAPACITY(67.0, frozen(95.0))), 3)
    0.992
    """

    coefficients: tuple[float, float, float, float, float, float]

    def __call__(self, indoor_f: float, outdoor_f: Array) -> Array:
        """Evaluate the polynomial; temperatures in degF, shape of `outdoor_f`."""
        c0, c1, c2, c3, c4, c5 = self.coefficients
        constant = c0 + c1 * indoor_f + c2 * indoor_f**2
        return constant + (c3 + c5 * indoor_f) * outdoor_f + c4 * outdoor_f**2


HEATING_CAPACITY = Biquadratic(
    (0.566333415, -0.000744164, -0.0000103, 0.009414634, 0.0000506, -0.00000675)
)
HEATING_EIR = Biquadratic(
    (0.718398423, 0.003498178, 0.000142202, -0.005724331, 0.00014085, -0.000215321)
)
COOLING_CAPACITY = Biquadratic(
    (3.68637657, -0.098352478, 0.000956357, 0.005838141, -0.0000127, -0.000131702)
)
HEAT_PUMP_COOLING_EIR = Biquadratic(
    (-3.437356399, 0.136656369, -0.001049231, -0.0079378, 0.000185435, -0.0001441)
)
AIR_CONDITIONER_EIR = Biquadratic(
    (-3.302695861, 0.137871531, -0.001056996, -0.012573945, 0.000214638, -0.000145054)
)


def relative_to(curve: Biquadratic, indoor_f: float, outdoor_f: Array, *, rated_f: float) -> Array:
    """Divide a curve by its own value at the rated outdoor temperature.

    Parameters
    ----------
    curve
        Biquadratic curve.
    indoor_f
        Indoor entering temperature, degF.
    outdoor_f
        Outdoor temperature, degF.
    rated_f
        Rated outdoor temperature, degF.

    Returns
    -------
    Array
        1 at the rated outdoor temperature, shape of `outdoor_f`.
    """
    return curve(indoor_f, outdoor_f) / curve(indoor_f, frozen(rated_f))


@cache
def heating_table() -> Array:
    """Heating performance of one single-speed heat pump, steady, as ratios to 47 F.

    Returns
    -------
    Array
        Rows of (outdoor degC, capacity ratio, power ratio) by rising temperature, -10 F to 65 F,
        read-only, shape (18, 3).

    Notes
    -----
    Steady: at 35 F the table stands 2 % below the straight line from 17 F to 47 F, where the
    federal 35 F frost estimate would stand 10 % below it, and the table does not call itself
    integrated. It has a step between 35 F and 30 F, in power more than in capacity, which is kept
    as published.

    References
    ----------
    A manufacturer's expanded heating performance table, 30 kBtu/h class, 14 SEER, 70 F indoors
    (published; brand withheld).
    """
    rows = [
        tuple(float(row[name]) for name in ("outdoor_f", "capacity_kbtu_h", "power_kw"))
        for row in read_table("equipment", "single_speed_heating.csv")
    ]
    _, capacity, power = next(row for row in rows if row[0] == RATED_HEATING_OUTDOOR_F)
    return frozen(sorted((c_from_f(t), q / capacity, p / power) for t, q, p in rows))


def heating_ratios(outdoor_c: Array) -> tuple[Array, Array]:
    """Capacity and power of a single-speed heat pump over those at 47 F.

    Parameters
    ----------
    outdoor_c
        Outdoor temperature, degC; the end lines of the table go on beyond it.

    Returns
    -------
    capacity_ratio, power_ratio : Array
        Same shape as `outdoor_c`, frost not counted.
    """
    table = heating_table()
    capacity = PiecewiseLinear(table[:, 0], table[:, 1])
    power = PiecewiseLinear(table[:, 0], table[:, 2])
    return capacity(outdoor_c), power(outdoor_c)
