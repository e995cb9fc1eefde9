"""Reading scenarios, and the room by components: what the file says is what is built."""

from __future__ import annotations

import runpy
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from energymodel.building.load import RoomLoad, heating_line_without_gains
from energymodel.datafiles import data_file
from energymodel.errors import InputError, ManyFaultsError
from energymodel.quantities import CONDUCTANCE, read_quantity
from energymodel.scenario.assemble import assemble
from energymodel.scenario.faults import validated
from energymodel.scenario.fields import Month, Record, shown
from energymodel.scenario.files import read_scenario, write_starter
from energymodel.scenario.ledger import Ledger
from energymodel.scenario.room_schema import RoomTable
from energymodel.scenario.toml_file import read_toml
from energymodel.units import c_from_f, f_from_c, w_from_btu_h

_TOOLS = runpy.run_path(str(Path(__file__).with_name("scenario_text.py")))
BASE, build, changed = _TOOLS["BASE"], _TOOLS["build"], _TOOLS["changed"]
EXAMPLES = ("demo", "starter", "house")
INDOOR = {"heating": "70 degF", "cooling": "75 degF"}
BTU_H_F = read_quantity("1 Btu/(h degF)", CONDUCTANCE)


def room(**tables: Any) -> RoomTable:
    return validated(RoomTable, {"indoor": INDOOR, **tables}, where="room.toml")


def load(heating: dict[str, Any], elevation_m: float = 0.0, **more: Any) -> tuple[RoomLoad, Ledger]:
    ledger = Ledger()
    table = room(heating=heating, **more)
    return table.load(ledger, elevation_m=elevation_m), ledger


def ua_btu_h_f(loads: RoomLoad) -> float:
    assert loads.heating is not None
    return loads.heating.slope_w_per_k / BTU_H_F


def balance_f(loads: RoomLoad) -> float:
    assert loads.heating is not None
    return float(f_from_c(loads.heating.balance_c))


@pytest.mark.parametrize("name", EXAMPLES)
def test_every_shipped_scenario_can_be_built(name: str) -> None:
    model = assemble(read_scenario(data_file("scenarios", f"{name}.toml")))
    assert len(model.options) >= 4
    assert sum(planned.table.present for planned in model.options) == 1
    assert "invented" in model.scenario.content.title


@pytest.mark.parametrize(("mark", "ends"), [("\ufeff", "\n"), ("", "\r\n")])
def test_byte_order_marks_and_other_line_ends_change_nothing(
    tmp_path: Path, mark: str, ends: str
) -> None:
    file = tmp_path / "room.toml"
    file.write_bytes((mark + BASE.replace("\n", ends)).encode())
    assert read_scenario(file).content == build(tmp_path, BASE).scenario.content


def test_a_scenario_that_cannot_be_read_says_why(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="there is no such file") as missing:
        read_scenario(tmp_path / "none.toml")
    assert missing.value.remedy
    with pytest.raises(InputError, match="a folder, not a file"):
        read_scenario(tmp_path)
    binary = tmp_path / "binary.toml"
    binary.write_bytes(b"PK\x03\x04\xff\xfe\x00")
    with pytest.raises(InputError, match="not a text"):
        read_scenario(binary)


def test_a_syntax_error_names_its_line(tmp_path: Path) -> None:
    file = tmp_path / "room.toml"
    file.write_text('title = "x"\n[place\nweather = "y"\n')
    with pytest.raises(InputError) as caught:
        read_toml(file)
    assert caught.value.where == f"{file}, line 2"
    assert "Expected ']'" in caught.value.what


def _message(file: Path) -> str:
    try:
        read_toml(file)
    except InputError as error:
        return str(error)
    return ""


@given(content=st.binary(max_size=60))
@settings(max_examples=100, deadline=None)
def test_any_bytes_are_a_table_or_one_message_that_names_the_file(
    tmp_path_factory: pytest.TempPathFactory, content: bytes
) -> None:
    file = tmp_path_factory.getbasetemp() / "any.toml"
    file.write_bytes(content)
    message = _message(file)
    assert message == "" or message.startswith(str(file))


