"""What a message tells the user to say can be said: on the command line and from Python."""

from __future__ import annotations

from dataclasses import fields

import pytest
import typer
from typer.testing import CliRunner

from energymodel.cli import bill, from_bills
from energymodel.meters import remedies
from energymodel.meters.facts import MeterFacts, TableFacts
from energymodel.meters.reading_rows import ReadingFacts
from energymodel.meters.remedies import option_of, say, say_one_of


def options_of(command):
    app = typer.Typer(rich_markup_mode=None)
    app.command()(command)
    shown = CliRunner().invoke(app, ["--help"], env={"COLUMNS": "200"}).output
    return {word for word in shown.split() if word.startswith("--")}


FACTS = sorted(remedies._OPTIONS)


@pytest.mark.parametrize("fact", FACTS)
def test_every_fact_that_a_message_asks_for_is_an_option_of_bill(fact):
    assert option_of(fact) in options_of(bill.bill)


def test_lists_of_readings_have_the_same_options_in_both_commands():
    shared = {option_of(field.name) for field in fields(ReadingFacts) if field.name != "last_day"}
    assert shared <= options_of(from_bills.from_bills)


@pytest.mark.parametrize("fact", FACTS)
def test_every_fact_is_a_parameter_from_python(fact):
    of_readers = {"zone", "usage_point", "meter_reading"}
    records = (TableFacts, MeterFacts, ReadingFacts)
    assert fact in of_readers | {field.name for record in records for field in fields(record)}


def test_remedies_name_both_ways():
    assert say(unit="W", interval_min=30) == (
        'say --unit W --interval 30 (from Python: unit="W", interval_min=30)'
    )
    assert say_one_of("decimal_mark", ",", ".") == (
        "say --decimal-mark comma or --decimal-mark point (from Python: "
        'decimal_mark="," or decimal_mark=".")'
    )
    assert say(value_column="NUMBER") == "say --column NUMBER (from Python: value_column=NUMBER)"
