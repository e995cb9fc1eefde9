"""The form of one room: place, room, prices and options in, yearly costs and a page out."""

from __future__ import annotations

import asyncio
import io
from collections.abc import Callable
from pathlib import Path

import ipywidgets as widgets  # type: ignore[import-untyped]
from matplotlib.figure import Figure

from energymodel.datafiles import data_file
from energymodel.errors import EnergyModelError, InputError
from energymodel.form_inputs import (
    TEXTS,
    NumberInput,
    OptionRow,
    Widget,
    fill,
    head,
    present_input,
    row,
    text_input,
)
from energymodel.report.figures.comparison import DOTS_PER_INCH, capacity_figure
from energymodel.report.figures.style import house_style
from energymodel.report.free_name import free_name
from energymodel.report.live_view import STYLE, LiveView, fault_html, link_html, live_html
from energymodel.report.numbers import Display
from energymodel.scenario.changes import changed
from energymodel.scenario.files import Scenario, read_scenario
from energymodel.scenario.form_fields import (
    number_changes,
    place_choices,
    price_fields,
    room_fields,
)
from energymodel.scenario.form_options import option_changes, option_fields
from energymodel.study.comparison.amounts import SIGNS
from energymodel.study.comparison.compare import compare
from energymodel.study.comparison.cost_range import cost_ranges
from energymodel.study.comparison.outcome import Comparison, Outcome

QUIET_S = 0.3
"""The chart, which takes longer than the numbers, is drawn when no input changed for this long."""
START = ("examples", "customer-room.toml")
_INPUTS_WIDTH = "424px"
_SHARPNESS = 0.75


def form(scenario: Scenario | str | Path | None = None, *, folder: str | Path = ".") -> Widget:
    """Make the form that a notebook shows.

    Parameters
    ----------
    scenario
        What it begins with: a scenario, the path of its file, or None for an invented room.
    folder
        Where the page is written.

    Returns
    -------
    ipywidgets.Widget
        The form with its results; as the last line of a cell it is shown.

    Raises
    ------
    EnergyModelError
        If the scenario cannot be used.
    """
    if not isinstance(scenario, Scenario):
        scenario = read_scenario(data_file(*START) if scenario is None else scenario)
    return RoomForm(scenario, folder=Path(folder)).box


