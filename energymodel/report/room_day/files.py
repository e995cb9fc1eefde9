"""Write the comfort chart and the minutes of the three days into a folder."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial
from pathlib import Path

import numpy as np

from energymodel.report.comparison.files import chart_job, slugs, text_job, write_all
from energymodel.report.figures.comfort_chart import comfort_figure
from energymodel.report.numbers import Display
from energymodel.study.room_day.room_day import DayKind, DayRun, RoomDayResult

_COLUMNS = "minute,outdoor_c,room_c,set_point_c,heat_w,power_w,backup_w,running\n"


def write_room_day(
    result: RoomDayResult, folder: str | Path, show: Display, *, kind: DayKind, replace: bool
) -> tuple[Path, ...]:
    """Write the comfort chart of one day and the minutes of all three.

    Parameters
    ----------
    result
        Options on three days.
    folder
        Made if its parent exists.
    show
        Units of the chart; the minutes are in SI units.
    kind
        Day of the chart.
    replace
        Whether files of the same names may be replaced.

    Returns
    -------
    tuple of Path
        comfort.png, comfort.svg and minutes-DAY-NAME.csv.

    Raises
    ------
    InputError
        If the folder cannot be made, or files exist and may not be replaced; nothing is written
        then.
    """
    short = slugs(case.name for case in result.cases.cases)
    minutes = [
        text_job(f"minutes-{day.kind.value}-{slug}.csv", partial(_minute_lines, run))
        for day, runs in zip(result.days, result.runs, strict=True)
        for slug, run in zip(short, runs, strict=True)
    ]
    chart = chart_job("comfort", partial(comfort_figure, result, show, kind))
    return write_all(Path(folder), [chart, *minutes], replace=replace)


def _minute_lines(run: DayRun) -> Iterator[str]:
    yield _COLUMNS
    table = np.column_stack(
        [run.outdoor_c, run.air_c, np.full_like(run.air_c, run.set_point_c), run.heat_w,
         run.power_w, run.backup_w]
    )  # fmt: skip
    for minute, (row, on) in enumerate(zip(table.tolist(), run.running.tolist(), strict=True)):
        outdoor, room, set_point, heat, power, backup = row
        yield (
            f"{minute},{outdoor:.2f},{room:.4f},{set_point:.2f},{heat:.1f},{power:.1f},"
            f"{backup:.1f},{int(on)}\n"
        )
