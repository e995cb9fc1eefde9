"""The chart of load and output: its message, its facts, its names, its colours."""

from __future__ import annotations

from dataclasses import replace

import pytest
from matplotlib.colors import to_hex
from matplotlib.figure import Figure
from matplotlib.text import Text

from energymodel.equipment.curves import Function
from energymodel.errors import InputError
from energymodel.report.figures import style
from energymodel.report.figures.capacity_chart import capacity_view, facts, message
from energymodel.report.figures.capacity_lines import balance_words
from energymodel.report.figures.comparison import capacity_figure, has_capacity_figure
from energymodel.report.numbers import Display
from energymodel.study.comparison.compare import compare
from energymodel.study.comparison.outcome import Comparison, Outcome
from energymodel.weather.year import with_table

US, SI = Display(us=True), Display(us=False)
HOUSE = """
title = "Three options for a house"
place = { weather = "newark-nj-2013" }
[room]
indoor = { heating = "70 degF", cooling = "75 degF" }
[room.heating]
design_load = "22 kBtu/h"
design_temperature = "10 degF"
balance_temperature = "62 degF"
[room.cooling]
design_load = "17 kBtu/h"
design_temperature = "91 degF"
balance_temperature = "68 degF"
[price.electricity]
energy = 0.19
per = "kWh"
[price.natural_gas]
energy = 1.4
per = "therm"
[[option]]
name = "Gas boiler"
heating = { kind = "boiler", fuel = "natural gas", afue = 0.95 }
cooling = { kind = "air conditioner", unit = "central-air-conditioner-24" }
[[option]]
name = "Dual fuel"
cooling = { kind = "heat pump", unit = "single-speed-24" }
[option.heating]
kind = "heat pump"
unit = "single-speed-24"
off = "20 degF"
on = "30 degF"
backup.runs = "instead"
backup.heater = { kind = "boiler", fuel = "natural gas", afue = 0.95 }
[[option]]
name = "Inverter 18"
cooling = { kind = "heat pump", unit = "inverter-standard-18" }
[option.heating]
kind = "heat pump"
unit = "inverter-standard-18"
backup.heater = { kind = "electric resistance" }
"""


@pytest.fixture(scope="module")
def demo() -> Comparison:
    return compare()


@pytest.fixture(scope="module")
def house(tmp_path_factory: pytest.TempPathFactory) -> Comparison:
    path = tmp_path_factory.mktemp("house") / "house.toml"
    path.write_text(HOUSE, "utf-8")
    return compare(path)


def named(comparison: Comparison, start: str) -> Outcome:
    return next(one for one in comparison.outcomes if one.name.startswith(start))


def words(figure: Figure) -> list[Text]:
    return [text for text in figure.findobj(Text) if text.get_text().strip()]


def title(figure: Figure) -> str:
    return " ".join(
        text.get_text() for text in figure.texts if text.get_fontsize() == style.TITLE_PT
    )


def test_the_title_of_the_capacity_chart_is_its_message(
    demo: Comparison, house: Comparison
) -> None:
    messages = {
        (comparison is demo, start): message(
            capacity_view(comparison, named(comparison, start)), US
        )
        for comparison, start in [
            (demo, "Inverter 12 kBtu/h, standard"),
            (demo, "Inverter 12 kBtu/h, cold"),
            (house, "Inverter 18"),
            (house, "Gas boiler"),
        ]
    }
    assert (
        messages[True, "Inverter 12 kBtu/h, cold"] == "Down to 2 °F the unit heats the room alone"
    )
    short = messages[True, "Inverter 12 kBtu/h, standard"]
    assert short.startswith("Below ")
    assert short.endswith(" °F the room needs more heat than the unit gives")
    helped = messages[False, "Inverter 18"]
    assert helped.startswith("Above ")
    assert helped.endswith(" °F the unit heats the room alone")
    assert messages[False, "Gas boiler"].endswith("more cooling than the unit gives")
    standard = named(demo, "Inverter 12 kBtu/h, standard")
    assert title(capacity_figure(demo, standard, US)) == short


def test_the_message_names_the_capacity_balance_in_the_units_of_the_reader(
    demo: Comparison,
) -> None:
    view = capacity_view(demo, named(demo, "Inverter 12 kBtu/h, standard"))
    assert view.heating is not None
    at_c = view.heating.capacity_balance_c
    assert at_c is not None
    assert f"{at_c * 1.8 + 32.0:.0f} °F" in message(view, US)
    assert f"{at_c:.1f} °C".replace("-", style.MINUS) in message(view, SI)


