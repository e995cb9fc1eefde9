"""The workbook of a comparison: inputs, hours, months, bills and money with live sums."""

from __future__ import annotations

from pathlib import Path

from energymodel.new_file import check_new_file, write_new
from energymodel.report.numbers import Display
from energymodel.study.comparison.outcome import Comparison

ENDING = ".xlsx"


def write_workbook(comparison: Comparison, path: str | Path, *, us: bool, replace: bool) -> Path:
    """Write a comparison as an XLSX workbook.

    Parameters
    ----------
    comparison
        All options.
    path
        A name that ends in .xlsx.
    us
        Temperatures and heat flows in US units, or SI; energy is in kWh.
    replace
        Whether a file that exists may be replaced.

    Returns
    -------
    Path
        The file.

    Raises
    ------
    InputError
        If the file exists and may not be replaced, or cannot be written.

    Notes
    -----
    Sheets in the order of the calculation: Inputs, Weather, Load, Options, Hours, Months, Bills,
    Ranges, Cash flow, Money, Defaults and sources. All money is formulas with their values stored
    beside them: when a price, an installed cost or the discount rate on Inputs (blue) is changed,
    costs, ranges, savings, paybacks, returns, headlines and charts follow, and are those of a
    comparison with the changed values. Energy is a result of the model and stays, so does a bill
    under a tariff, and what is marked as computed. Of the hours one day prints. No macros, no
    merged cells; the same comparison gives the same file.
    """
    target = Path(path)
    check_new_file(target, endings=(ENDING,), replace=replace)
    return write_new(target, workbook_bytes(comparison, us=us))


def workbook_bytes(comparison: Comparison, *, us: bool) -> bytes:
    """Make the workbook without writing it.

    Parameters
    ----------
    comparison
        All options.
    us
        Temperatures and heat flows in US units, or SI.

    Returns
    -------
    bytes
        The XLSX file.
    """
    # the writer only where a workbook is made
    from energymodel.report.workbook.book import Book  # noqa: PLC0415
    from energymodel.report.workbook.pages import PAGES, write_pages  # noqa: PLC0415

    title = comparison.model.scenario.content.title
    book = Book.begun(title or "Yearly cost of the options", letter=us, pages=PAGES)
    write_pages(book, comparison, Display(us=us))
    return book.finished()
