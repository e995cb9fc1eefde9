"""List of what was not on a plate, with value, range and source."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

import numpy as np

from energymodel.equipment.curves import Function, PerformanceMap
from energymodel.notices import UsedDefault
from energymodel.ratings.plate.grid import Grid
from energymodel.ratings.plate.input import Level, Plate
from energymodel.ratings.plate.ratios import Case
from energymodel.ratings.plate.set import CREDIT, PlateSet
from energymodel.units import BTU_PER_WH, btu_h_from_w, f_from_c


def guesses_of(plate: Plate, sets: Mapping[Case, PlateSet]) -> tuple[UsedDefault, ...]:
    """List what a plate left open.

    Parameters
    ----------
    plate
        As given.
    sets
        Maps of the three cases.

    Returns
    -------
    tuple of UsedDefault
        Points first, then rules and controls.
    """
    return (
        *_points(plate, sets, Function.HEATING),
        *_points(plate, sets, Function.COOLING),
        *_rules(plate, sets),
    )


def _points(
    plate: Plate, sets: Mapping[Case, PlateSet], function: Function
) -> Iterator[UsedDefault]:
    heats = function is Function.HEATING
    likely = sets[Case.LIKELY]
    grid = likely.heating_grid if heats else likely.cooling_grid
    if grid is None:
        return
    maps = {case: one.mapped.heating if heats else one.mapped.cooling for case, one in sets.items()}
    for level, row in grid.rows.items():
        for index, outdoor_c in enumerate(grid.outdoor_c.tolist()):
            name = plate.kind.speeds[level]
            head = f"{function.value}, {name}, {f_from_c(outdoor_c):.0f} F"
            values = {
                case: _at(one, name, outdoor_c) for case, one in maps.items() if one is not None
            }
            if not row.capacity.given[index]:
                texts = {case: btu_h_from_w(q) / 1000.0 for case, (q, _) in values.items()}
                yield UsedDefault(
                    name=f"{head}, capacity",
                    value=_ranged(texts, "kBtu/h", 1),
                    source=row.capacity.source[index],
                )
            if not row.cop.given[index]:
                factor = 1.0 if heats else BTU_PER_WH
                texts = {case: cop * factor for case, (_, cop) in values.items()}
                yield UsedDefault(
                    name=f"{head}, {'COP' if heats else 'EER'}",
                    value=_ranged(texts, "", 2 if heats else 1),
                    source=row.cop.source[index],
                )


def _at(performance: PerformanceMap, name: str, outdoor_c: float) -> tuple[float, float]:
    speed = next(one for one in performance.speeds if one.name == name)
    place = np.array([outdoor_c])
    capacity, power = float(speed.capacity_w(place)[0]), float(speed.power_w(place)[0])
    return capacity, capacity / power


def _ranged(values: Mapping[Case, float], unit: str, digits: int) -> str:
    low, high = min(values.values()), max(values.values())
    text = f"{values[Case.LIKELY]:.{digits}f}"
    ends = (f"{low:.{digits}f}", f"{high:.{digits}f}")
    if ends != (text, text):
        text += f" ({ends[0]} to {ends[1]})"
    return f"{text} {unit}".strip()


def _rules(plate: Plate, sets: Mapping[Case, PlateSet]) -> Iterator[UsedDefault]:
    likely = sets[Case.LIKELY]
    if plate.product is None:
        yield UsedDefault(
            name="product class", value=plate.kind.product.value, source="common practice"
        )
    yield from _cycling(plate, likely)
    yield from _limits(plate)
    if plate.heating_label is not None and not plate.heating_label.metric.european:
        yield from _credit(plate)
    if likely.heating_grid is not None:
        yield UsedDefault(
            name="heating above 47 F, to 65 F",
            value="slope of capacity and power between 17 and 47 F goes on",
            source="our choice",
        )
    if Level.MAXIMUM in plate.kind.speeds:
        yield from _part_load(plate, likely.heating_grid)


def _cycling(plate: Plate, likely: PlateSet) -> Iterator[UsedDefault]:
    source = "default of 10 CFR 430 Subpart B, Appendix M1 (from memory)"
    for function, given, used in (
        ("heating", plate.cd_heating, likely.mapped.cd_heating),
        ("cooling", plate.cd_cooling, likely.mapped.cd_cooling),
    ):
        if given is None and plate.serves(Function(function)):
            yield UsedDefault(
                name=f"degradation coefficient, {function}", value=f"{used:.2f}", source=source
            )


def _limits(plate: Plate) -> Iterator[UsedDefault]:
    if plate.heating_limits is None and plate.serves(Function.HEATING):
        usual = plate.kind.heating_limits
        yield UsedDefault(
            name="heating cut-out and cut-in",
            value=f"{_f(usual.off_c)} and {_f(usual.on_c)}",
            source="common practice",
        )
    if plate.cooling_limits is None and plate.serves(Function.COOLING):
        usual = plate.kind.cooling_limits
        yield UsedDefault(
            name="cooling stops below and above",
            value=f"{_f(usual.off_c)} and {_f(usual.off_above_c)}",
            source="common practice",
        )


def _f(temperature_c: float | None) -> str:
    return "none" if temperature_c is None else f"{f_from_c(temperature_c):.0f} F"


def _credit(plate: Plate) -> Iterator[UsedDefault]:
    if plate.defrost_credit is None:
        yield UsedDefault(
            name="demand-defrost credit inside the heating label",
            value=f"{CREDIT[Case.LIKELY]:.3f} ({CREDIT[Case.HIGH]:.2f} to {CREDIT[Case.LOW]:.2f})",
            source="limits of Appendix M1, section 3.9.2 (from memory); the middle: our choice",
        )


def _part_load(plate: Plate, heating: Grid | None) -> Iterator[UsedDefault]:
    if plate.shape is None and heating is not None:
        yield UsedDefault(
            name="COP between minimum, rated and maximum output",
            value="parabola in output through the three, as five speeds",
            source="our choice",
        )
