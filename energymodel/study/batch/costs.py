"""Yearly cost of one option for many variants of loads, factors and prices: `compare`, many times.

Every variant costs what a comparison of its own would give, to rounding. Energy comes from
:mod:`energymodel.season.batch.many`; a tariff bills sums over its cells and maxima over its
windows, and the hours themselves only where it needs them.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import reduce

import numpy as np

from energymodel.arrays import Array, Index
from energymodel.building.load import LoadLine
from energymodel.errors import InputError
from energymodel.scenario.assemble import Model, PlannedOption
from energymodel.scenario.prices import ELECTRICITY
from energymodel.season.batch.variants import Variants, distinct_variants, variants_at
from energymodel.season.option import Option
from energymodel.study.batch.money import KindCosts, Laid, kind_costs, laid_out
from energymodel.study.comparison.bill_costs import HouseBill

_KINDS_AT_ONCE = 16_384
"""Bounds the memory whatever the number of variants."""

Column = Array | float | None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class CostVariants:
    """Columns over the variants, shape (n,); None or one value: the same for all.

    Parameters
    ----------
    heating_load_factor, cooling_load_factor
        Times the option's own load; None: 1.
    heating_balance_shift_k, cooling_balance_shift_k
        Added to the option's balance temperature, K; None: 0.
    heat_pump_in_service
        Divides the power of heat pumps and air conditioners; None: the model's own.
    burner_in_service
        Divides the fuel of burners; None: the model's own.
    price_factor
        By carrier: times its price per kWh; under a tariff times the whole difference that the
        option makes to the bill. Charges of an account without use are not multiplied.
    """

    heating_load_factor: Array | float | None = None
    cooling_load_factor: Array | float | None = None
    heating_balance_shift_k: Array | float | None = None
    cooling_balance_shift_k: Array | float | None = None
    heat_pump_in_service: Array | float | None = None
    burner_in_service: Array | float | None = None
    price_factor: Mapping[str, Array | float] = field(default_factory=dict)

    def __len__(self) -> int:
        own = [getattr(self, name) for name in self.__slots__ if name != "price_factor"]
        shapes = [np.shape(values) for values in (*own, *self.price_factor.values())]
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

    def season(self, option: Option) -> Variants:
        """Load lines and factors for the season.

        Parameters
        ----------
        option
            Its load lines are what the factors and shifts change.

        Returns
        -------
        Variants
            Columns of those that are given.
        """
        heating, cooling = option.heating_load, option.cooling_load
        return Variants(
            heating_slope_w_per_k=_slope(heating, self.heating_load_factor),
            heating_balance_c=_balance(heating, self.heating_balance_shift_k),
            cooling_slope_w_per_k=_slope(cooling, self.cooling_load_factor),
            cooling_balance_c=_balance(cooling, self.cooling_balance_shift_k),
            heating_in_service_factor=self.heat_pump_in_service,
            cooling_in_service_factor=self.heat_pump_in_service,
            burner_in_service_factor=self.burner_in_service,
        )


def _slope(line: LoadLine | None, factor: Column) -> Column:
    return None if line is None or factor is None else line.slope_w_per_k * factor


def _balance(line: LoadLine | None, shift_k: Column) -> Column:
    return None if line is None or shift_k is None else line.balance_c + shift_k


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class BatchCosts:
    """Yearly costs of all variants of one option.

    Parameters
    ----------
    count
        Number of variants, n.
    service_cost
        Money per year by service, shape (n,); charges and other use of accounts that the option
        opens or closes are in heating, if there is any.
    energy_kwh
        By carrier, kWh per year, shape (n,); fuels by higher heating value.
    unmet_by_service
        Load that stays unmet, kWh per year by service, shape (n,).
    exact_by
        "cells": bills from sums and maxima; "hours": every distinct variant was billed by the hour.
    because
        What of the tariff needs the hours; empty by cells.
    """

    count: int
    service_cost: Mapping[str, Array]
    energy_kwh: Mapping[str, Array]
    unmet_by_service: Mapping[str, Array]
    exact_by: str = "cells"
    because: str = ""

    @property
    def total_cost(self) -> Array:
        """Money per year for all services, shape (n,)."""
        return sum(self.service_cost.values(), np.zeros(self.count))

    @property
    def unmet_kwh(self) -> Array:
        """Heating and cooling load that stays unmet, kWh per year, shape (n,)."""
        return sum(self.unmet_by_service.values(), np.zeros(self.count))


def batch_costs(
    model: Model,
    planned: PlannedOption,
    variants: CostVariants,
    *,
    house: HouseBill | Mapping[str, HouseBill] | None = None,
) -> BatchCosts:
    """Cost many variants of one option of a scenario.

    Parameters
    ----------
    model
        Scenario ready to run.
    planned
        One of its options.
    variants
        What differs.
    house
        The electricity tariff laid on the year, or all tariffs by carrier, from
        :func:`energymodel.study.comparison.bill_costs.house_bill`; None: they are laid here.
        Give it where several options are costed.

    Returns
    -------
    BatchCosts
        Equal to a comparison of each variant to rounding.

    Raises
    ------
    NoBatchError
        If the option depends on the hour before.
    InputError
        If columns do not fit, or a carrier has no price.

    Examples
    --------
    >>> from energymodel.scenario.assemble import assemble
    >>> from energymodel.scenario.files import read_scenario
    >>> model = assemble(read_scenario(None))
    >>> variants = CostVariants(price_factor={"electricity": np.array([1.0, 2.0])})
    >>> costs = batch_costs(model, model.options[0], variants)
    >>> float(costs.total_cost[1] / costs.total_cost[0])
    2.0
    """
    count = len(variants)
    _check_prices(model, variants)
    laid = laid_out(model, planned, house)
    kinds, kind = distinct_variants(variants.season(planned.option))
    blocks = [
        kind_costs(laid, variants_at(kinds, slice(start, start + _KINDS_AT_ONCE)))
        for start in range(0, len(kinds), _KINDS_AT_ONCE)
    ]
    found = reduce(KindCosts.joined, blocks)
    place = _place(kind, len(kinds), count)
    return _priced(laid, found, variants, place)


def _check_prices(model: Model, variants: CostVariants) -> None:
    for carrier, factor in variants.price_factor.items():
        if carrier not in model.prices:
            raise InputError(
                f"a price factor for {carrier}, which has no price",
                expected=", ".join(model.prices),
            )
        if not np.isfinite(factor).all():
            raise InputError(
                f"a price factor of {carrier} is not a number", expected="finite numbers"
            )


def _place(kind: Index, kinds: int, count: int) -> Index | slice:
    """Where each variant stands among the kinds."""
    if kinds == count:
        return slice(None)
    return np.broadcast_to(kind, (count,))


def _priced(
    laid: Laid, found: KindCosts, variants: CostVariants, place: Index | slice
) -> BatchCosts:
    count = len(variants)
    services: dict[str, Array] = {service: np.zeros(count) for service in laid.services}
    for (service, carrier), money in found.money.items():
        services[service] += money[place] * variants.price_factor.get(carrier, 1.0)
    energy_kwh = {carrier: kwh[place] for carrier, kwh in found.energy_kwh.items()}
    if services:
        first = next(iter(services))
        services[first] = services[first] + _account_cost(laid, found, variants, place)
    return BatchCosts(
        count=count,
        service_cost=services,
        energy_kwh=energy_kwh,
        unmet_by_service={service: kwh[place] for service, kwh in found.unmet_kwh.items()},
        exact_by="hours" if laid.because else "cells",
        because=laid.because,
    )


def _account_cost(
    laid: Laid, found: KindCosts, variants: CostVariants, place: Index | slice
) -> Array:
    """Charges and other use that count for the option, as a comparison counts them."""
    total = found.appliance_cost[place] * variants.price_factor.get(ELECTRICITY, 1.0)
    for carrier, account in laid.accounts.items():
        if account.closes:
            factor = variants.price_factor.get(carrier, 1.0)
            total = total - account.charges_per_year - account.other_use_per_year * factor
        elif account.opened_by_use and carrier in found.energy_kwh:
            used = found.energy_kwh[carrier][place] > 0
            total = total + np.where(used, account.charges_per_year, 0.0)
    return total
