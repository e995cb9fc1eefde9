"""Yearly cost of an option over many sets of uncertain inputs."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from energymodel.arrays import Array, Index, Mask
from energymodel.building.load import LoadLine
from energymodel.equipment.flows import Conditions
from energymodel.equipment.frost import DEFAULT_HUMIDITY_PCT
from energymodel.scenario.assemble import Model, PlannedOption
from energymodel.season.result import COOLING, HEATING
from energymodel.study.comparison.outcome import UNMET_LIMIT
from energymodel.study.uncertainty.inputs import Kind, UncertainInput, values_by_input
from energymodel.weather.year import WeatherYear

if TYPE_CHECKING:
    from energymodel.study.batch.costs import CostVariants
    from energymodel.study.comparison.bill_costs import HouseBill

_ROUNDING = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Place:
    """A model with one weather year, and its house bill under a tariff.

    Parameters
    ----------
    model
        With that year.
    houses
        Tariffs laid on the year, by carrier; empty under flat prices.
    """

    model: Model
    houses: Mapping[str, HouseBill]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Costs:
    """Yearly cost of an option by service, and what stays unmet.

    Parameters
    ----------
    by_service
        Money per year, shape (n,), by service.
    unmet_share
        Share of its own load that the worse one of heating and cooling leaves unmet, 0..1, shape
        (n,).
    short_at_design
        Whether less than the heating load comes at the design temperature, shape (n,); None: not
        asked for, as where costs alone are wanted.
    """

    by_service: Mapping[str, Array]
    unmet_share: Array
    short_at_design: Mask | None = None

    @property
    def short(self) -> Mask:
        """Whether the load is not carried, by the rule of a comparison's outcome, shape (n,)."""
        short: Mask = self.unmet_share > UNMET_LIMIT
        return short if self.short_at_design is None else short | self.short_at_design

    def of(self, services: Sequence[str]) -> Array:
        """Cost of some services.

        Parameters
        ----------
        services
            Names; one that the option does not give costs nothing.

        Returns
        -------
        Array
            Money per year, shape (n,).
        """
        nothing = np.zeros(self.unmet_share.shape)
        return sum((self.by_service[name] for name in services if name in self.by_service), nothing)

    @property
    def total(self) -> Array:
        """Cost of all services, money per year, shape (n,)."""
        return self.of(list(self.by_service))

    def rows(self, chosen: slice | Index) -> Costs:
        """Choose some of the sets.

        Parameters
        ----------
        chosen
            Which.

        Returns
        -------
        Costs
            Of those.
        """
        return Costs(
            by_service={name: cost[chosen] for name, cost in self.by_service.items()},
            unmet_share=self.unmet_share[chosen],
            short_at_design=None if self.short_at_design is None else self.short_at_design[chosen],
        )


def places(model: Model, winters: Sequence[WeatherYear] = ()) -> tuple[Place, ...]:
    """Lay a model on its own year and on real winters.

    Parameters
    ----------
    model
        A scenario ready to run.
    winters
        Real years.

    Returns
    -------
    tuple of Place
        Its own year first.
    """
    return tuple(
        Place(model=replace(model, weather=weather), houses=_houses(model, weather))
        for weather in (model.weather, *winters)
    )


def _houses(model: Model, weather: WeatherYear) -> dict[str, HouseBill]:
    tariffs = {carrier: price.house for carrier, price in model.prices.items() if price.house}
    if not tariffs:
        return {}
    from energymodel.study.comparison.bill_costs import house_bill  # noqa: PLC0415 - only under a tariff

    return {carrier: house_bill(tariff, weather) for carrier, tariff in tariffs.items()}


def cost_groups(inputs: Sequence[UncertainInput], quantiles: Array) -> Iterator[tuple[int, Index]]:
    """Sort sets of inputs by the weather year that they draw.

    Parameters
    ----------
    inputs
        In the order of the columns.
    quantiles
        0..1 or nan, shape (n, inputs).

    Yields
    ------
    tuple
        Number of the place, 0 being the model's own year, and the rows that it serves.
    """
    number = np.zeros(len(quantiles), dtype=np.intp)
    for column, one in enumerate(inputs):
        if one.kind is Kind.WINTER:
            drawn = quantiles[:, column]
            known = np.nan_to_num(drawn, nan=0.0)
            winter = 1 + np.minimum((known * one.high).astype(np.intp), int(one.high) - 1)
            number = np.where(np.isnan(drawn), 0, winter)
    for place in np.unique(number).tolist():
        yield place, np.flatnonzero(number == place)


def costs_of(
    planned: PlannedOption,
    place: Place,
    inputs: tuple[UncertainInput, ...],
    quantiles: Array,
) -> Costs:
    """Yearly cost of an option in one weather year.

    Parameters
    ----------
    planned
        The option.
    place
        Model and year.
    inputs
        In the order of the columns; installed costs and winters change no yearly cost here.
    quantiles
        0..1 or nan, shape (n, inputs).

    Returns
    -------
    Costs
        Shape (n,).
    """
    from energymodel.study.batch.costs import batch_costs  # noqa: PLC0415 - not for factors alone

    values = values_by_input(inputs, quantiles, planned)
    variants = cost_variants(values, len(quantiles))
    found = batch_costs(place.model, planned, variants, house=place.houses)
    load, shift_k = load_change(values, len(quantiles))
    load_kwh = loads_kwh(planned, place.model.weather, load, shift_k)
    unmet_kwh = found.unmet_by_service
    if planned.full_comfort is not None:  # what a lowered set-point saves is no lack of output
        warm = replace(planned, option=planned.full_comfort, full_comfort=None)
        unmet_kwh = batch_costs(place.model, warm, variants, house=place.houses).unmet_by_service
    return Costs(
        by_service=found.service_cost,
        unmet_share=_worst_share(unmet_kwh, load_kwh, len(quantiles)),
        short_at_design=_short_at_design(planned, place.model, load),
    )


