"""The handbook's bin example through the kernel, through a heat pump with strips, and as a year.

Bin-method example of a single-speed heat pump, after the energy-estimating chapter of the ASHRAE
Handbook Fundamentals: hours, capacity and input from memory, unverified; the rest of each row
computed by hand. Design loss 40,000 Btu/h at 53 F difference, 70 F indoors, gains 4,280 Btu/h,
cycling factor 1 - 0.25 (1 - x).
"""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest

from energymodel.arrays import Array
from energymodel.building.assemblies import Surface
from energymodel.building.envelope import Envelope, HeatLoss, heat_loss
from energymodel.equipment.backup import BackupWith
from energymodel.equipment.curves import Frost, Function, TablePoint, map_from_table
from energymodel.equipment.flows import Conditions
from energymodel.equipment.heat_pump import HeatPump
from energymodel.equipment.kernel import AirCycling, Response, Stack, modulating, respond
from energymodel.equipment.resistance import Resistance
from energymodel.quantities import CONDUCTANCE, read_quantity
from energymodel.season.annual import annual
from energymodel.season.option import Option
from energymodel.season.states import bins_5f, distinct_states, every_hour
from energymodel.units import BTU_PER_WH, btu_h_from_w, c_from_f, w_from_btu_h
from energymodel.weather.year import Site, WeatherYear, year_of_table

_HEAD = (
    "outdoor_f hours load_kbtu_h capacity_kbtu_h factor adjusted_kbtu_h run_share input_kw "
    "pump_kwh strips_kwh"
)
_ROWS = np.array(
    [
        (62, 740, 1.76, 44.3, 0.760, 33.7, 0.052, 3.77, 145.7, 0.0),
        (57, 673, 5.53, 41.8, 0.783, 32.7, 0.169, 3.67, 417.4, 0.0),
        (52, 690, 9.30, 39.3, 0.809, 31.8, 0.293, 3.56, 718.7, 0.0),
        (47, 684, 13.08, 36.8, 0.839, 30.9, 0.424, 3.46, 1002.7, 0.0),
        (42, 790, 16.85, 29.9, 0.891, 26.6, 0.633, 3.23, 1614.3, 0.0),
        (37, 744, 20.63, 28.3, 0.932, 26.4, 0.782, 3.15, 1832.3, 0.0),
        (32, 542, 24.40, 26.6, 0.979, 26.0, 0.937, 3.07, 1558.5, 0.0),
        (27, 254, 28.17, 25.0, 1.0, 25.0, 1.0, 3.00, 762.0, 236.2),
        (22, 138, 31.95, 23.4, 1.0, 23.4, 1.0, 2.92, 403.0, 345.6),
        (17, 54, 35.72, 21.8, 1.0, 21.8, 1.0, 2.84, 153.4, 220.3),
        (12, 17, 39.49, 19.3, 1.0, 19.3, 1.0, 2.74, 46.6, 100.6),
        (7, 2, 43.27, 16.8, 1.0, 16.8, 1.0, 2.63, 5.3, 15.5),
    ]
)
BINS = dict(zip(_HEAD.split(), _ROWS.T, strict=True))


def _house() -> HeatLoss:
    ua = 40_000 / 53 * read_quantity("1 Btu/(h degF)", CONDUCTANCE)
    house = Envelope(parts=(Surface(name="whole house", area_m2=ua, u_w_per_m2_k=1.0),))
    return heat_loss(house, indoor_c=c_from_f(70.0), gains_w=w_from_btu_h(4280.0))


def _loads() -> Array:
    return _house().heating.load_w(c_from_f(BINS["outdoor_f"]))


def _through_the_kernel(load_w: Array) -> Response:
    stack = Stack(
        capacity_w=w_from_btu_h(1000 * BINS["capacity_kbtu_h"])[np.newaxis],
        power_w=1000 * BINS["input_kw"][np.newaxis],
        available=np.ones((1, load_w.size), dtype=bool),
        staging=modulating,
        cycling=[AirCycling(cd=0.25)],
    )
    ones = np.ones_like(load_w)
    return respond(stack, load_w, part_share=ones, full_share=ones)


def _pump_with_strips() -> BackupWith:
    rows = (BINS[name].tolist() for name in ("outdoor_f", "capacity_kbtu_h", "input_kw"))
    points = [
        TablePoint(
            speed="full",
            outdoor_c=c_from_f(outdoor_f),
            capacity_w=w_from_btu_h(1000 * capacity),
            power_w=1000 * power,
        )
        for outdoor_f, capacity, power in zip(*rows, strict=True)
    ]
    performance = map_from_table(
        points, function=Function.HEATING, frost=Frost.INCLUDED, cd=0.25, staging=modulating
    )
    return BackupWith(main=HeatPump(performance=performance), backup=Resistance(use="backup"))


