"""Cheapest option over two prices: exact areas, boundaries, and the picture of them."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from matplotlib.patches import Polygon

from energymodel.errors import InputError
from energymodel.report.figures.area_labels import inside
from energymodel.report.figures.comparison import save_figure
from energymodel.report.figures.price_map_chart import map_view, price_map_figure
from energymodel.study.comparison.compare import compare
from energymodel.study.comparison.outcome import Comparison
from energymodel.study.switchover.price_map import PriceMap, map_fuels, price_map

# Rooms, prices and costs are invented, but for case A14.
ROOM = """
[place]
weather = "greensboro-nc"
[room]
indoor = { heating = "70 degF", cooling = "75 degF" }
[room.heating]
ua = "200 Btu/(h degF)"
balance_temperature = "60 degF"
design_temperature = "15 degF"
"""
PRICES = """
[price.electricity]
energy = 0.15
per = "kWh"
[price.propane]
energy = 2.40
per = "gallon"
fixed = "6 per month"
"""
OPTIONS = """
[[option]]
name = "Baseboard"
present = true
heating = { kind = "electric resistance" }
[[option]]
name = "Propane"
heating = { kind = "room heater", fuel = "propane", afue = 0.80 }
installed_cost = 2300
[[option]]
name = "Heat pump"
heating = { kind = "heat pump", unit = "inverter-cold-climate-18" }
installed_cost = 5200
"""


def run(folder: Path, *parts: str) -> Comparison:
    (folder / "room.toml").write_text(ROOM + "".join(parts), "utf-8")
    return compare(folder / "room.toml")


@pytest.fixture(scope="module")
def room(tmp_path_factory: pytest.TempPathFactory) -> Comparison:
    return run(tmp_path_factory.mktemp("room"), PRICES, OPTIONS)


@pytest.fixture(scope="module")
def spread(room: Comparison) -> PriceMap:
    return price_map(room, spread_years=12.0)


def _holder(prices: PriceMap, x: float, y: float) -> set[str]:
    point = np.array([[x, y]])
    return {area.option for area in prices.areas if inside(area.corners, point)[0]}


def test_areas_fill_the_map_and_agree_with_the_cheapest_of_the_grid(spread: PriceMap) -> None:
    assert sum(area.share for area in spread.areas) == pytest.approx(1.0, rel=1e-12)
    assert {area.option for area in spread.areas} == {"Baseboard", "Propane", "Heat pump"}
    for row, y in enumerate(spread.fuel_prices):
        for column, x in enumerate(spread.electricity_prices):
            assert spread.options[spread.cheapest[row, column]] in _holder(spread, x, y)


def test_on_a_boundary_both_neighbours_cost_the_same_and_nothing_costs_less(
    room: Comparison, spread: PriceMap
) -> None:
    assert len(spread.boundaries) == 3
    names = {one.name: one for one in room.outcomes}
    used = {name: one.energy_kwh for name, one in names.items()}
    gallon = room.model.prices["propane"].kwh_per_unit

    def cost(name: str, x: float, y: float) -> float:
        fixed = names[name].planned.table.installed_cost / 12.0 + names[name].account_cost
        electric = used[name].get("electricity", 0.0) * x
        return electric + used[name].get("propane", 0.0) / gallon * y + fixed

    for line in spread.boundaries:
        for x, y in (*line.line, line.line.mean(axis=0)):
            first, second = cost(line.first, x, y), cost(line.second, x, y)
            assert first == pytest.approx(second, rel=1e-9)
            assert min(cost(name, x, y) for name in names) >= first * (1.0 - 1e-9)


@settings(max_examples=8, deadline=None)
@given(st.floats(0.02, 0.44), st.floats(0.1, 7.0))
def test_the_map_tells_what_a_run_with_these_prices_tells(
    tmp_path_factory: pytest.TempPathFactory, room: Comparison, x: float, y: float
) -> None:
    folder = tmp_path_factory.mktemp("again")
    prices = PRICES.replace("0.15", repr(x)).replace("2.40", repr(y))
    there = run(folder, prices, OPTIONS)
    assert there.cheapest is not None
    assert there.cheapest.name in _holder(price_map(room), x, y)


def test_energy_costs_alone_make_boundaries_through_the_origin_without_charges(
    tmp_path: Path,
) -> None:
    # without a fixed charge only the ratio of the two prices counts
    prices = price_map(run(tmp_path, PRICES.replace('fixed = "6 per month"', ""), OPTIONS))
    assert prices.boundaries
    for line in prices.boundaries:
        assert np.abs(line.line).max(axis=1).min() < 1e-9


def test_a14_the_printed_order_is_wrong_and_oil_is_cheapest_at_its_own_prices(
    tmp_path: Path,
) -> None:
    # User problem A14 (trade article): electricity 0.12217, gas 92 % 1.70/therm, oil 80 % 2.00,
    # propane 92 % 2.31; printed 35.82, 29.86, 31.65, 33.86 $/MMBtu, so gas before oil. Computed:
    # 35.80, 18.48, 18.03, 27.44 (91,500 Btu/gal) - oil is the cheapest of them.
    prices = """
    [price.electricity]
    energy = 0.12217
    per = "kWh"
    [price.natural_gas]
    energy = 1.70
    per = "therm"
    [price.heating_oil]
    energy = 2.00
    per = "gallon"
    heat_content = "138,690 Btu/gal"
    [price.propane]
    energy = 2.31
    per = "gallon"
    heat_content = "91,500 Btu/gal"
    """
    options = '[[option]]\nname = "Electric"\nheating = { kind = "electric resistance" }\n'
    for name, fuel, afue in (
        ("Gas", "natural gas", 0.92), ("Oil", "heating oil", 0.80), ("Propane", "propane", 0.92)
    ):  # fmt: skip
        options += (
            f'[[option]]\nname = "{name}"\nheating = {{ kind = "boiler", fuel = "{fuel}",'
            f" afue = {afue}, in_service = 1.0 }}\n"
        )
    there = run(tmp_path, prices, options)
    ours = {one.name: one.cost_per_mmbtu() for one in there.outcomes}
    expected = {"Electric": 35.80, "Gas": 18.48, "Oil": 18.03, "Propane": 27.44}
    assert ours == pytest.approx(expected, abs=0.01)
    assert map_fuels(there) == ("natural gas", "heating oil", "propane")
    over_gas = price_map(there)
    assert _holder(over_gas, *over_gas.today) == {"Oil"}
    assert over_gas.held == ("heating oil", "propane")
    # gas takes over below 18.03 x 0.92 / 10 per therm (computed)
    border = next(one for one in over_gas.boundaries if {one.first, one.second} == {"Oil", "Gas"})
    assert border.line[:, 1] == pytest.approx([1.6585, 1.6585], abs=1e-3)


def test_options_that_cost_the_same_everywhere_share_an_area(tmp_path: Path) -> None:
    again = OPTIONS + '[[option]]\nname = "Panel"\nheating = { kind = "electric resistance" }\n'
    areas = price_map(run(tmp_path, PRICES, again), spread_years=12.0).areas
    alike = next(area for area in areas if area.also)
    assert {alike.option, *alike.also} == {"Baseboard", "Panel"}


def test_an_option_that_does_not_carry_the_load_is_not_on_the_map(tmp_path: Path) -> None:
    small = OPTIONS.replace("inverter-cold-climate-18", "packaged-heat-pump-12")
    assert "Heat pump" not in price_map(run(tmp_path, PRICES, small)).options


def test_under_a_tariff_the_axis_is_its_level_and_today_is_one(tmp_path: Path) -> None:
    rate = 'name = "R"\n[[energy]]\nname = "E"\nprice = 0.15\n[[demand]]\nname = "D"\nprice = 6\n'
    (tmp_path / "rate.toml").write_text(rate, "utf-8")
    prices = PRICES.replace('energy = 0.15\nper = "kWh"', 'tariff = "rate.toml"')
    there = run(tmp_path, prices, OPTIONS)
    found = price_map(there, steps=4)
    assert found.electricity.by_tariff
    assert list(found.today) == pytest.approx([1.0, 2.40])
    one, two = (int(np.argmin(np.abs(grid - at))) for grid, at in (
        (found.electricity_prices, 1.0), (found.fuel_prices, 2.40)))  # fmt: skip
    today = {name: found.cost[k, two, one] for k, name in enumerate(found.options)}
    assert today == pytest.approx({out.name: out.like_cost for out in there.outcomes}, rel=1e-9)


@pytest.mark.parametrize(
    ("more", "words"),
    [
        ({"fuel": "heating oil"}, "no option uses heating oil"),
        ({"spread_years": 0.0}, "spread over 0 years"),
        ({"most": (0.0, 5.0)}, "ends at 0"),
    ],
)
def test_a_map_that_cannot_be_drawn_is_refused(
    room: Comparison, more: dict[str, object], words: str
) -> None:
    with pytest.raises(InputError, match=words):
        price_map(room, **more)  # type: ignore[arg-type]


def test_an_option_that_is_left_out_is_named_with_what_it_lacks(tmp_path: Path) -> None:
    cool = """
