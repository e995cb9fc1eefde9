"""The chart of units against the load: its message, rows, bars and line."""

from __future__ import annotations

import runpy
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from matplotlib.colors import to_hex
from matplotlib.text import Text

from energymodel.errors import InputError
from energymodel.report.figures import style
from energymodel.report.figures.fit_chart import fit_figure, fit_view, write_fit_chart
from energymodel.report.suitability.units import SiteUnits
from energymodel.study.suitability.suitability import Suitability, suitability
from energymodel.units import btu_h_from_w

ROOMS: Any = runpy.run_path(str(Path(__file__).with_name("suitability_rooms.py")))
US, SI = SiteUnits(us=True), SiteUnits(us=False)
UNITS = ("inverter-cold-climate-9", "inverter-standard-9", "window-8", "packaged-heat-pump-12")


@pytest.fixture(scope="module")
def demo() -> Suitability:
    return suitability(units=UNITS)


def texts(figure: Any) -> list[str]:
    return [one.get_text() for one in figure.findobj(Text) if one.get_text()]


def test_the_message_names_the_unit_that_fits_and_the_load(demo):
    # 9.5 kBtu/h at 15 F less gains: 7.8 kBtu/h (computed).
    assert fit_view(demo, US).title == "inverter-cold-climate-9 fits (load 7.8 kBtu/h)"
    assert fit_view(demo, SI).title == "inverter-cold-climate-9 fits (load 2.3 kW)"


def test_rows_are_sorted_by_full_output_and_units_without_heat_stand_first(demo):
    view = fit_view(demo, US)
    outputs = [one.design_output_w if one else -1.0 for one in view.columns[0].services]
    assert outputs == sorted(outputs)
    assert view.rows[0].candidate.key == "window-8"


def test_a_bar_runs_from_lowest_to_full_output_and_the_line_stands_at_the_load(demo):
    figure = fit_figure(demo, US)
    heating = figure.axes[0]
    fit = next(one for one in demo.fits if one.candidate.key == "inverter-standard-9")
    row = [one.candidate.key for one in fit_view(demo, US).rows].index("inverter-standard-9")
    bars = [
        line.get_xdata()
        for line in heating.lines
        if len(line.get_xdata()) == 2 and list(line.get_ydata()) == [row, row]
        and line.get_linewidth() > 1.0
    ]  # fmt: skip
    assert fit.heating is not None
    expected = [fit.heating.design_lowest_w, fit.heating.design_output_w]
    assert list(bars[0]) == pytest.approx([btu_h_from_w(w) / 1000.0 for w in expected])
    (line,) = [one for one in heating.lines if one.get_linestyle() == "--"]
    assert line.get_xdata()[0] == pytest.approx(btu_h_from_w(fit.heating.design_load_w) / 1000.0)
    assert heating.get_xlim()[0] == 0.0


def test_heating_is_green_and_cooling_blue_and_only_what_fits_is_filled(demo):
    figure = fit_figure(demo, US)
    for axes, colour in zip(figure.axes, (style.HEAT_PUMP, style.COOLING), strict=True):
        dots = [line for line in axes.lines if line.get_marker() == "o"]
        assert {to_hex(dot.get_markeredgecolor()) for dot in dots} == {colour.lower()}
        filled = {
            int(dot.get_ydata()[0]) for dot in dots
            if to_hex(dot.get_markerfacecolor()) == colour.lower()
        }  # fmt: skip
        fits = {i for i, fit in enumerate(fit_view(demo, US).rows) if fit.fits}
        assert filled == fits


def test_a_unit_that_stands_still_at_the_design_temperature_is_said_to(demo):
    assert texts(fit_figure(demo, US)).count("stands still") == 1


def test_every_unit_and_verdict_is_written_inside_the_figure(demo):
    figure = fit_figure(demo, US)
    shown = texts(figure)
    with style.house_style():
        figure.canvas.draw()
    for fit in demo.fits:
        assert fit.candidate.label in shown
        assert fit.verdict.value in shown
    wide, high = figure.get_size_inches() * figure.dpi
    for one in figure.texts:
        box = one.get_window_extent()
        assert box.x0 >= 0
        assert box.x1 <= wide
        assert box.y0 >= 0
        assert box.y1 <= high


def test_where_none_fits_the_nearest_is_named_and_drawn_full(tmp_path):
    room = ROOMS["DEMO_ROOM"].replace('"15 degF"', '"-12 degF"')
    found = suitability(ROOMS["write_cold"](tmp_path, room), units=UNITS)
    view = fit_view(found, US)
    assert view.title == "No unit of the list fits; inverter-cold-climate-9 is nearest"
    assert view.leading == {"inverter-cold-climate-9"}


def test_a_room_without_a_load_that_a_unit_serves_has_no_chart(demo):
    bare = replace(demo, fits=tuple(replace(fit, heating=None, cooling=None) for fit in demo.fits))
    with pytest.raises(InputError, match="no unit serves a load"):
        fit_figure(bare, US)


@pytest.mark.parametrize("ending", ["png", "svg"])
def test_it_is_written_as_a_picture(demo, tmp_path, ending):
    target = tmp_path / f"fit.{ending}"
    write_fit_chart(demo, target, US)
    assert target.stat().st_size > 5000


def test_the_load_of_the_sheet_stands_beside_the_load_after_gains(demo: Suitability) -> None:
    heating = fit_figure(demo, US).axes[0]
    told = [text.get_text() for text in heating.texts]
    # demo: 9.5 kBtu/h by the sheet, 9.5 x 45/55 after gains
    assert "load 7.8, by the sheet 9.5" in told
