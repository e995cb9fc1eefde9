"""A full performance map from what people have of a unit: plate values, a brochure, a label.

What is given stays. What is missing comes from usual ratios (`plate_ratios`), and one multiplier
on the guessed efficiencies brings the map's own rating to the label. A low and a high set carry
the spread of what was guessed.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from energymodel.equipment.curves import Function, PerformanceMap
from energymodel.errors import EquipmentError
from energymodel.notices import Notice, UsedDefault
from energymodel.ratings.plate.calibration import ACCEPTED, MISS_QUESTIONED, Calibration
from energymodel.ratings.plate.facts import facts_of
from energymodel.ratings.plate.figures import figure
from energymodel.ratings.plate.grid import Grid
from energymodel.ratings.plate.guesses import guesses_of
from energymodel.ratings.plate.input import Plate
from energymodel.ratings.plate.metrics import Metric
from energymodel.ratings.plate.ratios import Case
from energymodel.ratings.plate.set import PlateSet, checked, plate_set
from energymodel.ratings.us.units import UsUnit


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PlateMap:
    """The maps behind a plate.

    Parameters
    ----------
    plate
        As given.
    likely, low, high
        Maps with likely guesses, and with guesses at the unfavourable and the favourable end; all
        three meet the label where there is one.
    ratings
        The maps' own figures by metric name, likely, in the metric's own unit.
    guessed
        What was not given: name, value with its range, source.
    notices
        Conversions, a wide multiplier, a missed label, doubtful points.
    """

    plate: Plate
    likely: PlateSet
    low: PlateSet
    high: PlateSet
    ratings: Mapping[str, float]
    guessed: tuple[UsedDefault, ...]
    notices: tuple[Notice, ...]

    @property
    def heating(self) -> PerformanceMap | None:
        """Likely heating map, steady: frost is not in it."""
        return self.likely.mapped.heating

    @property
    def cooling(self) -> PerformanceMap | None:
        """Likely cooling map."""
        return self.likely.mapped.cooling

    @property
    def unit(self) -> UsUnit:
        """Tests of the US procedures read off the likely maps."""
        return self.likely.unit

    @property
    def multiplier(self) -> Mapping[Function, float]:
        """Multiplier on the power of guessed points by function; 1: nothing was done."""
        found = {
            Function.HEATING: self.likely.heating_calibration,
            Function.COOLING: self.likely.cooling_calibration,
        }
        return {function: one.multiplier if one else 1.0 for function, one in found.items()}


def plate_map(plate: Plate) -> PlateMap:
    """Make the maps of a unit from its plate.

    Parameters
    ----------
    plate
        What is known.

    Returns
    -------
    PlateMap
        Maps, their figures, and what was guessed.

    Raises
    ------
    EquipmentError
        If a given point cannot be true, or if no unit of this kind has such a label.

    Notes
    -----
    Default ratios and order of steps: our choice, between the sources named beside each guess.
    Multipliers from 0.85 to 1.15 are accepted, wider ones reported; a label that no multiplier
    from 0.5 to 2 meets is refused where every efficiency was guessed, and reported otherwise.

    Examples
    --------
    >>> from energymodel.ratings.plate.input import INVERTER, Level, PlatePoint
    >>> from energymodel.ratings.plate.metrics import Label
    >>> made = plate_map(
    ...     Plate(
    ...         kind=INVERTER,
    ...         points=(
    ...             PlatePoint(
    ...                 function=Function.COOLING,
    ...                 level=Level.RATED,
    ...                 outdoor_c=35.0,
    ...                 capacity_w=3517.0,
    ...             ),
    ...         ),
    ...         heating_label=Label(metric=Metric.HSPF2, value=9.5),
    ...         cooling_label=Label(metric=Metric.SEER2, value=18.0),
    ...     )
    ... )
    >>> round(made.ratings["HSPF2"], 6), round(made.ratings["SEER2"], 6)
    (9.5, 18.0)
    """
    facts = {case: facts_of(plate, case) for case in Case}
    sets = {case: plate_set(facts[case]) for case in Case}
    likely = sets[Case.LIKELY]
    conversions = [
        note
        for function, grid in _grids(likely).items()
        if grid is not None and grid.guesses
        for note in facts[Case.LIKELY].notices[function]
    ]
    notices = [*conversions, *_on_labels(sets), *checked(likely)]
    return PlateMap(
        plate=plate,
        likely=likely,
        low=sets[Case.LOW],
        high=sets[Case.HIGH],
        ratings=_ratings(likely),
        guessed=guesses_of(plate, sets),
        notices=tuple(dict.fromkeys(notices)),
    )


def _ratings(done: PlateSet) -> dict[str, float]:
    """Figures of the maps; a figure that the procedure refuses for this unit is left out."""
    found: dict[str, float] = {}
    there = {Function.HEATING: done.mapped.heating, Function.COOLING: done.mapped.cooling}
    for metric in Metric:
        if there[metric.function] is None:
            continue
        try:
            found[metric.value] = figure(metric, done.mapped, done.declarations)
        except EquipmentError:
            if metric in {Metric.HSPF2, Metric.SEER2}:
                raise
    return found


def _on_labels(sets: Mapping[Case, PlateSet]) -> list[Notice]:
    notices: list[Notice] = []
    for function in Function:
        found = {case: _calibration(one, function) for case, one in sets.items()}
        likely = found[Case.LIKELY]
        if likely is None:
            continue
        grid = _grids(sets[Case.LIKELY])[function]
        guesses = grid is not None and grid.guesses
        all_guessed = grid is not None and not any(
            row.cop.given.any() for row in grid.rows.values()
        )
        notices += _on_label(function, likely, guesses=guesses, all_guessed=all_guessed)
        if likely.met and not all(one is None or one.met for one in found.values()):
            text = f"{likely.label}: an end of the spread cannot meet it and stays as guessed."
            notices.append(Notice(topic="label", text=text))
    return notices


def _grids(done: PlateSet) -> dict[Function, Grid | None]:
    return {Function.HEATING: done.heating_grid, Function.COOLING: done.cooling_grid}


def _calibration(done: PlateSet, function: Function) -> Calibration | None:
    heats = function is Function.HEATING
    return done.heating_calibration if heats else done.cooling_calibration


def _on_label(
    function: Function, found: Calibration, *, guesses: bool, all_guessed: bool
) -> list[Notice]:
    low, high = ACCEPTED
    if found.met and low <= found.multiplier <= high:
        return []
    if found.met:
        text = (
            f"{found.label} is met only with the guessed {function.value} powers times"
            f" {found.multiplier:.2f}; {low:g} to {high:g} is usual. Check label, class and points."
        )
        return [Notice(topic="label", text=text)]
    if all_guessed:
        raise EquipmentError(
            f"{found.label} cannot be met: the usual values give {found.before:.1f}, and within"
            " what physics allows no multiplier from 0.5 to 2 on their powers gives the label",
            remedy="check the label, its metric, the kind of unit and its part-load shape",
        )
    if abs(found.miss) <= MISS_QUESTIONED:
        return []
    why = "the guessed values cannot make up for it" if guesses else "nothing was guessed"
    text = (
        f"{found.label} is missed by {found.miss:+.1%}: the given points rate {found.reached:.2f},"
        f" and {why}. Check the points against the label."
    )
    return [Notice(topic="label", text=text)]
