"""Comma and point in a column of numbers: decimal mark, thousands mark, or a question.

The kinds of column are those that users report from spreadsheets; figures are invented, expected
ones computed.
"""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from energymodel.meters.decimal_marks import NumberColumn, read_numbers
from energymodel.meters.facts import TableFacts
from energymodel.meters.import_report import MeterError
from energymodel.meters.interval import read_interval


def column(cells, separator=";"):
    return NumberColumn(
        file="use.csv",
        lines=range(2, 2 + len(cells)),
        cells=cells,
        separator=separator,
        noun="values",
    )


@pytest.mark.parametrize(
    ("separator", "cells"),
    [
        (";", ["13,588", "12,990", "4,522"]),
        (",", ["13,588", "12,990"]),
        ("\t", ["13,588", "12,990"]),
        (";", ["13.588", "12.990"]),
        (";", ["13,588", "0", "12,990"]),  # a zero is written alike in all formats
        (";", ["13,588", "13588"]),  # neither format writes both
        (";", ["13,588", "12.990"]),
    ],
)
def test_a_column_of_groups_of_three_alone_is_refused_with_both_readings(separator, cells):
    with pytest.raises(MeterError) as caught:
        read_numbers(column(cells, separator))
    assert "every value can be read in two ways" in caught.value.what
    assert "13588" in caught.value.what
    assert "13.588" in caught.value.what
    assert caught.value.where == "use.csv, line 2"
    assert caught.value.remedy == (
        "say --decimal-mark comma or --decimal-mark point (from Python: "
        'decimal_mark="," or decimal_mark=".")'
    )


@pytest.mark.parametrize(("mark", "values"), [(",", [13.588, 12.99]), (".", [13588.0, 12990.0])])
def test_the_mark_that_the_user_states_is_taken_without_an_entry(mark, values):
    numbers, read_as, entries = read_numbers(column(["13,588", "12,990"]), mark=mark)
    assert numbers.tolist() == values
    assert read_as.basis == "given"
    assert entries == ()


@pytest.mark.parametrize(
    ("separator", "mark"), [(";", ","), (",", ","), ("\t", ","), (";", "."), ("\t", ".")]
)
def test_whole_numbers_beside_groups_of_three_mean_thousands_and_are_listed(separator, mark):
    cells = [f"4{mark}529", "683", f"1{mark}507", "410"]
    numbers, read_as, entries = read_numbers(column(cells, separator))
    assert numbers.tolist() == [4529.0, 683.0, 1507.0, 410.0]
    assert read_as.basis == "whole numbers beside thousands"
    assert len(entries) == 1
    assert entries[0].row == "line 2"
    assert f"2 values such as '4{mark}529'" in entries[0].found
    assert "'683' stand beside them" in entries[0].found
    assert f"'4{mark}529' is 4529, not 4.529" in entries[0].done


def test_a_point_between_columns_separated_by_commas_is_the_decimal_one():
    numbers, read_as, entries = read_numbers(column(["13.588", "12"], ","))
    assert numbers.tolist() == [13.588, 12.0]
    assert read_as.basis == "columns separated by commas"
    assert entries == ()


def test_interval_files_follow_the_same_rule(tmp_path):
    path = tmp_path / "use.csv"
    rows = [f"29/01/2024 {hour:02d}:00;4,{30 + hour:03d}" for hour in range(24)]
    path.write_text("\n".join(["Datum;Wert (kWh)", *rows]), encoding="utf-8")
    with pytest.raises(MeterError, match="every value can be read in two ways"):
        read_interval(path, zone="Europe/Berlin")
    data = read_interval(path, zone="Europe/Berlin", facts=TableFacts(decimal_mark=","))
    assert data.total_import_kwh == pytest.approx(sum(4.03 + hour / 1000 for hour in range(24)))


@given(
    values=st.lists(st.integers(0, 999_999), min_size=1, max_size=30),
    separator=st.sampled_from([",", ";", "\t"]),
)
def test_whole_numbers_with_thousands_commas_are_never_read_a_thousand_times_too_small(
    values, separator
):
    cells = [f"{value:,}" for value in values]
    try:
        numbers, _, _ = read_numbers(column(cells, separator))
    except MeterError:
        assert any(value >= 1000 for value in values)
        return
    assert numbers.tolist() == values


@given(
    values=st.lists(st.integers(0, 999_999), min_size=1, max_size=30),
    separator=st.sampled_from([";", "\t"]),
)
def test_three_decimals_behind_a_comma_are_never_read_a_thousand_times_too_large(values, separator):
    cells = [f"{value / 1000:.3f}".replace(".", ",") for value in values]
    try:
        numbers, _, _ = read_numbers(column(cells, separator))
    except MeterError:
        assert all(value >= 1000 for value in values)
        return
    assert numbers.tolist() == pytest.approx([value / 1000 for value in values])
