"""The kernel: energy closes, power is continuous, locked-out speeds are passed over."""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from energymodel.arrays import Array
from energymodel.equipment.kernel import (
    AirCycling,
    PartLoadFactor,
    Response,
    Stack,
    StagingRule,
    WaterCycling,
    modulating,
    no_cycling_loss,
    respond,
    time_shared,
)

_TRIES = settings(max_examples=30, deadline=None)


@dataclass(frozen=True, kw_only=True)
class Machine:
    """A random machine at one state."""

    capacity_w: list[float]
    power_w: list[float]
    available: list[bool]
    staging: StagingRule
    cycling: list[PartLoadFactor]

    def stack(self, states: int = 1) -> Stack:
        """The machine at any number of equal states."""
        return Stack(
            capacity_w=np.repeat(np.array(self.capacity_w)[:, np.newaxis], states, axis=1),
            power_w=np.repeat(np.array(self.power_w)[:, np.newaxis], states, axis=1),
            available=np.repeat(np.array(self.available)[:, np.newaxis], states, axis=1),
            staging=self.staging,
            cycling=self.cycling,
        )


_CYCLING = st.one_of(
    st.just(no_cycling_loss),
    st.builds(lambda cd: AirCycling(cd=cd), st.floats(0.0, 0.5)),
    st.builds(lambda cc: WaterCycling(cc=cc), st.floats(0.5, 1.0)),
)


@st.composite
def machines(draw: st.DrawFn, *, least: int = 1, locked: bool = True) -> Machine:
    """One to five speeds, capacity rising by at least 5 % from speed to speed."""
    speeds = draw(st.integers(least, 5))
    steps = draw(st.lists(st.floats(1.05, 2.5), min_size=speeds, max_size=speeds))
    capacity = (draw(st.floats(300.0, 3000.0)) * np.cumprod(steps)).tolist()
    cop = draw(st.lists(st.floats(0.8, 8.0), min_size=speeds, max_size=speeds))
    flags = st.booleans() if locked else st.just(True)
    return Machine(
        capacity_w=capacity,
        power_w=[q / c for q, c in zip(capacity, cop, strict=True)],
        available=draw(st.lists(flags, min_size=speeds, max_size=speeds)),
        staging=draw(st.sampled_from([modulating, time_shared])),
        cycling=draw(st.lists(_CYCLING, min_size=speeds, max_size=speeds)),
    )


def loads_of(machine: Machine) -> Array:
    """Loads below, at, between and above all speeds."""
    q = np.array(machine.capacity_w)
    edges = np.concatenate([[0.0], q])
    between = edges[:-1] + np.diff(edges) * 0.37
    return np.concatenate([edges, between, [1.4 * q[-1], 1e-6]])


def _answer(machine: Machine, load_w: Array, *, part: float = 1.0, full: float = 1.0) -> Response:
    ones = np.ones_like(load_w)
    return respond(
        machine.stack(load_w.size), load_w, part_share=part * ones, full_share=full * ones
    )


def _power_by_hand(machine: Machine, load_w: float) -> tuple[float, float]:
    """Largest output and power at one load, from the three cases written out for one number."""
    rows = [
        (q, p, plf)
        for q, p, plf, may in zip(
            machine.capacity_w, machine.power_w, machine.cycling, machine.available, strict=True
        )
        if may
    ]
    if not rows or load_w == 0:
        return (rows[-1][0] if rows else 0.0), 0.0
    q_1, p_1, plf_1 = rows[0]
    if load_w <= q_1:
        x = load_w / q_1
        return rows[-1][0], p_1 * x / float(plf_1(np.array(x)))
    for (q_low, p_low, _), (q_high, p_high, _) in pairwise(rows):
        if load_w <= q_high:
            f = (load_w - q_low) / (q_high - q_low)
            if machine.staging is time_shared:
                return rows[-1][0], (1 - f) * p_low + f * p_high
            return rows[-1][0], load_w / ((1 - f) * q_low / p_low + f * q_high / p_high)
    return rows[-1][0], rows[-1][1]


_SHARES = st.sampled_from([0.0, 0.5, 1.0])


@_TRIES
@given(machines(), _SHARES, _SHARES)
def test_answer_is_that_of_the_three_cases_written_out_for_one_number(
    machine: Machine, part: float, full: float
) -> None:
    load = loads_of(machine)
    answer = _answer(machine, load, part=part, full=full)
    for index, load_w in enumerate(load.tolist()):
        most, power = _power_by_hand(machine, load_w)
        share = full if most > 0 and load_w >= most else part
        assert answer.full_w[index] == most
        assert answer.delivered_w[index] == pytest.approx(share * min(load_w, most), rel=1e-12)
        assert answer.power_w[index] == pytest.approx(share * power, rel=1e-9, abs=1e-12)


