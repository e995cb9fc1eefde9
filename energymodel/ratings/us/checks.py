"""Test points that cannot be true beside each other."""

from __future__ import annotations

from collections.abc import Mapping

from energymodel.equipment.curves import Function
from energymodel.ratings.conditions import ImpossiblePointError, TestPoint, condition
from energymodel.ratings.second_law import check_efficiency
from energymodel.ratings.us.units import UsUnit
from energymodel.units import BTU_PER_WH, c_from_f

RISE_ALLOWED = 1.03
"""A fixed speed may give this much more in colder air before the points are refused (our
choice)."""


def stage_above(tests: Mapping[str, TestPoint], low: str, high: str) -> None:
    """Refuse a higher stage that gives or takes no more than the lower one.

    Parameters
    ----------
    tests
        Test points by name; nothing is checked if one of the two is missing.
    low, high
        Names of two tests at one outdoor temperature.

    Raises
    ------
    ImpossiblePointError
        Naming both tests.
    """
    if low not in tests or high not in tests:
        return
    below, above = tests[low], tests[high]
    if above.capacity_btu_h <= below.capacity_btu_h:
        raise ImpossiblePointError(
            f"capacity falls with speed: test {high} gives {above.capacity_btu_h:,.0f} Btu/h, "
            f"test {low} {below.capacity_btu_h:,.0f} Btu/h",
            expected=f"{high} above {low}",
        )
    if above.power_w <= below.power_w:
        raise ImpossiblePointError(
            f"power falls with speed: test {high} takes {above.power_w:,.0f} W, test {low} "
            f"{below.power_w:,.0f} W",
            expected=f"{high} above {low}",
        )


def intermediate_inside(
    name: str, low: tuple[float, float], mid: tuple[float, float], full: tuple[float, float]
) -> None:
    """Refuse an intermediate test outside minimum and full speed at its own temperature.

    Parameters
    ----------
    name
        Name of the intermediate test.
    low, mid, full
        Capacity, Btu/h, and power, W, of the three speeds at its temperature.

    Raises
    ------
    ImpossiblePointError
        Naming the test.
    """
    for what, below, value, above in zip(
        ("capacity in Btu/h", "power in W"), low, mid, full, strict=True
    ):
        if not below <= value <= above or below == above:
            raise ImpossiblePointError(
                f"test {name} lies outside minimum and full speed at {condition(name).outdoor_f:g} "
                f"F: {what} {value:,.0f}",
                expected=f"{below:,.0f} (minimum) to {above:,.0f} (full)",
            )


def capacity_not_rising(tests: Mapping[str, TestPoint], colder: str, warmer: str) -> None:
    """Refuse a fixed speed whose heating capacity rises with cold by more than 3 %.

    Parameters
    ----------
    tests
        Test points by name; nothing is checked if one of the two is missing.
    colder, warmer
        Names of two tests of one speed.

    Raises
    ------
    ImpossiblePointError
        Naming both tests.
    """
    if colder not in tests or warmer not in tests:
        return
    cold, warm = tests[colder].capacity_btu_h, tests[warmer].capacity_btu_h
    if cold > RISE_ALLOWED * warm:
        raise ImpossiblePointError(
            f"capacity rises with cold: test {colder} gives {cold:,.0f} Btu/h at "
            f"{condition(colder).outdoor_f:g} F, test {warmer} {warm:,.0f} Btu/h at "
            f"{condition(warmer).outdoor_f:g} F",
            expected=f"at most 3 % above {warmer} for a fixed speed",
            remedy="a unit that speeds up in the cold is a variable-speed unit",
        )


def within_second_law(unit: UsUnit, function: Function) -> None:
    """Refuse tests whose efficiency no machine can have, by the name of the test.

    Parameters
    ----------
    unit
        The unit.
    function
        Only this function's tests are looked at.

    Raises
    ------
    EquipmentError
        Naming the first such test.
    """
    for name, point in unit.tests.items():
        at = condition(name)
        if at.function is function:
            cop = point.eer_btu_per_wh / BTU_PER_WH
            check_efficiency(name, function, c_from_f(at.outdoor_f), cop)
