"""The form of the sales notebook, without a browser: inputs in, results and the page out."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import ipywidgets as widgets
import pytest
from pypdf import PdfReader

import energymodel
from energymodel.datafiles import data_file
from energymodel.form import START, RoomForm, form
from energymodel.scenario.changes import changed
from energymodel.scenario.files import Scenario, read_scenario
from energymodel.scenario.form_fields import number_changes, price_fields, room_fields
from energymodel.scenario.form_options import OptionChoice, option_changes, option_fields
from energymodel.study.comparison.compare import compare
from energymodel.study.comparison.outcome import Comparison

PRICE = "price.electricity.energy"
STANDARD = "Inverter heat pump, standard, 12 kBtu/h"
WINDOW = "Baseboard + window unit, 8 kBtu/h"
KEPT = ("Electric baseboard", WINDOW, STANDARD, "Inverter heat pump, cold-climate, 12 kBtu/h")


@pytest.fixture(scope="module")
def start() -> Scenario:
    """The form's own scenario with four of its options."""
    whole = read_scenario(data_file(*START))
    others = [table.name for table in whole.content.option if table.name not in KEPT]
    return changed(whole, {f'option."{name}"': None for name in others})


@pytest.fixture
def filled(start: Scenario, tmp_path: Path) -> Iterator[RoomForm]:
    yield RoomForm(start, folder=tmp_path)
    widgets.Widget.close_all()


def _costs(comparison: Comparison | None) -> dict[str, float]:
    assert comparison is not None
    return {one.name: one.yearly_cost for one in comparison.outcomes}


def test_untouched_the_form_says_what_the_command_says(filled: RoomForm, start: Scenario) -> None:
    assert filled.changes() == {}
    assert _costs(filled.comparison) == _costs(compare(start))
    cheapest = compare(start).cheapest
    assert cheapest is not None
    assert f"{cheapest.name}: about $" in filled.result.value


def test_a_price_that_is_moved_changes_costs_as_in_the_file_and_names_its_source(
    filled: RoomForm, start: Scenario
) -> None:
    before = filled.result.value
    filled.inputs[PRICE].value = 0.22
    assert filled.result.value != before
    assert _costs(filled.comparison) == _costs(compare(changed(start, {PRICE: 0.22})))
    assert filled.comparison is not None
    content = filled.comparison.model.scenario.content
    assert content.price["electricity"].source == "as entered"
    assert content.price["propane"].source == "invented"


def test_a_load_that_is_moved_draws_the_chart_again_and_a_price_does_not(
    filled: RoomForm,
) -> None:
    first = bytes(filled.chart.value)
    assert first.startswith(b"\x89PNG")
    filled.inputs[PRICE].value = 0.15
    assert bytes(filled.chart.value) == first
    filled.inputs["room.heating.design_load"].value = 11.0
    assert bytes(filled.chart.value) != first


def test_the_chart_follows_the_option_that_is_picked_and_falls_back_when_it_is_left_out(
    filled: RoomForm,
) -> None:
    cheapest = bytes(filled.chart.value)
    filled.charted.value = STANDARD
    assert bytes(filled.chart.value) != cheapest
    filled.options[STANDARD].included.value = False
    assert filled.charted.value == ""
    assert bytes(filled.chart.value) == cheapest


def test_a_place_can_be_changed(filled: RoomForm) -> None:
    filled.place.value = "miami-fl"
    assert filled.comparison is not None
    assert filled.comparison.model.weather.site.name.startswith("Miami")


def test_an_impossible_entry_is_one_calm_line_and_the_last_result_stays_in_grey(
    filled: RoomForm,
) -> None:
    good = filled.result.value
    filled.inputs["room.indoor.heating"].value = 90.0
    assert "the heating set-point lies above the cooling set-point" in filled.fault.value
    assert "Traceback" not in filled.fault.value
    assert filled.result.value == good
    assert "energymodel-old" in filled.result._dom_classes
    assert filled.button.disabled
    filled.inputs["room.indoor.heating"].value = 70.0
    assert filled.fault.value == ""
    assert "energymodel-old" not in filled.result._dom_classes
    assert not filled.button.disabled


def test_what_is_there_now_is_compared_even_if_it_is_not_ticked(filled: RoomForm) -> None:
    filled.options["Electric baseboard"].included.value = False
    assert "Electric baseboard" in _costs(filled.comparison)
    filled.present.value = WINDOW
    assert "Electric baseboard" not in _costs(filled.comparison)
    assert filled.comparison is not None
    assert filled.comparison.present is not None
    assert filled.comparison.present.name == WINDOW


