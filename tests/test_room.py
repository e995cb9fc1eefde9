"""The room with two thermal nodes: exact steps, steady state, energy balance."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad_vec
from scipy.linalg import expm

from energymodel.building.load import LoadLine, cooling_line
from energymodel.building.room import Room, room_for_line, room_step
from energymodel.building.room_mass import RoomMass, room_mass, room_masses
from energymodel.errors import InputError

LINE = LoadLine(slope_w_per_k=90.0, balance_c=15.5, indoor_c=21.0, heating=True)
ROOM = room_for_line(LINE, room_mass("timber-frame"), area_m2=35.0)
ALONE = Room(
    air_j_per_k=2e6,
    structure_j_per_k=1.0,
    coupling_w_per_k=0.0,
    air_loss_w_per_k=80.0,
    structure_loss_w_per_k=0.0,
)
ROOMS = st.builds(
    Room,
    air_j_per_k=st.floats(2e5, 1e7),
    structure_j_per_k=st.floats(1e6, 1e8),
    coupling_w_per_k=st.floats(50.0, 3000.0),
    air_loss_w_per_k=st.floats(1.0, 300.0),
    structure_loss_w_per_k=st.floats(0.0, 300.0),
    gains_w=st.floats(0.0, 2000.0),
)


def _matrix(room: Room) -> np.ndarray:
    """Air, structure and the two constant inputs (outdoor, heat) as one linear system."""
    matrix = np.zeros((4, 4))
    ca, cm = room.air_j_per_k, room.structure_j_per_k
    h, ha, hm = room.coupling_w_per_k, room.air_loss_w_per_k, room.structure_loss_w_per_k
    matrix[0] = [-(h + ha) / ca, h / ca, ha / ca, 1.0 / ca]
    matrix[1] = [h / cm, -(h + hm) / cm, hm / cm, 0.0]
    return matrix


@pytest.mark.parametrize("step_s", [60.0, 3600.0, 40_000.0])
def test_a_room_of_one_node_cools_down_by_an_exponential(step_s: float) -> None:
    # analytic: T - To = (T0 - To) exp(-UA t / C)
    step = room_step(ALONE, step_s=step_s)
    air, _ = step.state @ [20.0, 0.0] + step.inputs @ [-5.0, 0.0]
    assert air == pytest.approx(-5.0 + 25.0 * np.exp(-80.0 * step_s / 2e6), rel=1e-12)


def test_a_room_of_one_node_without_loss_warms_by_heat_over_capacity() -> None:
    # analytic: C dT = Q dt
    tight = Room(
        air_j_per_k=2e6, structure_j_per_k=1e6, coupling_w_per_k=0.0, air_loss_w_per_k=0.0,
        structure_loss_w_per_k=0.0,
    )  # fmt: skip
    step = room_step(tight, step_s=60.0)
    air, structure = step.state @ [20.0, 18.0] + step.inputs @ [0.0, 1000.0]
    assert air == pytest.approx(20.0 + 1000.0 * 60.0 / 2e6, rel=1e-13)
    assert structure == 18.0


@settings(deadline=None, max_examples=30)
@given(room=ROOMS, step_s=st.floats(1.0, 7200.0))
def test_the_closed_form_is_the_matrix_exponential(room: Room, step_s: float) -> None:
    # oracle: scipy.linalg.expm of the system with its inputs as states
    whole = expm(_matrix(room) * step_s)
    step = room_step(room, step_s=step_s)
    np.testing.assert_allclose(step.state, whole[:2, :2], rtol=1e-9, atol=1e-12)
    np.testing.assert_allclose(step.inputs, whole[:2, 2:], rtol=1e-9, atol=1e-12)


def test_the_mean_of_a_step_is_the_integral_over_it() -> None:
    # oracle: scipy quadrature of the matrix exponential
    matrix = _matrix(ROOM)
    start = np.array([21.0, 19.0, -8.0, 2500.0])
    integral, _ = quad_vec(lambda s: (expm(matrix * s) @ start)[:2], 0.0, 600.0, epsrel=1e-12)
    step = room_step(ROOM, step_s=600.0)
    one = [np.array([value]) for value in start]
    np.testing.assert_allclose(np.concatenate(step.mean_c(*one)), integral / 600.0, rtol=1e-10)


@settings(deadline=None, max_examples=30)
@given(
    room=ROOMS,
    air_c=st.floats(10.0, 25.0),
    structure_c=st.floats(5.0, 25.0),
    outdoor_c=st.floats(-30.0, 15.0),
    heat_w=st.floats(0.0, 10_000.0),
)
def test_what_goes_in_is_lost_or_stored(
    room: Room, air_c: float, structure_c: float, outdoor_c: float, heat_w: float
) -> None:
    # analytic: first law over one minute
    step = room_step(room, step_s=60.0)
    after = step.state @ [air_c, structure_c] + step.inputs @ [outdoor_c, heat_w]
    given_ = [np.array([value]) for value in (air_c, structure_c, outdoor_c, heat_w)]
    loss_w = step.loss_w(*step.mean_c(*given_), given_[2])[0]
    stored_w = (
        room.air_j_per_k * (after[0] - air_c) + room.structure_j_per_k * (after[1] - structure_c)
    ) / 60.0
    # a picokelvin in the structure is a microwatt here
    assert heat_w == pytest.approx(loss_w + stored_w, abs=1e-6 * max(heat_w, 1000.0))


@settings(deadline=None, max_examples=25)
@given(
    slope=st.floats(20.0, 400.0),
    balance_c=st.floats(8.0, 20.0),
    outdoor_c=st.floats(-30.0, 8.0),
    key=st.sampled_from([mass.key for mass in room_masses()]),
)
def test_held_at_its_set_point_a_room_needs_what_its_load_line_says(
    slope: float, balance_c: float, outdoor_c: float, key: str
) -> None:
    line = LoadLine(slope_w_per_k=slope, balance_c=balance_c, indoor_c=21.0, heating=True)
    room = room_for_line(line, room_mass(key), area_m2=slope / 2.0)
    load_w = float(line.load_w(np.array([outdoor_c]))[0])
    assert room.ua_w_per_k == pytest.approx(slope, rel=1e-12)
    assert room.steady_load_w(21.0, outdoor_c) == pytest.approx(load_w, rel=1e-9, abs=1e-9)
    structure_c = room.steady_structure_c(21.0, outdoor_c)
    step = room_step(room, step_s=3600.0)
    after = step.state @ [21.0, structure_c] + step.inputs @ [outdoor_c, load_w + room.gains_w]
    np.testing.assert_allclose(after, [21.0, structure_c], atol=1e-8)


def test_two_half_steps_are_one_step() -> None:
    half, whole = room_step(ROOM, step_s=30.0), room_step(ROOM, step_s=60.0)
    np.testing.assert_allclose(half.state @ half.state, whole.state, rtol=1e-12)
    np.testing.assert_allclose(half.state @ half.inputs + half.inputs, whole.inputs, rtol=1e-11)


def test_the_slow_mode_is_about_the_whole_capacity_over_the_loss() -> None:
    # limit case: with a strong coupling the room is one node
    strong = Room(
        air_j_per_k=1e6, structure_j_per_k=9e6, coupling_w_per_k=1e6, air_loss_w_per_k=100.0,
        structure_loss_w_per_k=0.0,
    )  # fmt: skip
    slow, fast = strong.rates_per_s()
    assert slow == pytest.approx(100.0 / 10e6, rel=1e-3)
    assert fast == pytest.approx(1e6 * (1 / 1e6 + 1 / 9e6), rel=1e-3)


def test_structures_have_the_capacities_of_iso_13790_per_floor_area() -> None:
    # ISO 13790:2008, table 12, internal heat capacity in kJ/(m2 K) (from memory)
    keys = ("very-light", "timber-frame", "timber-frame-slab", "masonry", "heavy")
    found = [room_mass(key).structure_j_per_m2_k / 1000.0 for key in keys]
    assert found == [80.0, 110.0, 165.0, 260.0, 370.0]


@pytest.mark.parametrize("mass", room_masses(), ids=lambda mass: mass.key)
def test_the_air_node_is_a_few_times_the_air_itself(mass: RoomMass) -> None:
    # air 1.2 kg/m3 x 1.006 kJ/(kg K) x 2.4 m = 2.9 kJ/(m2 K); furnishings make it 5 to 15 times
    # as much (common practice)
    assert 5.0 < mass.air_j_per_m2_k / 2900.0 < 15.0
    assert mass.source
    # the films of ISO 13790:2008 in series, 3.45 x 4.5 and 9.1 x 2.5 to 3.5 (from memory)
    low, high = (1.0 / (1.0 / (3.45 * 4.5) + 1.0 / (9.1 * area)) for area in (2.5, 3.5))
    assert 0.95 * low < mass.coupling_w_per_m2_k < 1.05 * high


def test_a_wrong_type_of_room_names_the_nearest() -> None:
    with pytest.raises(InputError) as caught:
        room_mass("timber frame")
    assert 'did you mean "timber-frame"?' in str(caught.value)


def test_a_floor_too_small_for_the_heat_loss_is_refused_with_the_area_that_would_do() -> None:
    with pytest.raises(InputError, match="too small") as caught:
        room_for_line(LINE, room_mass("timber-frame"), area_m2=3.0)
    assert "6 m2" in str(caught.value)
    room_for_line(LINE, room_mass("timber-frame"), area_m2=6.0)


def test_a_cooling_line_is_refused() -> None:
    line = cooling_line(design_load_w=2000.0, design_c=33.0, balance_c=20.0, indoor_c=24.0)
    with pytest.raises(InputError, match="cooling line"):
        room_for_line(line, room_mass("heavy"), area_m2=35.0)
