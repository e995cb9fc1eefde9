"""What `energymodel from-bills` refuses before any work is done, each by the name of its option."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

from energymodel.errors import InputError

if TYPE_CHECKING:
    from energymodel.cli.bills_inputs import Given
    from energymodel.cli.bills_run import Questions

_INDOOR_C = (4.0, 35.0)
_OUTDOOR_C = (-55.0, 25.0)
_BALANCE_C = (0.0, 26.0)
_DIALS = (2, 12)


def number_between(
    value: float | None, option: str, ends: tuple[float, float], expected: str
) -> None:
    """Refuse a number out of its range, by the name of its option."""
    if value is not None and not ends[0] <= value <= ends[1]:
        raise InputError(f"{option} {value:g}", expected=expected)


def temperature(
    text: str | None, option: str, ends_c: tuple[float, float], expected: str
) -> float | None:
    """Read a temperature and refuse one out of its range, degC."""
    from energymodel.quantities import TEMPERATURE, read_quantity

    if text is None:
        return None
    value = read_quantity(text, TEMPERATURE, where=option)
    if not ends_c[0] <= value <= ends_c[1]:
        raise InputError(f"{option} {text!r}", expected=expected)
    return value


def indoor_c(text: str | None, option: str) -> float | None:
    """Read a set-point, degC."""
    return temperature(text, option, _INDOOR_C, "a set-point between 40 and 95 degF (4 to 35 degC)")


def design_c(text: str | None) -> float | None:
    """Read the design temperature, degC."""
    wanted = "an outdoor temperature between -67 and 77 degF (-55 to 25 degC)"
    return temperature(text, "--design-temperature", _OUTDOOR_C, wanted)


def balance_c(text: str | None) -> float | None:
    """Read the outdoor temperature at which heating begins, degC."""
    wanted = "an outdoor temperature between 32 and 79 degF (0 to 26 degC), such as '60 degF'"
    return temperature(text, "--balance", _BALANCE_C, wanted)


def check_dials(dials: int | None) -> None:
    """Refuse a counter without dials."""
    number_between(dials, "--dials", _DIALS, "the digits of the counter, such as 4")


def check_given(given: Given) -> None:
    """Refuse numbers of the house that cannot be."""
    number_between(
        given.efficiency, "--efficiency", (0.3, 9.0), "a fraction such as 0.80; 1 for baseboards"
    )
    number_between(given.ducts, "--ducts", (0.6, 1.0), "a fraction from 0.60 to 1, such as 0.85")
    number_between(
        given.efficiency_band, "--efficiency-band", (0.0, 0.4), "a fraction such as 0.08"
    )
    number_between(
        given.cooling_efficiency, "--cooling-efficiency", (1.0, 9.0), "a seasonal COP such as 3.2"
    )
    number_between(
        given.hot_water, "--hot-water", (0.0, 1.0), "a fraction of the base use, such as 0.6"
    )
    if given.base is not None and given.base < 0:
        raise InputError(f"--base {given.base:g}", expected="use per day in the meter's unit, >= 0")
    if given.balance_range is not None and given.balance is None:
        raise InputError(
            "--balance-range stands without --balance", remedy="add --balance '60 degF'"
        )
    if given.heat_pump is None:
        return
    beside = {
        "--efficiency": given.efficiency,
        "--hot-water": given.hot_water,
        "--balance": given.balance,
        "--base": given.base,
    }
    for option, value in beside.items():
        if value is not None:
            raise InputError(f"{option} and --heat-pump are both given", expected="one of them")


def check_carrier_facts(given: Given, carrier: str) -> None:
    """Refuse what does not go with the carrier: an efficiency above one, a base that is fitted."""
    from energymodel.study.house.house_meters import DELIVERED

    if given.base is not None and given.balance is None and carrier not in DELIVERED:
        raise InputError(
            "--base stands without --balance: the base use of these readings is fitted",
            remedy="leave it out, or add --balance '60 degF'",
        )
    efficiency = given.efficiency
    if carrier != "electricity":
        number_between(
            efficiency, "--efficiency", (0.3, 1.0), "AFUE as a fraction such as 0.80, at most 1"
        )


def check_questions(given: Given, asked: Questions) -> None:
    """Refuse questions that lack a companion, cannot stand together or name missing files."""
    for fault in _misfits(given, asked):
        raise fault
    for option, value in zip(("--fuel-price", "--electricity-price"), asked.prices, strict=True):
        if value is None:
            continue
        if asked.out is None:
            raise InputError(f"{option} stands without --out", remedy="add --out FILE.toml")
        if not 0 < value < 1e6:
            raise InputError(f"{option} {value:g}", expected="money above zero")
    for option, paths in (("--after", asked.after), ("--check", asked.check)):
        for path in paths:
            _exists(path, option)
    if asked.scenario is not None:
        _exists(asked.scenario, "--scenario")


def _misfits(given: Given, asked: Questions) -> Iterator[InputError]:
    if asked.scenario is not None and not asked.check:
        yield InputError("--scenario stands without --check", remedy="add --check READINGS")
    if asked.option is not None and asked.scenario is None:
        yield InputError("--option stands without --scenario", remedy="add --scenario FILE")
    if given.heat_pump is None:
        return
    wanted = {
        "--normal": asked.normal,
        "--after": asked.after,
        "--set-point-change": asked.set_point_change,
    }
    for option, value in wanted.items():
        if value:
            yield InputError(
                f"{option} and --heat-pump are both given",
                remedy="write a scenario with --out and compare years with it",
            )
    if asked.chart is not None:
        yield InputError(
            "--chart and --heat-pump are both given: kWh of a heat pump have no straight line",
            remedy="leave --chart out",
        )
    if asked.check and asked.scenario is None:
        yield InputError(
            "--check with --heat-pump needs to know what was installed",
            remedy="add --scenario FILE --option NAME",
        )


def _exists(path: Path, option: str) -> None:
    if not path.exists():
        raise InputError(f"{option}: there is no file {path}", remedy="check the name and folder")