[[option]]
name = "Propane and window unit"
heating = { kind = "room heater", fuel = "propane", afue = 0.80 }
cooling = { kind = "air conditioner", unit = "window-8" }
[[option]]
name = "Heat pump, both"
present = true
heating = { kind = "heat pump", unit = "inverter-cold-climate-24" }
cooling = { kind = "heat pump", unit = "inverter-cold-climate-24" }
"""
    load = """
[room.cooling]
design_load = "9 kBtu/h"
design_temperature = "91 degF"
balance_temperature = "68 degF"
"""
    comparison = run(tmp_path, load, PRICES, cool)
    (propane,) = [one for one in comparison.outcomes if one.name == "Propane and window unit"]
    assert propane.short_of == ("cooling",)
    with pytest.raises(InputError, match="left out of the price map") as caught:
        price_map(comparison, fuel="propane")
    share = f"{100.0 * propane.cooling_unmet_share:.1f} %"
    assert f"Propane and window unit: short of cooling by {share}" in caught.value.what
    assert caught.value.expected
    assert caught.value.remedy


def test_without_a_fuel_or_with_one_option_there_is_no_map(tmp_path: Path) -> None:
    head = OPTIONS.partition('[[option]]\nname = "Propane"')[0]
    with pytest.raises(InputError, match="uses a fuel"):
        price_map(run(tmp_path, PRICES, head))
    propane = OPTIONS[OPTIONS.index('[[option]]\nname = "Propane"') :].partition(
        '[[option]]\nname = "Heat pump"'
    )[0]
    with pytest.raises(InputError, match="one option alone"):
        price_map(run(tmp_path, PRICES, propane))


def test_the_chart_names_every_area_and_marks_today(
    tmp_path: Path, room: Comparison, spread: PriceMap
) -> None:
    figure = price_map_figure(room, spread)
    axes = figure.axes[0]
    words = " ".join(text.get_text().replace("\n", " ") for text in axes.texts)
    for area in spread.areas:
        assert area.option in words
    assert "today" in words
    save_figure(figure, tmp_path / "map.png")
    assert (tmp_path / "map.png").stat().st_size > 10_000


def test_areas_differ_by_pattern_so_that_grey_print_can_be_read(
    room: Comparison, spread: PriceMap
) -> None:
    looks = map_view(room, spread).looks
    assert len({look.hatch for look in looks.values()}) == len(looks)
    drawn = list(price_map_figure(room, spread).axes[0].patches)
    hatched = {patch.get_hatch() for patch in drawn if isinstance(patch, Polygon)}
    assert len(hatched) == len(looks)


def test_the_title_names_the_cheapest_and_the_subtitle_the_prices_at_which_that_ends(
    room: Comparison, spread: PriceMap
) -> None:
    view = map_view(room, spread)
    (name,) = _holder(spread, *spread.today)
    assert view.title == f"At today's prices {name} costs least"
    assert view.subtitle.startswith("Holds for ")
    assert "electricity" in view.subtitle or "propane" in view.subtitle
    assert "Estimate, not a quotation" in view.caption
