"""Sentences under a house from its bills: what to know, what was assumed, what to run next."""

from __future__ import annotations

import shlex
from collections.abc import Sequence
from pathlib import Path

from energymodel.meters.periods import REPAIR
from energymodel.notices import Notice
from energymodel.study.house.billed_house import BilledHouse

MOST_NOTICES = 4


def closing_lines(
    house: BilledHouse,
    written: Sequence[Path],
    *,
    details: bool,
    told: frozenset[str] = frozenset(),
) -> list[str]:
    """Return the lines under the answer.

    Parameters
    ----------
    house
        From its bills.
    written
        Files that were written.
    details
        Whether all notices and defaults are listed.
    told
        Sentences that were printed before.

    Returns
    -------
    list of str
        Notices, defaults, files, and what to run next.
    """
    notices = [note for note in house_notices(house) if note.text not in told]
    lines = ["", *(notice.text for notice in (notices if details else notices[:MOST_NOTICES]))]
    if details:
        lines += [f"Assumed: {default}" for default in house.used_defaults]
    else:
        more = len(notices) - MOST_NOTICES
        lines.append(
            f"Behind it: {_count(len(house.used_defaults), 'default')}"
            + (f" and {_count(more, 'more notice')}" if more > 0 else "")
            + "; --details lists them. An estimate: final selection by a qualified person."
        )
    lines += [f"Written: {path}" for path in written]
    scenario = next((path for path in written if path.suffix == ".toml"), None)
    if scenario is not None:
        lines.append(f"Next: energymodel compare {shlex.quote(str(scenario))}")
    return lines


def house_notices(house: BilledHouse) -> list[Notice]:
    """Return what the reader should know of a house.

    Parameters
    ----------
    house
        From its bills.

    Returns
    -------
    list of Notice
        Each once.
    """
    base = house.base.notices if house.base is not None else ()
    found = [*house.notices, *base, *_of_design(house)]
    loud = [note for note in found if note.topic == REPAIR]
    rest = [note for note in found if note.topic not in (REPAIR, "readings")]
    found = [*loud, *rest]
    return list(dict.fromkeys(found))


def _of_design(house: BilledHouse) -> list[Notice]:
    if house.facts.design_c is not None:
        return []
    text = (
        "The design temperature is taken from the weather of the readings (colder in 1 % of its"
        " hours); give the published one of the place with --design-temperature."
    )
    return [Notice(topic="design", text=text)]


def _count(number: int, noun: str) -> str:
    return f"{number} {noun}{'' if number == 1 else 's'}"
