"""What may differ between the variants of one heat pump: loads, in-service and capacity factors."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from energymodel.arrays import Array
from energymodel.building.load import LoadLine
from energymodel.equipment.heat_pump import HeatPump
from energymodel.errors import InputError


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
    """

    heating_slope_w_per_k: Array | float | None = None
    heating_balance_c: Array | float | None = None
    cooling_slope_w_per_k: Array | float | None = None
    cooling_balance_c: Array | float | None = None
    heating_in_service_factor: Array | float | None = None
    cooling_in_service_factor: Array | float | None = None
    heating_capacity_factor: Array | float | None = None
    cooling_capacity_factor: Array | float | None = None

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
        Of the heat pump.
    """

    slope_w_per_k: Array
    balance_c: Array
    in_service_factor: Array
    capacity_factor: Array


def function_variants(
    variants: Variants, pump: HeatPump, line: LoadLine | None, *, function: str
) -> FunctionVariants | None:
    """Fill the columns of one function from the option.

    Parameters
    ----------
    variants
        As given.
    pump
        For the factors that are not given.
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
        "in_service_factor": pump.in_service_factor,
        "capacity_factor": pump.capacity_factor,
    }
    given = {name: getattr(variants, f"{function}_{name}") for name in own}
    chosen = {name: own[name] if given[name] is None else given[name] for name in own}
    if chosen["slope_w_per_k"] is None and chosen["balance_c"] is None:
        return None
    columns = {
        name: _column(f"{function}_{name}", values, len(variants))
        for name, values in chosen.items()
    }
    if not (columns["slope_w_per_k"] > 0).all():
        raise InputError(
            f"{function}_slope_w_per_k has a load line that does not rise", expected="above 0 W/K"
        )
    for end in (np.min, np.max):  # the heat pump's own check of what is plausible
        replace(pump, in_service_factor=float(end(columns["in_service_factor"])))
        replace(pump, capacity_factor=float(end(columns["capacity_factor"])))
    return FunctionVariants(**columns)


def _column(name: str, values: Array | float | None, variants: int) -> Array:
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
