"""Write the comfort chart and the minutes of the three days into a folder."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from tempfile import TemporaryDirectory

import numpy as np

from energymodel.errors import InputError
from energymodel.report.comparison.files import slugs
from energymodel.report.figures.comfort_chart import comfort_figure
from energymodel.report.figures.comparison import save_figure
from energymodel.report.numbers import Display
from energymodel.study.room_day.room_day import DayKind, DayRun, RoomDayResult

CHARTS = ("comfort.png", "comfort.svg")
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
    target = Path(folder)
    short = slugs(case.name for case in result.cases.cases)
    minutes = {
        f"minutes-{day.kind.value}-{slug}.csv": run
        for day, runs in zip(result.days, result.runs, strict=True)
        for slug, run in zip(short, runs, strict=True)
    }
    names = (*CHARTS, *minutes)
    check_folder(target, names, replace=replace)
    target.mkdir(exist_ok=True)
    with TemporaryDirectory(prefix=".part-", dir=target) as made:
        figure = comfort_figure(result, show, kind)
        for name in CHARTS:
            save_figure(figure, Path(made) / name)
        for name, run in minutes.items():
            with (Path(made) / name).open("w", encoding="utf-8", newline="\n") as file:
                file.writelines(_minute_lines(run))
        for name in names:
            (Path(made) / name).replace(target / name)
    return tuple(target / name for name in names)


def check_folder(target: Path, names: tuple[str, ...], *, replace: bool) -> None:
    """Refuse a folder that cannot take the files.

    Parameters
    ----------
    target
        Folder that is wanted.
    names
        Files that will be written.
    replace
        Whether they may exist.

    Raises
    ------
    InputError
        If it is a file, its parent does not exist, or files are there.
    """
    if target.exists() and not target.is_dir():
        raise InputError("this is a file, not a folder", where=str(target))
    if not target.parent.is_dir():
        raise InputError(
            f"there is no folder {target.parent}", where=str(target), remedy="make it first"
        )
    there = [name for name in names if (target / name).exists()]
    if there and not replace:
        raise InputError(
            f"files exist: {', '.join(there)}",
            where=str(target),
            remedy="choose another folder, or add --replace",
        )


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
