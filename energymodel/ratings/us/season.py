"""US ratings as seasons for the kernel: map, load line, bins and controls of each procedure.

A second way to the figures of :mod:`energymodel.ratings.us.seasonal`, without any of its clauses.
The two are equal to 1e-9 for HSPF2 before the defrost credit, HSPF, and SEER and SEER2 of two
capacity and variable speed; single-speed SEER is published as a closed form, and the kernel gives
its general bin form.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from energymodel.building.load import LoadLine
from energymodel.ratings.bin_table import Bins
from energymodel.ratings.us.cooling_points import cooling_load_of
from energymodel.ratings.us.editions import M1, BetweenSpeeds, Edition
from energymodel.ratings.us.kernel import RatingSeason
from energymodel.ratings.us.load import LoadOfBins, Requirement
from energymodel.ratings.us.maps import cooling_map, heating_map
from energymodel.ratings.us.older_rule import older_rule
from energymodel.ratings.us.operation import (
    check_cooling_operation,
    check_heating_operation,
    snapped,
)
from energymodel.ratings.us.tables import Bin, Region, cooling_bins, heating_bins
from energymodel.ratings.us.units import SingleSpeedUnit, UsUnit
from energymodel.units import KELVIN_PER_DEGF, c_from_f

RATED_HEATING_INDOOR_F = 70.0
RATED_COOLING_INDOOR_F = 80.0


def _bins(bins: tuple[Bin, ...], load: LoadOfBins) -> Bins:
    loaded = sorted(
        (one for one in bins if load.at(one.outdoor_f) > 0), key=lambda one: one.outdoor_f
    )
    return Bins(
        outdoor_c=c_from_f(np.array([one.outdoor_f for one in loaded])),
        hours=np.array([one.fraction for one in loaded]),
    )


def _load_line(load: LoadOfBins, k: float, indoor_f: float) -> LoadLine:
    slope_w_per_k = load.slope_btu_h_per_f / k / KELVIN_PER_DEGF
    return LoadLine(
        slope_w_per_k=abs(slope_w_per_k),
        balance_c=c_from_f(load.zero_load_f),
        indoor_c=c_from_f(indoor_f),
        heating=slope_w_per_k < 0,
    )


def cooling_season(unit: UsUnit, *, edition: Edition = M1) -> RatingSeason:
    """Cooling rating as a season for the kernel.

    Parameters
    ----------
    unit
        The unit.
    edition
        The procedure.

    Returns
    -------
    RatingSeason
        Its map, load line, bins and controls.
    """
    check_cooling_operation(unit)
    load = cooling_load_of(unit, edition)
    k = edition.btu_per_wh
    return RatingSeason(
        performance=cooling_map(unit, edition=edition, btu_per_wh=k),
        load=_load_line(load, k, RATED_COOLING_INDOOR_F),
        bins=_bins(cooling_bins(), load),
        operation=replace(
            snapped(unit.cooling_operation),
            stop_below_cop_1=False,
            stop_below_cop_1_at_part_load=False,
        ),
    )


def heating_season(
    unit: UsUnit,
    *,
    edition: Edition = M1,
    region: Region = Region.IV,
    requirement: Requirement = Requirement.MINIMUM,
) -> RatingSeason:
    """Heating rating as a season for the kernel.

    Parameters
    ----------
    unit
        The unit.
    edition
        The procedure.
    region
        I to VI.
    requirement
        Minimum or maximum design heating requirement (Appendix M).

    Returns
    -------
    RatingSeason
        Its map, load line, bins and controls.
    """
    check_heating_operation(unit)
    load = edition.heating_load.load(unit, region, requirement)
    k = edition.btu_per_wh
    return RatingSeason(
        performance=heating_map(unit, edition=edition, btu_per_wh=k),
        load=_load_line(load, k, RATED_HEATING_INDOOR_F),
        bins=_bins(heating_bins(region), load),
        operation=replace(
            snapped(unit.heating_operation),
            stop_below_cop_1=True,
            stop_below_cop_1_at_part_load=isinstance(unit, SingleSpeedUnit),
        ),
    )


def kernel_rating(season: RatingSeason, *, edition: Edition = M1) -> float:
    """Seasonal figure by the kernel, before the defrost credit.

    Parameters
    ----------
    season
        From :func:`cooling_season` or :func:`heating_season`, with the same edition.
    edition
        The procedure.

    Returns
    -------
    float
        SEER2 or HSPF2 (SEER or HSPF), Btu/Wh; of single-speed SEER the general bin form.
    """
    older = edition.between_speeds is BetweenSpeeds.QUADRATIC_IN_TEMPERATURE
    if older and len(season.performance.speeds) == 3:
        table = older_rule(season).on_bins(season.bins)
    else:
        table = season.run()
    return edition.btu_per_wh * table.cop_system