def test_without_anything_there_now_nothing_is_set_against_it(filled: RoomForm) -> None:
    filled.present.value = ""
    assert filled.comparison is not None
    assert filled.comparison.present is None


def test_another_size_renames_the_option_and_takes_its_cost(filled: RoomForm) -> None:
    row = filled.options[STANDARD]
    row.unit.value = "inverter-standard-18"
    row.cost.value = 4400.0
    assert filled.comparison is not None
    bigger = {one.name: one for one in filled.comparison.outcomes}[
        "Inverter heat pump, standard, 18 kBtu/h"
    ]
    assert bigger.planned.table.installed_cost == 4400.0
    assert bigger.planned.heating is not None
    assert bigger.planned.heating.unit_key == "inverter-standard-18"
    assert bigger.planned.cooling is not None
    assert bigger.planned.cooling.unit_key == "inverter-standard-18"


def test_the_button_writes_a_page_with_the_entered_numbers_and_never_over_another(
    filled: RoomForm, tmp_path: Path
) -> None:
    filled.inputs[PRICE].value = 0.165
    filled.texts["handout.prepared_for"].value = "Customer 17"
    filled.button.click()
    filled.button.click()
    assert sorted(path.name for path in tmp_path.iterdir()) == ["room-2.pdf", "room.pdf"]
    pages = [page.extract_text() for page in PdfReader(tmp_path / "room.pdf").pages]
    text = " ".join(pages)
    assert "Customer 17" in text
    assert "0.165" in text
    assert "room-2.pdf" in str(filled.written.outputs)
    assert filled.button.description == "Write the page (PDF)"


@pytest.mark.parametrize("name", ["../room.pdf", "a/b", "room\x00.pdf"])
def test_a_file_name_that_leads_elsewhere_is_refused_calmly(
    filled: RoomForm, tmp_path: Path, name: str
) -> None:
    filled.file.value = name
    filled.button.click()
    assert "is not a file name" in str(filled.written.outputs)
    assert list(tmp_path.iterdir()) == []


def test_a_folder_that_is_not_there_is_named_calmly(start: Scenario, tmp_path: Path) -> None:
    filled = RoomForm(start, folder=tmp_path / "none")
    filled.button.click()
    assert "energymodel-fault" in str(filled.written.outputs)
    widgets.Widget.close_all()


def test_text_of_the_user_is_shown_as_text(start: Scenario, tmp_path: Path) -> None:
    path = 'option."Electric baseboard".name'
    nasty = changed(start, {path: "<script>alert(1)</script>"})
    shown = RoomForm(nasty, folder=tmp_path)
    assert "<script>" not in shown.result.value
    assert "&lt;script&gt;" in shown.result.value
    widgets.Widget.close_all()


@pytest.mark.parametrize("name", ["house", "starter"])
def test_any_scenario_can_be_put_into_the_form(name: str) -> None:
    box = form(data_file("scenarios", f"{name}.toml"))
    assert isinstance(box, widgets.VBox)
    widgets.Widget.close_all()


def test_a_load_found_from_components_is_not_offered_as_a_number() -> None:
    house = read_scenario(data_file("scenarios", "house.toml"))
    paths = [field.path for field in room_fields(house)]
    assert "room.heating.design_load" not in paths
    assert "room.cooling.design_load" in paths


def test_numbers_in_si_units_are_written_back_in_them(start: Scenario) -> None:
    metric = changed(start, {"units": "si"})
    fields = {field.path: field for field in room_fields(metric)}
    load = fields["room.heating.design_load"]
    assert (load.value, load.unit) == (2.78, "kW")  # 9.5 kBtu/h x 0.293071
    assert load.written(3.0) == "3 kW"
    assert fields["room.heating.design_temperature"].written(-9.5) == "-9.5 degC"


def test_what_is_not_touched_is_not_changed(start: Scenario) -> None:
    fields = (*room_fields(start), *price_fields(start))
    values = {field.path: field.value for field in fields}
    assert number_changes(fields, values) == {}
    choices = [
        OptionChoice(
            field=field, included=True, installed_cost=field.installed_cost, unit=field.unit
        )
        for field in option_fields(start)
    ]
    assert option_changes(start, choices, present="Electric baseboard") == {}


def test_only_the_form_imports_ipywidgets() -> None:
    package = Path(energymodel.__file__).parent
    found = {
        path.stem
        for path in package.rglob("*.py")
        if re.search(r"^\s*(import|from) ipywidgets", path.read_text("utf-8"), re.M)
    }
    assert found == {"form", "form_inputs"}
