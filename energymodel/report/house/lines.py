"""Sentences under a house from its bills: what to know, what was assumed, what to run next."""

from __future__ import annotations

import shlex
from collections.abc import Sequence
from pathlib import Path

from energymodel.meters.periods import REPAIR
from energymodel.notices import Notice
from energymodel.report.house.units import BillsDisplay
from energymodel.scenario.heat_pump_kind import IN_SERVICE_LIKELY
from energymodel.study.house.billed_house import BilledHouse
from energymodel.study.house.from_bills import FROM_A_BALANCE
from energymodel.study.house.hourly_line import hourly_excess
from energymodel.study.house.load_slips import SLIP
from energymodel.study.house.period_weather import temperatures_of_hours

MOST_NOTICES = 4
_TOLD = (SLIP, FROM_A_BALANCE)
"""Topics that stand under the headline, or with the form, already."""


def closing_lines(
    house: BilledHouse,
    written: Sequence[Path],
    show: BillsDisplay,
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
    show
        Units.
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
        lines += by_hour_lines(house, show)
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
    every = (*house.notices, *base, *_of_design(house))
    found = [note for note in every if note.topic not in _TOLD]
    loud = [note for note in found if note.topic == REPAIR]
    rest = [note for note in found if note.topic not in (REPAIR, "readings")]
    found = [*loud, *rest]
    return list(dict.fromkeys(found))


def known_line(house: BilledHouse) -> str:
    """Say what stands between the meter and the load, and what of it was assumed.

    Parameters
    ----------
    house
        From its bills.

    Returns
    -------
    str
        One sentence; empty where the meter shows no heating.
    """
    if house.heating is None:
        return ""
    words = known_words(house)
    known = house.facts.heating
    if house.facts.heat_pump is not None or known is None:
        return f"With {words}"
    line = f"With {words}: {known.useful:.0%} of the metered heating reaches the rooms"
    options = [
        name
        for name, assumed in (
            ("--efficiency", known.efficiency_assumed),
            ("--ducts", known.ducts_assumed),
        )
        if assumed
    ]
    if not options:
        return line
    return f"{line}; the load goes with it, so give {' and '.join(options)}"


def by_hour_lines(house: BilledHouse, show: BillsDisplay) -> list[str]:
    """Say how the line of the daily means becomes one of the hours.

    Parameters
    ----------
    house
        From its bills.
    show
        Units.

    Returns
    -------
    list of str
        One sentence, or none where the fit counted hours.
    """
    if house.heating is None or house.heating_by_hour is None or house.bills is None:
        return []
    fitted, by_hour = house.heating.line, house.heating_by_hour.line
    excess = hourly_excess(
        house.heating,
        house.bills.fit.form,
        days=house.bills.fit.data.temperatures,
        hours=temperatures_of_hours(house.readings, house.weather),
    )
    return [
        "The line above counts degrees as the form does; taken hour by hour it would give"
        f" {excess:+.1%} heat over the metered days, because mild days have cold hours. A scenario"
        " (--out) and a check of a new system (--check) go by the hour: their line has the same"
        f" design load and begins at {show.temperature(by_hour.balance_c):.1f} {show.degree},"
        f" not {show.temperature(fitted.balance_c):.1f}, which gives the heat of the fit."
    ]


def known_words(house: BilledHouse) -> str:
    """Say which efficiency and ducts stand between the meter and the load.

    Parameters
    ----------
    house
        From its bills.

    Returns
    -------
    str
        Each value, and whether it was assumed.
    """
    if house.facts.heat_pump is not None:
        ducts = house.facts.heat_pump.duct_efficiency
        return f"the map of {house.facts.heat_pump.unit} in service at {IN_SERVICE_LIKELY:.2f}" + (
            " (assumed), no ducts" if ducts is None else f" (assumed), ducts {ducts:.2f}"
        )
    known = house.facts.heating
    if known is None:
        return "no efficiency known"
    efficiency = f"efficiency {known.efficiency:.2f}"
    ducts_are = (
        "no duct loss" if known.duct_efficiency == 1.0 else f"ducts {known.duct_efficiency:.2f}"
    )
    return (
        f"{efficiency}{' (assumed)' if known.efficiency_assumed else ''}, {ducts_are}"
        f"{' (assumed)' if known.ducts_assumed else ''}"
    )


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