def _year() -> WeatherYear:
    """The example's hours; all other hours of the year at 72 F, without a load."""
    hours = BINS["hours"].astype(int)
    outdoor_f = np.concatenate([np.repeat(BINS["outdoor_f"], hours), np.full(8760, 72.0)])[:8760]
    index = pd.date_range("2023-01-01", periods=8760, freq="h")
    table = pd.DataFrame(
        {"outdoor_c": c_from_f(outdoor_f), "relative_humidity_pct": np.nan}, index=index
    )
    site = Site(
        name="bin example", latitude_deg=0.0, longitude_deg=0.0, elevation_m=0.0, utc_offset_h=0.0
    )
    return year_of_table(table, site=site, kind="typical", source="bin hours of the example")


def test_balance_temperature_of_the_example_is_64_33_f_from_memory() -> None:
    house = _house()
    # K = 754.7 Btu/h F, 64.33 F (computed from the recalled inputs).
    per_f = house.ua_w_per_k / read_quantity("1 Btu/(h degF)", CONDUCTANCE)
    assert per_f == pytest.approx(754.7, abs=0.05)
    assert house.balance_c == pytest.approx(c_from_f(64.33), abs=0.005)


def test_bin_example_gives_9578_kwh_through_the_kernel_from_memory() -> None:
    load_w = _loads()
    answer = _through_the_kernel(load_w)
    kh = BINS["hours"] / 1000
    pump = float((answer.power_w * kh).sum())
    strips = float(((load_w - answer.delivered_w) * kh).sum())
    heat = float((load_w * kh).sum())
    assert pump == pytest.approx(8660, abs=1)
    assert strips == pytest.approx(918, abs=1)
    assert pump + strips == pytest.approx(9578, abs=1)
    assert heat * BTU_PER_WH / 1000 == pytest.approx(76.52, abs=0.005)
    assert heat / (pump + strips) == pytest.approx(2.34, abs=0.005)


def test_bin_example_row_by_row_through_the_kernel_from_memory() -> None:
    # Half the last printed digit of each column.
    load_w = _loads()
    answer = _through_the_kernel(load_w)
    factor = np.minimum(load_w / answer.full_w, 1.0) / answer.run_share
    kh = BINS["hours"] / 1000
    computed = {
        "load_kbtu_h": (btu_h_from_w(load_w) / 1000, 0.005),
        "factor": (factor, 0.0005),
        "adjusted_kbtu_h": (btu_h_from_w(answer.full_w * factor) / 1000, 0.05),
        "run_share": (answer.run_share, 0.0005),
        "pump_kwh": (answer.power_w * kh, 0.05),
        "strips_kwh": ((load_w - answer.delivered_w) * kh, 0.05),
    }
    for name, (values, half_digit) in computed.items():
        assert values == pytest.approx(BINS[name], abs=half_digit * 1.001), name


def test_bin_example_row_by_row_through_a_heat_pump_with_strips_from_memory() -> None:
    conditions = Conditions(
        outdoor_c=c_from_f(BINS["outdoor_f"]),
        relative_humidity_pct=np.full(12, 80.0),
        indoor_c=c_from_f(70.0),
    )
    flows = _pump_with_strips().run(conditions, _loads())
    kh = BINS["hours"] / 1000
    assert flows.electricity_w["compressor"] * kh == pytest.approx(BINS["pump_kwh"], abs=0.0501)
    assert flows.electricity_w["backup"] * kh == pytest.approx(BINS["strips_kwh"], abs=0.0501)
    assert flows.run_share == pytest.approx(BINS["run_share"], abs=0.0005)
    assert not flows.unmet_w.any()
    assert not flows.electricity_w["defrost"].any()


@pytest.mark.parametrize("indexing", [bins_5f, distinct_states, every_hour])
def test_bin_example_as_a_year_gives_9578_kwh_by_every_path_from_memory(indexing: object) -> None:
    option = Option(
        name="single speed with strips",
        heating=_pump_with_strips(),
        cooling=None,
        heating_load=_house().heating,
        cooling_load=None,
        heating_indoor_c=c_from_f(70.0),
        cooling_indoor_c=c_from_f(75.0),
    )
    year = annual(option, _year(), indexing=indexing)
    assert year.total("heating_electricity_compressor_kwh") == pytest.approx(8660, abs=1)
    assert year.total("heating_electricity_backup_kwh") == pytest.approx(918, abs=1)
    assert year.cop_season("heating") == pytest.approx(2.34, abs=0.005)
    assert year.cop_system("heating") == year.cop_season("heating")
    assert year.total("heating_at_full_h") == pytest.approx(BINS["hours"][7:].sum())