class RoomForm:
    """Inputs of one scenario, and results that follow them.

    Parameters
    ----------
    scenario
        What the form begins with; it is never changed, only copied with changes.
    folder
        Where the page is written.
    """

    def __init__(self, scenario: Scenario, *, folder: Path) -> None:
        self.scenario = scenario
        self.folder = folder
        self.comparison: Comparison | None = None
        self.numbers = (*room_fields(scenario), *price_fields(scenario))
        self.place = widgets.Dropdown(options=place_choices(scenario), layout=fill())
        self.place.value = scenario.content.place.weather
        self.typed = {field.path: NumberInput(field) for field in self.numbers}
        self.inputs = {path: number.text for path, number in self.typed.items()}
        self.options = {field.name: OptionRow(field) for field in option_fields(scenario)}
        self.present = present_input(tuple(self.options), scenario)
        self.texts = {path: text_input(scenario, path) for path in TEXTS}
        self.file = widgets.Text(value="room.pdf", layout=fill())
        self.button = widgets.Button(
            description="Write the page (PDF)",
            button_style="primary",
            layout=widgets.Layout(width="auto"),
        )
        self.fault, self.result = widgets.HTML(), widgets.HTML()
        self.charted = widgets.Dropdown(options=[("", "")], layout=fill())
        self.chart = widgets.Image(format="png", layout=widgets.Layout(width="100%"))
        self.written = widgets.Output()
        self._drawn: object = None
        self._timer: asyncio.TimerHandle | None = None
        self.box = self._laid_out()
        for widget in self._watched():
            widget.observe(self._follow, "value")
        self.charted.observe(self._chart_later, "value")
        self.button.on_click(self._write)
        self._follow()

    def _watched(self) -> list[Widget]:
        rows = [widget for option in self.options.values() for widget in option.widgets]
        return [self.place, self.present, *self.inputs.values(), *rows]

    # What goes in.

    def changes(self) -> dict[str, object]:
        """List what was changed, numbers and choices.

        Returns
        -------
        dict
            New values by path of the scenario.
        """
        values = {path: widget.value for path, widget in self.inputs.items()}
        found = number_changes(self.numbers, values)
        for field in price_fields(self.scenario):
            if field.path in found:
                found[field.path.removesuffix("energy") + "source"] = "as entered"
        if self.place.value != self.scenario.content.place.weather:
            found |= {"place.weather": self.place.value, "place.table": None, "place.name": ""}
        choices = [option.choice() for option in self.options.values()]
        return found | option_changes(self.scenario, choices, present=self.present.value)

    def _texts(self) -> dict[str, object]:
        return {path: widget.value.strip() for path, widget in self.texts.items()}

    # What comes out.

    def _follow(self, _: object = None) -> None:
        """Compare again; a fault leaves the last result in place, greyed."""
        good = False
        try:
            comparison = compare(changed(self.scenario, self.changes()))
            ranges = cost_ranges(comparison)
            us = comparison.model.scenario.content.units == "us"
            self.result.value = live_html(LiveView(comparison=comparison, ranges=ranges, us=us))
            self.comparison, self.fault.value, good = comparison, "", True
        except EnergyModelError as error:
            self.fault.value = fault_html(error)
            return
        finally:
            self._mark(good=good)
        self._offer_charts(comparison)
        self._chart_later()

    def _mark(self, *, good: bool) -> None:
        """Grey what is out of date."""
        self.button.disabled = not good
        for widget in (self.result, self.chart):
            (widget.remove_class if good else widget.add_class)("energymodel-old")

    def _offer_charts(self, comparison: Comparison) -> None:
        names = [one.name for one in comparison.outcomes if _has_output(one)]
        offered = [(_usual_label(comparison), ""), *((name, name) for name in names)]
        if tuple(offered) != tuple(self.charted.options):
            kept = self.charted.value
            self.charted.options = offered
            self.charted.value = kept if kept in names else ""

    def _chart_later(self, _: object = None) -> None:
        """Draw the chart when the inputs rest."""
        if self._timer is not None:
            self._timer.cancel()
        self._timer = _later(QUIET_S, self._draw)

    def _draw(self) -> None:
        """Draw load and output of the chosen option, if anything in the chart changed."""
        outcome = self._charted_outcome()
        if self.comparison is None or outcome is None:
            self.chart.layout.display = "none"
            return
        content, table = self.comparison.model.scenario.content, outcome.planned.table
        key = (outcome.name, content.room, content.place, table.heating, table.cooling)
        if key == self._drawn:
            self.chart.layout.display = None
            return
        try:
            figure = capacity_figure(self.comparison, outcome, Display(us=content.units == "us"))
        except InputError:  # the room has no load for it
            self.chart.layout.display = "none"
            return
        # In a second step, so that an input that changed meanwhile comes first.
        self._timer = _later(0.0, lambda: self._show_chart(figure, key))

    def _show_chart(self, figure: Figure, key: object) -> None:
        picture = io.BytesIO()
        with house_style():
            figure.savefig(picture, format="png", dpi=_SHARPNESS * DOTS_PER_INCH)
        self.chart.value, self.chart.layout.display = picture.getvalue(), None
        self._drawn = key

    def _charted_outcome(self) -> Outcome | None:
        """Option that was picked, else the cheapest one that has such a chart."""
        comparison = self.comparison
        if comparison is None:
            return None
        wanted = [one for one in comparison.outcomes if one.name == self.charted.value]
        return wanted[0] if wanted and _has_output(wanted[0]) else _usual(comparison)

    def _write(self, _: object = None) -> None:
        """Write the page for what stands in the form now."""
        from energymodel.report.handout.handout import write_handout  # noqa: PLC0415 - typst is slow

        self.button.disabled, self.button.description = True, "Writing..."
        try:
            path = free_name(self.folder / _file_name(self.file.value))
            comparison = compare(changed(self.scenario, self.changes() | self._texts()))
            us = comparison.model.scenario.content.units == "us"
            write_handout(comparison, path, us=us, replace=False)
        except (EnergyModelError, OSError) as error:
            self._say(fault_html(error))
        else:
            self._say(link_html(path))
        finally:
            self.button.disabled, self.button.description = False, "Write the page (PDF)"

    def _say(self, html: str) -> None:
        # Only an output, not a widget of HTML, has its links opened by JupyterLab.
        shown = {"output_type": "display_data", "metadata": {}, "data": {"text/html": html}}
        self.written.outputs = (shown,)

    # How it looks.

    def _laid_out(self) -> Widget:
        inputs = widgets.VBox(self._groups(), layout=widgets.Layout(
            flex=f"0 0 {_INPUTS_WIDTH}", width=_INPUTS_WIDTH, overflow="hidden"))  # fmt: skip
        chart = row("Load, output of", self.charted, "")
        results = widgets.VBox(
            [self.fault, self.result, chart, self.chart],
            layout=widgets.Layout(flex="1 1 520px", min_width="520px", max_width="780px"),
        )
        across = widgets.Layout(flex_flow="row wrap", align_items="flex-start", grid_gap="28px")
        box = widgets.Box([inputs, results], layout=across)
        whole = widgets.VBox([widgets.HTML(STYLE), box])
        whole.add_class("energymodel-form")
        return whole

    def _groups(self) -> list[Widget]:
        room = [row(field.label, self.typed[field.path].box, field.unit)
                for field in room_fields(self.scenario)]  # fmt: skip
        sign = _sign(self.scenario)
        prices = [row(field.label, self.typed[field.path].box, f"{sign} {field.unit}")
                  for field in price_fields(self.scenario)]  # fmt: skip
        page = [row(label, self.texts[path], "") for path, label in TEXTS.items()]
        return [
            head("Place", "whose weather is used"),
            widgets.HBox([self.place]),  # names of places are long
            head("Room"),
            *room,
            head("Prices", "of the last unit on the bill"),
            *prices,
            head("Options", f"size of the unit or fuel, installed cost in {sign}"),
            *(option.box for option in self.options.values()),
            row("there now", self.present, ""),
            head("Page"),
            *page,
            row("file", self.file, ""),
            row("", self.button, ""),
            self.written,
        ]


