"""The same year for many variants of one heat pump at once: hour-exact, at the cost of products.

Only loads, in-service factors and capacity factors differ between variants, so the coefficients of
the machine are made once per state and a variant costs a few operations per state.
"""

from __future__ import annotations

from energymodel.arrays import Array
from energymodel.season.batch.cells import windows_of_all
from energymodel.season.batch.run import BatchPlan, BatchResult, run_batch
from energymodel.season.batch.segments import no_batch
from energymodel.season.batch.side import fast_side
from energymodel.season.batch.variants import Variants
from energymodel.season.option import Option
from energymodel.season.states import States


def batch(
    option: Option,
    states: States,
    variants: Variants,
    *,
    hours: Array | None = None,
    base_w: Array | None = None,
    chunk: int | None = None,
) -> BatchResult:
    """Run the same year for many variants of one heat pump.

    Parameters
    ----------
    option
        A heat pump with or without resistance backup, a heat pump or air conditioner that cools,
        idle units; its load lines and factors hold where the variants give none.
    states
        States of that option's year, from :mod:`energymodel.season.states`.
    variants
        Load lines and factors.
    hours
        Hours of each state in each cell, such as month x tariff period, shape (cells, states); by
        default the months.
    base_w
        Largest base load in each billing window at each state, W, shape (windows, states), minus
        infinity where the state does not occur in the window: :func:`largest_base_w`.
    chunk
        Variants at a time; by default as many as the cache holds. It changes no result.

    Returns
    -------
    BatchResult
        Energy by variant, cell and use, and the peaks.

    Raises
    ------
    NoBatchError
        If something in the option can only be run one year at a time.
    InputError
        If the columns or the shapes do not fit.

    Examples
    --------
    >>> import numpy as np
    >>> from energymodel.building.load import LoadLine
    >>> from energymodel.equipment.curves import Frost, Function, TablePoint, map_from_table
    >>> from energymodel.equipment.heat_pump import HeatPump
    >>> from energymodel.season.batch.variants import Variants
    >>> from energymodel.season.states import distinct_states
    >>> from energymodel.weather.library import shipped_year
    >>> points = [
    ...     TablePoint(speed="full", outdoor_c=t, capacity_w=3000.0 + 60 * t, power_w=1000.0)
    ...     for t in (-8.0, 8.0)
    ... ]
    >>> performance = map_from_table(
    ...     points, function=Function.HEATING, frost=Frost.INCLUDED, cd=0.25
    ... )
    >>> option = Option(
    ...     name="invented",
    ...     heating=HeatPump(performance=performance),
    ...     cooling=None,
    ...     heating_load=LoadLine(slope_w_per_k=100.0, balance_c=15.0, indoor_c=20.0, heating=True),
    ...     cooling_load=None,
    ...     heating_indoor_c=20.0,
    ...     cooling_indoor_c=24.0,
    ... )
    >>> states = distinct_states(option, shipped_year("greensboro-nc"))
    >>> result = batch(option, states, Variants(heating_slope_w_per_k=np.array([50.0, 100.0])))
    >>> result.kwh.shape
    (2, 12, 2)
    >>> result.electricity_kwh().sum(axis=1).round().tolist()
    [755.0, 1402.0]
    """
    plan = BatchPlan(
        hours=hours, windows=None if base_w is None else windows_of_all(base_w), chunk=chunk
    )
    result = run_batch(option, states, variants, plan, fast_side)
    if not any(name.endswith("_unmet_kwh") for name in result.names):
        raise no_batch(f"{option.name} neither heats nor cools", "a source with a load line")
    return result
