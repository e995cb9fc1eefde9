"""The pages of the workbook in the order of the calculation."""

from __future__ import annotations

from energymodel.report.numbers import Display
from energymodel.report.workbook.bills import write_bills
from energymodel.report.workbook.book import Book
from energymodel.report.workbook.flows import write_flows
from energymodel.report.workbook.headlines import monthly_headline, yearly_headline
from energymodel.report.workbook.hours import write_hours
from energymodel.report.workbook.inputs import write_inputs
from energymodel.report.workbook.load import write_load
from energymodel.report.workbook.money import write_money
from energymodel.report.workbook.months import write_months
from energymodel.report.workbook.options import write_options
from energymodel.report.workbook.ranges import write_ranges
from energymodel.report.workbook.sources import write_sources
from energymodel.report.workbook.weather import write_weather
from energymodel.study.comparison.money import option_money
from energymodel.study.comparison.outcome import Comparison

PAGES = (
    "Inputs",
    "Weather",
    "Load",
    "Options",
    "Hours",
    "Months",
    "Bills",
    "Ranges",
    "Cash flow",
    "Money",
    "Defaults and sources",
)


def write_pages(book: Book, comparison: Comparison, show: Display) -> None:
    """Write every page.

    Parameters
    ----------
    book
        Without pages.
    comparison
        All options.
    show
        Units of temperatures and heat flows.
    """
    money = option_money(comparison)
    inputs = write_inputs(book, comparison)
    hours = write_hours(book, comparison, show)
    write_weather(book, comparison, hours, show)
    write_load(book, comparison, hours, show)
    months = write_months(book, comparison, hours, inputs)
    bills = write_bills(book, comparison, inputs, months)
    ends = write_ranges(book, comparison, inputs, bills)
    options = write_options(book, comparison, (inputs, months, bills, ends))
    flows = write_flows(book, comparison, money, (inputs, months, bills))
    write_money(book, comparison, money, (flows, inputs, options))
    write_sources(book, comparison, money)
    headline = yearly_headline(options)
    options.page.say(headline)
    inputs.page.say(headline)
    months.page.say(monthly_headline(months, options))
