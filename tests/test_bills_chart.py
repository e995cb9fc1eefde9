"""Charts of a house from its bills: what is drawn and what it says."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from matplotlib.collections import FillBetweenPolyCollection
from matplotlib.figure import Figure

from energymodel.datafiles import data_file
from energymodel.errors import InputError
from energymodel.meters.reading_files import read_house_readings
from energymodel.report.figures.bills_chart import (
    bills_figure,
    fit_curve,
    fit_figure,
    write_bills_chart,
)
from energymodel.study.house.after_check import CheckedPeriods, check_unchanged
from energymodel.study.house.bill_load import MeteredSystem
from energymodel.study.house.billed_house import BilledHouse, HouseFacts, billed_house
from energymodel.study.house.installed_check import Verdict
from energymodel.study.house.period_weather import temperatures_of_days
from energymodel.weather.library import shipped_year


@pytest.fixture(scope="module")
def house() -> BilledHouse:
    facts = HouseFacts(
        heating=MeteredSystem(efficiency=0.80, duct_efficiency=0.85, uncertainty=0.05),
        cooling=MeteredSystem(efficiency=3.0),
        design_c=-10.0,
    )
    folder = data_file("examples", "gas-bills.csv").parent
    return billed_house(read_house_readings([folder]), [shipped_year("newark-nj-2013")], facts)


@pytest.fixture(scope="module")
def checked(house: BilledHouse) -> CheckedPeriods:
    """Gas after a change that takes a third off in winter and adds a little in summer."""
    assert house.bills is not None
    winter = house.bills.fit.data.temperatures.mean_c < 10.0
    periods = tuple(
        replace(period, amount=period.amount * (0.6 if cold else 1.3))
        for period, cold in zip(house.readings.periods, winter, strict=True)
    )
    after = replace(house.readings, periods=periods)
    return check_unchanged(house.bills, after, house.weather, given_heat_content=None)


def words(figure: Figure) -> list[str]:
    return [text.get_text() for text in [*figure.texts, *figure.axes[0].texts]]


def test_the_title_is_the_load_with_its_range_and_the_subtitle_the_fit(house: BilledHouse) -> None:
    texts = words(bills_figure(house, us=True))
    load = house.design_load_w
    assert load is not None
    assert texts[0].startswith("The house needs about 13.2 kBtu/h at 14 °F (")
    assert any("11 periods, CV(RMSE)" in text for text in texts)
    assert "kW at \u221210.0 °C" in words(bills_figure(house, us=False))[0]


def test_every_period_is_drawn_and_named_and_merged_ones_are_open(house: BilledHouse) -> None:
    figure = bills_figure(house, us=True)
    axes = figure.axes[0]
    dots = [line for line in axes.lines if line.get_marker() == "o"]
    closed, merged = (len(line.get_xdata()) for line in dots)  # type: ignore[arg-type]
    assert (closed, merged) == (10, 1)
    assert dots[1].get_markerfacecolor() == "white"
    texts = words(figure)
    assert {"Jan", "Apr", "Jul", "Dec", "Oct\u2013Nov"} <= set(texts)
    assert any(text.startswith("heating begins at 59 °F") for text in texts)
    assert any("Open circles: estimated reads merged" in text for text in texts)


def test_the_band_holds_the_line_and_the_line_flattens_to_the_base(house: BilledHouse) -> None:
    assert house.bills is not None
    curve = fit_curve(house.bills)
    assert (curve.low <= curve.likely).all()
    assert (curve.likely <= curve.high).all()
    assert (np.diff(curve.likely) <= 1e-12).all()
    base = house.bills.fit.base_per_day / house.bills.content.kwh_per_unit
    assert curve.likely[-1] == pytest.approx(base, rel=0.01)
    # the line passes the periods as the fit does: their fitted values lie within its curve
    mean_c = house.bills.fit.data.temperatures.mean_c
    drawn = np.interp(mean_c, curve.outdoor_c, curve.likely)
    fitted = house.bills.fit.fitted / house.bills.content.kwh_per_unit
    np.testing.assert_allclose(drawn, fitted, atol=0.15)
    shapes = bills_figure(house, us=True).axes[0].collections
    assert any(isinstance(shape, FillBetweenPolyCollection) for shape in shapes)


def test_labels_cover_neither_each_other_nor_a_reading(house: BilledHouse) -> None:
    figure = bills_figure(house, us=True)
    axes = figure.axes[0]
    drawn = figure.canvas.get_renderer()  # type: ignore[attr-defined]
    boxes = [text.get_window_extent(drawn) for text in axes.texts]
    for at, box in enumerate(boxes):
        assert not any(box.overlaps(other) for other in boxes[at + 1 :])
    dots = np.vstack(
        [axes.transData.transform(line.get_xydata()) for line in axes.lines if
         line.get_marker() == "o"]
    )  # fmt: skip
    for box in boxes:
        assert not any(box.contains(x, y) for x, y in dots)


def test_electricity_that_cools_has_its_own_colour_and_no_load_in_the_title(
    house: BilledHouse,
) -> None:
    assert house.rest is not None
    figure = fit_figure(house.rest, us=True)
    texts = words(figure)
    assert texts[0].startswith("Base use of electricity: 13.6 kWh per day")
    assert any(text.startswith("cooling begins at") for text in texts)
    assert figure.axes[0].lines[0].get_color() == "#0072B2"


def test_the_check_marks_readings_above_and_below_by_shape_and_not_by_colour_alone(
    house: BilledHouse, checked: CheckedPeriods
) -> None:
    figure = bills_figure(house, us=True, checked=checked)
    below = figure.axes[1]
    counts = {
        str(line.get_marker()): len(line.get_xdata())  # type: ignore[arg-type]
        for line in below.lines
    }
    verdicts = checked.check.periods
    assert counts["v"] == verdicts.count(Verdict.BELOW) > 0
    assert counts["^"] == verdicts.count(Verdict.ABOVE) > 0
    assert counts["o"] == verdicts.count(Verdict.INSIDE)
    assert len(below.patches) == len(checked.readings)
    assert "below the expected band" in " ".join(words(figure))
    assert below.get_ylim()[0] == 0.0


def test_the_file_is_written_once_and_is_the_same_each_time(
    house: BilledHouse, tmp_path: Path
) -> None:
    first, second = tmp_path / "a.png", tmp_path / "b.png"
    for path in (first, second):
        write_bills_chart(house, path, us=True, replace=False)
    assert first.read_bytes() == second.read_bytes()
    with pytest.raises(InputError, match="exists"):
        write_bills_chart(house, first, us=True, replace=False)
    with pytest.raises(InputError, match=r"ends in \.png or \.svg"):
        write_bills_chart(house, tmp_path / "a.gif", us=True, replace=False)
    assert {path.name for path in tmp_path.iterdir()} == {"a.png", "b.png"}


def test_a_house_fitted_through_a_heat_pump_has_no_line_to_draw(house: BilledHouse) -> None:
    with pytest.raises(InputError, match="no straight line"):
        bills_figure(replace(house, bills=None), us=True)


def test_the_example_was_matched_with_the_weather_of_its_own_days(house: BilledHouse) -> None:
    seen = temperatures_of_days(house.readings, house.weather)
    assert house.bills is not None
    np.testing.assert_array_equal(seen.mean_c, house.bills.fit.data.temperatures.mean_c)
