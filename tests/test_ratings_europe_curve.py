"""A curve on a load line answers the kernel: shares, backup and what it refuses."""

from __future__ import annotations

import numpy as np
import pytest

from energymodel.equipment.curves import Function, PiecewiseLinear
from energymodel.equipment.kernel import AirCycling
from energymodel.errors import EquipmentError
from energymodel.ratings.bin_table import Bins
from energymodel.ratings.load_line_curve import LoadLineCurve, RunsFrom, always

BINS = Bins(outdoor_c=np.array([-10.0, 0.0, 10.0]), hours=np.array([10.0, 20.0, 30.0]))


def line(first: float, last: float) -> PiecewiseLinear:
    return PiecewiseLinear(np.array([-10.0, 10.0]), np.array([first, last]))


def curve(function: Function = Function.HEATING, **changed: object) -> LoadLineCurve:
    parts = {
        "function": function,
        "load_w": line(3_000, 1_000),
        "capacity_w": line(2_000, 2_000),
        "cop": line(2.0, 4.0),
        **changed,
    }
    return LoadLineCurve(**parts)


def test_heat_comes_at_the_cop_of_the_curve_and_backup_covers_the_rest() -> None:
    table = curve().on_bins(BINS)
    assert table.delivered_w.tolist() == pytest.approx([2_000, 2_000, 1_000])
    assert table.backup_w.tolist() == pytest.approx([1_000, 0, 0])
    assert table.cop.tolist() == pytest.approx([2.0, 3.0, 4.0])
    electricity = (10 * (1_000 + 1_000) + 20 * 2_000 / 3 + 30 * 250) / 1_000
    assert table.electricity_kwh.sum() == pytest.approx(electricity)
    assert table.cop_system == pytest.approx((30 + 40 + 30) / electricity)


def test_in_cooling_the_rest_is_unmet_not_backed_up() -> None:
    table = curve(Function.COOLING).on_bins(BINS)
    assert table.backup_w.tolist() == [0.0, 0.0, 0.0]
    assert table.delivered_w.max() == pytest.approx(2_000)


def test_cycling_loss_applies_only_where_the_output_exceeds_the_load() -> None:
    table = curve(cycling=AirCycling(cd=0.25)).on_bins(BINS)
    assert table.cop.tolist() == pytest.approx([2.0, 3.0, 4.0 * 0.875])


def test_half_of_the_time_gives_half_of_the_heat_at_the_same_cop() -> None:
    table = curve(share=lambda outdoor_c: 0.5 * always(outdoor_c)).on_bins(BINS)
    assert table.delivered_w.tolist() == pytest.approx([1_000, 1_000, 500])
    assert table.backup_w.tolist() == pytest.approx([2_000, 1_000, 500])
    assert table.cop.tolist() == pytest.approx([2.0, 3.0, 4.0])


def test_a_unit_runs_at_its_operation_limit_and_not_below() -> None:
    table = curve(share=RunsFrom(limit_c=0.0)).on_bins(BINS)
    assert table.delivered_w.tolist() == pytest.approx([0, 2_000, 1_000])
    assert table.backup_w.tolist() == pytest.approx([3_000, 0, 0])


def test_no_capacity_means_not_running_and_no_cop_is_refused() -> None:
    table = curve(capacity_w=line(-500, 2_000)).on_bins(BINS)
    assert table.delivered_w[0] == 0.0
    with pytest.raises(EquipmentError, match="not above zero at -10 degC"):
        curve(cop=line(-1.0, 4.0)).on_bins(BINS)
