"""Cut-outs, cut-ins and lock-outs, with and without a memory."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from energymodel.equipment.operation import Operation, RememberingOperation, SpeedLockout
from energymodel.errors import EquipmentError


def test_cut_out_share_is_zero_half_and_one() -> None:
    # 10 CFR 430 Subpart B, Appendix M1, section 4.2: 0 at T <= T_off, 1/2 up to T_on, 1 above
    # (from memory)
    share = Operation(off_c=-15.0, on_c=-12.0).temperature_share(
        np.array([-16.0, -15.0, -14.0, -12.0, -11.9])
    )
    assert share.tolist() == [0.0, 0.0, 0.5, 0.5, 1.0]


def test_a_stopped_compressor_waits_for_the_cut_in_temperature() -> None:
    operation = RememberingOperation(off_c=-15.0, on_c=-12.0)
    hours = np.array([-13.0, -14.9, -15.0, -14.0, -12.0, -11.9, -13.0, -15.5])
    assert operation.temperature_share(hours).tolist() == [1, 1, 0, 0, 0, 1, 1, 0]


@given(st.lists(st.floats(-30.0, 20.0), min_size=1, max_size=60))
def test_memory_decides_only_between_the_limits(hours: list[float]) -> None:
    outdoor = np.array(hours)
    plain = Operation(off_c=-10.0, on_c=-5.0).temperature_share(outdoor)
    memory = RememberingOperation(off_c=-10.0, on_c=-5.0).temperature_share(outdoor)
    assert np.array_equal(memory[plain != 0.5], plain[plain != 0.5])
    running = 1.0
    for temperature, share in zip(hours, memory.tolist(), strict=True):
        running = 0.0 if temperature <= -10.0 else 1.0 if temperature > -5.0 else running
        assert share == running


def test_a_speed_is_locked_out_on_its_side_of_the_limit() -> None:
    operation = Operation(lockouts=(SpeedLockout(speed=0, below_c=-5.0),))
    allowed = operation.speeds_allowed(np.array([-6.0, -5.0, -4.9]), 2)
    assert allowed.tolist() == [[False, False, True], [True, True, True]]


def test_cut_in_below_cut_out_is_refused() -> None:
    with pytest.raises(EquipmentError, match="lies below cut-out"):
        Operation(off_c=-10.0, on_c=-12.0)
    with pytest.raises(EquipmentError, match="without a cut-out"):
        Operation(on_c=-12.0)
