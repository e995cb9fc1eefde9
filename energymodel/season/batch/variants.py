"""What may differ between the variants of one option: loads, in-service and capacity factors."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TypeAlias

import numpy as np

from energymodel.arrays import Array, Index
from energymodel.building.load import LoadLine
from energymodel.equipment.heat_pump import HeatPump
from energymodel.errors import InputError

Rows: TypeAlias = slice | Index


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Variants:
    """Columns over the variants, shape (variants,); None or one value: the same for all.

    Parameters
    ----------
    heating_slope_w_per_k, heating_balance_c
        Heating load line, W/K and degC; None: the option's own.
    cooling_slope_w_per_k, cooling_balance_c
        Cooling load line, W/K and degC; None: the option's own.
    heating_in_service_factor, cooling_in_service_factor
        Divides the electric power of the heat pump; None: its own.
    heating_capacity_factor, cooling_capacity_factor
        Of the heat pump; None: its own. Each different value costs a new set of coefficients.
    burner_in_service_factor
        Divides the fuel of every burner that heats, pilots apart; None: its own.

    Notes
    -----
    All factors are absolute: they take the place of the option's own. A factor of something that
    the option does not have changes nothing.
    """

    heating_slope_w_per_k: Array | float | None = None
    heating_balance_c: Array | float | None = None
    cooling_slope_w_per_k: Array | float | None = None
    cooling_balance_c: Array | float | None = None
    heating_in_service_factor: Array | float | None = None
    cooling_in_service_factor: Array | float | None = None
    heating_capacity_factor: Array | float | None = None
    cooling_capacity_factor: Array | float | None = None
    burner_in_service_factor: Array | float | None = None

    def __len__(self) -> int:
        given = (getattr(self, name) for name in self.__slots__)
        shapes = [np.shape(values) for values in given if values is not None]
        try:
            shape = np.broadcast_shapes((1,), *shapes)
        except ValueError:
            shape = ()
        if len(shape) != 1 or shape == (0,):
            raise InputError(
                f"the columns of the variants have the shapes {sorted(set(shapes))}",
                expected="one dimension, and the same number of variants in every column",
            )
        return int(shape[0])


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FunctionVariants:
    """Columns of one function, shape (variants,).

    Parameters
    ----------
    slope_w_per_k, balance_c
        Load line.
    in_service_factor, capacity_factor
        Of the heat pump; 1 where there is none.
    """

    slope_w_per_k: Array
    balance_c: Array
    in_service_factor: Array
    capacity_factor: Array


def function_variants(
    variants: Variants, pumps: Sequence[HeatPump], line: LoadLine | None, *, function: str
) -> FunctionVariants | None:
    """Fill the columns of one function from the option.

    Parameters
    ----------
    variants
        As given.
    pumps
        Heat pumps of the source: they say what is plausible, and the first one has the factors
        that are not given.
    line
        For the load line where it is not given.
    function
        "heating" or "cooling": the first word of the columns.

    Returns
    -------
    FunctionVariants or None
        None where neither the option nor the variants have such a load.

    Raises
    ------
    InputError
        If a slope is not positive or a number is missing.
    EquipmentError
        If a factor is not plausible.
    """
    own = {
        "slope_w_per_k": None if line is None else line.slope_w_per_k,
        "balance_c": None if line is None else line.balance_c,
        "in_service_factor": pumps[0].in_service_factor if pumps else 1.0,
        "capacity_factor": pumps[0].capacity_factor if pumps else 1.0,
    }
    given = {name: getattr(variants, f"{function}_{name}") for name in own}
    chosen = {name: own[name] if given[name] is None else given[name] for name in own}
    if chosen["slope_w_per_k"] is None and chosen["balance_c"] is None:
        return None
    columns = {
        name: full_column(f"{function}_{name}", values, len(variants))
        for name, values in chosen.items()
    }
    if not (columns["slope_w_per_k"] > 0).all():
        raise InputError(
            f"{function}_slope_w_per_k has a load line that does not rise", expected="above 0 W/K"
        )
    for pump in pumps:
        for end in (np.min, np.max):  # the heat pump's own check of what is plausible
            replace(pump, in_service_factor=float(end(columns["in_service_factor"])))
            replace(pump, capacity_factor=float(end(columns["capacity_factor"])))
    return FunctionVariants(**columns)


def full_column(name: str, values: Array | float | None, variants: int) -> Array:
    """Bring one column to the number of variants.

    Parameters
    ----------
    name
        For messages.
    values
        As given.
    variants
        Number of variants.

    Returns
    -------
    Array
        Shape (variants,).

    Raises
    ------
    InputError
        If the column is missing or has a value that is not a number.
    """
    if values is None:
        raise InputError(f"{name} is missing", expected="both slope and balance temperature")
    column = np.broadcast_to(np.asarray(values, dtype=np.float64), (variants,))
    if not np.isfinite(column).all():
        raise InputError(f"{name} has a value that is not a number", expected="finite numbers")
    return column


def check_balances(heating: FunctionVariants | None, cooling: FunctionVariants | None) -> None:
    """Refuse variants that would heat and cool in the same hour.

    Parameters
    ----------
    heating, cooling
        Columns of the two functions.

    Raises
    ------
    InputError
        If a heating balance temperature lies above the cooling balance temperature.
    """
    if heating is None or cooling is None:
        return
    wrong = np.flatnonzero(heating.balance_c > cooling.balance_c)
    if wrong.size:
        raise InputError(
            f"{wrong.size} variants, the first at {wrong[0]}, have a heating balance temperature"
            " above the cooling balance temperature",
            expected="heating balance at or below cooling balance",
        )


def variants_at(variants: Variants, rows: Rows) -> Variants:
    """Take some of the variants.

    Parameters
    ----------
    variants
        Columns; those with one value for all stay.
    rows
        Which.

    Returns
    -------
    Variants
        Columns of those rows.
    """
    given = {name: getattr(variants, name) for name in variants.__slots__}
    return replace(
        variants,
        **{name: column[rows] for name, column in given.items() if np.size(column) > 1},
    )


def distinct_rows(columns: Sequence[Array]) -> tuple[Index, Index]:
    """Find the variants that differ.

    Parameters
    ----------
    columns
        Shape (variants,) each.

    Returns
    -------
    first
        A variant of each kind, shape (kinds,).
    kind
        Kind of each variant, shape (variants,).

    Examples
    --------
    >>> first, kind = distinct_rows([np.array([2.0, 1.0, 2.0]), np.array([0.0, 0.0, 0.0])])
    >>> first.tolist(), kind.tolist()
    ([1, 0], [1, 0, 1])
    """
    count = len(columns[0])
    kind = np.zeros(count, dtype=np.intp)
    for column in columns:
        levels, code = np.unique(column, return_inverse=True)
        if levels.size == count:  # no two variants are the same
            return np.arange(count), np.arange(count)
        kind = np.unique(kind * levels.size + code, return_inverse=True)[1]
    return np.unique(kind, return_index=True)[1], kind


def distinct_variants(variants: Variants) -> tuple[Variants, Index]:
    """Leave out the variants that repeat another one.

    Parameters
    ----------
    variants
        Columns.

    Returns
    -------
    variants
        Each kind once.
    kind
        Kind of each of the given variants, shape (variants,).
    """
    count = len(variants)
    given = {name: getattr(variants, name) for name in variants.__slots__}
    columns = {
        name: full_column(name, values, count)
        for name, values in given.items()
        if values is not None and np.size(values) > 1
    }
    if not columns:
        return variants, np.zeros(count, dtype=np.intp)
    first, kind = distinct_rows(list(columns.values()))
    if first.size == count:
        return variants, np.arange(count)
    return variants_at(variants, first), kind
