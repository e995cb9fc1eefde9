"""The catalogue of generic equipment: each file is complete, consistent and plausible."""

from __future__ import annotations

import tomllib
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from energymodel.datafiles import data_file, read_table, shipped_folder
from energymodel.equipment.boiler import Boiler
from energymodel.equipment.burner import Burner
from energymodel.equipment.curves import Frost, Function, PerformanceMap, TablePoint, map_from_table
from energymodel.equipment.electric_furnace import ElectricFurnace
from energymodel.equipment.flows import Conditions, Source
from energymodel.equipment.furnace import Furnace
from energymodel.equipment.heat_pump import HeatPump
from energymodel.equipment.kernel import modulating, time_shared
from energymodel.equipment.limits import check_map
from energymodel.equipment.operation import Operation
from energymodel.equipment.resistance import Resistance
from energymodel.equipment.room_heater import RoomHeater
from energymodel.equipment.stove import Stove
from energymodel.quantities import POWER, TEMPERATURE, read_quantity
from energymodel.units import BTU_PER_WH, btu_h_from_w, c_from_f, f_from_c

UNITS = sorted(path.stem for path in (shipped_folder("data") / "equipment").glob("*.toml"))
HEATING_UNITS = [key for key in UNITS if not key.startswith(("window", "portable", "central"))]
INVERTERS = [key for key in UNITS if key.startswith("inverter")]
STAGING = {"modulating": modulating, "time shared": time_shared}
FUNCTION_KEYS = {"frost", "cd", "staging", "off", "on", "off_above", "points"}
IDLE_KEYS = {"controls", "crankcase", "crankcase_below", "pan", "pan_below", "indoor_fan"}


def content(key: str) -> dict[str, Any]:
    return tomllib.loads(data_file("equipment", f"{key}.toml").read_text("utf-8"))


def point(row: dict[str, Any]) -> TablePoint:
    capacity_w = read_quantity(row["capacity"], POWER)
    cop = row["cop"] if "cop" in row else row["eer"] / BTU_PER_WH
    return TablePoint(
        speed=row["speed"],
        outdoor_c=read_quantity(row["outdoor"], TEMPERATURE),
        capacity_w=capacity_w,
        power_w=capacity_w / cop,
    )


def performance(key: str, function: Function) -> PerformanceMap:
    table = content(key)[function.value]
    return map_from_table(
        [point(row) for row in table["points"]],
        function=function,
        frost=Frost(table.get("frost", "steady")),
        cd=table["cd"],
        staging=STAGING[table["staging"]],
    )


def operation(key: str, function: Function) -> Operation:
    table = content(key)[function.value]
    limits = {
        f"{name}_c": read_quantity(table[name], TEMPERATURE)
        for name in ("off", "on", "off_above")
        if name in table
    }
    return Operation(**limits)


def functions(key: str) -> list[Function]:
    return [function for function in Function if function.value in content(key)]


MAPS = {(key, function): performance(key, function) for key in UNITS for function in functions(key)}
OPERATIONS = {
    (key, function): operation(key, function) for key in UNITS for function in functions(key)
}


def value(key: str, function: Function, speed: str, outdoor_f: float) -> tuple[float, float]:
    """Capacity in kBtu/h and COP of a speed."""
    for curve in MAPS[key, function].speeds:
        if curve.name == speed:
            at = np.array([c_from_f(outdoor_f)])
            capacity, power = curve.capacity_w(at)[0], curve.power_w(at)[0]
            return btu_h_from_w(capacity) / 1000.0, capacity / power
    raise AssertionError(f"{key} has no speed {speed}")


def test_catalogue_holds_the_classes_of_the_trade():
    wanted = {
        f"inverter-{kind}-{k}" for kind in ("standard", "cold-climate") for k in (9, 12, 18, 24)
    }
    wanted |= {"single-speed-24", "single-speed-36", "two-stage-36", "packaged-heat-pump-12"}
    wanted |= {"ductless-single-speed-12", "window-8", "window-12", "portable-12"}
    wanted |= {"central-air-conditioner-24", "central-air-conditioner-36"}
    assert set(UNITS) == wanted


