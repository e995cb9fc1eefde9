"""Figures of the studies for the gallery, each drawn from the demo or a shipped example."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from typing import TYPE_CHECKING

from energymodel.building.load import heating_line_without_gains
from energymodel.datafiles import data_file
from energymodel.equipment.curves import Function
from energymodel.report.numbers import Display
from energymodel.report.suitability.units import SiteUnits
from energymodel.scenario.changes import changed
from energymodel.scenario.files import read_scenario
from energymodel.study.comparison.compare import compare
from energymodel.study.comparison.outcome import Comparison

if TYPE_CHECKING:
    from matplotlib.figure import Figure

    from energymodel.study.house.billed_house import BilledHouse

_SHOW = Display(us=True)
_RATES = ("flat-rate.toml", "time-of-use.toml", "winter-heating.toml")
_DRAWS = 1024


def study_figures() -> tuple[tuple[str, Callable[[], Figure]], ...]:
    """List the figures of the studies.

    Returns
    -------
    tuple
        Title of each and what draws it.
    """
    return (
        ("Spread over drawn inputs", _spread),
        ("Cheapest option over two prices", _price_map),
        ("Cheapest option over two prices, with installed cost", _price_map_with_cost),
        ("Cost of heat by temperature", _switchover),
        ("Comfort, a typical day", _comfort),
        ("Which units fit", _fit),
        ("From the label to the site", _steps),
        ("A house from its bills", _bills),
        ("Prices of a tariff by the hour", _tariff_hours),
        ("Bills under several tariffs", _ranking),
        ("A sweep over the load", _sweep),
    )


@cache
def _house() -> Comparison:
    return compare(data_file("scenarios", "house.toml"))


def _spread() -> Figure:
    from energymodel.report.figures.range_chart import spread_figure  # noqa: PLC0415 - matplotlib
    from energymodel.study.uncertainty.uncertainty import uncertainty  # noqa: PLC0415 - scipy

    return spread_figure(uncertainty(draws=_DRAWS))


def _price_map() -> Figure:
    from energymodel.report.figures.price_map_chart import price_map_figure  # noqa: PLC0415 - matplotlib
    from energymodel.study.switchover.price_map import price_map  # noqa: PLC0415

    return price_map_figure(_house(), price_map(_house()))


def _price_map_with_cost() -> Figure:
    from energymodel.report.figures.price_map_chart import price_map_figure  # noqa: PLC0415 - matplotlib
    from energymodel.study.switchover.price_map import price_map  # noqa: PLC0415

    return price_map_figure(_house(), price_map(_house(), spread_years=15))


def _switchover() -> Figure:
    from energymodel.report.figures.switchover_chart import switchover_figure  # noqa: PLC0415 - matplotlib
    from energymodel.study.switchover.pairs import switch_pairs  # noqa: PLC0415

    pair = switch_pairs(_house())[0]
    return switchover_figure(_house(), pair, _SHOW)


def _comfort() -> Figure:
    from energymodel.report.figures.comfort_chart import comfort_figure  # noqa: PLC0415 - matplotlib
    from energymodel.study.room_day.room_day import room_day  # noqa: PLC0415

    return comfort_figure(room_day(), _SHOW)


def _fit() -> Figure:
    from energymodel.report.figures.fit_chart import fit_figure  # noqa: PLC0415 - matplotlib
    from energymodel.study.suitability.suitability import suitability  # noqa: PLC0415

    return fit_figure(suitability(), SiteUnits(us=True))


def _steps() -> Figure:
    from energymodel.report.figures.steps_chart import steps_figure  # noqa: PLC0415 - matplotlib
    from energymodel.study.rating.label_to_site import Site  # noqa: PLC0415
    from energymodel.study.rating.rate import site_range  # noqa: PLC0415
    from energymodel.study.rating.rated_unit import read_rated_unit  # noqa: PLC0415
    from energymodel.study.rating.site_run import ELECTRIC_BACKUP  # noqa: PLC0415
    from energymodel.weather.library import shipped_year  # noqa: PLC0415

    site = Site(
        weather=shipped_year("greensboro-nc"),
        heating_load=heating_line_without_gains(
            design_load_w=2800.0, design_c=-9.5, balance_c=15.5, indoor_c=21.0
        ),
        cooling_load=None,
        heating_indoor_c=21.0,
        cooling_indoor_c=24.0,
        backup=ELECTRIC_BACKUP,
        in_service_factor=0.90,
    )
    return steps_figure(
        site_range(read_rated_unit("inverter-cold-climate-12"), site, Function.HEATING)
    )


@cache
def _billed() -> BilledHouse:
    from energymodel.meters.reading_files import read_house_readings  # noqa: PLC0415
    from energymodel.study.house.bill_load import MeteredSystem  # noqa: PLC0415
    from energymodel.study.house.billed_house import HouseFacts, billed_house  # noqa: PLC0415
    from energymodel.weather.library import shipped_year  # noqa: PLC0415

    names = ("gas-bills.csv", "electricity-bills.csv")
    readings = read_house_readings([data_file("examples", name) for name in names])
    facts = HouseFacts(
        heating=MeteredSystem(efficiency=0.80, duct_efficiency=0.85, uncertainty=0.05),
        cooling=MeteredSystem(efficiency=3.0, uncertainty=0.15),
        design_c=-10.0,
    )
    return billed_house(readings, [shipped_year("newark-nj-2013")], facts)


def _bills() -> Figure:
    from energymodel.report.figures.bills_chart import bills_figure  # noqa: PLC0415 - matplotlib

    return bills_figure(_billed(), us=True)


def _tariff_hours() -> Figure:
    from energymodel.report.figures.tariff_charts import price_hours_figure  # noqa: PLC0415 - matplotlib
    from energymodel.tariffs.files import read_tariff_file  # noqa: PLC0415

    tariff, _ = read_tariff_file(data_file("examples", "time-of-use.toml"), "America/New_York")
    return price_hours_figure(tariff)


def _ranking() -> Figure:
    from energymodel.report.figures.tariff_charts import ranking_figure  # noqa: PLC0415 - matplotlib
    from energymodel.study.comparison.tariff_ranking import rank_tariffs  # noqa: PLC0415

    scenario = read_scenario(data_file("examples", "tariff-house.toml"))
    return ranking_figure(rank_tariffs(scenario, [data_file("examples", name) for name in _RATES]))


def _sweep() -> Figure:
    from energymodel.report.figures.sweep_chart import sweep_figure  # noqa: PLC0415 - matplotlib
    from energymodel.study.sweep.sweep import sweep  # noqa: PLC0415

    loads = ["18 kBtu/h", "22 kBtu/h", "26 kBtu/h", "30 kBtu/h"]
    prices = [0.90, 1.35, 1.80]
    grid = {"room.heating.design_load": loads, "price.natural_gas.energy": prices}
    scenario = read_scenario(data_file("examples", "tariff-house.toml"))
    swept = sweep(changed(scenario, {"sweep": {"grid": grid}}))
    return sweep_figure(swept, "room.heating.design_load", label="heating load at 18 °F")
