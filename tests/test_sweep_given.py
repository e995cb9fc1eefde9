"""Sweeps: what the scenario must give, and what follows where it does not."""

from __future__ import annotations

import runpy
from pathlib import Path

import pytest

from energymodel.errors import ManyFaultsError
from energymodel.study.sweep.sweep import sweep

_TOOLS = runpy.run_path(str(Path(__file__).with_name("test_sweep.py")))
ROOM, TARIFF, FACTORS = _TOOLS["ROOM"], _TOOLS["TARIFF"], _TOOLS["FACTORS"]
_scenario, _check_rows = _TOOLS["_scenario"], _TOOLS["_check_rows"]


def test_without_an_installed_cost_a_batch_tells_no_payback_either(tmp_path: Path) -> None:
    bare = ROOM.replace("installed_cost = 3600\n", "").replace("installed_cost = 2900\n", "")
    grid = FACTORS.replace("[0, 5000]", "[0, 250]").replace(
        "in_service = [0.9, 0.98]", "afue = [0.8]"
    )
    scenario = _scenario(tmp_path, grid, bare)
    result = sweep(scenario)
    assert result.years is not None
    assert set(result.years["run"]) == {"batch"}
    years = result.years.set_index("option")["payback_years"]
    assert years.loc["Furnace"].isna().all()
    _check_rows(result, scenario, every=3)


def test_a_tariff_file_that_is_not_there_is_refused_before_the_run(tmp_path: Path) -> None:
    (tmp_path / "there.toml").write_text(TARIFF, "utf-8")
    grid = '\n[sweep.grid]\nprice.electricity.tariff = ["there.toml", "gone.toml"]\n'
    text = ROOM.replace(
        'energy = 0.14\nper = "kWh"\nfixed = "12 per month"', 'tariff = "there.toml"'
    )
    with pytest.raises(ManyFaultsError) as caught:
        sweep(_scenario(tmp_path, grid, text))
    assert 'there is no tariff file "gone.toml"' in str(caught.value)