@_TRIES
@given(machines(), _SHARES, _SHARES)
def test_delivered_never_exceeds_the_load_and_nothing_is_negative(
    machine: Machine, part: float, full: float
) -> None:
    load = loads_of(machine)
    answer = _answer(machine, load, part=part, full=full)
    unmet = load - answer.delivered_w
    assert np.all(answer.delivered_w >= 0)
    assert np.all(unmet >= -1e-9 * load.max())
    assert np.all(answer.power_w >= 0)
    assert np.all((answer.run_share >= 0) & (answer.run_share <= 1 + 1e-12))
    assert np.all(answer.running_w >= answer.power_w - 1e-9)


@_TRIES
@given(machines())
def test_power_is_above_zero_wherever_heat_is_given(machine: Machine) -> None:
    load = loads_of(machine)
    answer = _answer(machine, load)
    given_heat = answer.delivered_w > 0
    assert np.all(answer.power_w[given_heat] > 0)
    assert np.all(answer.run_share[given_heat] > 0)
    assert np.all(answer.power_w[~given_heat] == 0)


@_TRIES
@given(machines())
def test_power_at_each_speed_is_the_limit_from_both_sides(machine: Machine) -> None:
    for q, may in zip(machine.capacity_w, machine.available, strict=True):
        if not may:
            continue
        near = q * np.array([1 - 1e-10, 1.0, 1 + 1e-10])
        power = _answer(machine, near).power_w
        assert power == pytest.approx(np.full(3, power[0]), rel=1e-6)


@_TRIES
@given(machines(locked=False))
def test_power_at_each_speed_is_that_of_the_speed(machine: Machine) -> None:
    power = _answer(machine, np.array(machine.capacity_w)).power_w
    assert power == pytest.approx(np.array(machine.power_w), rel=1e-9)


@_TRIES
@given(machines(), _SHARES, _SHARES)
def test_one_state_at_a_time_gives_the_same_as_all_at_once(
    machine: Machine, part: float, full: float
) -> None:
    load = loads_of(machine)
    together = _answer(machine, load, part=part, full=full)
    for index in range(load.size):
        alone = _answer(machine, load[index : index + 1], part=part, full=full)
        for name in Response.__slots__:
            assert getattr(alone, name)[0] == getattr(together, name)[index]


@_TRIES
@given(machines())
def test_answer_does_not_depend_on_the_shape_of_the_states(machine: Machine) -> None:
    load = loads_of(machine)[:4]
    flat = machine.stack(4)
    square = replace(
        flat,
        capacity_w=flat.capacity_w.reshape(-1, 2, 2),
        power_w=flat.power_w.reshape(-1, 2, 2),
        available=flat.available.reshape(-1, 2, 2),
    )
    ones = np.ones((2, 2))
    answer = respond(square, load.reshape(2, 2), part_share=ones, full_share=ones)
    assert answer.power_w.ravel().tolist() == _answer(machine, load).power_w.tolist()


@_TRIES
@given(machines())
def test_half_the_time_gives_half_the_heat_for_half_the_power(machine: Machine) -> None:
    load = loads_of(machine)
    always, half = _answer(machine, load), _answer(machine, load, part=0.5, full=0.5)
    assert half.delivered_w == pytest.approx(always.delivered_w / 2, rel=1e-12)
    assert half.power_w == pytest.approx(always.power_w / 2, rel=1e-12)
    assert half.run_share == pytest.approx(always.run_share / 2, rel=1e-12)
    never = _answer(machine, load, part=0.0, full=0.0)
    assert not never.delivered_w.any()
    assert not never.power_w.any()
    assert not never.running_w.any()


@_TRIES
@given(machines(locked=False))
def test_stop_at_full_load_leaves_part_load_alone(machine: Machine) -> None:
    load = loads_of(machine)
    always, stopped = _answer(machine, load), _answer(machine, load, full=0.0)
    at_full = load >= machine.capacity_w[-1]
    assert not stopped.delivered_w[at_full].any()
    assert stopped.power_w[~at_full].tolist() == always.power_w[~at_full].tolist()


