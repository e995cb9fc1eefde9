"""The end of page two: what is left out, who decides, cautions, defaults, sources."""

from __future__ import annotations

from typing import Any

from energymodel import __version__
from energymodel.datafiles import read_table
from energymodel.notices import UsedDefault
from energymodel.report.cautions import cautions_for
from energymodel.report.handout.sheet import TEXT_LENGTH, Sheet, one_line, shortened

Part = dict[str, Any]
LOUD = ("savings", "claim", "payback", "seasonal COP", "units", "bills")
"""Topics of notices that a reader must see before relying on the page."""
_SOURCE_LENGTH = 170
_NOTE_LENGTH = 260


def notes(sheet: Sheet) -> list[str]:
    """Return the notices that bear on whether the page can be relied on.

    Parameters
    ----------
    sheet
        The page.

    Returns
    -------
    list of str
        As the program words them.
    """
    return [
        shortened(note.text, _NOTE_LENGTH)
        for note in sheet.comparison.notices
        if note.topic in LOUD
    ]


def lists(sheet: Sheet) -> list[Part]:
    """Return the lists at the end of page two.

    Parameters
    ----------
    sheet
        The page.

    Returns
    -------
    list of dict
        Each with its head and its texts.
    """
    applies = _applies(sheet)
    return [
        {"head": sheet.words.say("check.head"), "texts": list(sheet.words.texts("check.texts"))},
        {"head": sheet.words.say("left_out.head"), "texts": _left_out(sheet)},
        {"head": sheet.words.say("decides.head"), "texts": _decides(sheet, applies)},
        {"head": sheet.words.say("cautions.head"), "texts": _cautions(sheet, applies)},
    ]


def _applies(sheet: Sheet) -> set[str]:
    """Kinds of the cautions that the comparison calls for."""
    chosen = {caution.text for caution in cautions_for(sheet.comparison)}
    rows = read_table("cautions.csv")
    return {row["applies"].replace(" ", "_") for row in rows if row["text"] in chosen}


def _left_out(sheet: Sheet) -> list[str]:
    words = sheet.words
    texts = list(words.texts("left_out.texts"))
    upkeep = any(
        one.planned.table.upkeep or one.planned.table.service_costs
        for one in sheet.comparison.outcomes
    )
    if not upkeep:
        texts.append(words.say("left_out.no_upkeep"))
    if sheet.content.room.glazed:
        texts.append(words.say("left_out.glazed"))
    return texts


def _decides(sheet: Sheet, applies: set[str]) -> list[str]:
    words = sheet.words
    kinds = [kind for kind in ("heat_pump", "fuel") if kind in applies]
    texts = [text for kind in kinds for text in words.texts(f"decides.{kind}")]
    return [*words.texts("decides.texts"), *texts, words.say("decides.close")]


def _cautions(sheet: Sheet, applies: set[str]) -> list[str]:
    kinds = ("always", "short", "fuel", "electric", "heat_pump")
    chosen = [kind for kind in kinds if kind in applies]
    return [text for kind in chosen for text in sheet.words.texts(f"cautions.{kind}")]


_FIRST = (
    "in-service factor of heat pumps",
    "in-service factor of burners",
    "gains in the heating",
    "study period",
    "discount rate",
    "heat content",
)
"""Defaults that weigh most come first."""


def _place(default: UsedDefault) -> int:
    found = (number for number, start in enumerate(_FIRST) if default.name.startswith(start))
    return next(found, len(_FIRST))


def defaults(sheet: Sheet) -> Part:
    """Return the defaults that the run used.

    Parameters
    ----------
    sheet
        The page.

    Returns
    -------
    dict
        Head, a word on their language, texts as the program words them.
    """
    texts = [
        sheet.words.say(
            "defaults.entry",
            name=shortened(one.name, TEXT_LENGTH),
            value=shortened(one.value, TEXT_LENGTH),
            source=shortened(one.source, _NOTE_LENGTH),
        )
        for one in sorted(sheet.defaults, key=_place)
    ]
    return {
        "head": sheet.words.say("defaults.head"),
        "language": sheet.words.say("defaults.language") if texts else "",
        "texts": texts or [sheet.words.say("defaults.none")],
        "lang": "en" if texts else sheet.words.code,
    }


def sources(sheet: Sheet) -> Part:
    """Return where the data are from.

    Parameters
    ----------
    sheet
        The page.

    Returns
    -------
    dict
        Head and texts.
    """
    words, model = sheet.words, sheet.comparison.model
    source = one_line(model.weather.source).partition(" (")[0]
    return {
        "head": words.say("sources.head"),
        "texts": [
            words.say("sources.weather", source=shortened(source, _SOURCE_LENGTH)),
            words.say(
                "sources.program",
                version=__version__,
                file=shortened(model.scenario.path.name, TEXT_LENGTH // 3),
            ),
            words.say("sources.units"),
        ],
    }