def _worst_share(
    unmet_kwh: Mapping[str, Array], load_kwh: Mapping[str, Array], count: int
) -> Array:
    """Largest unmet share, heating and cooling each against its own load."""
    worst = np.zeros(count)
    for service, load in load_kwh.items():
        share = np.divide(unmet_kwh[service], load, out=np.zeros_like(load), where=load > 0)
        worst = np.maximum(worst, share)
    return worst


def _short_at_design(planned: PlannedOption, model: Model, factor: Array) -> Mask | None:
    """Hold the load of a design day, which no mild winter lowers, against what is given then."""
    option = planned.full_comfort or planned.option
    line, table = option.heating_load, model.scenario.content.room.heating
    if option.heating is None or line is None:
        return None
    given_c = None if table is None else table.design_temperature
    at_c = float(model.weather.outdoor_c.min()) if given_c is None else given_c
    load_w = factor * line.load_w(np.array([at_c]))
    conditions = Conditions(
        outdoor_c=np.full(load_w.shape, at_c),
        relative_humidity_pct=np.full(load_w.shape, DEFAULT_HUMIDITY_PCT),
        indoor_c=option.heating_indoor_c,
    )
    heating = option.left_in_cold(option.heating, at_c, model.weather)
    short: Mask = heating.run(conditions, load_w).delivered_w < load_w * (1.0 - _ROUNDING)
    return short


def load_change(values: Mapping[UncertainInput, Array], count: int) -> tuple[Array, Array]:
    """Return what the drawn inputs do to the loads.

    Parameters
    ----------
    values
        By input, shape (count,).
    count
        Number of sets.

    Returns
    -------
    factor, milder_k : Array
        Factor on both loads, and by how many kelvin the year is milder; shape (count,).
    """
    by_kind = {one.kind: column for one, column in values.items()}
    return by_kind.get(Kind.LOAD, np.ones(count)), by_kind.get(Kind.SHIFT, np.zeros(count))


def loads_kwh(
    planned: PlannedOption, weather: WeatherYear, factor: Array, milder_k: Array
) -> dict[str, Array]:
    """Heating and cooling load of the year.

    Parameters
    ----------
    planned
        The option.
    weather
        Complete year.
    factor, milder_k
        From :func:`load_change`, shape (n,).

    Returns
    -------
    dict of Array
        kWh by service that the option gives, shape (n,).
    """
    option = planned.option
    found: dict[str, Array] = {}
    off = np.isin(weather.month, sorted(option.months_without_cooling))
    if option.heating is not None and option.heating_load is not None:
        load_kwh = _load_kwh(option.heating_load, weather.outdoor_c, -milder_k)
        found[HEATING] = factor * load_kwh
    if option.cooling is not None and option.cooling_load is not None:
        load_kwh = _load_kwh(option.cooling_load, weather.outdoor_c[~off], milder_k)
        found[COOLING] = factor * load_kwh
    return found


def _load_kwh(line: LoadLine, outdoor_c: Array, deeper_k: Array) -> Array:
    """Load of all hours with the year that many kelvin deeper on the line's own side."""
    away = line.balance_c - outdoor_c if line.heating else outdoor_c - line.balance_c
    deep, hours = np.unique(away, return_counts=True)
    sums = np.concatenate([[0.0], np.cumsum((hours * deep)[::-1])])
    counts = np.concatenate([[0.0], np.cumsum(hours[::-1])])
    above = deep.size - np.searchsorted(deep, -deeper_k, side="right")
    loads: Array = line.slope_w_per_k * (sums[above] + deeper_k * counts[above]) / 1000.0
    return loads


def cost_variants(values: Mapping[UncertainInput, Array], count: int) -> CostVariants:
    """Columns for the costing of many variants.

    Parameters
    ----------
    values
        By input, shape (count,).
    count
        Number of sets.

    Returns
    -------
    CostVariants
        A year that is milder by x kelvin moves both balance temperatures down by x: the loads
        follow, the efficiency in each hour stays that of the year at hand.
    """
    from energymodel.study.batch.costs import CostVariants  # noqa: PLC0415 - as above

    by_kind = {one.kind: column for one, column in values.items()}
    load, milder_k = load_change(values, count)
    return CostVariants(
        heating_load_factor=load,
        cooling_load_factor=load,
        heating_balance_shift_k=-milder_k,
        cooling_balance_shift_k=-milder_k,
        heat_pump_in_service=by_kind.get(Kind.HEAT_PUMP),
        burner_in_service=by_kind.get(Kind.BURNER),
        price_factor={
            one.carrier: column for one, column in values.items() if one.kind is Kind.PRICE
        },
    )
