"""Boilers: fuel for a load; the pump's heat is not counted."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from energymodel.equipment.boiler import Boiler
from energymodel.equipment.burner import Burner
from energymodel.equipment.flows import Conditions, Flows
from energymodel.errors import EquipmentError
from energymodel.units import KWH_PER_MMBTU

OIL_BTU_PER_GALLON = 138_500.0


def run(boiler: Boiler, load_w: list[float]) -> Flows:
    load = np.array(load_w)
    at = Conditions(
        outdoor_c=np.zeros_like(load), relative_humidity_pct=np.full_like(load, 80.0), indoor_c=21.0
    )
    return boiler.run(at, load)


def oil_burner(input_w: float = 30_000.0) -> Burner:
    return Burner.from_afue(carrier="heating oil", afue=0.80, input_w=input_w)


def test_oil_boiler_burns_the_gallons_of_the_case():
    # Cases sheet, case A4 (user problem, published answer): 570 gal at 138,500 Btu/gal are
    # 78.945 MMBtu of oil; 80 % of it, 63.156 MMBtu, is heat.
    hours = 2_000.0
    mean_load_w = 63.156 * KWH_PER_MMBTU / hours * 1000.0
    flows = run(Boiler(burner=oil_burner()), [mean_load_w])
    oil_mmbtu = flows.fuel_w["heating oil"][0] * hours / 1000.0 / KWH_PER_MMBTU
    assert oil_mmbtu == pytest.approx(78.945, abs=0.0005)
    assert oil_mmbtu * 1e6 / OIL_BTU_PER_GALLON == pytest.approx(570.0, abs=0.01)


def test_pump_runs_with_the_burner_and_its_heat_is_not_counted():
    flows = run(Boiler(burner=oil_burner(), auxiliary_w=290.0), [12_000.0, 0.0])
    assert flows.electricity_w["auxiliary"].tolist() == pytest.approx([145.0, 0.0])
    assert flows.electricity_w["blower"].tolist() == [0.0, 0.0]
    assert flows.fuel_w["heating oil"].tolist() == pytest.approx([15_000.0, 0.0])


def test_boiler_does_not_depend_on_humidity():
    assert Boiler(burner=oil_burner()).uses_humidity is False


@pytest.mark.parametrize("options", [{"auxiliary_w": -1.0}, {"in_service_factor": 0.1}])
def test_impossible_boilers_are_refused(options):
    with pytest.raises(EquipmentError):
        Boiler(burner=oil_burner(), **options)


@given(
    load_w=st.lists(st.floats(0.0, 60_000.0), min_size=1, max_size=8),
    input_w=st.floats(5_000.0, 60_000.0),
    auxiliary_w=st.floats(0.0, 300.0),
    in_service=st.floats(0.9, 1.0),
)
def test_heat_of_a_boiler_is_fuel_times_efficiency(load_w, input_w, auxiliary_w, in_service):
    boiler = Boiler(
        burner=oil_burner(input_w), auxiliary_w=auxiliary_w, in_service_factor=in_service
    )
    flows = run(boiler, load_w)
    heat = flows.fuel_w["heating oil"] * 0.80 * in_service
    assert flows.delivered_w == pytest.approx(heat, rel=1e-12, abs=1e-9)
    assert flows.delivered_w + flows.unmet_w == pytest.approx(np.array(load_w), rel=1e-12)
    assert np.all(flows.unmet_w >= 0)
