"""Native charts of the workbook in the house style."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import Enum
from typing import Any

from energymodel.report.figures.style import CONTEXT, SOFT
from energymodel.report.workbook.book import Book
from energymodel.report.workbook.page import Page

_FONT = "Arial"
_WIDE_PX, _HIGH_PX = 640, 335
"""About 6.5 x 3.4 inches, as the charts of the page."""


class ChartKind(Enum):
    """What kind of chart."""

    LINES = "line"
    COLUMNS = "column"
    BARS = "bar"


@dataclass(frozen=True, slots=True, kw_only=True)
class Series:
    """One series: blocks of cells by name.

    Parameters
    ----------
    name
        Cell with its name.
    categories, values
        Blocks of cells.
    colour
        Of the line or the bar; empty: the bar is not seen, but the axis reaches to its end.
    dash
        Of a line: "solid", "dash", "round_dot", "long_dash".
    marker
        Of a line: "none", "circle", ...
    pattern
        Of a bar; empty: plain.
    whiskers
        Blocks with what reaches above and below the value; empty: none.
    """

    name: str
    categories: str
    values: str
    colour: str
    dash: str = "solid"
    marker: str = "none"
    pattern: str = ""
    whiskers: tuple[str, ...] = ()

    def options(self, kind: ChartKind) -> dict[str, Any]:
        """Say it in the words of the writer.

        Parameters
        ----------
        kind
            Of the chart.

        Returns
        -------
        dict
            Options of a series.
        """
        made: dict[str, Any] = {
            "name": f"={self.name}",
            "categories": f"={self.categories}",
            "values": f"={self.values}",
        }
        if kind is ChartKind.LINES:
            made["line"] = {"color": self.colour, "width": 1.75, "dash_type": self.dash}
            made["marker"] = {
                "type": self.marker,
                "size": 5,
                "border": {"color": self.colour},
                "fill": {"color": "white"},
            }
            return made
        made |= {"fill": {"color": self.colour}, "border": {"color": "white"}, "gap": 45}
        if self.pattern:
            del made["fill"]
            made["pattern"] = {
                "pattern": self.pattern,
                "fg_color": "white",
                "bg_color": self.colour,
            }
        if not self.colour:  # there for its length alone
            made |= {"fill": {"none": True}, "border": {"none": True}}
        if kind is ChartKind.BARS:
            made["overlap"] = 100
        if self.whiskers:
            made["y_error_bars"] = {
                "type": "custom",
                "plus_values": f"={self.whiskers[0]}",
                "minus_values": f"={self.whiskers[1]}",
                "line": {"color": "black", "width": 1.25},
            }
        return made


@dataclass(frozen=True, slots=True, kw_only=True)
class ChartTexts:
    """Words on a chart.

    Parameters
    ----------
    title
        What is shown: a text, because not every program follows a title that is linked to a cell.
    across, up
        Titles of the axes, with units.
    beside
        Title of a second axis on the right.
    """

    title: str
    across: str = ""
    up: str = ""
    beside: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Plot:
    """A chart to add.

    Parameters
    ----------
    kind
        Of the series.
    series
        At least one.
    texts
        Words.
    stacked
        Whether bars stand on each other.
    beside
        Lines on a second axis.
    size_px
        Width and height.
    """

    kind: ChartKind
    series: Sequence[Series]
    texts: ChartTexts
    stacked: bool = False
    beside: Sequence[Series] = ()
    size_px: tuple[int, int] = (_WIDE_PX, _HIGH_PX)


def add_chart(book: Book, page: Page, at: tuple[int, int], plot: Plot) -> None:
    """Put a chart on a page.

    Parameters
    ----------
    book
        The workbook.
    page
        Where.
    at
        Row and column of its upper left corner.
    plot
        What it shows.
    """
    chart = book.writer.add_chart(_kind(plot.kind, stacked=plot.stacked))
    for one in plot.series:
        chart.add_series(one.options(plot.kind))
    if plot.beside:
        second = book.writer.add_chart({"type": ChartKind.LINES.value})
        for one in plot.beside:
            second.add_series({**one.options(ChartKind.LINES), "y2_axis": True})
        chart.combine(second)
        second.set_y2_axis(_axis(plot.texts.beside, grid=False))
    _dress(chart, plot)
    page.sheet.insert_chart(*at, chart, {"object_position": 3})


def _kind(kind: ChartKind, *, stacked: bool) -> dict[str, str]:
    return {"type": kind.value, "subtype": "stacked"} if stacked else {"type": kind.value}


def _dress(chart: Any, plot: Plot) -> None:
    bars = plot.kind is ChartKind.BARS
    title = {"name": _FONT, "size": 11, "bold": True, "color": "black"}
    chart.set_title({"name": plot.texts.title, "name_font": title, "overlay": False})
    across = _axis(plot.texts.across, grid=bars)
    up = {**_axis(plot.texts.up, grid=not bars), "num_format": "#,##0"}
    if bars:  # the values run across, the first category stands on top
        up = {**_axis("", grid=False), "reverse": True, "crossing": "max"}
        across = {**_axis(plot.texts.across, grid=True), "min": 0, "num_format": "#,##0"}
    else:
        across = {**across, "label_position": "low"}
    chart.set_x_axis(across)
    chart.set_y_axis(up)
    shown = sum(bool(one.colour) for one in (*plot.series, *plot.beside)) > 1
    small = {"font": {"name": _FONT, "size": 9}, "position": "bottom"}
    chart.set_legend(small if shown else {"none": True})
    chart.set_chartarea({"border": {"none": True}, "fill": {"color": "white"}})
    chart.set_plotarea({"fill": {"none": True}})
    wide, high = plot.size_px
    chart.set_size({"width": wide, "height": high})


def _axis(title: str, *, grid: bool) -> Mapping[str, Any]:
    small = {"name": _FONT, "size": 9}
    made: dict[str, Any] = {
        "num_font": {**small, "rotation": 0},
        "line": {"color": CONTEXT, "width": 0.75},
        "major_gridlines": {"visible": grid, "line": {"color": SOFT, "width": 0.5}},
    }
    if title:
        made |= {"name": title, "name_font": {**small, "bold": False}}
    return made
