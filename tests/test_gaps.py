"""Stretches without values, named by the file's own labels and lines (invented figures)."""

from __future__ import annotations

import pandas as pd
import pytest

from energymodel.meters.facts import TableFacts
from energymodel.meters.interval import read_interval


@pytest.fixture
def read(tmp_path):
    def from_lines(lines, **facts):
        path = tmp_path / "use.csv"
        path.write_text("\n".join(lines), encoding="utf-8")
        return read_interval(path, zone="America/New_York", facts=TableFacts(**facts))

    return from_lines


def summer(form="%Y-%m-%d %H:%M"):
    """Two days in daylight saving time, when local labels are four hours behind UTC."""
    return [
        f"{moment:{form}},{0.3 + 0.01 * row:.2f}"
        for row, moment in enumerate(pd.date_range("2024-06-17", periods=48, freq="h"))
    ]


def test_missing_rows_are_named_by_the_labels_around_them(read):
    rows = summer()
    data = read(["Start,kWh", *rows[:9], *rows[19:]])
    (gap,) = data.gaps
    assert gap.row == "line 11"
    assert str(gap) == (
        "after '2024-06-17 08:00' (line 10) comes '2024-06-17 19:00' (line 11) (10 h)"
    )


def test_a_blank_cell_is_called_a_blank_cell(read):
    rows = summer()
    rows[20] = rows[20].split(",")[0] + ","
    data = read(["Start,kWh", *rows])
    (gap,) = data.gaps
    assert gap.row == "line 22"
    assert gap.words == "the value of '2024-06-17 20:00' (line 22) is blank"


def test_several_blank_cells_are_one_stretch(read):
    rows = [
        row.split(",")[0] + "," if 20 <= place < 24 else row for place, row in enumerate(summer())
    ]
    (gap,) = read(["Start,kWh", *rows]).gaps
    assert str(gap) == (
        "the values of 4 rows from '2024-06-17 20:00' (line 22) to '2024-06-17 23:00' (line 25) "
        "are blank (4 h)"
    )


def test_a_code_for_a_missing_value_is_called_one(read):
    rows = summer()
    rows[20] = rows[20].split(",")[0] + ",9999"
    (gap,) = read(["Start,kWh", *rows]).gaps
    assert gap.words == "the value of '2024-06-17 20:00' (line 22) is a code for no value"


def test_labels_keep_the_spelling_and_columns_of_the_file(read):
    rows = summer("%m/%d/%Y,%I:%M %p")
    (gap,) = read(["Date,Start,kWh", *rows[:9], *rows[10:]]).gaps
    assert "after '06/17/2024 08:00 AM' (line 10)" in gap.words
    assert "comes '06/17/2024 10:00 AM' (line 11)" in gap.words


def test_rows_from_the_newest_to_the_oldest_keep_their_lines(read):
    rows = summer()
    (gap,) = read(["Start,kWh", *(rows[:9] + rows[10:])[::-1]]).gaps
    assert gap.words == ("after '2024-06-17 08:00' (line 40) comes '2024-06-17 10:00' (line 39)")
