"""When a draw is short of the load: heating and cooling apart, as in a comparison."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest

from energymodel.study.comparison.compare import compare
from energymodel.study.comparison.outcome import Comparison
from energymodel.study.uncertainty.inputs import Kind, UncertainInput
from energymodel.study.uncertainty.spread_costs import costs_of, places
from energymodel.study.uncertainty.uncertainty import uncertainty

SUNROOM = """
[place]
weather = "newark-nj-2013"
[room]
indoor = { heating = "70 degF", cooling = "75 degF" }
[room.heating]
design_load = "HEATING Btu/h"
design_temperature = "10 degF"
balance_temperature = "60 degF"
[room.cooling]
design_load = "COOLING Btu/h"
design_temperature = "91 degF"
balance_temperature = "66 degF"
[price.electricity]
energy = 0.18
per = "kWh"
[[option]]
name = "Inverter 9"
heating = { kind = "heat pump", unit = "inverter-cold-climate-9" }
cooling = { kind = "heat pump", unit = "inverter-cold-climate-9" }
[[option]]
name = "Inverter 12"
heating = { kind = "heat pump", unit = "inverter-standard-12" }
cooling = { kind = "heat pump", unit = "inverter-standard-12" }
[[option]]
name = "Heater"
heating = { kind = "electric resistance", capacity = "2.1 kW" }
cooling = { kind = "air conditioner", unit = "inverter-standard-24" }
"""
LOAD_ALONE = """
[ranges]
heat_pump_in_service = { low = 0.9, high = 0.9 }
load = "15 %"
weather_shift = "0 K"
price = { electricity = "0 %" }
"""


def sunroom(folder: Path, factor: float) -> Comparison:
    file = folder / f"sunroom-{factor}.toml"
    text = SUNROOM.replace("HEATING", f"{9000 * factor!r}").replace("COOLING", f"{8000 * factor!r}")
    file.write_text(text, "utf-8")
    return compare(file)


@pytest.mark.parametrize(("quantile", "factor"), [(0.0, 0.8), (math.nan, 1.0), (1.0, 1.2)])
def test_a_draw_is_short_of_load_where_a_comparison_of_that_draw_is(
    tmp_path: Path, quantile: float, factor: float
) -> None:
    load = UncertainInput(kind=Kind.LOAD, low=0.8, likely=1.0, high=1.2, given=True)
    drawn, likely = sunroom(tmp_path, factor), sunroom(tmp_path, 1.0)
    (place,) = places(likely.model)
    for one in likely.outcomes:
        costs = costs_of(one.planned, place, (load,), np.array([[quantile]]))
        (alone,) = [other for other in drawn.outcomes if other.name == one.name]
        assert costs.short[0] == bool(alone.short_of), one.name
        assert costs.unmet_share[0] == pytest.approx(alone.worst_unmet_share, rel=1e-9, abs=1e-12)


def test_cooling_that_is_short_is_not_thinned_by_the_heating_load(tmp_path: Path) -> None:
    # 0.5 % of the cooling, 0.2 % of heating and cooling together (computed): short in the likely
    # case, so it is short in the half of the draws whose load is larger.
    likely = sunroom(tmp_path, 1.0)
    (nine,) = [one for one in likely.outcomes if one.name == "Inverter 9"]
    assert nine.short_of == ("cooling",)
    file = tmp_path / "ranges.toml"
    file.write_text(likely.model.scenario.path.read_text("utf-8") + LOAD_ALONE, "utf-8")
    found = uncertainty(file, draws=256)
    assert 0.5 <= found.option("Inverter 9").short_share < 0.7
    assert found.option("Inverter 12").short_share < 0.1