@pytest.mark.parametrize("key", UNITS)
def test_file_has_the_agreed_shape_and_names_its_sources(key):
    unit = content(key)
    tables = {function.value for function in functions(key)}
    assert set(unit) == {"name", "class", "supply", "idle", "sources"} | tables
    assert read_quantity(unit["class"], POWER) > 0
    assert set(unit["idle"]) <= IDLE_KEYS
    assert all(read_quantity(text, POWER) >= 0 for text in unit["idle"].values())
    assert set(unit["sources"]) == tables | {"idle"}
    for name in tables:
        assert set(unit[name]) <= FUNCTION_KEYS
        efficiency = "cop" if name == "heating" else "eer"
        fields = {"speed", "outdoor", "capacity", efficiency}
        assert all(set(row) == fields for row in unit[name]["points"])
        source = unit["sources"][name]
        assert "common practice" in source or "published" in source


@pytest.mark.parametrize("key", UNITS)
def test_maps_pass_the_check_without_a_notice(key):
    for function in functions(key):
        assert check_map(performance(key, function)) == ()


@pytest.mark.parametrize("key", [key for key in UNITS if key != "portable-12"])
def test_class_is_the_full_cooling_capacity_at_95_f(key):
    capacity, _ = value(key, Function.COOLING, "full", 95.0)
    assert capacity == pytest.approx(float(key.rsplit("-", 1)[1]), abs=0.005)
    assert read_quantity(content(key)["class"], POWER) == pytest.approx(
        capacity * 1000.0 / BTU_PER_WH, rel=1e-3
    )


@pytest.mark.parametrize("key", HEATING_UNITS)
def test_full_speed_has_data_down_to_the_cut_out(key):
    full = performance(key, Function.HEATING).speeds[-1]
    off_c = operation(key, Function.HEATING).off_c
    assert off_c is not None
    # Full speed reaches 10 F below its coldest point, then stops (our choice).
    assert f_from_c(full.coldest_c) - f_from_c(off_c) <= 10.0
    assert f_from_c(full.warmest_c) == pytest.approx(65.0)


@pytest.mark.parametrize("key", UNITS)
def test_cooling_data_reach_from_65_f_to_the_high_limit(key):
    full = performance(key, Function.COOLING).speeds[-1]
    limits = operation(key, Function.COOLING)
    assert limits.off_c is not None
    assert limits.off_above_c is not None
    assert full.warmest_c >= limits.off_above_c - 1e-9
    assert f_from_c(full.coldest_c) == pytest.approx(65.0)


@pytest.mark.parametrize(
    ("speed", "outdoor_f", "capacity", "cop"),
    # Plausible values of a cold-climate 12 kBtu/h unit (common practice).
    [
        ("full", 47.0, (18.0, 22.0), (2.9, 3.4)),
        ("full", 17.0, (14.0, 17.0), (2.3, 2.7)),
        ("full", 5.0, (13.0, 15.0), (1.9, 2.3)),
        ("full", -13.0, (10.0, 12.0), (1.5, 1.8)),
        ("rated", 47.0, (13.6, 16.0), (3.7, 4.4)),
        ("rated", 17.0, (9.0, 11.0), (2.6, 3.1)),
        ("minimum", 47.0, (2.8, 4.5), (4.5, 7.0)),
        ("minimum", 17.0, (2.0, 4.0), (2.8, 3.5)),
        ("minimum", 5.0, (2.0, 4.0), (2.2, 2.8)),
    ],
)
def test_cold_climate_12_lies_in_the_trade_s_bands(speed, outdoor_f, capacity, cop):
    q, c = value("inverter-cold-climate-12", Function.HEATING, speed, outdoor_f)
    assert capacity[0] <= q <= capacity[1]
    assert cop[0] <= c <= cop[1]


@pytest.mark.parametrize(
    ("outdoor_f", "capacity", "cop"),
    # Plausible full-speed values of a standard 12 kBtu/h unit (common practice).
    [
        (47.0, (14.0, 17.0), (3.0, 3.6)),
        (17.0, (8.0, 10.0), (2.2, 2.6)),
        (5.0, (6.0, 8.0), (1.8, 2.1)),
    ],
)
def test_standard_12_lies_in_the_trade_s_bands(outdoor_f, capacity, cop):
    q, c = value("inverter-standard-12", Function.HEATING, "full", outdoor_f)
    assert capacity[0] - 1e-9 <= q <= capacity[1] + 1e-9  # one point lies on the edge itself
    assert cop[0] <= c <= cop[1]


def _ratios(key: str, speed: str, cold_f: float) -> tuple[float, float]:
    q47, c47 = value(key, Function.HEATING, speed, 47.0)
    q, c = value(key, Function.HEATING, speed, cold_f)
    return q / q47, c / c47


