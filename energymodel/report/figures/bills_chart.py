"""Use per day against outdoor temperature, and later readings against what was expected."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from matplotlib.ticker import MaxNLocator

from energymodel.arrays import Array
from energymodel.building.fit_bands import CONFIDENCE
from energymodel.building.period_use import PeriodTemperatures
from energymodel.errors import InputError
from energymodel.new_file import PICTURES, check_new_file, new_file
from energymodel.report.figures.check_chart import check_height_in, draw_check
from energymodel.report.figures.comparison import MARGIN_IN, save_figure
from energymodel.report.figures.labels import Label, LabelSpace
from energymodel.report.figures.panel import Panel
from energymodel.report.figures.style import (
    BODY_PT,
    CONTEXT,
    COOLING,
    FUEL,
    HEAT_PUMP,
    LABEL_PT,
    MINUS,
    PAGE_HEIGHT_IN,
    PAGE_WIDTH_IN,
    SOFT,
    house_style,
)
from energymodel.report.house.units import figures, period_label, range_text
from energymodel.study.house.after_check import CheckedPeriods
from energymodel.study.house.billed_house import BilledHouse
from energymodel.study.house.from_bills import BillFit
from energymodel.units import f_from_c

if TYPE_CHECKING:
    from matplotlib.axes import Axes

_STEPS = 120
_AXIS_IN = 0.42
_UNIT_IN = 0.2
_LEFT_IN = 0.42
_RIGHT_IN = 0.1
_BEYOND_K = 1.0
_BETWEEN_IN = 0.25
_SIDES = ((0, 1), (1, 0), (-1, 0), (1, 1), (-1, 1), (1, -1), (-1, -1), (0, -1))


def bills_figure(house: BilledHouse, *, us: bool, checked: CheckedPeriods | None = None) -> Figure:
    """Draw the fit of a house, and under it the check of later readings.

    Parameters
    ----------
    house
        From its bills; not fitted through a heat pump.
    us
        US units, or SI.
    checked
        Later readings; None: only the fit.

    Returns
    -------
    Figure
        One chart or two.

    Raises
    ------
    InputError
        If the house was fitted through a heat pump: its kWh have no straight line to show.
    """
    if house.bills is None:
        raise InputError(
            "kWh of a heat pump have no straight line against temperature to draw",
            remedy="leave --chart out; draw the option with energymodel compare --out",
        )
    below_in = 0.0 if checked is None else check_height_in(checked) + _BETWEEN_IN
    height_in = PAGE_HEIGHT_IN + 0.25 + below_in
    with house_style():
        figure = Figure(figsize=(PAGE_WIDTH_IN, height_in))
        FigureCanvasAgg(figure)
        inside_in = PAGE_WIDTH_IN - 2.0 * MARGIN_IN
        top = Panel(
            figure=figure,
            left_in=MARGIN_IN,
            bottom_in=MARGIN_IN + below_in,
            width_in=inside_in,
            height_in=height_in - below_in - 2.0 * MARGIN_IN,
        )
        _draw_fit(top, house, house.bills, us=us)
        if checked is not None:
            bottom = Panel(
                figure=figure,
                left_in=MARGIN_IN,
                bottom_in=MARGIN_IN,
                width_in=inside_in,
                height_in=below_in - _BETWEEN_IN,
            )
            draw_check(bottom, checked)
    return figure


def fit_figure(bills: BillFit, *, us: bool) -> Figure:
    """Draw one fit: use per day against mean outdoor temperature.

    Parameters
    ----------
    bills
        Result of :func:`energymodel.fit_readings`.
    us
        Fahrenheit, or Celsius.

    Returns
    -------
    Figure
        Periods, fitted line and its band.
    """
    with house_style():
        figure = Figure(figsize=(PAGE_WIDTH_IN, PAGE_HEIGHT_IN + 0.25))
        FigureCanvasAgg(figure)
        panel = Panel(
            figure=figure,
            left_in=MARGIN_IN,
            bottom_in=MARGIN_IN,
            width_in=PAGE_WIDTH_IN - 2.0 * MARGIN_IN,
            height_in=PAGE_HEIGHT_IN + 0.25 - 2.0 * MARGIN_IN,
        )
        _draw_fit(panel, None, bills, us=us)
    return figure


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FitCurve:
    """The fitted line with its band, as drawn.

    Parameters
    ----------
    outdoor_c
        Mean temperatures, degC, shape (points,).
    likely, low, high
        Use per day in the meter's unit, shape (points,).
    """

    outdoor_c: Array
    likely: Array
    low: Array
    high: Array


def fit_curve(bills: BillFit) -> FitCurve:
    """Evaluate a fit against the mean temperature of a period.

    Parameters
    ----------
    bills
        Fit of a meter.

    Returns
    -------
    FitCurve
        A form that counts degrees day by day is drawn for the usual spread of days about their
        mean, that of all periods together, so that its corners are rounded.
    """
    temperatures = bills.fit.data.temperatures
    mean_c = temperatures.mean_c
    grid = np.linspace(mean_c.min() - _BEYOND_K, mean_c.max() + _BEYOND_K, _STEPS)
    about = (temperatures.samples_c - mean_c[:, None]).ravel()
    about = np.sort(about[~np.isnan(about)])
    usual = about if bills.fit.form.by_day else np.zeros(1)
    seen = PeriodTemperatures(samples_c=grid[:, None] + usual[None, :])
    resampled = bills.bands.resampled_use_per_day(seen)
    tails = [(1.0 - CONFIDENCE) / 2.0, (1.0 + CONFIDENCE) / 2.0]
    low, high = np.quantile(resampled, tails, axis=0) / bills.content.kwh_per_unit
    likely = bills.fit.use_per_day(seen) / bills.content.kwh_per_unit
    return FitCurve(
        outdoor_c=grid,
        likely=likely,
        low=np.minimum(low, likely),
        high=np.maximum(high, likely),
    )


def _draw_fit(panel: Panel, house: BilledHouse | None, bills: BillFit, *, us: bool) -> None:
    curve = fit_curve(bills)
    top_in = panel.heading(*_heading(house, bills, us=us))
    bottom_in = panel.caption(_caption(house, bills)) + _AXIS_IN
    axes = panel.axes(
        _LEFT_IN,
        bottom_in,
        panel.width_in - _LEFT_IN - _RIGHT_IN,
        top_in - bottom_in - _UNIT_IN,
    )
    shown = _shown(curve.outdoor_c, us=us)
    metered = bills.readings.per_day
    most = max(float(curve.high.max()), float(metered.max()))
    axes.set_xlim(float(shown[0]), float(shown[-1]))
    axes.set_ylim(min(0.0, float(curve.low.min())), 1.08 * most)
    axes.fill_between(shown, curve.low, curve.high, color=SOFT, linewidth=0.0, zorder=1)
    axes.plot(shown, curve.likely, color=_colour(bills), zorder=3)
    at = _shown(bills.fit.data.temperatures.mean_c, us=us)
    merged = np.array([period.merged > 0 for period in bills.readings.periods])
    for rows, face in ((~merged, "black"), (merged, "white")):
        axes.plot(at[rows], metered[rows], "o", color="black", mfc=face, ms=4.5, zorder=4)
    _finish(axes, bills, panel, (top_in, us))
    _labels(axes, bills, curve, us=us)


def _shown(values_c: Array, *, us: bool) -> Array:
    return np.asarray(f_from_c(values_c) if us else values_c)


def _colour(bills: BillFit) -> str:
    if bills.readings.meter.carrier != "electricity":
        return FUEL
    return COOLING if bills.fit.form.cooling and not bills.fit.form.heating else HEAT_PUMP


def _finish(axes: Axes, bills: BillFit, panel: Panel, place: tuple[float, bool]) -> None:
    top_in, us = place
    axes.yaxis.set_major_locator(MaxNLocator(nbins=5, steps=[1, 2, 2.5, 5, 10]))
    axes.xaxis.set_major_locator(MaxNLocator(nbins=8, steps=[1, 2, 5, 10]))
    axes.set_xlabel(f"Mean outdoor temperature of the period, {'°F' if us else '°C'}", loc="left")
    unit = bills.readings.meter.unit
    panel.text(0.0, top_in - 0.12, f"{unit} per day", size_pt=BODY_PT, colour=CONTEXT)


def _labels(axes: Axes, bills: BillFit, curve: FitCurve, *, us: bool) -> None:
    space = LabelSpace(axes=axes)
    at = _shown(bills.fit.data.temperatures.mean_c, us=us)
    space.avoid(at, bills.readings.per_day)
    space.avoid(_shown(curve.outdoor_c, us=us), curve.likely)
    order = np.argsort(-bills.readings.per_day)
    for one in order:
        period = bills.readings.periods[one]
        space.place(
            Label(
                lines=(period_label(period),),
                anchors=[(float(at[one]), float(bills.readings.per_day[one]))],
                sides=_SIDES,
                size_pt=LABEL_PT,
                colour="black",
                optional=True,
            )
        )
    _change_points(axes, bills, space, us=us)


def _change_points(axes: Axes, bills: BillFit, space: LabelSpace, *, us: bool) -> None:
    """Mark the temperatures at which heating and cooling begin, with their bands."""
    words = (
        ("heating begins", bills.bands.heating_change_c),
        ("cooling begins", bills.bands.cooling_change_c),
    )
    base = bills.fit.base_per_day / bills.content.kwh_per_unit
    for word, band in words:
        if band is None:
            continue
        ends = _shown(np.array([band.low, band.likely, band.high]), us=us)
        axes.plot(ends[[0, 2]], [base, base], color="black", linewidth=1.0, marker="|", ms=5.0)
        sign = "°F" if us else "°C"
        line = f"{word} at {ends[1]:.0f} {sign} ({ends[0]:.0f} to {ends[2]:.0f})"
        space.avoid(np.linspace(ends[0], ends[2], 9), np.full(9, base))
        space.place(
            Label(
                lines=(line,),
                anchors=[(float(ends[1]), base)],
                sides=((0, -1), (1, 1), (0, 1), (-1, -1)),
                size_pt=LABEL_PT,
                colour=CONTEXT,
            )
        )


def _heading(house: BilledHouse | None, bills: BillFit, *, us: bool) -> tuple[str, str]:
    fit = bills.fit
    facts = (
        f"{fit.form.name[0].upper()}{fit.form.name[1:]}, {len(bills.readings)} periods, CV(RMSE)"
        f" {fit.statistics.cv_rmse_pct:.1f} %, R\u00b2 {fit.statistics.r_squared:.3f}"
    )
    load = house.design_load_w if house is not None else None
    if house is None or load is None:
        base = bills.bands.base_per_day.times(1.0 / bills.content.kwh_per_unit)
        unit = bills.readings.meter.unit
        title = f"Base use of {bills.readings.meter.carrier}: {range_text(base, f'{unit} per day')}"
        return title, facts
    from energymodel.report.numbers import Display  # noqa: PLC0415 - tiny

    show = Display(us=us)
    band = load.times(show.heat_value(1000.0) / 1000.0)
    unit = "kBtu/h" if us else "kW"
    ends = f"{figures(band.low)} to {figures(band.high)}"
    at = show.temperature(house.design_c).replace("-", MINUS)
    return f"The house needs about {figures(band.likely)} {unit} at {at} ({ends})", facts


def _caption(house: BilledHouse | None, bills: BillFit) -> str:
    periods = bills.readings.periods
    parts = [
        f"Band: {CONFIDENCE:.0%} for the fitted line, from resampled periods; single readings"
        " scatter more."
    ]
    if any(period.merged for period in periods):
        parts.append("Open circles: estimated reads merged with the next actual one.")
    if bills.fit.form.by_day:
        parts.append("Line drawn for the usual spread of days about their mean.")
    if house is not None:
        site, source = house.years[0].site.name, house.years[0].source.partition(" (")[0]
        parts.append(f"Weather: {site}, {house.weather.label} ({source}).")
    return " ".join(parts)


def write_bills_chart(
    house: BilledHouse,
    path: Path,
    *,
    us: bool,
    replace: bool,
    checked: CheckedPeriods | None = None,
) -> None:
    """Write the chart of a house from its bills.

    Parameters
    ----------
    house
        From its bills.
    path
        Ends in .png or .svg.
    us
        US units, or SI.
    replace
        Whether a file that exists is replaced.
    checked
        Later readings to draw under it.

    Raises
    ------
    InputError
        If the file exists, its folder does not, or its ending is another one.
    """
    check_new_file(path, endings=PICTURES, replace=replace)
    with new_file(path) as part:
        save_figure(bills_figure(house, us=us, checked=checked), part)
