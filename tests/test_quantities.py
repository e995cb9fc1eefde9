"""Text with a unit becomes an SI number, or a clear refusal."""

from __future__ import annotations

import subprocess
import sys

import pint
import pytest

from energymodel.datafiles import data_file, read_table
from energymodel.errors import InputError
from energymodel.quantities import (
    AIRFLOW,
    CONDUCTANCE,
    POWER,
    TEMPERATURE,
    TEMPERATURE_DIFFERENCE,
    U_VALUE,
    Dimension,
    convert,
    read_quantity,
)


@pytest.mark.parametrize(
    ("text", "dimension", "expected"),
    [
        ("12 kBtu/h", POWER, 3516.852842),  # 1 kWh = 3,412.14163 Btu(IT), definition (from memory)
        ("12 MBH", POWER, 3516.852842),
        ("1,200 W", POWER, 1200.0),
        ("-13 degF", TEMPERATURE, -25.0),
        ("-25 °C", TEMPERATURE, -25.0),
        ("9 degF", TEMPERATURE_DIFFERENCE, 5.0),
        ("1 Btu/(h ft^2 degF)", U_VALUE, 5.678263),  # exact definitions (from memory)
        ("95 Btu/h/degF", CONDUCTANCE, 50.115153),
        ("60 cfm", AIRFLOW, 0.0283168466),
    ],
)
def test_trade_spellings_become_si(text: str, dimension: Dimension, expected: float) -> None:
    assert read_quantity(text, dimension) == pytest.approx(expected, rel=1e-7, abs=1e-9)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("12", "has no unit"),
        (12.0, "without a unit"),
        ("3 ton", "ton_of_refrigeration"),
        ("12 kBtu", "is not a heat flow"),
        ("12 kBtu/(", "cannot be read"),
        ("12 horsepowr", "not known"),
        ("abc W", "not a number"),
        ("3 W/(", "cannot be read"),
    ],
)
def test_a_wrong_quantity_is_refused_with_what_would_do(text: object, words: str) -> None:
    with pytest.raises(InputError) as caught:
        read_quantity(text, POWER, where="room.design_load")
    assert words in str(caught.value)
    assert "room.design_load" in str(caught.value)
    assert "12 kBtu/h" in str(caught.value)


def test_a_therm_is_29_3071_kilowatt_hours() -> None:
    # EIA, Units and calculators: 1 therm = 100,000 Btu (published); kWh computed
    assert convert(1.0, "therm", "kWh") == pytest.approx(29.3071, abs=5e-5)


@pytest.mark.parametrize("row", read_table("unit_factors.csv"), ids=lambda row: f"{row['unit']}")
def test_the_table_of_known_units_agrees_with_pint(row: dict[str, str]) -> None:
    registry = pint.UnitRegistry(str(data_file("units.txt")), cache_folder=None)
    difference = {"degF": "delta_degree_Fahrenheit", "degC": "kelvin"}
    unit = difference.get(row["unit"], row["unit"]) if row["to"] == "K" else row["unit"]
    for number in (-40.0, 0.0, 77.0):
        quantity = registry.Quantity(number, registry.parse_units(unit))
        if not row["factor"]:
            with pytest.raises(pint.DimensionalityError):
                quantity.to(row["to"])
            continue
        expected = quantity.to(row["to"]).magnitude
        found = (number - float(row["zero"])) * float(row["factor"])
        assert found == pytest.approx(expected, rel=1e-14, abs=1e-12)


def test_usual_units_are_read_without_the_unit_library() -> None:
    code = (
        "import sys; from energymodel.quantities import POWER, read_quantity as read;"
        "assert read('12 kBtu/h', POWER) > 3500; assert 'pint' not in sys.modules"
    )
    subprocess.run([sys.executable, "-c", code], check=True)
