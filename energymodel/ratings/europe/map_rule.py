"""Map rule: the label of the site map beside the label of the clauses."""

from __future__ import annotations

from dataclasses import dataclass

from energymodel.equipment.curves import Curve, PerformanceMap
from energymodel.equipment.kernel import Stack, respond
from energymodel.ratings.bin_table import Bins, BinTable
from energymodel.ratings.europe.curve import LoadLine, cooling_curve, heating_curve
from energymodel.ratings.europe.map import cooling_site_map, heating_site_map
from energymodel.ratings.europe.points import (
    CoolingDeclaration,
    HeatingDeclaration,
    PartLoadRules,
)
from energymodel.ratings.europe.tables import COOLING_DESIGN_C, HeatingSeason
from energymodel.ratings.load_line_curve import RunsFrom, always, bin_table


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class MapRule:
    """What changes in the label when a speed map takes the place of the load-line curve.

    Parameters
    ----------
    performance
        The map for site runs.
    bins
        The map under the standard's bins and load line.
    clause_cop
        SCOPon or SEERon of the clauses.
    map_cop
        The same figure of the map.
    """

    performance: PerformanceMap
    bins: BinTable
    clause_cop: float
    map_cop: float

    @property
    def change_kwh_per_kwh(self) -> float:
        """Electricity per heat or cold of the map less that of the clauses, kWh/kWh."""
        return 1.0 / self.map_cop - 1.0 / self.clause_cop


def heating_map_rule(
    declaration: HeatingDeclaration, season: HeatingSeason, rules: PartLoadRules
) -> MapRule:
    """Return the heating site map with its own label beside the one of the clauses.

    Parameters
    ----------
    declaration
        Checked test points.
    season
        Climate they were declared for.
    rules
        Choices of the calculation.

    Returns
    -------
    MapRule
        SCOPon by both ways.
    """
    performance = heating_site_map(declaration, season, rules)
    line = LoadLine(design_load_w=declaration.design_load_w, design_c=season.design_c)
    share = RunsFrom(limit_c=declaration.limit_c)
    bins = run_map(performance, season.bins, line, share)
    clause = heating_curve(declaration, season, rules).on_bins(season.bins)
    return MapRule(
        performance=performance,
        bins=bins,
        clause_cop=clause.cop_system,
        map_cop=bins.cop_system,
    )


def cooling_map_rule(
    declaration: CoolingDeclaration, season: Bins, rules: PartLoadRules
) -> MapRule:
    """Return the cooling site map with its own label beside the one of the clauses.

    Parameters
    ----------
    declaration
        Checked test points.
    season
        Cooling season.
    rules
        Choices of the calculation.

    Returns
    -------
    MapRule
        SEERon by both ways; the map leaves unmet what exceeds its full output.
    """
    performance = cooling_site_map(declaration, rules)
    line = LoadLine(design_load_w=declaration.design_load_w, design_c=COOLING_DESIGN_C)
    bins = run_map(performance, season, line)
    clause = cooling_curve(declaration, rules).on_bins(season)
    return MapRule(
        performance=performance,
        bins=bins,
        clause_cop=clause.cop_system,
        map_cop=bins.cop_system,
    )


def run_map(
    performance: PerformanceMap, bins: Bins, load_w: Curve, share: Curve = always
) -> BinTable:
    """Run the raw lines of a map through a season.

    Parameters
    ----------
    performance
        Speed map.
    bins
        Hours by outdoor temperature.
    load_w
        Load line, W against outdoor degC.
    share
        Share of the time in which the controls let the unit run.

    Returns
    -------
    BinTable
        In heating electric backup covers the rest; in cooling it is unmet.
    """
    outdoor = bins.outdoor_c
    capacity, power = performance.raw(outdoor)
    may = share(outdoor)
    stack = Stack(
        capacity_w=capacity,
        power_w=power,
        available=(capacity > 0) & (power > 0) & (may > 0),
        staging=performance.staging,
        cycling=performance.cycling,
    )
    load = load_w(outdoor)
    answer = respond(stack, load, part_share=may, full_share=may)
    return bin_table(bins, load, answer, performance.function)