@pytest.mark.parametrize("key", [key for key in INVERTERS if "cold-climate" in key])
def test_cold_climate_units_keep_their_capacity(key):
    # Maximum over maximum, 17 F and 5 F over 47 F (common practice); COP at 5 F of at least 1.75
    # and 70 % of the capacity are voluntary criteria (quoted).
    q17, c17 = _ratios(key, "full", 17.0)
    q5, c5 = _ratios(key, "full", 5.0)
    assert 0.80 - 1e-12 <= q17 <= 1.0
    assert 0.72 <= c17 <= 0.80
    assert 0.70 <= q5 <= 1.0
    assert 0.60 <= c5 <= 0.68
    assert value(key, Function.HEATING, "full", 5.0)[1] >= 1.75


@pytest.mark.parametrize("key", [key for key in INVERTERS if "standard" in key])
def test_standard_inverters_fade_as_the_trade_knows(key):
    # Rated over rated at 17 F; 5 F over 47 F (common practice).
    q17, c17 = _ratios(key, "rated", 17.0)
    q5, c5 = _ratios(key, "full", 5.0)
    assert 0.60 <= q17 <= 0.70
    assert 0.68 <= c17 <= 0.75
    assert 0.50 <= q5 <= 0.60
    assert 0.55 <= c5 <= 0.62


@pytest.mark.parametrize("key", INVERTERS)
def test_turn_down_of_single_zone_inverters(key):
    # Maximum over minimum at 47 F: 4:1 to 6:1 (common practice), small standard units included.
    full, _ = value(key, Function.HEATING, "full", 47.0)
    least, _ = value(key, Function.HEATING, "minimum", 47.0)
    assert 3.9 <= full / least <= 6.0


@pytest.mark.parametrize("key", INVERTERS)
@pytest.mark.parametrize(
    ("function", "outdoor_f"), [(Function.HEATING, [17.0, 47.0]), (Function.COOLING, [82.0, 95.0])]
)
def test_slower_speeds_are_more_efficient(key, function, outdoor_f):
    capacity, power = MAPS[key, function].raw(c_from_f(np.array(outdoor_f)))
    assert np.all(np.diff(capacity / power, axis=0) < 0)


@pytest.mark.parametrize("key", INVERTERS)
def test_half_load_at_82_f_is_1_4_to_1_7_times_as_efficient_as_full_load_at_95_f(key):
    # Common practice for inverters.
    unit = performance(key, Function.COOLING)
    _, full = value(key, Function.COOLING, "full", 95.0)
    outdoor_c = np.array([c_from_f(82.0)])
    half_w = 0.5 * unit.speeds[-1].capacity_w(np.array([c_from_f(95.0)]))
    at = Conditions(outdoor_c=outdoor_c, relative_humidity_pct=outdoor_c, indoor_c=26.7)
    flows = HeatPump(performance=unit).run(at, half_w)
    assert 1.4 <= flows.pump_heat_w[0] / flows.pump_power_w[0] / full <= 1.7


@pytest.mark.parametrize("key", INVERTERS)
def test_intermediate_cooling_speed_is_a_third_of_the_way(key):
    # 10 CFR 430 Subpart B, Appendix M1: minimum + (full - minimum) / 3 at 87 F (from memory).
    least, _ = value(key, Function.COOLING, "minimum", 87.0)
    middle, _ = value(key, Function.COOLING, "intermediate", 87.0)
    full, _ = value(key, Function.COOLING, "full", 87.0)
    assert (middle - least) / (full - least) == pytest.approx(1.0 / 3.0, abs=0.01)


@pytest.mark.parametrize("key", ["single-speed-24", "single-speed-36"])
def test_single_speed_units_follow_the_published_table(key):
    # A manufacturer's single-speed table (published): ratios at 17 F and 5 F; COP over 47 F.
    q17, c17 = _ratios(key, "full", 17.0)
    q5, c5 = _ratios(key, "full", 5.0)
    assert (q17, q5) == pytest.approx((0.628, 0.479), abs=0.001)
    assert (c17, c5) == pytest.approx((0.675, 0.55), abs=0.005)


def test_two_stage_unit_lies_in_the_trade_s_bands():
    # Common practice: capacity 0.62 to 0.68 at 17 F and 0.50 at 5 F; COP 0.68 and 0.56.
    q17, c17 = _ratios("two-stage-36", "full", 17.0)
    q5, c5 = _ratios("two-stage-36", "full", 5.0)
    assert 0.62 <= q17 <= 0.68
    assert (q5, c17, c5) == pytest.approx((0.50, 0.68, 0.56), abs=0.005)


