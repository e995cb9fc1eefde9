"""One zone on a heat pump, the rest on the old system: by hand, at its limits, through a file."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from energymodel.arrays import Array
from energymodel.equipment.backup import BackupWith
from energymodel.equipment.flows import Conditions, Flows, simple_flows
from energymodel.equipment.partial import PartialDisplacement
from energymodel.equipment.resistance import Resistance
from energymodel.errors import EnergyModelError, EquipmentError
from energymodel.scenario.files import read_scenario
from energymodel.study.comparison.compare import compare
from energymodel.study.comparison.outcome import Comparison, Outcome
from energymodel.units import c_from_f

SLOPE_W_PER_K, BALANCE_C, INDOOR_C = 200.0, 16.0, 21.0
OUTDOOR_C = np.linspace(-25.0, 20.0, 91)


class Head:
    """A head whose output falls with the cold, at COP 3; it stops at -20 degC."""

    def __init__(self, rated_w: float) -> None:
        self.rated_w = rated_w

    @property
    def uses_humidity(self) -> bool:
        return True

    def full_w(self, outdoor_c: Array) -> Array:
        full = self.rated_w * (1.0 + 0.02 * (outdoor_c - 8.0))
        return np.where(outdoor_c <= -20.0, 0.0, np.maximum(full, 0.0))

    def run(self, conditions: Conditions, load_w: Array) -> Flows:
        given_w = np.minimum(load_w, self.full_w(conditions.outdoor_c))
        return simple_flows(load_w, given_w, electricity_w={"compressor": given_w / 3.0})


def _run(source: PartialDisplacement | BackupWith, outdoor_c: Array = OUTDOOR_C) -> Flows:
    conditions = Conditions(
        outdoor_c=outdoor_c,
        relative_humidity_pct=np.full_like(outdoor_c, 80.0),
        indoor_c=INDOOR_C,
    )
    return source.run(conditions, _load_w(outdoor_c))


def _load_w(outdoor_c: Array, lowered_k: float = 0.0) -> Array:
    return SLOPE_W_PER_K * np.maximum(BALANCE_C - lowered_k - outdoor_c, 0.0)


shares = st.floats(0.01, 1.0)
doors = st.floats(0.0, 1.0)


@settings(deadline=None, max_examples=60)
@given(
    zone=shares,
    door=doors,
    rated_w=st.floats(100.0, 20_000.0),
    old_w=st.one_of(st.none(), st.floats(500.0, 9_000.0)),
    lowered_k=st.floats(0.0, 6.0),
)
def test_every_state_is_the_plain_formula_and_closes(
    zone: float, door: float, rated_w: float, old_w: float | None, lowered_k: float
) -> None:
    head = Head(rated_w)
    source = PartialDisplacement(
        main=head,
        backup=Resistance(capacity_w=old_w),
        zone_share=zone,
        door_share=door,
        lowered_k=lowered_k,
        balance_c=BALANCE_C,
    )
    flows, load_w = _run(source), _load_w(OUTDOOR_C)
    # zone load = share x house load; the head gives min(Q_n, zone load + door share x rest)
    rest_w = (1.0 - zone) * load_w
    wanted_w = zone * load_w + door * rest_w
    by_head = np.minimum(head.full_w(OUTDOOR_C), wanted_w)
    # rooms that the old system serves alone: the load line with its balance lowered by as much
    alone_w = (1.0 - zone) * (1.0 - door) * _load_w(OUTDOOR_C, lowered_k)
    to_old = wanted_w - by_head + alone_w
    by_old = to_old if old_w is None else np.minimum(to_old, old_w)
    near = 1e-9 * float(load_w.max())
    assert flows.electricity_w["compressor"] * 3.0 == pytest.approx(by_head, rel=1e-9, abs=near)
    assert flows.electricity_w["resistance"] == pytest.approx(by_old, rel=1e-9, abs=near)
    assert flows.delivered_w + flows.unmet_w == pytest.approx(load_w, rel=1e-9, abs=near)
    assert flows.delivered_w == pytest.approx(by_head + by_old, rel=1e-9, abs=near)
    less_w = (1.0 - zone) * (1.0 - door) * (load_w - _load_w(OUTDOOR_C, lowered_k))
    assert flows.unmet_w == pytest.approx(less_w + to_old - by_old, rel=1e-9, abs=near)


@pytest.mark.parametrize(("zone", "door"), [(1.0, 0.0), (0.3, 1.0), (0.9, 1.0)])
def test_a_head_that_reaches_the_whole_house_is_a_heat_pump_with_backup(
    zone: float, door: float
) -> None:
    head, old = Head(3_000.0), Resistance(capacity_w=4_000.0)
    source = PartialDisplacement(
        main=head, backup=old, zone_share=zone, door_share=door, lowered_k=4.0, balance_c=BALANCE_C
    )
    one, other = _run(source), _run(BackupWith(main=head, backup=old))
    assert one.delivered_w == pytest.approx(other.delivered_w, rel=1e-12, abs=1e-9)
    assert one.unmet_w == pytest.approx(other.unmet_w, rel=1e-12, abs=1e-9)
    assert one.running_w == pytest.approx(other.running_w, rel=1e-12, abs=1e-9)
    assert source.reached_share <= 1.0
    assert source.uses_humidity


def test_the_zone_is_on_the_old_system_where_the_head_has_stopped() -> None:
    source = PartialDisplacement(main=Head(5_000.0), backup=Resistance(), zone_share=0.4)
    flows = _run(source, np.array([-24.0]))
    assert flows.electricity_w["compressor"][0] == 0.0
    assert flows.electricity_w["resistance"][0] == pytest.approx(SLOPE_W_PER_K * 40.0)


def test_open_doors_and_a_lower_old_set_point_only_ever_save_old_heat() -> None:
    def old_w(door: float, lowered_k: float) -> Array:
        source = PartialDisplacement(
            main=Head(4_000.0),
            backup=Resistance(),
            zone_share=0.4,
            door_share=door,
            lowered_k=lowered_k,
            balance_c=BALANCE_C,
        )
        return np.asarray(_run(source).electricity_w["resistance"])

    closed = old_w(0.0, 0.0)
    assert np.all(old_w(0.5, 0.0) <= closed + 1e-9)
    assert np.all(old_w(0.0, 3.0) <= closed + 1e-9)
    assert old_w(0.5, 0.0).sum() < closed.sum()
    assert old_w(0.0, 3.0).sum() < closed.sum()


@pytest.mark.parametrize(("zone", "door", "lowered"), [(0.0, 0, 0), (1.1, 0, 0), (0.5, -0.1, 0),
                                                       (0.5, 1.1, 0), (0.5, 0, -1)])  # fmt: skip
def test_shares_outside_their_range_are_refused(zone: float, door: float, lowered: float) -> None:
    with pytest.raises(EquipmentError):
        PartialDisplacement(
            main=Head(1.0),
            backup=Resistance(),
            zone_share=zone,
            door_share=door,
            lowered_k=lowered,
        )


HOUSE = """
[place]
weather = "greensboro-nc"
[room]
indoor = { heating = "70 degF", cooling = "76 degF" }
heating = { ua = "400 Btu/(h degF)", design_temperature = "17 degF", balance_temperature = "62 degF" }
[price.electricity]
energy = 0.14
per = "kWh"
[price.heating_oil]
energy = 3.60
per = "gallon"
[[option]]
name = "Old boiler"
present = true
heating = { kind = "boiler", fuel = "heating oil", afue = 0.80, output = "60 kBtu/h", in_service = 1.0 }
[[option]]
name = "Head"
installed_cost = 3500
[option.heating]
kind = "heat pump"
unit = "inverter-standard-12"
ZONE
backup = { heater = { kind = "boiler", fuel = "heating oil", afue = 0.80, output = "60 kBtu/h", in_service = 1.0 } }
"""  # noqa: E501 - inline tables of TOML stand on one line


def _compared(folder: Path, zone: str, text: str = HOUSE) -> Comparison:
    (folder / "house.toml").write_text(text.replace("ZONE", zone), "utf-8")
    return compare(read_scenario(folder / "house.toml"))


def _head(comparison: Comparison) -> Outcome:
    return next(one for one in comparison.outcomes if one.name == "Head")


def test_a_zone_of_a_file_burns_the_rest_in_the_old_boiler(tmp_path: Path) -> None:
    one = _head(_compared(tmp_path, "zone = { share = 0.4, doors = 0.3 }"))
    table = one.result.hourly()
    load = table["heating_load_kwh"].to_numpy()
    by_head = table["heating_pump_heat_kwh"].to_numpy()
    assert np.all(by_head <= (0.4 + 0.3 * 0.6) * load + 1e-9)
    # what the head leaves is burned at 80 % and stays in the option's cost
    burned = table["heating_fuel_heating_oil_kwh"].to_numpy()
    assert burned == pytest.approx((load - by_head) / 0.80, abs=1e-9)
    prices = _compared(tmp_path, "zone = { share = 0.4, doors = 0.3 }").model.prices
    cost = burned.sum() * prices["heating oil"].per_kwh + one.energy_kwh["electricity"] * 0.14
    assert one.yearly_cost == pytest.approx(cost)
    assert one.coverage is not None
    assert one.coverage.carries
    assert one.failure is not None
    assert not one.failure.borrowed


def test_doors_that_are_not_named_are_closed_and_listed(tmp_path: Path) -> None:
    silent = _compared(tmp_path, "zone = { share = 0.4 }")
    closed = _compared(tmp_path, "zone = { share = 0.4, doors = 0.0 }")
    assert _head(silent).yearly_cost == _head(closed).yearly_cost
    listed = {used.value for used in silent.model.defaults}
    assert "0: doors closed" in listed
    assert "0: doors closed" not in {used.value for used in closed.model.defaults}


def test_a_lowered_old_set_point_is_printed_apart_as_less_comfort(tmp_path: Path) -> None:
    full = _head(_compared(tmp_path, "zone = { share = 0.4, doors = 0.3 }"))
    comparison = _compared(
        tmp_path, 'zone = { share = 0.4, doors = 0.3, old_set_point = "65 degF" }'
    )
    one = _head(comparison)
    assert one.less_comfort is not None
    assert one.less_comfort.cost == pytest.approx(full.yearly_cost - one.yearly_cost)
    outdoor_c = comparison.model.weather.outdoor_c
    ua = comparison.model.load.heating
    assert ua is not None
    # 5 F off the balance temperature of 62 F in the 0.6 x 0.7 of the house that it serves alone
    gone_k = np.maximum(c_from_f(62.0) - outdoor_c, 0.0) - np.maximum(
        c_from_f(57.0) - outdoor_c, 0.0
    )
    heat_kwh = 0.6 * 0.7 * ua.slope_w_per_k * gone_k.sum() / 1000.0
    assert one.less_comfort.heat_kwh == pytest.approx(heat_kwh, rel=1e-9)
    assert one.carries
    text = " ".join(str(note) for note in comparison.notices)
    assert "less comfort, not efficiency" in text
    assert full.less_comfort is None


def test_baseboard_may_be_the_old_system(tmp_path: Path) -> None:
    a, b = HOUSE.index("backup = {"), HOUSE.index("\n", HOUSE.index("backup = {"))
    text = HOUSE[:a] + 'backup = { heater = { kind = "electric resistance" } }' + HOUSE[b:]
    table = _head(_compared(tmp_path, "zone = { share = 0.4, doors = 0.3 }", text)).result.hourly()
    load, by_head = table["heating_load_kwh"], table["heating_pump_heat_kwh"]
    old = table["heating_electricity_resistance_kwh"]
    assert old.to_numpy() == pytest.approx((load - by_head).to_numpy(), abs=1e-9)


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ("ZONE", "zone = { share = 0.0 }", "share"),
        ("ZONE", "zone = { share = 0.4, doors = 1.5 }", "doors"),
        ("ZONE", 'zone = { share = 0.4, old_set_point = "75 degF" }', "lies above that of the"),
        ("ZONE\nbackup = {", 'zone = { share = 0.4 }\nbackup = { runs = "instead", ', "instead"),
        ("ZONE\nbackup = {", 'zone = { share = 0.4 }\nbackup = { off_above = "40 degF", ',
         "off_above"),
        ("ZONE\nbackup", "zone = { share = 0.4 }\n# backup", "without the old system"),
    ],
)  # fmt: skip
def test_a_zone_that_cannot_be_is_refused(tmp_path: Path, old: str, new: str, words: str) -> None:
    with pytest.raises(EnergyModelError) as caught:
        _compared(tmp_path, "", HOUSE.replace(old, new))
    assert words in str(caught.value)
