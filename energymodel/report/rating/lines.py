"""Sentences under the ratings of a unit: the label, what was guessed, what to do next."""

from __future__ import annotations

from energymodel.ratings.plate.calibration import Calibration
from energymodel.study.rating.rate import Rated
from energymodel.study.rating.rated_unit import RatedUnit

MOST_LINES = 6


def closing_lines(rated: Rated, *, details: bool = False) -> list[str]:
    """Return the lines under the table, at most six.

    Parameters
    ----------
    rated
        The unit with its ratings.
    details
        Whether everything is listed below anyway.

    Returns
    -------
    list of str
        How the label was met, what was guessed, what is doubtful, what to run next.
    """
    unit = rated.unit
    lines = [*label_lines(unit), *_guess_lines(unit)]
    loud = [] if details else [note.text for note in unit.notices if note.topic != "efficiency"]
    room = MOST_LINES - len(lines) - 1
    shown = loud[: max(room - 1, 0)]
    rest = len(unit.notices) - len(shown)
    if rest > 0 and not details:
        shown.append(f"{rest} more notice{'s' if rest > 1 else ''}: add --details.")
    return [
        *lines,
        *shown,
        "A rating is no bill forecast. Your place: --place KEY; bins: --bins;"
        " values and sources: --details.",
    ]


def label_lines(unit: RatedUnit) -> list[str]:
    """Say how the label was met.

    Parameters
    ----------
    unit
        The unit.

    Returns
    -------
    list of str
        One line, or none without a plate.
    """
    if unit.plate is None:
        count = len(unit.guessed)
        what = "nothing" if count == 0 else f"{unit.guessed[0].name}"
        return [f"From the {unit.basis}; {what} was guessed."]
    found = (unit.plate.likely.heating_calibration, unit.plate.likely.cooling_calibration)
    parts = [_calibrated(one) for one in found if one is not None]
    if not parts:
        return ["Without a label the usual values stand as they are."]
    return ["; ".join(parts) + "."]


def _calibrated(one: Calibration) -> str:
    function = one.label.metric.function.value
    if not one.met:
        return f"{one.label} is missed by {one.miss:+.1%} ({one.reached:.2f})"
    if one.multiplier == 1.0:
        return f"{one.label} is met as it is"
    return f"{one.label} is met with guessed {function} powers times {one.multiplier:.2f}"


def _guess_lines(unit: RatedUnit) -> list[str]:
    if unit.plate is None:
        return []
    points = [one for one in unit.guessed if one.name.startswith(("heating, ", "cooling, "))]
    ranged = next((one for one in points if one.name == _WIDEST), None)
    example = f" Widest: {ranged.name} {ranged.value}." if ranged is not None else ""
    return [
        f"~ guessed ({len(points)} values from usual ratios), low to high: other guesses, same"
        f" label.{example}"
    ]


_WIDEST = "heating, full, 5 F, capacity"