def test_portable_unit_cools_the_room_20_to_35_percent_less_than_its_plate():
    # Common practice: infiltration.
    capacity, _ = value("portable-12", Function.COOLING, "full", 95.0)
    assert 0.65 <= capacity / 12.0 <= 0.80


@pytest.mark.parametrize("key", ["window-8", "window-12"])
def test_window_units_have_the_eer_of_the_trade(key):
    # Common practice: single-speed window units EER 9 to 12.
    _, cop = value(key, Function.COOLING, "full", 95.0)
    assert 9.0 <= cop * BTU_PER_WH <= 12.0


@settings(max_examples=60)
@given(
    key=st.sampled_from(UNITS),
    states=st.lists(
        st.tuples(st.floats(-35.0, 50.0), st.floats(0.0, 15_000.0), st.floats(20.0, 100.0)),
        min_size=1,
        max_size=6,
    ),
)
def test_every_unit_delivers_or_names_what_is_missing(key, states):
    outdoor_c, load_w, humidity = (np.array(column) for column in zip(*states, strict=True))
    for function in functions(key):
        unit = HeatPump(performance=MAPS[key, function], operation=OPERATIONS[key, function])
        at = Conditions(outdoor_c=outdoor_c, relative_humidity_pct=humidity, indoor_c=23.0)
        flows = unit.run(at, load_w)
        assert np.abs(flows.delivered_w + flows.unmet_w - load_w).max() <= 1e-9
        assert np.all(flows.unmet_w >= 0)
        assert np.all(flows.pump_power_w >= 0)
        assert np.all((flows.run_share >= 0) & (flows.run_share <= 1))


def _burner(row: dict[str, str]) -> Burner:
    efficiency = float(row["efficiency"])
    if row["basis"] == "steady-state":
        return Burner.from_steady_state(
            carrier=row["carrier"],
            efficiency=efficiency,
            input_w=20_000.0,
            cd=float(row["cd"]),
            pilot_w=float(row["pilot_w"]),
        )
    return Burner.from_afue(carrier=row["carrier"], afue=efficiency, input_w=20_000.0)


def _heater(row: dict[str, str]) -> Source:
    motors = {name: float(row[name]) for name in ("blower_w", "auxiliary_w")}
    makers = {
        "furnace": lambda: Furnace(burner=_burner(row), **motors),
        "boiler": lambda: Boiler(burner=_burner(row), auxiliary_w=motors["auxiliary_w"]),
        "room heater": lambda: RoomHeater(burner=_burner(row), **motors),
        "stove": lambda: Stove(burner=_burner(row), **motors),
        "electric furnace": lambda: ElectricFurnace(
            capacity_w=15_000.0, blower_w=motors["blower_w"]
        ),
        "electric resistance": Resistance,
    }
    return makers[row["kind"]]()


HEATERS = {row["key"]: row for row in read_table("equipment", "heaters.csv")}


@pytest.mark.parametrize("key", sorted(HEATERS))
def test_every_heater_runs_and_gives_its_efficiency(key):
    row = HEATERS[key]
    load_w = np.array([10_000.0])
    at = Conditions(outdoor_c=load_w * 0.0, relative_humidity_pct=load_w * 0.0, indoor_c=21.0)
    flows = _heater(row).run(at, load_w)
    assert flows.delivered_w[0] == 10_000.0
    credited = sum(
        w[0] for use, w in flows.electricity_w.items() if use in {"blower", "resistance"}
    )
    fuel = sum(w[0] for w in flows.fuel_w.values())
    if row["carrier"]:
        efficiency = (10_000.0 - credited) / fuel
        assert efficiency <= float(row["efficiency"]) + 1e-12
        if row["basis"] != "steady-state":
            assert efficiency == pytest.approx(float(row["efficiency"]), rel=1e-12)
    else:
        assert credited == pytest.approx(10_000.0)


def test_heaters_name_known_bases_fuels_and_a_source():
    for row in HEATERS.values():
        assert row["basis"] in {"AFUE", "steady-state", "overall", "electric"}
        assert row["carrier"] in {
            "",
            "natural gas",
            "propane",
            "heating oil",
            "kerosene",
            "wood",
            "pellets",
        }
        assert (row["cd"] != "") == (row["basis"] == "steady-state")
        assert row["basis"] == "steady-state" or float(row["pilot_w"]) == 0.0
        assert row["source"]