def _later(wait_s: float, do: Callable[[], None]) -> asyncio.TimerHandle | None:
    """Do something after a while; at once where no event loop runs."""
    try:
        loop = asyncio.get_running_loop()
    except RuntimeError:
        do()
        return None
    return loop.call_later(wait_s, do)


def _sign(scenario: Scenario) -> str:
    return SIGNS.get(scenario.content.currency, scenario.content.currency)


def _usual(comparison: Comparison) -> Outcome | None:
    """Find the cheapest option that has a chart of its output, those that carry the load first."""
    there = [one for one in comparison.outcomes if _has_output(one)]
    return min(there, key=lambda one: (not one.carries, one.like_cost), default=None)


def _usual_label(comparison: Comparison) -> str:
    """Say which option is drawn where none was picked, and why."""
    usual = _usual(comparison)
    if usual is None:
        return "none has such a chart"
    why = "lowest yearly cost"
    if usual is not comparison.cheapest:
        why = "least costly of such units"
    return f"{usual.name} ({why})"


def _has_output(outcome: Outcome) -> bool:
    built = (outcome.planned.heating, outcome.planned.cooling)
    return any(one is not None and one.unit is not None for one in built)


def _file_name(text: str) -> str:
    name = text.strip() or "room.pdf"
    if Path(name).name != name or not name.isprintable():
        raise InputError(f"{name!r} is not a file name", expected="a name such as room.pdf")
    return name if name.lower().endswith(".pdf") else f"{name}.pdf"
