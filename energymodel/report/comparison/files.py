"""Write a comparison into a folder: CSV, JSON and charts; all of it or nothing."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING

from energymodel.errors import InputError
from energymodel.report.comparison.record import result_text
from energymodel.report.comparison.tables import annual_rows, csv_text, hourly_lines, monthly_rows
from energymodel.report.numbers import Display
from energymodel.report.progress import with_progress
from energymodel.study.comparison.outcome import Comparison, Outcome

if TYPE_CHECKING:
    from matplotlib.figure import Figure

LONGEST_SLUG = 60
FORMATS = ("png", "svg")
_NAMED = 4


@dataclass(frozen=True, slots=True, kw_only=True)
class Job:
    """Files that are made together.

    Parameters
    ----------
    names
        File names.
    write
        Writes them into a folder.
    """

    names: tuple[str, ...]
    write: Callable[[Path], None]


def write_comparison(
    comparison: Comparison, folder: str | Path, *, us: bool, replace: bool
) -> tuple[Path, ...]:
    """Write a comparison into a folder.

    Parameters
    ----------
    comparison
        All options.
    folder
        Made if its parent exists.
    us
        Units of the charts: US, or SI. Tables are in SI units and kWh.
    replace
        Whether files of the same names may be replaced.

    Returns
    -------
    tuple of Path
        `annual.csv`, `result.json`, `hourly-NAME.csv` and `monthly-NAME.csv` of each option,
        and charts as PNG and SVG.

    Raises
    ------
    InputError
        If the folder cannot be made or written, or files exist and may not be replaced; nothing
        is written then.
    """
    return write_all(Path(folder), _jobs(comparison, Display(us=us)), replace=replace)


def slugs(names: Iterable[str]) -> list[str]:
    """Short names that are safe in file names, each one different.

    Parameters
    ----------
    names
        Names as printed.

    Returns
    -------
    list of str
        Lower-case letters, digits and hyphens.

    Examples
    --------
    >>> slugs(["Café + heat", "cafe heat", "?"])
    ['cafe-heat', 'cafe-heat-2', 'option']
    """
    found: list[str] = []
    for name in names:
        plain = unicodedata.normalize("NFKD", name).encode("ascii", "ignore").decode().lower()
        base = re.sub(r"[^a-z0-9]+", "-", plain).strip("-")[:LONGEST_SLUG].strip("-") or "option"
        slug, count = base, 1
        while slug in found:
            count += 1
            slug = f"{base}-{count}"
        found.append(slug)
    return found


def check_target(target: Path, names: Sequence[str], *, replace: bool) -> None:
    """Refuse a folder that files cannot be written to, before the work is done.

    Parameters
    ----------
    target
        The folder.
    names
        Files that are to be written into it.
    replace
        Whether files that exist may be replaced.

    Raises
    ------
    InputError
        If the folder is a file or has no parent, or a file exists and may not be replaced.
    """
    if target.exists() and not target.is_dir():
        raise InputError("this is a file, not a folder", where=str(target))
    if not target.parent.is_dir():
        raise InputError(
            f"there is no folder {target.parent}", where=str(target), remedy="make it first"
        )
    there = [name for name in names if (target / name).exists()]
    folders = [name for name in there if (target / name).is_dir()]
    if folders:
        raise InputError(
            f"a folder stands where a file is to be written: {', '.join(folders)}",
            where=str(target),
            remedy="choose another folder",
        )
    if there and not replace:
        noun = "this file exists" if len(there) == 1 else f"{len(there)} files exist"
        raise InputError(
            f"{noun}: {_some(there)}",
            where=str(target),
            remedy="choose another folder, or add --replace",
        )


def _some(names: Sequence[str]) -> str:
    """Name a few, and count the others."""
    more = len(names) - _NAMED
    return ", ".join(names[:_NAMED]) + (f" and {more} more" if more > 0 else "")


def write_all(target: Path, jobs: Sequence[Job], *, replace: bool) -> tuple[Path, ...]:
    """Make everything in a hidden folder first, then move it; take back what is new on failure.

    Parameters
    ----------
    target
        Made if it does not exist and its parent does.
    jobs
        What is to be written.
    replace
        Whether files of the same names may be replaced.

    Returns
    -------
    tuple of Path
        The files.

    Raises
    ------
    InputError
        If the folder cannot be made or written, or files exist and may not be replaced; nothing
        is written then.
    """
    names = [name for job in jobs for name in job.names]
    check_target(target, names, replace=replace)
    try:
        _write_jobs(target, jobs, names)
    except OSError as error:
        raise InputError(
            f"cannot be written: {error.strerror or error}",
            where=str(target),
            remedy="choose another folder",
        ) from None
    return tuple(target / name for name in names)


def _write_jobs(target: Path, jobs: Sequence[Job], names: Sequence[str]) -> None:
    made_here = not target.exists()
    target.mkdir(exist_ok=True)
    new = [target / name for name in names if not (target / name).exists()]
    done = False
    try:
        with TemporaryDirectory(prefix=".part-", dir=target) as part:
            for job in with_progress(jobs, "Writing files"):
                job.write(Path(part))
            for name in names:
                (Path(part) / name).replace(target / name)
        done = True
    finally:
        if not done:
            for path in new:
                path.unlink(missing_ok=True)
            if made_here:
                target.rmdir()


def _jobs(comparison: Comparison, show: Display) -> list[Job]:
    short = slugs(outcome.name for outcome in comparison.outcomes)
    jobs = [
        text_job("annual.csv", lambda: [csv_text(annual_rows(comparison))]),
        text_job("result.json", lambda: [result_text(comparison, short)]),
    ]
    weather = comparison.model.weather
    for outcome, slug in zip(comparison.outcomes, short, strict=True):
        jobs.append(text_job(f"hourly-{slug}.csv", partial(hourly_lines, outcome, weather)))
        jobs.append(text_job(f"monthly-{slug}.csv", partial(_monthly_text, outcome)))
    return [*jobs, *_chart_jobs(comparison, short, show)]


def _monthly_text(outcome: Outcome) -> list[str]:
    return [csv_text(monthly_rows(outcome))]


def text_job(name: str, lines: Callable[[], Iterable[str]]) -> Job:
    """Return the job that writes a text file.

    Parameters
    ----------
    name
        Of the file.
    lines
        Makes its text, piece by piece.

    Returns
    -------
    Job
        One file.
    """

    def write(folder: Path) -> None:
        with (folder / name).open("w", encoding="utf-8", newline="\n") as file:
            file.writelines(lines())

    return Job(names=(name,), write=write)


def _chart_jobs(comparison: Comparison, short: Sequence[str], show: Display) -> list[Job]:
    # matplotlib only where charts are made
    from energymodel.report.figures import comparison as figures  # noqa: PLC0415
    from energymodel.report.figures.cost_lines_chart import cost_lines_figure  # noqa: PLC0415
    from energymodel.report.figures.hour_map_chart import hour_map_figure  # noqa: PLC0415
    from energymodel.report.figures.range_chart import range_figure  # noqa: PLC0415

    jobs = [
        chart_job("yearly-cost", partial(figures.yearly_cost_figure, comparison)),
        chart_job("monthly-cost", partial(figures.monthly_cost_figure, comparison)),
        chart_job("cost-by-line", partial(cost_lines_figure, comparison)),
        chart_job("range", partial(range_figure, comparison)),
    ]
    if any(
        one.against_present is not None and one.carries and one.cost_given
        for one in comparison.outcomes
    ):
        jobs.append(chart_job("cash-flow", partial(_cash_flow, comparison)))
    for outcome, slug in zip(comparison.outcomes, short, strict=True):
        jobs += _pump_jobs(comparison, outcome, slug, show)
    best = comparison.cheapest
    if best is not None:
        jobs.append(
            chart_job("hours-of-the-least-costly", partial(hour_map_figure, comparison, best))
        )
    return jobs


def _pump_jobs(comparison: Comparison, outcome: Outcome, slug: str, show: Display) -> list[Job]:
    from energymodel.report.figures import comparison as figures  # noqa: PLC0415 - matplotlib only where charts are made
    from energymodel.report.figures.duration_chart import duration_figure  # noqa: PLC0415

    jobs = []
    if figures.has_capacity_figure(comparison, outcome):
        draw = partial(figures.capacity_figure, comparison, outcome, show)
        jobs.append(chart_job(f"capacity-{slug}", draw))
    if outcome.result.total("heating_pump_heat_kwh") > 0:
        draw = partial(duration_figure, comparison, outcome, show)
        jobs.append(chart_job(f"duration-{slug}", draw))
    return jobs


def _cash_flow(comparison: Comparison) -> Figure:
    from energymodel.report.figures.cash_flow_chart import cash_flow_figure  # noqa: PLC0415 - matplotlib
    from energymodel.study.comparison.cost_range import cost_ranges  # noqa: PLC0415 - only for charts

    return cash_flow_figure(comparison, cost_ranges(comparison))


def chart_job(stem: str, draw: Callable[[], Figure]) -> Job:
    """Return the job that writes a chart as PNG and SVG.

    Parameters
    ----------
    stem
        Of the file names.
    draw
        Makes the chart.

    Returns
    -------
    Job
        One file per format.
    """
    from energymodel.report.figures import comparison as figures  # noqa: PLC0415 - matplotlib only where charts are made

    names = tuple(f"{stem}.{ending}" for ending in FORMATS)

    def write(folder: Path) -> None:
        figure = draw()
        for name in names:
            figures.save_figure(figure, folder / name)

    return Job(names=names, write=write)
