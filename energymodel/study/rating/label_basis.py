"""What stands behind a label: season, load line, frost rule, and the figure in kWh per kWh."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

from energymodel.building.load import LoadLine
from energymodel.equipment.curves import Function, PerformanceMap
from energymodel.ratings.bin_table import Bins
from energymodel.ratings.europe.points import CoolingDeclaration, HeatingDeclaration
from energymodel.ratings.europe.seasonal import scop, seer
from energymodel.ratings.europe.tables import (
    BALANCE_C,
    COOLING_DESIGN_C,
    Climate,
    UnitKind,
    cooling_bins,
    heating_season,
)
from energymodel.ratings.us.editions import M1, Edition
from energymodel.ratings.us.kernel import RatingSeason
from energymodel.ratings.us.season import (
    RATED_COOLING_INDOOR_F,
    RATED_HEATING_INDOOR_F,
    cooling_season,
)
from energymodel.ratings.us.season import (
    heating_season as us_heating_season,
)
from energymodel.ratings.us.seasonal import hspf, hspf2, seer2
from energymodel.ratings.us.seasonal import seer as us_seer
from energymodel.ratings.us.tables import Region
from energymodel.ratings.us.units import UsUnit
from energymodel.study.rating.label_frost import with_european_frost, with_us_frost
from energymodel.units import BTU_PER_WH, c_from_f

EUROPEAN_INDOOR_C = {Function.HEATING: 20.0, Function.COOLING: 27.0}


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LabelBasis:
    """One label and what it assumes.

    Parameters
    ----------
    function
        Heating or cooling.
    name
        Figure and season, as printed.
    figure, unit, printed
        Value, its unit, and whether it stands on the label or was computed.
    kwh_per_kwh
        The same as electricity per heat (or cold).
    bins
        Hours, or shares of the hours, by outdoor temperature.
    load
        The label's own load line, W.
    indoor_c
        Indoor temperature of the tests, degC.
    other_kwh_per_kwh
        Electricity outside active mode inside the figure, per heat: European labels.
    frost
        Puts the label's frost on steady curves.
    """

    function: Function
    name: str
    figure: float
    unit: str
    printed: bool
    kwh_per_kwh: float
    bins: Bins
    load: LoadLine
    indoor_c: float
    other_kwh_per_kwh: float
    frost: Callable[[PerformanceMap], PerformanceMap]


def us_heating_basis(
    unit: UsUnit,
    *,
    edition: Edition = M1,
    region: Region = Region.IV,
    printed: float | None = None,
) -> LabelBasis:
    """Basis of HSPF2 or HSPF.

    Parameters
    ----------
    unit
        Tests.
    edition
        The procedure.
    region
        Climatic region; the label is for region IV.
    printed
        Figure of the label where it is not the one the tests give, Btu/Wh.

    Returns
    -------
    LabelBasis
        The demand-defrost credit is inside the figure.
    """
    rate = hspf2 if edition.heating_metric == "HSPF2" else hspf
    figure = rate(unit, region=region, edition=edition).value_btu_per_wh
    season = us_heating_season(unit, edition=edition, region=region)
    name = f"{edition.heating_metric}, region {region.value}"
    basis = _us(Function.HEATING, name, printed or figure, season, edition)
    return replace(basis, printed=printed is not None)


def us_cooling_basis(
    unit: UsUnit, *, edition: Edition = M1, printed: float | None = None
) -> LabelBasis:
    """Basis of SEER2 or SEER.

    Parameters
    ----------
    unit
        Tests.
    edition
        The procedure.
    printed
        Figure of the label where it is not the one the tests give, Btu/Wh.

    Returns
    -------
    LabelBasis
        With the bins of the procedure, for single speed too.
    """
    rate = seer2 if edition.cooling_metric == "SEER2" else us_seer
    figure = rate(unit, edition=edition).value_btu_per_wh
    season = cooling_season(unit, edition=edition)
    basis = _us(Function.COOLING, edition.cooling_metric, printed or figure, season, edition)
    return replace(basis, printed=printed is not None)


def _us(
    function: Function, name: str, figure: float, season: RatingSeason, edition: Edition
) -> LabelBasis:
    exact = season.load.slope_w_per_k * edition.btu_per_wh / BTU_PER_WH
    heats = function is Function.HEATING
    indoor_f = RATED_HEATING_INDOOR_F if heats else RATED_COOLING_INDOOR_F
    return LabelBasis(
        function=function,
        name=name,
        figure=figure,
        unit="Btu/Wh",
        printed=False,
        kwh_per_kwh=BTU_PER_WH / figure,
        bins=season.bins,
        load=replace(season.load, slope_w_per_k=exact),
        indoor_c=c_from_f(indoor_f),
        other_kwh_per_kwh=0.0,
        frost=with_us_frost,
    )


def european_heating_basis(
    declaration: HeatingDeclaration,
    *,
    kind: UnitKind,
    climate: Climate = Climate.AVERAGE,
    printed: float | None = None,
) -> LabelBasis:
    """Basis of SCOP.

    Parameters
    ----------
    declaration
        Test points.
    kind
        Kind of unit, for the hours by mode.
    climate
        Reference climate.
    printed
        Figure of the label where it is not the one the points give.

    Returns
    -------
    LabelBasis
        Electricity outside active mode is inside the figure.
    """
    season = heating_season(climate)
    rating = scop(declaration, climate=climate, unit=kind)
    figure = printed or rating.scop
    return LabelBasis(
        function=Function.HEATING,
        name=f"SCOP, {climate.value} climate",
        figure=figure,
        unit="W/W",
        printed=printed is not None,
        kwh_per_kwh=1.0 / figure,
        bins=season.bins,
        load=_european_line(declaration.design_load_w, season.design_c, Function.HEATING),
        indoor_c=EUROPEAN_INDOOR_C[Function.HEATING],
        other_kwh_per_kwh=rating.other_modes_kwh / rating.demand_kwh,
        frost=with_european_frost,
    )


def european_cooling_basis(
    declaration: CoolingDeclaration, *, kind: UnitKind, printed: float | None = None
) -> LabelBasis:
    """Basis of the European SEER.

    Parameters
    ----------
    declaration
        Test points.
    kind
        Kind of unit, for the hours by mode.
    printed
        Figure of the label where it is not the one the points give.

    Returns
    -------
    LabelBasis
        Electricity outside active mode is inside the figure.
    """
    rating = seer(declaration, unit=kind)
    figure = printed or rating.seer
    return LabelBasis(
        function=Function.COOLING,
        name="European SEER",
        figure=figure,
        unit="W/W",
        printed=printed is not None,
        kwh_per_kwh=1.0 / figure,
        bins=cooling_bins(),
        load=_european_line(declaration.design_load_w, COOLING_DESIGN_C, Function.COOLING),
        indoor_c=EUROPEAN_INDOOR_C[Function.COOLING],
        other_kwh_per_kwh=rating.other_modes_kwh / rating.demand_kwh,
        frost=with_european_frost,
    )


def _european_line(design_load_w: float, design_c: float, function: Function) -> LoadLine:
    return LoadLine(
        slope_w_per_k=design_load_w / abs(design_c - BALANCE_C),
        balance_c=BALANCE_C,
        indoor_c=EUROPEAN_INDOOR_C[function],
        heating=function is Function.HEATING,
    )
