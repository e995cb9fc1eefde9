"""Files of the open US utility rate database: JSON answers and the flat CSV export."""

from __future__ import annotations

import csv
import json
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from energymodel.errors import EnergyModelError, InputError
from energymodel.tariffs.rate_database import tariff_from_record
from energymodel.tariffs.rate_files import read_rate_file
from energymodel.tariffs.rate_record import read_record

_FOLDER = Path(__file__).parent / "rates"
INDUSTRIAL: dict[str, Any] = json.loads((_FOLDER / "industrial.json").read_text())
RESIDENTIAL: dict[str, Any] = json.loads((_FOLDER / "residential.json").read_text())


def test_records_are_read_from_answers_lists_and_single_files(tmp_path: Path) -> None:
    for name, content in (
        ("items.json", {"items": [INDUSTRIAL, RESIDENTIAL]}),
        ("list.json", [INDUSTRIAL, RESIDENTIAL]),
    ):
        path = tmp_path / name
        path.write_text(json.dumps(content))
        assert [one.texts["name"] for one in read_rate_file(path)] == [
            "Industrial primary service", "Residential",
        ]  # fmt: skip
    path = tmp_path / "one.json"
    path.write_text("\ufeff" + json.dumps(RESIDENTIAL), encoding="utf-8")
    assert len(read_rate_file(path)) == 1


def _flat_row(content: dict[str, Any]) -> dict[str, str]:
    row: dict[str, str] = {}
    for key, value in content.items():
        if key.endswith("structure"):
            for period, tiers in enumerate(value):
                for place, tier in enumerate(tiers):
                    for part, number in tier.items():
                        row[f"{key}/period{period}/tier{place}{part}"] = str(number)
        elif key == "flatdemandmonths":
            row.update({f"flatdemandmonth{m}": str(v) for m, v in enumerate(value, start=1)})
        else:
            row[key] = json.dumps(value) if isinstance(value, list) else str(value)
    return row


def test_the_flat_csv_export_gives_the_same_tariff(tmp_path: Path) -> None:
    path = tmp_path / "rates.csv"
    dates = {"startdate": "2013-07-01 00:00:00", "enddate": "2013-10-31"}
    row = _flat_row({**INDUSTRIAL, **dates})
    with path.open("w", newline="") as file:
        writer = csv.DictWriter(file, row)
        writer.writeheader()
        writer.writerow(row)
    flat = tariff_from_record(read_rate_file(path)[0]).tariff
    nested = tariff_from_record(read_record(INDUSTRIAL)).tariff
    assert flat.energy == nested.energy
    assert flat.demand == nested.demand
    assert (flat.effective, flat.expires) == (date(2013, 7, 1), date(2013, 10, 31))


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("{", "not valid JSON"),
        ('{"items": []}', "no record"),
        ('{"items": [3]}', "no list"),
        ('{"error": "bad key"}', "broken.json: the answer is an error: bad key"),
        ('{"name": "r"}', "broken.json: no rate is in it"),
        ("[" * 100_000, "broken.json: lists or objects are nested too deeply"),
        ('{"fixedmonthlycharge": ' + "1" * 5000 + "}", "broken.json: a number has too many digits"),
    ],
)
def test_broken_files_are_refused(tmp_path: Path, text: str, words: str) -> None:
    path = tmp_path / "broken.json"
    path.write_text(text)
    with pytest.raises(EnergyModelError, match=words):
        read_rate_file(path)
    with pytest.raises(InputError, match="no such file"):
        read_rate_file(tmp_path / "missing.json")
