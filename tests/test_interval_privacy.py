"""Names, addresses and account numbers of meter files appear nowhere in what is said."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest

from energymodel.meters.facts import TableFacts
from energymodel.meters.import_report import MeterError
from energymodel.meters.interval import read_interval

# invented
PERSONAL = ("Quillfeather", "Marmaduke", "Zinnia Court", "5550142977", "GB-00-77-42", "q@xyz.test")
PREAMBLE = [
    "Name,Marmaduke Quillfeather",
    'Address,"17 Zinnia Court, Flat 3"',
    "Account,5550142977",
    "Meter,GB-00-77-42",
    "Email,q@xyz.test",
    "Start date,12/31/1969",
]
STAMPS = pd.date_range("2024-01-28", periods=96, freq="h")
VALUES = np.random.default_rng(5).integers(20, 900, 96) / 1000.0


def table(header="Name,Account,Date,Usage (kWh)", values=VALUES):
    return [
        header,
        *(
            f"Marmaduke Quillfeather,5550142977,{stamp:%m/%d/%Y %H:%M},{value}"
            for stamp, value in zip(STAMPS, values, strict=True)
        ),
    ]


@pytest.fixture
def read(tmp_path):
    def from_lines(lines, **options):
        path = tmp_path / "use.csv"
        path.write_text("\n".join(lines), encoding="utf-8")
        return read_interval(path, zone="America/New_York", **options)

    return from_lines


def said(result):
    """Everything that a result or an error can print."""
    if isinstance(result, MeterError):
        return f"{result} {result!r} {result.report} {result.report!r} {result.args}"
    return " ".join(
        [str(result.report), repr(result.report), *map(str, result.notices),
         *map(str, result.defaults), repr(result)]
    )  # fmt: skip


def changed(lines, index, old, new):
    return [line.replace(old, new) if i == index else line for i, line in enumerate(lines)]


FOOTER = ["", "Prepared for Marmaduke Quillfeather, 17 Zinnia Court", "Total,5550142977"]
GOOD = [*PREAMBLE, "", *table(), *FOOTER]


def test_an_accepted_file_repeats_nothing_personal(read):
    data = read(GOOD)
    assert data.total_import_kwh == pytest.approx(VALUES.sum())
    for word in PERSONAL:
        assert word not in said(data)


REJECTED = {
    "no unit": [*PREAMBLE, "", *table("Name,Account,Date,Usage")],
    "no header": [*PREAMBLE, *table()[1:]],
    "name in place of a value": [*PREAMBLE, *changed(table(), 30, VALUES[29].astype(str), "")[:30],
                                 "Marmaduke Quillfeather,1,01/29/2024 05:00,Quillfeather"],
    "name inside the table": [*PREAMBLE, *table()[:40], "Marmaduke Quillfeather", *table()[40:]],
    "name in place of a date": [
        *PREAMBLE, *table()[:40], "Quillfeather,01/29/2024,Marmaduke Quillfeather,1", *table()[40:]
    ],
    "account in place of a value": [*PREAMBLE, *table()[:40],
                                    "Marmaduke,2,01/29/2024 15:00,GB-00-77-42", *table()[41:]],
    "long number among the values": [*PREAMBLE, *table()[:40],
                                     "Marmaduke,2,01/29/2024 15:00,5550142977x", *table()[41:]],
    "account in place of a date": [*PREAMBLE, *table()[:40],
                                   "Marmaduke,01/29/2024,5550142977,1", *table()[41:]],
    "wide row": [*PREAMBLE, *table()[:40], table()[40] + ",17 Zinnia Court", *table()[41:]],
    "two columns of use": [*PREAMBLE, *table("Name,Usage 5550142977 kWh,Date,Usage (kWh)")],
    "negative": [*PREAMBLE, *table(values=VALUES - 0.5)],
    "dates swapped": [*PREAMBLE, *table()[:40], *changed(table(), 40, "01/29", "29/01")[40:]],
    "no table": PREAMBLE,
}  # fmt: skip


@pytest.mark.parametrize("lines", REJECTED.values(), ids=REJECTED.keys())
def test_a_rejected_file_repeats_nothing_personal(read, lines):
    with pytest.raises(MeterError) as caught:
        read(lines)
    for word in PERSONAL:
        assert word not in said(caught.value)
    assert caught.value.__cause__ is None


def test_a_time_column_that_holds_names_is_not_repeated(read):
    with pytest.raises(MeterError) as caught:
        read(GOOD, facts=TableFacts(time_column=1))
    for word in PERSONAL:
        assert word not in said(caught.value)


def test_a_value_column_that_holds_accounts_is_not_repeated(read):
    lines = changed(GOOD, 20, "5550142977", "Acct 5550142977")
    for mark in (None, ","):
        with pytest.raises(MeterError) as caught:
            read(lines, facts=TableFacts(value_column=2, unit="kWh", decimal_mark=mark))
        for word in PERSONAL:
            assert word not in said(caught.value)
