"""The comfort chart: its message, its figures, its colours; everything inside the page."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from matplotlib.colors import to_hex
from matplotlib.figure import Figure
from matplotlib.text import Text

from energymodel.report.figures import style
from energymodel.report.figures.comfort_chart import (
    ON_OFF,
    comfort_facts,
    comfort_figure,
    comfort_message,
    comfort_view,
)
from energymodel.report.figures.comparison import save_figure
from energymodel.report.numbers import Display
from energymodel.study.room_day.room_day import DayKind, RoomDayResult, room_day

US, SI = Display(us=True), Display(us=False)


@pytest.fixture(scope="module")
def demo() -> RoomDayResult:
    return room_day()


def _texts(figure: Figure) -> list[Text]:
    with style.house_style():
        figure.canvas.draw()
    return [one for one in figure.findobj(Text) if isinstance(one, Text) and one.get_text()]


def _words(figure: Figure) -> str:
    return "\n".join(one.get_text() for one in _texts(figure))


def test_the_title_says_what_the_day_shows(demo: RoomDayResult) -> None:
    view = comfort_view(demo, US)
    starts = round(view.runs[1].starts.sum())
    assert comfort_message(view, US) == (
        f"The inverter holds the room; the on/off unit starts {starts} times"
    )
    facts = comfort_facts(view, US)
    for run in view.runs:
        assert f"{run.electricity_kwh:.1f} kWh" in facts


def test_a_room_that_falls_is_the_message_of_the_coldest_day(demo: RoomDayResult) -> None:
    view = comfort_view(demo, US, DayKind.COLDEST)
    low = US.temperature(float(view.runs[0].air_c.min()))
    assert comfort_message(view, US) == (
        f"On this day the room falls to {low} with the inverter alone"
    )


def test_a_mild_day_names_both_swings(demo: RoomDayResult) -> None:
    message = comfort_message(comfort_view(demo, SI, DayKind.MILD), SI)
    assert message.startswith("Swing of the room: ")
    assert message.count(" K with ") == 2


@pytest.mark.parametrize("kind", list(DayKind))
@pytest.mark.parametrize("show", [US, SI])
def test_every_word_lies_inside_the_page_and_none_on_another(
    demo: RoomDayResult, kind: DayKind, show: Display
) -> None:
    figure = comfort_figure(demo, show, kind)
    with style.house_style():
        figure.canvas.draw()
        written = [*figure.texts, figure.axes[-1].xaxis.label]
        written += [text for axes in figure.axes for text in axes.texts]
        boxes = [(one.get_text(), one.get_window_extent().extents) for one in written]
    wide, high = figure.bbox.size
    for number, (text, (left, low, right, top)) in enumerate(boxes):
        assert left >= 0, text
        assert low >= 0, text
        assert right <= wide, text
        assert top <= high, text
        for other, (start, bottom, end, up) in boxes[number + 1 :]:
            across = min(right, end) - max(left, start)
            upward = min(top, up) - max(low, bottom)
            assert min(across, upward) <= 1.0, (text, other)  # dots at 100 per inch


@pytest.fixture(scope="module")
def packaged() -> RoomDayResult:
    """An on/off unit that leaves the cold hours to its strips."""
    names = ("Inverter 12 kBtu/h, standard", "Packaged through-wall heat pump")
    return room_day(options=names)


def test_the_same_thing_has_the_same_colour_everywhere(packaged: RoomDayResult) -> None:
    figure = comfort_figure(packaged, US)
    room, inverter, fixed = figure.axes
    assert {line.get_color() for line in room.lines} == {style.HEAT_PUMP, ON_OFF}
    assert to_hex(inverter.collections[0].get_facecolor()[0]) == style.HEAT_PUMP.lower()
    colours = [to_hex(area.get_facecolor()[0]) for area in fixed.collections]
    assert colours == [ON_OFF, style.RESISTANCE.lower()]


def test_both_powers_stand_on_one_scale_from_zero(demo: RoomDayResult) -> None:
    _, inverter, fixed = comfort_figure(demo, US).axes
    assert inverter.get_ylim() == fixed.get_ylim()
    assert inverter.get_ylim()[0] == 0.0
    assert fixed.get_ylim()[1] > max(run.power_w.max() for run in comfort_view(demo, US).runs) / 1e3


def test_the_lines_are_the_temperatures_of_the_run(demo: RoomDayResult) -> None:
    room = comfort_figure(demo, US).axes[0]
    other, steady = (np.asarray(line.get_ydata()) for line in room.lines)
    runs = comfort_view(demo, US).runs
    np.testing.assert_allclose(steady, runs[0].air_c * 1.8 + 32.0)
    np.testing.assert_allclose(other, runs[1].air_c * 1.8 + 32.0)


def test_backup_is_named_with_its_share(packaged: RoomDayResult, demo: RoomDayResult) -> None:
    words = _words(comfort_figure(packaged, US))
    assert f"{packaged.on(DayKind.TYPICAL)[1].backup_kwh:.1f} of it backup" in words
    assert "of it backup" not in _words(comfort_figure(demo, US))


def test_one_heater_alone_can_be_drawn(demo: RoomDayResult) -> None:
    alone = replace(demo, runs=tuple(runs[2:] for runs in demo.runs))
    figure = comfort_figure(alone, SI)
    assert len(figure.axes) == 2
    assert "The heater" not in _words(figure).splitlines()[0]


def test_two_heaters_of_one_kind_go_by_their_names() -> None:
    names = ["Inverter 12 kBtu/h, standard", "Inverter 12 kBtu/h, cold-climate"]
    view = comfort_view(room_day(options=names), US)
    assert list(view.names) == names


def test_the_same_day_gives_the_same_file(demo: RoomDayResult, tmp_path: Path) -> None:
    for name in ("one.svg", "two.svg"):
        save_figure(comfort_figure(demo, US), tmp_path / name)
    assert (tmp_path / "one.svg").read_bytes() == (tmp_path / "two.svg").read_bytes()


def test_the_caption_keeps_to_the_units_of_the_reader(demo: RoomDayResult) -> None:
    imperial, metric = (comfort_view(demo, show).caption for show in (US, SI))
    # the demo's room has 380 ft2: 35.3 m2 (0.3048 m to the foot, exact); 1 K is 1.8 degF
    assert "380 ft²" in imperial
    assert "dead band 1.8 °F" in imperial
    assert " K" not in imperial
    assert "m²" not in imperial
    assert "35 m²" in metric
    assert "dead band 1.0 K" in metric
    assert "°F" not in metric
