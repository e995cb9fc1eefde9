"""Test points of the US rating procedures, by the names the procedures give them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from difflib import get_close_matches
from functools import cache
from typing import ClassVar

from energymodel.datafiles import read_table
from energymodel.equipment.curves import Function
from energymodel.errors import EquipmentError


class MissingTestError(EquipmentError):
    """A rating needs a test that the unit does not have."""


class ImpossiblePointError(EquipmentError):
    """A test point cannot be true, alone or beside another one."""


@dataclass(frozen=True, slots=True, kw_only=True)
class TestPoint:
    """Result of a steady or frost-accumulation test.

    Parameters
    ----------
    capacity_btu_h
        Net capacity, Btu/h.
    power_w
        Total electric power, W.
    """

    __test__: ClassVar[bool] = False

    capacity_btu_h: float
    power_w: float

    @property
    def eer_btu_per_wh(self) -> float:
        """Capacity over power, Btu/Wh."""
        return self.capacity_btu_h / self.power_w


@dataclass(frozen=True, slots=True, kw_only=True)
class CyclicPoint:
    """Result of a cyclic test.

    Parameters
    ----------
    capacity_btu
        Heat or cold of one whole on-off cycle, Btu.
    energy_wh
        Electricity of one cycle, Wh.
    cycle_h
        Length of the cycle, h.
    """

    capacity_btu: float
    energy_wh: float
    cycle_h: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Condition:
    """Temperatures at which a test is run.

    Parameters
    ----------
    name
        Standard name, subscripts after an underscore: "A2", "E_V", "H1_N".
    function
        Heating or cooling.
    outdoor_f, outdoor_wet_bulb_f
        Outdoor air, degF; wet bulb None: not prescribed.
    indoor_f, indoor_wet_bulb_f
        Air entering the indoor side, degF; the wet bulb is an upper limit in heating and in
        dry-coil tests.
    what
        Kind of test, in words.
    """

    name: str
    function: Function
    outdoor_f: float
    outdoor_wet_bulb_f: float | None
    indoor_f: float
    indoor_wet_bulb_f: float
    what: str

    @property
    def cyclic(self) -> bool:
        """Whether the unit is switched on and off during the test."""
        return "cyclic" in self.what


@cache
def conditions() -> Mapping[str, Condition]:
    """Return all test conditions by name.

    Returns
    -------
    mapping of str to Condition
        Of Appendices M and M1.

    References
    ----------
    10 CFR 430 Subpart B, Appendices M and M1, section 3 (from memory).

    Examples
    --------
    >>> conditions()["E_V"].outdoor_f
    87.0
    """
    return {row["name"]: _condition(row) for row in read_table("ratings", "us_test_points.csv")}


def _condition(row: Mapping[str, str]) -> Condition:
    wet_bulb = row["outdoor_wet_bulb_f"]
    return Condition(
        name=row["name"],
        function=Function(row["function"]),
        outdoor_f=float(row["outdoor_f"]),
        outdoor_wet_bulb_f=float(wet_bulb) if wet_bulb else None,
        indoor_f=float(row["indoor_f"]),
        indoor_wet_bulb_f=float(row["indoor_wet_bulb_f"]),
        what=row["what"],
    )


def condition(name: str) -> Condition:
    """Return the conditions of one test.

    Parameters
    ----------
    name
        Standard name, such as "H1_N".

    Returns
    -------
    Condition
        Its temperatures.

    Raises
    ------
    EquipmentError
        If no test has this name.

    Examples
    --------
    >>> condition("H3_2").outdoor_f
    17.0
    """
    known = conditions()
    if name not in known:
        near = get_close_matches(name, known, n=1)
        raise EquipmentError(
            f"there is no test named {name!r}",
            expected="one of " + ", ".join(known),
            remedy=f'did you mean "{near[0]}"?' if near else "",
        )
    return known[name]


def needed(tests: Mapping[str, TestPoint], name: str, purpose: str) -> TestPoint:
    """Return a test that a rating cannot do without.

    Parameters
    ----------
    tests
        Test points by name.
    name
        The test.
    purpose
        What needs it, for the message.

    Returns
    -------
    TestPoint
        Its result.

    Raises
    ------
    MissingTestError
        If the unit does not have it.
    """
    if name in tests:
        return tests[name]
    at = condition(name)
    raise MissingTestError(
        f"test {name} is missing ({at.what}, outdoor {at.outdoor_f:g} F, indoor {at.indoor_f:g} F)",
        where=purpose,
        expected="tests at hand: " + (", ".join(tests) or "none"),
        remedy=f"add the capacity and power of test {name}",
    )
