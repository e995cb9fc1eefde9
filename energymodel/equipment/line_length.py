"""Refrigerant lines: capacity lost to their length and to a difference in height.

The power hardly falls, so the COP falls with the capacity.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from energymodel.arrays import Array, frozen
from energymodel.datafiles import read_table
from energymodel.equipment.curves import Function, PiecewiseLinear
from energymodel.errors import EquipmentError

RATED_LENGTH_M = 7.5
"""Length of the rating test: 25 ft."""
HIGHEST_M = 15.0
"""Largest height difference of 9 to 12 kBtu/h units: 33 ft to 49 ft (manuals, published)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Loss:
    """Columns of the two tables, and the sign of the height that costs capacity."""

    length_column: str
    height_column: str
    outdoor_above: float


_LOSSES = {
    Function.COOLING: _Loss(
        length_column="cooling", height_column="cooling_indoor_above", outdoor_above=-1.0
    ),
    Function.HEATING: _Loss(
        length_column="heating", height_column="heating_outdoor_above", outdoor_above=1.0
    ),
}


def capacity_factor(
    equivalent_length_m: float, *, function: Function, outdoor_above_m: float = 0.0
) -> float:
    """Capacity with the installed line over rated capacity.

    Parameters
    ----------
    equivalent_length_m
        One-way length with bends counted as straight pipe, m.
    function
        Heating or cooling.
    outdoor_above_m
        Height of the outdoor unit above the indoor unit, m, which costs heating capacity; negative
        where it stands lower, which costs cooling capacity.

    Returns
    -------
    float
        At most 1.

    Raises
    ------
    EquipmentError
        Beyond 65 m of line or 15 m of height.

    References
    ----------
    Capacity multipliers of a 42 kBtu/h inverter split system (a manufacturer's data, published;
    brand withheld), relative to 7.5 m. Beyond 10 m of height the last slope goes on, which agrees
    with the 2.5 % that another book gives as its largest loss (published).

    Examples
    --------
    >>> round(capacity_factor(25.0, function=Function.COOLING), 3)
    0.949
    >>> round(capacity_factor(25.0, function=Function.HEATING, outdoor_above_m=5.0), 3)
    0.968
    """
    loss = _LOSSES[function]
    lost = _height_loss(loss.height_column, loss.outdoor_above * outdoor_above_m)
    return _length_factor(loss.length_column, equivalent_length_m) * (1.0 - lost)


def _column(rows: Sequence[dict[str, str]], name: str) -> Array:
    return frozen([float(row[name]) for row in rows])


def _length_factor(column: str, length_m: float) -> float:
    rows = read_table("line_length.csv")
    lengths = _column(rows, "length_m")
    if not 0.0 <= length_m <= lengths[-1]:
        raise EquipmentError(
            f"a refrigerant line of {length_m:g} m equivalent length",
            expected=f"0 m or more, at most {lengths[-1]:g} m",
            remedy="use the maker's table for longer lines, as the unit's own capacity factor",
        )
    multiplier = np.interp([length_m, RATED_LENGTH_M], lengths, _column(rows, column))
    return min(1.0, float(multiplier[0] / multiplier[1]))


def _height_loss(column: str, height_m: float) -> float:
    if abs(height_m) > HIGHEST_M:
        raise EquipmentError(
            f"a height of {abs(height_m):g} m between the units",
            expected=f"at most {HIGHEST_M:g} m",
            remedy="use the maker's table, as the unit's own capacity factor",
        )
    rows = read_table("line_height.csv")
    line = PiecewiseLinear(_column(rows, "height_m"), _column(rows, column))
    return float(line(np.array([max(height_m, 0.0)]))[0])
