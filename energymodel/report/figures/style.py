"""One look for all charts: the style sheet, colours by meaning, sizes."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass

from energymodel.datafiles import data_file
from energymodel.study.comparison.cost_parts import CostPart

COOLING = "#0072B2"
RESISTANCE = "#D55E00"
HEAT_PUMP = "#009E73"
FUEL = "#E69F00"
CONTEXT = "#6b6b6b"
SOFT = "#d9d9d9"
TEXT = "black"
"""Okabe and Ito's colours, published for colour-blind readers; the same thing has the same one
everywhere."""

PAGE_WIDTH_IN = 6.5
PAGE_HEIGHT_IN = 3.4
TITLE_PT = 10.0
BODY_PT = 8.0
LABEL_PT = 7.5
SMALL_PT = 6.2
MINUS = "\u2212"


@dataclass(frozen=True, slots=True, kw_only=True)
class Look:
    """How a part of a bar is drawn.

    Parameters
    ----------
    colour
        Of the area.
    hatch
        Pattern on it, so that a grey print can be read.
    ink
        Colour of text on the area.
    """

    colour: str
    hatch: str
    ink: str


LOOKS = {
    CostPart.HEAT_PUMP: Look(colour=HEAT_PUMP, hatch="", ink="black"),
    CostPart.RESISTANCE: Look(colour=RESISTANCE, hatch="////", ink="black"),
    CostPart.FUEL: Look(colour=FUEL, hatch="....", ink="black"),
    CostPart.COOLING: Look(colour=COOLING, hatch="----", ink="white"),
    CostPart.STANDING: Look(colour="#bdbdbd", hatch="", ink="black"),
}


@contextmanager
def house_style() -> Iterator[None]:
    """Draw and save in the house style, whatever the user's own settings are.

    Yields
    ------
    None
        Inside, matplotlib's settings are its defaults and the shipped style sheet.
    """
    import matplotlib as mpl  # noqa: PLC0415 - half a second that a run without charts saves

    sheet = mpl.rc_params_from_file(
        str(data_file("energymodel.mplstyle")), use_default_template=True
    )
    settings = {name: sheet[name] for name in sheet if name not in _NOT_STYLE}
    with mpl.rc_context(settings):
        yield


_NOT_STYLE = frozenset({"backend", "interactive", "toolbar", "webagg.port", "savefig.directory"})