def test_the_starter_is_written_once_and_runs_as_it_is(tmp_path: Path) -> None:
    target = write_starter(tmp_path / "mine.toml", replace=False)
    assert target.read_bytes() == data_file("scenarios", "starter.toml").read_bytes()
    with pytest.raises(InputError, match="this file exists"):
        write_starter(target, replace=False)
    assert write_starter(target, replace=True) == target
    with pytest.raises(InputError, match="there is no folder"):
        write_starter(tmp_path / "none" / "mine.toml", replace=False)
    assert [path.name for path in tmp_path.iterdir()] == ["mine.toml"]


class _Months(Record):
    months: list[Month]


def test_months_are_names_of_at_least_three_letters() -> None:
    names = ["Apr", "october", "Sept", "MAY", "jan."]
    assert validated(_Months, {"months": names}, where="x").months == [4, 10, 9, 5, 1]
    for name in ("Ma", "Octember", "", "13"):
        with pytest.raises(ManyFaultsError, match="is not a month"):
            validated(_Months, {"months": [name]}, where="x")


def test_values_are_shown_as_the_file_has_them() -> None:
    assert shown(0.5) == "0.5"
    assert shown([]) == "an empty list"
    assert shown("a\x00b\n") == '"a?b?"'
    assert shown(10**30) == "a huge number"
    assert len(shown("x" * 500)) == 60


SHEET = {
    # Handbook form UA = sum(U A) + F x perimeter + 0.018 x ACH x ft3 + 1.08 x cfm (from memory).
    "surfaces": [
        {"name": "wall", "area": "400 ft2", "u_value": "0.077 Btu/(h ft^2 degF)"},
        {"name": "ceiling", "area": "380 ft2", "r_value": "38 h ft^2 degF/Btu"},
    ],
    "slab_edges": [{"name": "edge", "length": "44 ft", "f_factor": "0.73 Btu/(h ft degF)"}],
    "infiltration": {"volume": "2000 ft3", "air_changes": 0.5},
    "ventilation": {"flow": "40 cfm", "recovery": 0.70},
    "balance_temperature": "60 degF",
}
SHEET_UA = 400 * 0.077 + 380 / 38 + 44 * 0.73 + 0.018 * 0.5 * 2000 + 1.08 * 40 * 0.30


def test_the_heat_loss_by_components_is_the_sum_by_hand() -> None:
    loads, ledger = load(SHEET)
    assert ua_btu_h_f(loads) == pytest.approx(SHEET_UA, rel=1e-9)
    assert balance_f(loads) == pytest.approx(60.0)
    (notice,) = ledger.notices
    assert notice.topic == "heat loss"
    assert f"({SHEET_UA:.1f} Btu/(h degF))" in notice.text
    assert "wall 16.2 W/K (30%)" in notice.text
    assert "balance temperature 60 degF (15.6 degC)" in notice.text


def test_the_balance_temperature_follows_from_the_gains() -> None:
    # t_balance = t_indoor - gains / UA (degree-day method, from memory); 230 Btu/h per person
    # (from memory), 2 people half of the day and 500 Btu/h of appliances: 730 Btu/h.
    gains = {"people": 2, "hours_present": 12, "appliances": "500 Btu/h"}
    sheet = {**SHEET, "internal_gains": gains}
    del sheet["balance_temperature"]
    loads, ledger = load(sheet)
    assert balance_f(loads) == pytest.approx(70.0 - 730.0 / SHEET_UA, abs=1e-9)
    assert "sensible heat of a person" in [entry.name for entry in ledger.defaults]


def test_gains_set_the_balance_temperature_of_a_design_load_and_of_a_ua_too() -> None:
    gains = {"sun": "300 Btu/h"}
    design = {"design_load": "5500 Btu/h", "design_temperature": "15 degF"}
    for way in (design, {"ua": "100 Btu/(h degF)"}):
        loads, _ = load({**way, "internal_gains": gains})
        assert ua_btu_h_f(loads) == pytest.approx(100.0)
        assert balance_f(loads) == pytest.approx(67.0)


def test_a_blower_door_figure_is_divided_by_n() -> None:
    # N = 18.5 (zone 2) x 1.0 (normal) x 0.8 (2 storeys) = 14.8 (values from memory).
    sheet = {**SHEET, "infiltration": {"volume": "2000 ft3", "ach50": 7.4, "zone": 2, "storeys": 2}}
    assert ua_btu_h_f(load(sheet)[0]) == pytest.approx(SHEET_UA, rel=1e-9)