@_TRIES
@given(machines(locked=False))
def test_a_machine_that_loses_nothing_by_starting_draws_least(machine: Machine) -> None:
    load = loads_of(machine)
    ideal = replace(machine, cycling=[no_cycling_loss for _ in machine.cycling])
    assert np.all(_answer(ideal, load).power_w <= _answer(machine, load).power_w * (1 + 1e-12))


@_TRIES
@given(machines(least=2, locked=False), st.floats(0.01, 0.99))
def test_time_shared_is_linear_in_power_and_modulating_in_cop(machine: Machine, f: float) -> None:
    q, p = np.array(machine.capacity_w), np.array(machine.power_w)
    load = q[:-1] + f * np.diff(q)
    shared = _answer(replace(machine, staging=time_shared), load).power_w
    speeds = _answer(replace(machine, staging=modulating), load).power_w
    assert shared == pytest.approx(p[:-1] + f * np.diff(p), rel=1e-9)
    assert load / speeds == pytest.approx(q[:-1] / p[:-1] + f * np.diff(q / p), rel=1e-9)


@_TRIES
@given(st.floats(500.0, 3000.0), st.floats(1.1, 3.0), st.floats(1.0, 6.0), st.floats(0.05, 0.95))
def test_two_equal_cops_make_both_staging_rules_agree(
    q_low: float, ratio: float, cop: float, f: float
) -> None:
    q_high = q_low * ratio
    load = np.array([q_low + f * (q_high - q_low)])
    for rule in (modulating, time_shared):
        ends = (np.array([v]) for v in (q_low, q_low / cop, q_high, q_high / cop))
        assert rule(load, *ends) == pytest.approx(load / cop, rel=1e-9)


@_TRIES
@given(st.floats(0.05, 1.0), st.floats(0.0, 0.4))
def test_two_stage_unit_with_its_low_stage_locked_out_cycles_on_the_high_one(
    x: float, cd: float
) -> None:
    # 10 CFR 430 Subpart B, Appendix M1, 4.2.3 case c (from memory): X = load / Q_high,
    # PLF = 1 - Cd (1 - X), power = P_high X / PLF.
    unit = Machine(
        capacity_w=[4000.0, 7000.0],
        power_w=[1100.0, 2300.0],
        available=[False, True],
        staging=time_shared,
        cycling=[AirCycling(cd=0.5), AirCycling(cd=cd)],
    )
    load = np.array([x * 7000.0])
    answer = _answer(unit, load)
    assert answer.power_w == pytest.approx(2300.0 * x / (1 - cd * (1 - x)), rel=1e-12)
    assert answer.delivered_w == pytest.approx(load)
    assert answer.running_w.tolist() == [2300.0]
    assert bool(answer.cycling[0]) == (load[0] < 7000.0)


@_TRIES
@given(machines(least=3), st.integers(0, 2))
def test_a_locked_out_speed_counts_as_if_it_did_not_exist(machine: Machine, locked: int) -> None:
    available = [may and index != locked for index, may in enumerate(machine.available)]
    keep = [index for index in range(len(available)) if index != locked]
    without = Machine(
        capacity_w=[machine.capacity_w[i] for i in keep],
        power_w=[machine.power_w[i] for i in keep],
        available=[available[i] for i in keep],
        staging=machine.staging,
        cycling=[machine.cycling[i] for i in keep],
    )
    load = loads_of(machine)
    first, second = _answer(replace(machine, available=available), load), _answer(without, load)
    for name in Response.__slots__:
        assert getattr(first, name).tolist() == getattr(second, name).tolist()


@_TRIES
@given(machines())
def test_flags_say_below_the_lowest_and_at_the_highest_speed(machine: Machine) -> None:
    allowed = [q for q, may in zip(machine.capacity_w, machine.available, strict=True) if may]
    load = loads_of(machine)
    answer = _answer(machine, load)
    lowest, highest = (allowed[0], allowed[-1]) if allowed else (0.0, np.inf)
    assert answer.cycling.tolist() == ((load > 0) & (load < lowest)).tolist()
    assert answer.at_full.tolist() == ((load > 0) & (load >= highest)).tolist()


def test_water_cycling_keeps_ten_percent_of_the_power_at_the_smallest_loads() -> None:
    # EN 14825, part-load formula of water-based units (quoted): PLF = X / (Cc X + 1 - Cc).
    x = np.array([1e-9, 0.5, 1.0])
    share = x / WaterCycling(cc=0.9)(x)
    assert share == pytest.approx([0.1, 0.55, 1.0], abs=1e-8)
