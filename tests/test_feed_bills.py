"""Green Button files among the readings of a house: sums by calendar month.

The file follows the ESPI open standard (NAESB REQ.21); readings are invented, sums computed.
"""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path

import pytest

from energymodel.errors import InputError
from energymodel.meters.bills import LastDay
from energymodel.meters.import_report import Outcome
from energymodel.meters.reading_files import read_house_readings
from energymodel.meters.reading_rows import ReadingFacts

CLOCK = (
    '<entry><content><LocalTimeParameters xmlns="http://naesb.org/espi">'
    "<tzOffset>-18000</tzOffset></LocalTimeParameters></content></entry>"
)


def feed(path: Path, *, commodity: int, uom: int, value: int, clock: str = CLOCK) -> Path:
    """15 January to 10 April 2023 in days of local standard time, the same each day."""
    first = int(datetime(2023, 1, 15, 5, tzinfo=UTC).timestamp())
    readings = "".join(
        "<IntervalReading><timePeriod><duration>86400</duration>"
        f"<start>{first + 86_400 * day}</start></timePeriod><value>{value}</value>"
        "</IntervalReading>"
        for day in range(86)
    )
    path.write_text(
        f'<?xml version="1.0"?><feed xmlns="http://www.w3.org/2005/Atom">{clock}<entry><content>'
        f'<ReadingType xmlns="http://naesb.org/espi"><commodity>{commodity}</commodity>'
        f"<flowDirection>1</flowDirection><uom>{uom}</uom></ReadingType></content></entry>"
        f'<entry><content><IntervalBlock xmlns="http://naesb.org/espi">{readings}</IntervalBlock>'
        "</content></entry></feed>"
    )
    return path


@pytest.mark.parametrize("last_day", [None, LastDay.INCLUDED, LastDay.OPENS_THE_NEXT])
def test_whole_months_are_summed_and_the_rest_is_listed(
    tmp_path: Path, last_day: LastDay | None
) -> None:
    path = feed(tmp_path / "house.xml", commodity=1, uom=72, value=20_000)
    found = read_house_readings([path], facts=ReadingFacts(last_day=last_day))
    meter = found.meters["electricity"]
    assert meter.meter.unit == "kWh"
    assert [period.label for period in meter.periods] == [
        "2023-02-01 to 2023-02-28", "2023-03-01 to 2023-03-31",
    ]  # fmt: skip
    assert meter.amount.tolist() == pytest.approx([28 * 20.0, 31 * 20.0])
    (report,) = found.reports
    assert report.outcome is Outcome.REPAIRED
    assert any("2 months that the readings cover in part" in one for one in report.repairs)
    assert any("summed by calendar month" in one for one in report.read_as)


@pytest.mark.parametrize(
    ("uom", "unit", "per_day"),
    [(42, "m3", 8.0), (169, "kWh", 8.0 * 29.3071)],  # 1 therm = 100,000 Btu(IT) = 29.3071 kWh
)
def test_gas_stays_in_its_volume_or_becomes_energy(
    tmp_path: Path, uom: int, unit: str, per_day: float
) -> None:
    path = feed(tmp_path / "house.xml", commodity=7, uom=uom, value=8)
    meter = read_house_readings([path]).meters["natural gas"]
    assert meter.meter.unit == unit
    assert meter.amount.tolist() == pytest.approx([28 * per_day, 31 * per_day], rel=1e-6)


def test_a_feed_without_its_clock_is_one_message(tmp_path: Path) -> None:
    path = feed(tmp_path / "house.xml", commodity=1, uom=72, value=20_000, clock="")
    with pytest.raises(InputError, match="does not state its clock") as refused:
        read_house_readings([path])
    assert "`energymodel bill` reads it with --zone" in refused.value.remedy


def test_xml_that_is_no_feed_is_one_message(tmp_path: Path) -> None:
    path = tmp_path / "house.xml"
    path.write_text("<?xml version='1.0'?><workbook/>")
    with pytest.raises(InputError, match="no usage point and no interval block"):
        read_house_readings([path])
