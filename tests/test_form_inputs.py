"""What is typed into the form of the sales notebook: kept as typed, bounded, named."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import ipywidgets as widgets
import pytest
from hypothesis import given
from hypothesis import strategies as st

from energymodel.datafiles import data_file
from energymodel.errors import InputError
from energymodel.form import START, RoomForm
from energymodel.form_inputs import NumberInput
from energymodel.scenario.changes import changed
from energymodel.scenario.files import Scenario, read_scenario
from energymodel.scenario.form_fields import NumberField, number_changes, price_fields
from energymodel.scenario.form_options import OptionChoice, OptionField, option_fields, renamed
from energymodel.study.comparison.compare import compare

PRICE = "price.electricity.energy"
FURNACE = "House gas furnace, ducts extended"
COLD = "Inverter heat pump, cold-climate, 12 kBtu/h"
KEPT = ("Electric baseboard", FURNACE, COLD)


@pytest.fixture(scope="module")
def start() -> Scenario:
    whole = read_scenario(data_file(*START))
    others = [table.name for table in whole.content.option if table.name not in KEPT]
    return changed(whole, {f'option."{name}"': None for name in others})


@pytest.fixture
def filled(start: Scenario, tmp_path: Path) -> Iterator[RoomForm]:
    yield RoomForm(start, folder=tmp_path)
    widgets.Widget.close_all()


def _price(value: float = 0.14) -> NumberField:
    return NumberField(
        path=PRICE, label="electricity", unit="per kWh", value=value, highest=0.6, step=0.005
    )


def _typed(number: NumberInput, value: float) -> float:
    """Type a number; the browser then reports the slider back in its own rounding."""
    number.text.value = value
    number.slider.value += 1e-12
    number.slider.value = round(number.slider.value / 0.005) * 0.005
    return float(number.text.value)


@given(value=st.floats(0.0, 3.0))
def test_a_typed_price_is_never_changed_by_the_slider_beside_it(value: float) -> None:
    number = NumberInput(_price())
    assert _typed(number, value) == value
    assert abs(number.slider.value - min(value, 0.6)) <= 0.0025 + 1e-9
    widgets.Widget.close_all()


def test_a_slider_that_is_moved_changes_the_number_in_its_steps() -> None:
    number = NumberInput(_price(0.184))
    number.slider.value = 0.19
    assert number.text.value == 0.19
    number.slider.value = 0.15
    assert number.text.value == 0.15
    widgets.Widget.close_all()


def test_a_price_between_two_steps_reaches_the_comparison(
    filled: RoomForm, start: Scenario
) -> None:
    filled.inputs[PRICE].value = 0.18437
    assert filled.comparison is not None
    expected = compare(changed(start, {PRICE: 0.18437}))
    assert [one.yearly_cost for one in filled.comparison.outcomes] == [
        one.yearly_cost for one in expected.outcomes
    ]


@pytest.mark.parametrize("value", [1e300, float("inf"), -1e9])
def test_a_number_that_must_be_a_slip_is_refused_with_its_name(
    start: Scenario, value: float
) -> None:
    fields = price_fields(start)
    values = {field.path: field.value for field in fields} | {PRICE: value}
    with pytest.raises(InputError, match="electricity"):
        number_changes(fields, values)


@pytest.mark.parametrize("cost", [1e300, float("inf"), -5.0])
def test_an_installed_cost_that_cannot_be_is_one_calm_line(filled: RoomForm, cost: float) -> None:
    good = filled.result.value
    filled.options[COLD].cost.value = cost
    assert "cannot be an installed cost" in filled.fault.value
    assert COLD in filled.fault.value
    assert filled.result.value == good
    filled.options[COLD].cost.value = 4300.0
    assert filled.fault.value == ""


def test_the_heading_of_the_chart_names_the_unit_that_is_drawn(filled: RoomForm) -> None:
    assert filled.charted.options[0] == (f"{COLD} (lowest yearly cost)", "")
    filled.inputs["price.natural_gas.energy"].value = 0.30
    assert filled.comparison is not None
    assert filled.comparison.cheapest is not None
    assert filled.comparison.cheapest.name == FURNACE  # it has no such chart
    assert filled.charted.options[0] == (f"{COLD} (least costly of such units)", "")


def test_the_furnace_can_burn_what_has_a_price_and_is_named_after_it(
    filled: RoomForm, start: Scenario
) -> None:
    row = filled.options[FURNACE]
    assert row.fuel.options == ("natural gas", "propane")
    row.fuel.value = "propane"
    assert filled.comparison is not None
    made = {one.name: one for one in filled.comparison.outcomes}
    furnace = made["House propane furnace, ducts extended"]
    assert set(furnace.energy_kwh) == {"electricity", "propane"}
    fields = {field.name: field for field in option_fields(start)}
    assert fields["Electric baseboard"].fuels == ()


@pytest.mark.parametrize(
    ("name", "old", "new", "called"),
    [
        ("Gas furnace", "natural gas", "propane", "Propane furnace"),
        ("Natural gas wall heater", "natural gas", "kerosene", "Kerosene wall heater"),
        ("Oil boiler in the cellar", "heating oil", "natural gas", "Gas boiler in the cellar"),
        ("Gasket room, furnace", "natural gas", "propane", "Gasket room, furnace, propane"),
    ],
)
def test_an_option_is_renamed_after_its_fuel(name: str, old: str, new: str, called: str) -> None:
    field = OptionField(name=name, present=False, installed_cost=0.0, fuel=old, fuels=(old, new))
    choice = OptionChoice(field=field, included=True, installed_cost=0.0, fuel=new)
    assert renamed(choice) == called
