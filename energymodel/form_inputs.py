"""What a reader fills in: numbers with and without a slider, options, texts, in labelled rows."""

from __future__ import annotations

from html import escape
from typing import Any

import ipywidgets as widgets  # type: ignore[import-untyped]

from energymodel.scenario.files import Scenario
from energymodel.scenario.form_fields import NumberField
from energymodel.scenario.form_options import OptionChoice, OptionField

Widget = Any
"""ipywidgets has no types."""

TEXTS = {
    "title": "title",
    "room.name": "the room",
    "handout.prepared_for": "prepared for",
    "handout.prepared_by": "prepared by",
}
"""Texts of the page by path of the scenario, with their labels."""
_SLID = ("energy", "design_load")
_DIGITS = 9


class NumberInput:
    """A number that is typed, with a slider beside it where its scale is known.

    What is typed stays as it is typed: the slider stands at the nearest of its steps, and only a
    movement of its own changes the number.

    Parameters
    ----------
    field
        The number.
    """

    def __init__(self, field: NumberField) -> None:
        self.text = widgets.FloatText(value=field.value, step=None, layout=fill())
        self.slider: Widget = None
        self.box: Widget = self.text
        if field.path.endswith(_SLID):
            self._add_slider(field)

    def _add_slider(self, field: NumberField) -> None:
        self.text.layout = fixed("72px")
        self.slider = widgets.FloatSlider(
            min=0.0,
            max=field.highest,
            step=field.step,
            readout=False,
            layout=fill(),
        )
        self._slider_follows()
        self.text.observe(self._slider_follows, "value")
        self.slider.observe(self._text_follows, "value")
        self.box = widgets.HBox([self.slider, self.text], layout=fill())

    def _nearest(self) -> float:
        """Step of the slider that is nearest to the typed number."""
        inside = min(max(float(self.text.value), 0.0), float(self.slider.max))
        step = float(self.slider.step)
        return round(round(inside / step) * step, _DIGITS)

    def _slider_follows(self, _: object = None) -> None:
        self.slider.value = self._nearest()

    def _text_follows(self, _: object) -> None:
        # The browser reports back, in its own rounding, where the slider was put.
        if abs(self.slider.value - self._nearest()) > self.slider.step / 2.0:
            self.text.value = round(self.slider.value, _DIGITS)


class OptionRow:
    """One option: take it or leave it, size or fuel, installed cost.

    Parameters
    ----------
    field
        The option.
    """

    def __init__(self, field: OptionField) -> None:
        self.field = field
        sizes = [(size.label, size.unit) for size in field.sizes] or [("", "")]
        size = next(label for label, unit in sizes if unit == field.unit)
        name = field.name.removesuffix(f", {size}")
        self.included = widgets.Checkbox(value=True, description=name, indent=False, layout=fill())
        self.included.add_class("energymodel-option")
        self.unit = widgets.Dropdown(options=sizes, value=field.unit, layout=fixed("104px"))
        self.fuel = widgets.Dropdown(
            options=list(field.fuels) or [""], value=field.fuel, layout=fixed("104px")
        )
        self.cost = widgets.FloatText(value=field.installed_cost, step=100, layout=fixed("84px"))
        self.widgets = (self.included, self.unit, self.fuel, self.cost)
        chosen = self.fuel if field.fuels else self.unit
        if not (field.sizes or field.fuels):
            chosen.layout.visibility = "hidden"
        self.box = widgets.HBox(
            [self.included, chosen, self.cost], layout=widgets.Layout(align_items="center")
        )

    def choice(self) -> OptionChoice:
        """Tell what is chosen now.

        Returns
        -------
        OptionChoice
            As it stands in the row.
        """
        return OptionChoice(
            field=self.field,
            included=self.included.value,
            installed_cost=self.cost.value,
            unit=self.unit.value,
            fuel=self.fuel.value,
        )


def text_input(scenario: Scenario, path: str) -> Widget:
    """Make a field for a text of the page.

    Parameters
    ----------
    scenario
        What the form begins with.
    path
        One of :data:`TEXTS`.

    Returns
    -------
    ipywidgets.Text
        With the scenario's own text in it.
    """
    content = scenario.content
    begun = {
        "title": content.title,
        "room.name": content.room.name,
        "handout.prepared_for": content.handout.prepared_for,
        "handout.prepared_by": content.handout.prepared_by,
    }
    return widgets.Text(value=begun[path], layout=fill())


def present_input(names: tuple[str, ...], scenario: Scenario) -> Widget:
    """Make the choice of what is there now.

    Parameters
    ----------
    names
        Options of the form.
    scenario
        What the form begins with.

    Returns
    -------
    ipywidgets.Dropdown
        Its value is a name; empty: nothing.
    """
    now = next((table.name for table in scenario.content.option if table.present), "")
    choices = [("nothing", ""), *((name, name) for name in names)]
    return widgets.Dropdown(options=choices, value=now, layout=fill())


def fill() -> Widget:
    """Lay a widget out over the room that is left.

    Returns
    -------
    ipywidgets.Layout
        Growing and shrinking.
    """
    return widgets.Layout(flex="1 1 auto", width="auto", min_width="0")


def fixed(width: str) -> Widget:
    """Lay a widget out in a width of its own.

    Parameters
    ----------
    width
        Such as "84px".

    Returns
    -------
    ipywidgets.Layout
        Neither growing nor shrinking.
    """
    return widgets.Layout(flex=f"0 0 {width}", width=width)


def row(label: str, widget: Widget, unit: str) -> Widget:
    """Put a label before a widget and a unit behind it.

    Parameters
    ----------
    label
        May be empty.
    widget
        What is filled in.
    unit
        May be empty.

    Returns
    -------
    ipywidgets.HBox
        One line.
    """
    parts = [widgets.Label(label, layout=fixed("116px")), widget]
    if unit:
        parts.append(widgets.Label(unit, layout=fixed("84px")))
    return widgets.HBox(parts, layout=widgets.Layout(align_items="center"))


def head(text: str, small: str = "") -> Widget:
    """Write the heading of a group.

    Parameters
    ----------
    text
        In bold.
    small
        Behind it, small.

    Returns
    -------
    ipywidgets.HTML
        One line.
    """
    more = f' <span style="font-weight:400;font-size:12px">{escape(small)}</span>' if small else ""
    return widgets.HTML(f'<b style="font-size:14px">{escape(text)}</b>{more}')
