"""A rectangle of a figure measured in inches: heading, caption, axes, text that is known to fit."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING, Literal

from matplotlib.font_manager import FontProperties
from matplotlib.textpath import TextToPath

from energymodel.report.figures.style import BODY_PT, CONTEXT, SMALL_PT, TITLE_PT

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure
    from matplotlib.text import Text

POINTS_PER_INCH = 72.0
LINE_SPACING = 1.25
_RESERVE = 0.015
Weight = Literal["normal", "bold"]


@cache
def text_width_in(text: str, size_pt: float, weight: Weight = "normal") -> float:
    """Measure the width of one line of text.

    Parameters
    ----------
    text
        One line.
    size_pt
        Font size, points.
    weight
        Normal or bold.

    Returns
    -------
    float
        Inches.
    """
    font = FontProperties(size=size_pt, weight=weight)
    width, _, _ = TextToPath().get_text_width_height_descent(text, font, ismath=False)
    return float(width) / POINTS_PER_INCH


def wrapped(
    text: str, width_in: float, size_pt: float, *, weight: Weight = "normal", most_lines: int = 9
) -> list[str]:
    """Break a text into lines that fit a width.

    Parameters
    ----------
    text
        Words.
    width_in
        Room for a line, inches.
    size_pt
        Font size, points.
    weight
        Normal or bold.
    most_lines
        More lines than this are cut, with an ellipsis at the end.

    Returns
    -------
    list of str
        Lines; a single word that is too long is cut with an ellipsis.
    """
    room_in = width_in * (1.0 - _RESERVE)
    lines: list[str] = []
    for word in text.split():
        longer = f"{lines[-1]} {word}" if lines else word
        if lines and text_width_in(longer, size_pt, weight) <= room_in:
            lines[-1] = longer
        else:
            lines.append(word)
    if len(lines) > most_lines:
        lines = [*lines[: most_lines - 1], " ".join(lines[most_lines - 1 :])]
    return [_cut(line, room_in, size_pt, weight) for line in lines]


def _cut(line: str, width_in: float, size_pt: float, weight: Weight) -> str:
    if text_width_in(line, size_pt, weight) <= width_in:
        return line
    while line and text_width_in(line + "…", size_pt, weight) > width_in:
        line = line[:-1].rstrip()
    return line + "…"


def line_height_in(size_pt: float) -> float:
    """Distance between two lines of text.

    Parameters
    ----------
    size_pt
        Font size, points.

    Returns
    -------
    float
        Inches.
    """
    return size_pt * LINE_SPACING / POINTS_PER_INCH


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Panel:
    """A rectangle of a figure.

    Parameters
    ----------
    figure
        The figure.
    left_in, bottom_in, width_in, height_in
        Place and size, inches.
    """

    figure: Figure
    left_in: float
    bottom_in: float
    width_in: float
    height_in: float

    def axes(self, left_in: float, bottom_in: float, width_in: float, height_in: float) -> Axes:
        """Add axes.

        Parameters
        ----------
        left_in, bottom_in, width_in, height_in
            Place inside the panel and size, inches.

        Returns
        -------
        Axes
            Empty axes.
        """
        across, up = self.figure.get_size_inches()
        return self.figure.add_axes(
            (
                (self.left_in + left_in) / across,
                (self.bottom_in + bottom_in) / up,
                width_in / across,
                height_in / up,
            )
        )

    def text(
        self,
        x_in: float,
        y_in: float,
        text: str,
        *,
        size_pt: float,
        weight: Weight = "normal",
        colour: str = "black",
    ) -> Text:
        """Write one line; the place is its lower left corner on the base line.

        Parameters
        ----------
        x_in, y_in
            Place inside the panel, inches.
        text
            One line.
        size_pt
            Font size, points.
        weight
            Normal or bold.
        colour
            Of the text.

        Returns
        -------
        Text
            What was written.
        """
        across, up = self.figure.get_size_inches()
        return self.figure.text(
            (self.left_in + x_in) / across,
            (self.bottom_in + y_in) / up,
            text,
            fontsize=size_pt,
            fontweight=weight,
            color=colour,
            ha="left",
            va="baseline",
        )

    def heading(self, title: str, subtitle: str) -> float:
        """Write the message and the facts under it.

        Parameters
        ----------
        title
            The message of the chart.
        subtitle
            Facts behind it; may be empty.

        Returns
        -------
        float
            Height that is left below, inches.
        """
        y_in = self.height_in
        for line in _title_lines(title, self.width_in):
            y_in -= line_height_in(TITLE_PT)
            self.text(0.0, y_in, line, size_pt=TITLE_PT, weight="bold")
        y_in -= 0.02
        for line in _subtitle_lines(subtitle, self.width_in):
            y_in -= line_height_in(BODY_PT)
            self.text(0.0, y_in, line, size_pt=BODY_PT, colour=CONTEXT)
        return self.height_in - heading_height_in(title, subtitle, self.width_in)

    def caption(self, text: str) -> float:
        """Write source and conditions in small type at the bottom.

        Parameters
        ----------
        text
            Sentences.

        Returns
        -------
        float
            Height that it takes, inches.
        """
        lines = _caption_lines(text, self.width_in)
        step = line_height_in(SMALL_PT)
        for index, line in enumerate(reversed(lines)):
            self.text(0.0, 0.03 + index * step, line, size_pt=SMALL_PT, colour=CONTEXT)
        return caption_height_in(text, self.width_in)


def _title_lines(title: str, width_in: float) -> list[str]:
    return wrapped(title, width_in, TITLE_PT, weight="bold", most_lines=2)


def _subtitle_lines(subtitle: str, width_in: float) -> list[str]:
    return wrapped(subtitle, width_in, BODY_PT, most_lines=2)


def _caption_lines(text: str, width_in: float) -> list[str]:
    return wrapped(text, width_in, SMALL_PT, most_lines=4)


def heading_height_in(title: str, subtitle: str, width_in: float) -> float:
    """Height of a message with the facts under it.

    Parameters
    ----------
    title, subtitle
        As in :meth:`Panel.heading`.
    width_in
        Width of the panel, inches.

    Returns
    -------
    float
        Inches.
    """
    titles, subtitles = _title_lines(title, width_in), _subtitle_lines(subtitle, width_in)
    return len(titles) * line_height_in(TITLE_PT) + len(subtitles) * line_height_in(BODY_PT) + 0.1


def caption_height_in(text: str, width_in: float) -> float:
    """Height of the small type at the bottom.

    Parameters
    ----------
    text
        As in :meth:`Panel.caption`.
    width_in
        Width of the panel, inches.

    Returns
    -------
    float
        Inches.
    """
    return 0.03 + len(_caption_lines(text, width_in)) * line_height_in(SMALL_PT)