def test_facts_count_short_hours_and_backup(demo: Comparison, house: Comparison) -> None:
    standard = capacity_view(demo, named(demo, "Inverter 12 kBtu/h, standard"))
    assert standard.heating is not None
    assert f"short in {standard.heating.short_c.size} h a year" in facts(standard)
    helped = named(house, "Inverter 18")
    total = helped.result.total
    share = 1.0 - total("heating_pump_heat_kwh") / total("heating_delivered_kwh")
    assert f"gives {share:.1%} of the heat" in facts(capacity_view(house, helped))


def test_a_shortage_colder_than_the_year_says_that_no_hour_meets_it(demo: Comparison) -> None:
    weather = demo.model.weather
    mild = with_table(weather, weather.table.clip(lower=-9.0))
    room = demo.model.scenario.content.room
    heating = room.heating
    assert heating is not None
    colder = heating.model_copy(update={"design_temperature": -18.0})
    content = demo.model.scenario.content.model_copy(
        update={"room": room.model_copy(update={"heating": colder})}
    )
    scenario = replace(demo.model.scenario, content=content)
    changed = replace(demo, model=replace(demo.model, weather=mild, scenario=scenario))
    view = capacity_view(changed, named(demo, "Inverter 12 kBtu/h, standard"))
    assert message(view, US).startswith("Below ")
    assert facts(view).endswith("no hour of this year is that cold")


def test_axes_of_the_capacity_chart_carry_units_in_horizontal_words(demo: Comparison) -> None:
    outcome = named(demo, "Inverter 12 kBtu/h, standard")
    for show, heat, degree in ((US, "kBtu/h", "°F"), (SI, "kW", "°C")):
        figure = capacity_figure(demo, outcome, show)
        texts = words(figure)
        assert f"Load and output, {heat}" in [text.get_text() for text in texts]
        assert f"Outdoor temperature, {degree}" in [text.get_text() for text in texts]
        assert {text.get_rotation() for text in texts} == {0.0}


def test_balance_points_design_and_lines_are_named(demo: Comparison) -> None:
    figure = capacity_figure(demo, named(demo, "Inverter 12 kBtu/h, standard"), US)
    text = " | ".join(one.get_text() for one in words(figure))
    assert "balance temperature: heating 60 °F, cooling 68 °F" in text
    for name in ("capacity balance", "design 15 °F", "heating, full output", "load of the room"):
        assert name in text


def test_source_weather_year_and_conditions_stand_in_small_type(demo: Comparison) -> None:
    figure = capacity_figure(demo, named(demo, "Inverter 12 kBtu/h, standard"), US)
    small = [one for one in figure.texts if one.get_fontsize() == style.SMALL_PT]
    text = " ".join(one.get_text() for one in reversed(small))
    for part in ("Greensboro", "typical year", "TMY3", "too mild for sizing", "Dashed"):
        assert part in text


def test_a_control_that_stops_the_unit_is_not_called_a_balance(
    demo: Comparison, house: Comparison
) -> None:
    dual = capacity_view(house, named(house, "Dual fuel")).heating
    plain = capacity_view(demo, named(demo, "Inverter 12 kBtu/h, standard")).heating
    assert dual is not None
    assert plain is not None
    assert dual.capacity_balance_c == pytest.approx((30.0 - 32.0) / 1.8)
    assert balance_words(dual, dual.capacity_balances_c[0], "30 °F") == (
        "runs freely",
        "above 30 °F",
    )
    assert balance_words(plain, plain.capacity_balances_c[0], "10 °F")[0] == "capacity balance"


def test_the_backup_area_has_the_colour_of_its_energy(demo: Comparison, house: Comparison) -> None:
    for comparison, start, colour in (
        (demo, "Packaged", style.RESISTANCE),
        (house, "Dual fuel", style.FUEL),
    ):
        figure = capacity_figure(comparison, named(comparison, start), US)
        areas = [
            to_hex(area.get_facecolor()[0])
            for area in figure.axes[1].collections
            if len(area.get_facecolor())
        ]
        assert colour.lower() in areas


def test_an_option_without_a_compressor_has_no_capacity_chart(demo: Comparison) -> None:
    baseboard = named(demo, "Electric baseboard")
    assert not has_capacity_figure(demo, baseboard)
    with pytest.raises(InputError, match="no output that depends on outdoor temperature"):
        capacity_figure(demo, baseboard, US)
    assert capacity_view(demo, baseboard).curves == ()
    freezer = with_table(
        demo.model.weather, demo.model.weather.table.clip(upper=15.0)
    )  # never warm enough to cool
    cold = replace(demo, model=replace(demo.model, weather=freezer))
    assert not has_capacity_figure(cold, named(demo, "Baseboard + window"))
    cooled = capacity_view(demo, named(demo, "Baseboard + window"))
    assert [curve.function for curve in cooled.curves] == [Function.COOLING]
