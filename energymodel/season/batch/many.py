"""The same year for many variants of any option without a memory.

Heat pumps and air conditioners that straight segments represent take the way of
:mod:`energymodel.season.batch.batch`; every other source answers states x variants by itself.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from energymodel.arrays import Array, Index
from energymodel.building.load import LoadLine
from energymodel.equipment.appliance import Appliance
from energymodel.equipment.boiler import Boiler
from energymodel.equipment.ducts import Ducted
from energymodel.equipment.flows import Source
from energymodel.equipment.heat_pump import HeatPump
from energymodel.season.batch.cells import windows_of_all
from energymodel.season.batch.plain import plain_side
from energymodel.season.batch.run import BatchPlan, BatchResult, run_batch
from energymodel.season.batch.segments import NoBatchError
from energymodel.season.batch.side import Side, SideInputs, fast_side
from energymodel.season.batch.sources import at_balance, exchanged
from energymodel.season.batch.variants import Variants, distinct_variants, variants_at
from energymodel.season.option import Option
from energymodel.season.result import COOLING, HEATING
from energymodel.season.states import States, distinct_states
from energymodel.weather.year import WeatherYear

_LOADS = frozenset({HEATING, COOLING})


def any_side(inputs: SideInputs) -> Side | None:
    """Make a function ready: the fast way where there is one, else by the source's own answer.

    Parameters
    ----------
    inputs
        Option, states, variants.

    Returns
    -------
    Side or None
        None: the option or the variants have no such function.

    Raises
    ------
    NoBatchError
        If a heat pump has limits with a memory.
    """
    inside, duct_efficiency = _without_ducts(inputs)
    try:
        side = fast_side(inside)
    except NoBatchError:
        return plain_side(inputs)
    return side if side is None else replace(side, duct_efficiency=duct_efficiency)


def _without_ducts(inputs: SideInputs) -> tuple[SideInputs, float]:
    """Look into ducts without an extra fan: they only make the load on the unit larger."""
    option, function = inputs.option, inputs.function
    source = option.heating if function == HEATING else option.cooling
    if not isinstance(source, Ducted) or source.extra_fan_w:
        return inputs, 1.0
    changed = (
        replace(option, heating=source.source)
        if function == HEATING
        else replace(option, cooling=source.source)
    )
    return replace(inputs, option=changed), source.efficiency


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class DistinctYears:
    """Years of the variants that differ.

    Parameters
    ----------
    result
        Each kind once.
    kind
        Kind of each variant, shape (variants,).
    """

    result: BatchResult
    kind: Index


def distinct_years(
    option: Option, states: States, variants: Variants, plan: BatchPlan
) -> DistinctYears:
    """Run the variants of an option, those that repeat another one only once.

    Parameters
    ----------
    option
        Without a memory.
    states
        States of its year.
    variants
        Load lines and factors.
    plan
        What is wanted.

    Returns
    -------
    DistinctYears
        Results of the kinds.

    Raises
    ------
    NoBatchError
        If the option depends on the hour before.
    InputError
        If the columns or the shapes do not fit.
    """
    kinds, kind = distinct_variants(variants)
    return DistinctYears(result=run_batch(option, states, kinds, plan, any_side), kind=kind)


def many_years(
    option: Option,
    weather: WeatherYear,
    variants: Variants,
    *,
    hours: Array | None = None,
    base_w: Array | None = None,
    chunk: int | None = None,
) -> BatchResult:
    """Run the same year for many variants of any option without a memory.

    Parameters
    ----------
    option
        What heats and cools; its load lines and factors hold where the variants give none.
    weather
        A complete year.
    variants
        Load lines and factors; variants that are the same are run once.
    hours
        Hours of each of the option's distinct states in each cell, such as month x tariff period,
        shape (cells, states), from :func:`energymodel.season.batch.cells.hours_in_cells`; by
        default the months.
    base_w
        Largest base load in each billing window at each state, W, shape (windows, states), from
        :func:`energymodel.season.batch.cells.largest_base_w`; None: no peaks.
    chunk
        Variants at a time; by default as many as the cache holds. It changes no result.

    Returns
    -------
    BatchResult
        The electricity, fuel, unmet, load and delivered columns of a single year, by variant and
        cell, and the peaks.

    Raises
    ------
    NoBatchError
        If the option depends on the hour before; run it one year at a time.
    InputError
        If the columns or the shapes do not fit.

    Notes
    -----
    Equal to :func:`energymodel.season.annual.annual` of each variant to 1e-12 of the year's load.

    Examples
    --------
    >>> from energymodel.building.load import LoadLine
    >>> from energymodel.equipment.burner import Burner
    >>> from energymodel.equipment.furnace import Furnace
    >>> from energymodel.weather.library import shipped_year
    >>> burner = Burner.from_afue(carrier="natural gas", afue=0.95, input_w=12_000.0)
    >>> option = Option(
    ...     name="furnace",
    ...     heating=Furnace(burner=burner, blower_w=300.0),
    ...     cooling=None,
    ...     heating_load=LoadLine(slope_w_per_k=100.0, balance_c=15.0, indoor_c=20.0, heating=True),
    ...     cooling_load=None,
    ...     heating_indoor_c=20.0,
    ...     cooling_indoor_c=24.0,
    ... )
    >>> variants = Variants(heating_slope_w_per_k=np.array([100.0, 200.0]))
    >>> result = many_years(option, shipped_year("greensboro-nc"), variants)
    >>> result.column("heating_fuel_natural_gas_kwh").sum(axis=1).round().tolist()
    [3953.0, 7905.0]
    """
    states = distinct_states(option, weather)
    windows = None if base_w is None else windows_of_all(base_w)
    plan = BatchPlan(hours=hours, windows=windows, loads=_LOADS, chunk=chunk)
    years = distinct_years(option, states, variants, plan)
    return years.result if len(years.kind) == len(years.result.kwh) else _repeated(years)


def _repeated(years: DistinctYears) -> BatchResult:
    """Every variant again, in memory laid out as the batch lays it out."""
    result = years.result
    peak_kw = None if result.peak_kw is None else result.peak_kw[years.kind]
    return replace(result, kwh=result.kwh.T[:, :, years.kind].T, peak_kw=peak_kw)


def single_option(option: Option, variants: Variants, index: int) -> Option:
    """Put the load lines and factors of one variant into an option, for the plain path.

    Parameters
    ----------
    option
        As for :func:`many_years`.
    variants
        Load lines and factors.
    index
        Number of the variant.

    Returns
    -------
    Option
        Ready for :func:`energymodel.season.annual.annual`.
    """
    one = variants_at(variants, np.array([index]))
    return replace(
        option,
        heating=_single_source(option.heating, one, HEATING, option.heating_load),
        cooling=_single_source(option.cooling, one, COOLING, option.cooling_load),
        heating_load=_single_line(option.heating_load, one, HEATING),
        cooling_load=_single_line(option.cooling_load, one, COOLING),
    )


def _number(one: Variants, name: str, own: float) -> float:
    given = getattr(one, name)
    return own if given is None else float(np.ravel(given)[0])


def _single_line(line: LoadLine | None, one: Variants, function: str) -> LoadLine | None:
    if line is None:
        return None
    return replace(
        line,
        slope_w_per_k=_number(one, f"{function}_slope_w_per_k", line.slope_w_per_k),
        balance_c=_number(one, f"{function}_balance_c", line.balance_c),
    )


def _single_source(
    source: Source | None, one: Variants, function: str, line: LoadLine | None
) -> Source | None:
    if source is None:
        return None

    def change(part: Source) -> Source:
        if isinstance(part, HeatPump):
            in_service = _number(one, f"{function}_in_service_factor", part.in_service_factor)
            capacity = _number(one, f"{function}_capacity_factor", part.capacity_factor)
            return replace(part, in_service_factor=in_service, capacity_factor=capacity)
        if isinstance(part, Appliance | Boiler):
            factor = _number(one, "burner_in_service_factor", part.in_service_factor)
            return replace(part, in_service_factor=factor)
        return part

    changed = exchanged(source, change)
    if line is None:
        return changed
    return at_balance(
        changed, _number(one, f"{function}_balance_c", line.balance_c) - line.balance_c
    )
