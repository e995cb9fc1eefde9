"""Heat loss by components, air change, gains and the load lines that follow."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from energymodel.building.air_change import (
    Infiltration,
    Shielding,
    Ventilation,
    air_density_ratio,
    air_ua_w_per_k,
    infiltration_from_ach50,
    n_factor,
    usual_ventilation_m3_per_h,
)
from energymodel.building.assemblies import (
    SlabEdge,
    Surface,
    four_walls_m2,
    listed_ach50,
    listed_slab_edge,
    listed_surface,
    surface_from_r_value,
)
from energymodel.building.envelope import (
    Envelope,
    degree_day_heat_kwh,
    heat_loss,
    rough_cooling_line,
)
from energymodel.building.gains import gains_by_area_w, gains_by_count_w, reference_home_gains_w
from energymodel.building.load import heating_line_without_gains
from energymodel.building.rough_load import Insulation, rough_design_load
from energymodel.datafiles import read_table
from energymodel.errors import InputError
from energymodel.quantities import AREA, CONDUCTANCE, R_VALUE, U_VALUE, convert, read_quantity
from energymodel.units import btu_h_from_w, c_from_f, f_from_c, w_from_btu_h

_TRIES = settings(max_examples=50, deadline=None)

_BTU_H_F = read_quantity("1 Btu/(h degF)", CONDUCTANCE)


def _wall(ua_w_per_k: float, name: str = "wall") -> Surface:
    return Surface(name=name, area_m2=ua_w_per_k, u_w_per_m2_k=1.0)


def test_ua_is_the_sum_of_area_times_u_slab_edge_times_f_and_air() -> None:
    # Handbook form UA = sum(U A), slab F x perimeter, 0.018 x ACH x ft3 (from memory); by hand:
    # 400 x 0.077 + 44 x 0.73 + 0.018 x 0.5 x 2000 + 1.08 x 40 x (1 - 0.70) = 93.88 Btu/h F.
    house = Envelope(
        parts=(
            Surface(
                name="wall",
                area_m2=read_quantity("400 ft2", AREA),
                u_w_per_m2_k=read_quantity("0.077 Btu/(h ft^2 degF)", U_VALUE),
            ),
            listed_slab_edge(
                name="slab", perimeter_m=convert(44, "ft", "m"), assembly="slab edge uninsulated"
            ),
        ),
        infiltration=Infiltration(volume_m3=convert(2000, "ft3", "m3"), air_changes_per_h=0.5),
        ventilation=Ventilation(flow_m3_per_h=convert(40, "cfm", "m3/h"), recovery=0.70),
    )
    loss = heat_loss(house, indoor_c=21.0, gains_w=0.0)
    by_hand = {"wall": 30.8, "slab": 32.12, "infiltration": 18.0, "ventilation": 12.96}
    assert loss.components_w_per_k == pytest.approx({k: v * _BTU_H_F for k, v in by_hand.items()})
    assert loss.ua_w_per_k == pytest.approx(93.88 * _BTU_H_F)
    assert [default.name for default in loss.used_defaults] == ["F-factor of slab edge uninsulated"]


def test_one_cfm_carries_1_08_btu_per_hour_and_degree() -> None:
    # 1.08 x cfm (from memory, sea level) against 0.018 x 60 min: one trade constant.
    cfm = convert(1.0, "cfm", "m3/h")
    assert air_ua_w_per_k(cfm) / _BTU_H_F == pytest.approx(1.08, rel=1e-9)
    # Air of 1.2 kg/m3 and 1.006 kJ/(kg K) carries 0.3353 Wh/(m3 K) (computed).
    assert air_ua_w_per_k(1.0) == pytest.approx(0.3353, abs=5e-4)


def test_u_is_one_over_r() -> None:
    wall = surface_from_r_value(
        name="wall", area_m2=10.0, r_m2_k_per_w=read_quantity("13 h ft^2 degF/Btu", R_VALUE)
    )
    assert wall.ua_w_per_k == pytest.approx(
        10 * read_quantity(f"{1 / 13} Btu/(h ft^2 degF)", U_VALUE)
    )
    with pytest.raises(InputError, match="an R-value of 0"):
        surface_from_r_value(name="wall", area_m2=10.0, r_m2_k_per_w=0.0)


def test_balance_temperature_of_the_reference_house_is_58_f() -> None:
    # UA 400 Btu/h F with gains of 3,240 + 1,500 Btu/h: 11.9 F below 70 F = 58 F (computed).
    house = Envelope(parts=(_wall(400 * _BTU_H_F),))
    loss = heat_loss(house, indoor_c=c_from_f(70.0), gains_w=w_from_btu_h(4740.0))
    assert f_from_c(loss.balance_c) == pytest.approx(70 - 11.85, abs=1e-9)
    assert loss.heating.balance_c == loss.balance_c


def test_reference_home_of_2000_square_feet_gains_77_8_kbtu_a_day() -> None:
    # 17,900 + 23.8 x ft2 + 4,104 x bedrooms (from memory); 77.8 kBtu/day = 3,240 Btu/h (computed).
    gain = reference_home_gains_w(floor_area_m2=read_quantity("2000 ft2", AREA), bedrooms=3)
    assert btu_h_from_w(gain) * 24 == pytest.approx(77_812, abs=0.5)
    assert btu_h_from_w(gain) == pytest.approx(3240, abs=5)


def test_gains_by_count_and_by_area() -> None:
    # 230 Btu/h sensible per person (from memory).
    assert btu_h_from_w(gains_by_count_w(people=2.0)) == pytest.approx(460.0)
    assert gains_by_count_w(people=2.0, hours_present_per_day=12.0, equipment_w=50.0) == (
        pytest.approx(w_from_btu_h(230.0) + 50.0)
    )
    per_m2 = convert(0.5, "W/ft2", "W/m2")
    gain = gains_by_area_w(floor_area_m2=read_quantity("300 ft2", AREA), gain_w_per_m2=per_m2)
    assert gain == pytest.approx(150.0)
    with pytest.raises(InputError, match="people"):
        gains_by_count_w(people=1.0, hours_present_per_day=25.0)
    with pytest.raises(InputError, match="a gain of -1"):
        gains_by_area_w(floor_area_m2=10.0, gain_w_per_m2=-1.0)


@pytest.mark.parametrize(
    ("zone", "shielding", "storeys", "expected"),
    [
        # Bases 15.5 / 18.5 / 21.5 / 24.5, x 1.2 / 1 / 0.9, x 1 / 0.9 / 0.8 / 0.7 (from memory).
        (1, Shielding.NORMAL, 1.0, 15.5),
        (2, Shielding.SHIELDED, 1.0, 22.2),
        (3, Shielding.EXPOSED, 2.0, 15.48),
        (4, Shielding.NORMAL, 3.0, 17.15),
        (1, Shielding.NORMAL, 1.5, 13.95),
        (1, Shielding.NORMAL, 2.5, 15.5 * 0.75),
    ],
)
def test_n_factor_is_base_times_shielding_times_height(
    zone: int, shielding: Shielding, storeys: float, expected: float
) -> None:
    assert n_factor(zone=zone, shielding=shielding, storeys=storeys) == pytest.approx(expected)


def test_n_factor_outside_its_method_is_refused() -> None:
    with pytest.raises(InputError, match="climate zone 5"):
        n_factor(zone=5, shielding=Shielding.NORMAL, storeys=1.0)
    with pytest.raises(InputError, match="4 storeys"):
        n_factor(zone=1, shielding=Shielding.NORMAL, storeys=4.0)


def test_a_blower_door_figure_is_divided_by_n_and_n_is_listed() -> None:
    ach50, kind = listed_ach50("house of the 1990s")
    leaks = infiltration_from_ach50(
        volume_m3=400.0, ach50=ach50, zone=2, shielding=Shielding.NORMAL, storeys=2.0
    )
    assert leaks.air_changes_per_h == pytest.approx(8.5 / (18.5 * 0.8))
    assert leaks.used_defaults[0].value == "14.8 (zone 2, normal, 2 storeys)"
    assert kind.value == "8.5 1/h (usual 7 to 10)"


def test_a_blower_door_figure_given_as_natural_air_change_is_refused() -> None:
    with pytest.raises(InputError) as refused:
        Infiltration(volume_m3=400.0, air_changes_per_h=12.0)
    assert "ACH50" in refused.value.remedy


def test_usual_ventilation_of_2000_square_feet_with_three_bedrooms_is_90_cfm() -> None:
    # 0.03 cfm/ft2 + 7.5 (bedrooms + 1) (from memory).
    flow = usual_ventilation_m3_per_h(floor_area_m2=read_quantity("2000 ft2", AREA), bedrooms=3)
    assert convert(flow, "m3/h", "cfm") == pytest.approx(90.0, rel=1e-9)


def test_thinner_air_at_altitude_carries_less_heat() -> None:
    # Standard atmosphere (ASHRAE Fundamentals, from memory): 101.325 kPa at 0 m, 84.556 at 1500 m.
    assert air_density_ratio(0.0) == 1.0
    assert air_density_ratio(1500.0) == pytest.approx(84.556 / 101.325, abs=1e-4)
    leaks = Infiltration(volume_m3=400.0, air_changes_per_h=0.5)
    low = Envelope(parts=(_wall(50.0),), infiltration=leaks)
    high = Envelope(parts=(_wall(50.0),), infiltration=leaks, altitude_m=1500.0)
    assert high.components_w_per_k()["wall"] == 50.0
    assert high.components_w_per_k()["infiltration"] == pytest.approx(
        low.components_w_per_k()["infiltration"] * air_density_ratio(1500.0)
    )
    with pytest.raises(InputError, match="an altitude of 9000 m"):
        air_density_ratio(9000.0)


def test_heating_line_equals_the_one_from_the_heat_loss_sheet() -> None:
    house = Envelope(parts=(_wall(120.0), _wall(30.0, "window")))
    loss = heat_loss(house, indoor_c=21.0, gains_w=450.0)
    sheet = heating_line_without_gains(
        design_load_w=loss.design_load_w(-12.0),
        design_c=-12.0,
        balance_c=loss.balance_c,
        indoor_c=21.0,
    )
    outdoor = np.linspace(-30, 30, 61)
    assert loss.heating.load_w(outdoor) == pytest.approx(sheet.load_w(outdoor))
    assert loss.design_load_w(25.0) == 0.0


@_TRIES
@given(
    st.lists(st.floats(1.0, 500.0), min_size=1, max_size=6),
    st.floats(15.0, 25.0),
    st.floats(0.0, 2000.0),
)
def test_at_the_balance_temperature_the_loss_equals_the_gains(
    parts: list[float], indoor_c: float, gains_w: float
) -> None:
    house = Envelope(parts=tuple(_wall(ua, f"part {i}") for i, ua in enumerate(parts)))
    loss = heat_loss(house, indoor_c=indoor_c, gains_w=gains_w)
    assert loss.ua_w_per_k == pytest.approx(sum(parts))
    assert loss.design_load_w(loss.balance_c) == pytest.approx(gains_w, rel=1e-9, abs=1e-6)
    assert float(loss.heating.load_w(np.array([loss.balance_c]))[0]) == 0.0


def test_cooling_line_is_marked_as_rough_and_is_the_gain_at_the_set_point() -> None:
    loss = heat_loss(Envelope(parts=(_wall(100.0),)), indoor_c=21.0, gains_w=300.0)
    line, notice = rough_cooling_line(loss, indoor_c=24.0, cooling_gain_w=800.0)
    assert line.load_w(np.array([16.0, 24.0, 34.0])) == pytest.approx([0.0, 800.0, 1800.0])
    assert not line.heating
    assert "one steady gain" in notice.text
    with pytest.raises(InputError, match="a cooling gain of -1"):
        rough_cooling_line(loss, indoor_c=24.0, cooling_gain_w=-1.0)


@pytest.mark.parametrize(
    ("insulation", "btu_h_ft2"),
    # 7 / 5 / 3.5 / 2.5 Btu/h ft3 = 56 / 40 / 28 / 20 Btu/h ft2 at 8 ft: trade shortcut (quoted).
    [
        (Insulation.POOR, 56),
        (Insulation.MEDIUM, 40),
        (Insulation.GOOD, 28),
        (Insulation.NEW, 20),
    ],
)
def test_rule_of_thumb_is_a_rough_start_with_a_notice(
    insulation: Insulation, btu_h_ft2: float
) -> None:
    rough = rough_design_load(
        floor_area_m2=read_quantity("1000 ft2", AREA),
        ceiling_height_m=convert(8, "ft", "m"),
        insulation=insulation,
    )
    assert btu_h_from_w(rough.design_load_w) / 1000 == pytest.approx(btu_h_ft2, rel=1e-9)
    assert "rule of thumb" in rough.notice.text
    assert "too large" in rough.notice.text


def test_every_listed_u_value_is_readable_and_carries_its_source() -> None:
    rows = [row for row in read_table("envelope.csv") if row["group"] == "u_value"]
    assert len(rows) == 18
    for row in rows:
        part = listed_surface(name="part", area_m2=1.0, assembly=row["name"])
        assert part.ua_w_per_k == pytest.approx(
            read_quantity(f"{row['value']} {row['unit']}", U_VALUE)
        )
        assert part.used_default is not None
        assert part.used_default.source.startswith("from memory")


def test_an_assembly_that_is_not_listed_is_answered_with_the_list() -> None:
    with pytest.raises(InputError, match="'wall R-99' is not in the table") as refused:
        listed_surface(name="wall", area_m2=1.0, assembly="wall R-99")
    assert "wall R-13 to R-15" in refused.value.expected


def test_impossible_envelopes_are_refused() -> None:
    with pytest.raises(InputError, match="loses no heat"):
        heat_loss(Envelope(parts=()), indoor_c=20.0, gains_w=0.0)
    with pytest.raises(InputError, match="gains of -1"):
        heat_loss(Envelope(parts=(_wall(10.0),)), indoor_c=20.0, gains_w=-1.0)
    with pytest.raises(InputError, match="the name wall"):
        Envelope(parts=(_wall(10.0), _wall(20.0)))
    with pytest.raises(InputError, match="the name infiltration"):
        Envelope(parts=(_wall(10.0, "infiltration"),))
    with pytest.raises(InputError, match="-3 m2"):
        Surface(name="wall", area_m2=-3.0, u_w_per_m2_k=1.0)
    with pytest.raises(InputError, match="F-factor of 0"):
        SlabEdge(name="slab", perimeter_m=10.0, f_w_per_m_k=0.0)
    with pytest.raises(InputError, match="a recovery of 1"):
        Ventilation(flow_m3_per_h=100.0, recovery=1.0)


def test_university_example_of_a_season_by_degree_days() -> None:
    # University physics page (quoted): 25,000 Btu/(F d) x 2,980 F d = 74.5 MMBtu (computed).
    ua = read_quantity("25000 Btu/(day delta_degree_Fahrenheit)", CONDUCTANCE)
    heat = degree_day_heat_kwh(ua, 2980 * 5 / 9)
    assert convert(heat, "kWh", "MMBtu") == pytest.approx(74.5, rel=1e-9)


def test_walls_of_a_room_are_its_perimeter_times_its_height() -> None:
    assert four_walls_m2(length_m=5.0, width_m=4.0, height_m=2.5) == pytest.approx(18.0 * 2.5)