def test_usual_values_are_taken_by_name_and_listed_as_defaults() -> None:
    sheet: dict[str, Any] = {
        "surfaces": [{"name": "glass", "area": "100 ft2", "assembly": "double glass low-e"}],
        "slab_edges": [{"name": "edge", "length": "10 ft", "assembly": "slab edge uninsulated"}],
        "infiltration": {"volume": "2000 ft3", "tightness": "house of the 1990s", "zone": 1,
                         "storeys": 1},
        "balance_temperature": "60 degF",
    }  # fmt: skip
    loads, ledger = load(sheet)
    # 100 x 0.32 + 10 x 0.73 + 0.018 x 2000 x 8.5 / 15.5 (values from memory).
    assert ua_btu_h_f(loads) == pytest.approx(32.0 + 7.3 + 36.0 * 8.5 / 15.5, rel=1e-9)
    assert [entry.name for entry in ledger.defaults] == [
        "ACH50 of house of the 1990s", "U-value of double glass low-e",
        "F-factor of slab edge uninsulated", "divisor N of ACH50",
    ]  # fmt: skip


def test_thin_air_at_altitude_lowers_the_loss_of_air_only() -> None:
    low, high = load(SHEET)[0], load(SHEET, elevation_m=1500.0)[0]
    air = 0.018 * 0.5 * 2000 + 1.08 * 40 * 0.30
    # Standard atmosphere at 1500 m: 84.556 / 101.325 kPa (ASHRAE Fundamentals, from memory).
    lost = air * (1.0 - 84.556 / 101.325)
    assert ua_btu_h_f(low) - ua_btu_h_f(high) == pytest.approx(lost, rel=1e-3)


def test_a_heat_loss_sheet_and_its_components_give_the_same_line() -> None:
    by_parts, _ = load(SHEET)
    assert by_parts.heating is not None
    design_load_w = w_from_btu_h(SHEET_UA * (70.0 - 15.0))
    sheet = heating_line_without_gains(
        design_load_w=design_load_w,
        design_c=c_from_f(15.0),
        balance_c=c_from_f(60.0),
        indoor_c=c_from_f(70.0),
    )
    outdoor_c = np.linspace(-30.0, 30.0, 61)
    assert by_parts.heating.load_w(outdoor_c) == pytest.approx(sheet.load_w(outdoor_c))


def test_a_metered_design_load_has_its_gains_in_it() -> None:
    way = {"design_load": "4500 Btu/h", "design_temperature": "15 degF"}
    loads, ledger = load({**way, "balance_temperature": "60 degF", "gains": "included"})
    assert ua_btu_h_f(loads) == pytest.approx(100.0)
    assert ledger.defaults == []
    _, silent = load({**way, "balance_temperature": "60 degF"})
    assert [entry.value for entry in silent.defaults] == ["excluded"]


def test_the_rule_of_thumb_is_a_marked_rough_start() -> None:
    rough = {"floor_area": "1000 ft2", "ceiling_height": "8 ft", "insulation": "good"}
    way = {"rough": rough, "design_temperature": "20 degF", "balance_temperature": "62 degF"}
    loads, ledger = load(way)
    # 3.5 Btu/h ft3 x 8,000 ft3 (trade shortcut, quoted) over 70 - 20 F.
    assert ua_btu_h_f(loads) == pytest.approx(3.5 * 8000 / 50.0, rel=1e-9)
    assert "rule of thumb" in ledger.notices[0].text


def test_cooling_may_be_the_heat_loss_with_a_steady_gain() -> None:
    loads, ledger = load(SHEET, cooling={"steady_gain": "1000 Btu/h"})
    assert loads.cooling is not None
    assert f_from_c(loads.cooling.balance_c) == pytest.approx(75.0 - 1000.0 / SHEET_UA)
    at_set_point = loads.cooling.load_w(np.array([c_from_f(75.0)]))
    assert at_set_point[0] == pytest.approx(w_from_btu_h(1000.0))
    assert "one steady gain" in ledger.notices[-1].text


