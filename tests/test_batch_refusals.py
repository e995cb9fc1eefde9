"""What a batch of variants refuses: by name, so that a caller can take the plain path."""

from __future__ import annotations

import pickle
from dataclasses import replace

import numpy as np
import pytest

from energymodel.arrays import Array
from energymodel.building.load import LoadLine
from energymodel.equipment.backup import BackupInstead, BackupWith
from energymodel.equipment.curves import Function
from energymodel.equipment.ducts import Ducted
from energymodel.equipment.flows import Source
from energymodel.equipment.heat_pump import HeatPump
from energymodel.equipment.kernel import AirCycling, WaterCycling, modulating
from energymodel.equipment.operation import RememberingOperation
from energymodel.equipment.resistance import Resistance
from energymodel.errors import EquipmentError, InputError
from energymodel.scenario.catalogue import catalogue_unit
from energymodel.season.batch.batch import batch
from energymodel.season.batch.segments import NoBatchError
from energymodel.season.batch.variants import Variants
from energymodel.season.option import Option
from energymodel.season.states import distinct_states
from energymodel.weather.library import shipped_year

GREENSBORO = shipped_year("greensboro-nc")


def _pump(**changes: object) -> HeatPump:
    performance = catalogue_unit("inverter-standard-12").heating
    assert performance is not None
    cycling = changes.pop("cycling", performance.cycling)
    staging = changes.pop("staging", performance.staging)
    made = replace(performance, cycling=cycling, staging=staging)  # type: ignore[arg-type]
    return HeatPump(performance=made, **changes)  # type: ignore[arg-type]


def _option(heating: Source | None) -> Option:
    cooling = catalogue_unit("inverter-standard-12").cooling
    assert cooling is not None
    return Option(
        name="invented",
        heating=heating,
        cooling=HeatPump(performance=cooling),
        heating_load=LoadLine(slope_w_per_k=90.0, balance_c=15.0, indoor_c=20.0, heating=True),
        cooling_load=LoadLine(slope_w_per_k=90.0, balance_c=19.0, indoor_c=24.0, heating=False),
        heating_indoor_c=20.0,
        cooling_indoor_c=24.0,
    )


def _other_staging(*arrays: Array) -> Array:
    return modulating(*arrays)


@pytest.mark.parametrize(
    ("source", "word"),
    [
        (Resistance(), "Resistance"),
        (BackupInstead(main=_pump(), backup=Resistance()), "BackupInstead"),
        (
            BackupWith(main=_pump(), backup=BackupWith(main=Resistance(), backup=Resistance())),
            "BackupWith of HeatPump and BackupWith",
        ),
        (Ducted(source=_pump(), efficiency=0.8, function=Function.HEATING), "Ducted"),
        (_pump(operation=RememberingOperation(off_c=-5.0)), "RememberingOperation"),
        (_pump(staging=_other_staging), "_other_staging"),
        (_pump(cycling=(WaterCycling(cc=0.9),) * 3), "WaterCycling"),
        (_pump(cycling=(AirCycling(cd=1.0),) * 3), "AirCycling"),
    ],
)
def test_what_the_batch_cannot_represent_is_refused_by_its_name(source: Source, word: str) -> None:
    option = _option(source)
    states = distinct_states(option, GREENSBORO)
    with pytest.raises(NoBatchError, match=word) as caught:
        batch(option, states, Variants())
    assert "season.annual" in caught.value.remedy
    again = pickle.loads(pickle.dumps(caught.value))
    assert (type(again), str(again)) == (NoBatchError, str(caught.value))


def test_an_option_without_a_load_is_refused() -> None:
    option = replace(_option(_pump()), heating_load=None, cooling_load=None)
    states = distinct_states(option, GREENSBORO)
    with pytest.raises(NoBatchError, match="neither heats nor cools"):
        batch(option, states, Variants())
    with pytest.raises(InputError, match="heating_balance_c is missing"):
        batch(option, states, Variants(heating_slope_w_per_k=np.array([50.0])))


def test_an_option_with_a_memory_is_refused() -> None:
    option = replace(_option(_pump()), has_memory=True)
    states = distinct_states(option, GREENSBORO)
    with pytest.raises(NoBatchError, match="depends on the hour before"):
        batch(option, states, Variants())


@pytest.mark.parametrize(
    ("variants", "kind", "words"),
    [
        (Variants(heating_slope_w_per_k=np.array([1.0, 0.0])), InputError, "does not rise"),
        (Variants(heating_balance_c=np.array([np.nan])), InputError, "not a number"),
        (Variants(heating_balance_c=np.array([25.0])), InputError, "1 variants, the first at 0"),
        (Variants(heating_in_service_factor=np.array([90.0])), EquipmentError, "not plausible"),
        (Variants(heating_capacity_factor=np.array([0.1])), EquipmentError, "not plausible"),
        (
            Variants(heating_balance_c=np.zeros(2), cooling_balance_c=np.full(3, 20.0)),
            InputError,
            "shapes",
        ),
        (Variants(heating_balance_c=np.zeros((2, 2))), InputError, "shapes"),
        (Variants(heating_balance_c=np.zeros(0)), InputError, "shapes"),
    ],
)
def test_columns_that_make_no_sense_are_refused(
    variants: Variants, kind: type[Exception], words: str
) -> None:
    option = _option(_pump())
    states = distinct_states(option, GREENSBORO)
    with pytest.raises(kind, match=words):
        batch(option, states, variants)


def test_tables_of_another_year_are_refused() -> None:
    option = _option(_pump())
    states = distinct_states(option, GREENSBORO)
    with pytest.raises(InputError, match="hours has the shape"):
        batch(option, states, Variants(), hours=np.zeros((12, 3)))
    with pytest.raises(InputError, match="base_w has the shape"):
        batch(option, states, Variants(), base_w=np.zeros(3))
    with pytest.raises(InputError, match="at least 1"):
        batch(option, states, Variants(), chunk=0)
    base_w = np.zeros((2, len(states)))
    base_w[1] = -np.inf
    with pytest.raises(InputError, match="window 1 of base_w has no hour"):
        batch(option, states, Variants(), base_w=base_w)
    base_w[1] = np.nan
    with pytest.raises(InputError, match="not a number"):
        batch(option, states, Variants(), base_w=base_w)