@pytest.mark.parametrize(
    ("change", "what"),
    [
        ({"surfaces": []}, "an empty list cannot be used"),
        ({"surfaces": [{"name": "wall", "area": "9 ft2"}]}, "no u_value, no r_value, no assembly"),
        ({"surfaces": [{"name": "wall", "area": "9 ft2", "u_value": "1 W/(m^2 K)",
                        "r_value": "1 m^2 K/W"}]}, "u_value and r_value are given"),
        ({"surfaces": [{"name": "wall", "area": "9 ft2", "assembly": "wall R-99"}]},
         "'wall R-99' is not in the table"),
        ({"surfaces": [{"name": "wall", "area": "9 ft2", "u_value": "99 W/(m^2 K)"}]},
         "U-value between 0.05 and 7"),
        ({"surfaces": [{"name": "a", "area": "9 ft2", "u_value": "1 W/(m^2 K)"}] * 2},
         "envelope parts with the name a"),
        ({"infiltration": {"volume": "2000 ft3", "air_changes": 12}}, "at most 10"),
        ({"infiltration": {"volume": "2000 ft3", "ach50": 7}}, "ach50 without zone and storeys"),
        ({"infiltration": {"volume": "2000 ft3", "ach50": 7, "zone": 5, "storeys": 1}},
         "one of 1, 2, 3, 4"),
        ({"infiltration": {"volume": "2000 ft3", "tightness": "tent", "zone": 1, "storeys": 1}},
         "'tent' is not in the table"),
        ({"ventilation": {"flow": "40 cfm", "recovery": 70}}, "write 70 % as 0.7"),
        ({"ua": "100 Btu/(h degF)"}, "given by ua and by surfaces"),
        ({"surfaces": None, "ua": "100 Btu/(h degF)"}, "beside ua, which contains them"),
        ({"internal_gains": {"sun": "100 W"}}, "both balance_temperature and internal_gains"),
        ({"balance_temperature": None, "internal_gains": {"people": 2}},
         "2.0 people without the hours"),
        ({"gains": "included"}, 'gains = "included" without a metered design_load'),
        ({"balance_temperature": None, "internal_gains": {"sun": "9 kW"},
          "design_temperature": "15 degF"}, "is not below the balance temperature"),
    ],
)  # fmt: skip
def test_components_that_cannot_be_are_refused(change: dict[str, Any], what: str) -> None:
    sheet = {key: value for key, value in {**SHEET, **change}.items() if value is not None}
    with pytest.raises((InputError, ManyFaultsError)) as caught:
        load(sheet)
    assert what in str(caught.value)


def test_a_steady_gain_needs_a_heat_loss() -> None:
    metered = {"design_load": "9 kBtu/h", "design_temperature": "15 degF", "gains": "included"}
    with pytest.raises(ManyFaultsError, match="cooling: steady_gain needs the room's heat loss"):
        load({**metered, "balance_temperature": "60 degF"}, cooling={"steady_gain": "1 kW"})


@given(
    st.lists(st.tuples(st.floats(1.0, 500.0), st.floats(0.1, 6.0)), min_size=1, max_size=5),
    st.floats(0.0, 300.0),
)
@settings(max_examples=40, deadline=None)
def test_load_at_any_temperature_is_ua_times_what_gains_leave(
    parts: list[tuple[float, float]], sun_w: float
) -> None:
    surfaces = [
        {"name": f"part {at}", "area": f"{area:.6f} m2", "u_value": f"{u:.6f} W/(m^2 K)"}
        for at, (area, u) in enumerate(parts)
    ]
    loads, _ = load({"surfaces": surfaces, "internal_gains": {"sun": f"{sun_w:.6f} W"}})
    assert loads.heating is not None
    ua = sum(round(area, 6) * round(u, 6) for area, u in parts)
    indoor_c = c_from_f(70.0)
    outdoor_c = np.array([-40.0, 0.0, 15.0])
    expected = np.maximum(ua * (indoor_c - outdoor_c) - round(sun_w, 6), 0.0)
    assert loads.heating.load_w(outdoor_c) == pytest.approx(expected, rel=1e-6, abs=1e-3)
