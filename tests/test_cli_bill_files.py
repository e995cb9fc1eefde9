"""`energymodel bill` with the files that users have: messes, Green Button, bills to the cent.

Use and prices are invented; sums are computed here, exactly as decimals where cents are compared.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from decimal import Decimal
from pathlib import Path

import pytest
import typer
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from typer.testing import CliRunner, Result

from energymodel.cli import bill as commands
from energymodel.errors import EnergyModelError, InputError

ZONE = ("--zone", "America/New_York")
FLAT = 'name = "Flat"\n[[energy]]\nname = "Energy"\nprice = 0.1\n'
BLOCKS = """name = "Blocks"
[[fixed]]
name = "Customer charge"
price = "14 per month"
[[energy]]
name = "Energy"
blocks = [{ up_to = "333 kWh per month", price = 0.10537 }, { price = 0.12519 }]
[[energy]]
name = "Rider"
price = 0.00333
"""
CREDIT = FLAT + '[export]\nrule = "net billing"\nprice = 0.04\n'
GAS = 'name = "Gas"\nunit = "therm"\n[[energy]]\nname = "Gas"\nprice = 1.0\n'

Runner = Callable[..., Result]


@pytest.fixture
def bill(tmp_path: Path) -> Runner:
    app = typer.Typer(pretty_exceptions_enable=False, rich_markup_mode=None)
    app.command("bill")(commands.bill)

    def run(usage: str, *options: str, tariff: str = FLAT, name: str = "use.csv") -> Result:
        (tmp_path / "t.toml").write_text(tariff)
        (tmp_path / name).write_text(usage, encoding="utf-8")
        return CliRunner().invoke(app, [str(tmp_path / name), str(tmp_path / "t.toml"), *options])

    return run


def shown(done: Result) -> str:
    if isinstance(done.exception, EnergyModelError):
        raise done.exception
    assert done.exit_code == 0, done.output
    assert max(map(len, done.stdout.splitlines())) <= 100
    return " ".join(done.stdout.split())


def fault(done: Result) -> InputError:
    assert isinstance(done.exception, InputError), done.output
    assert done.stdout == ""
    return done.exception


def hours(
    count: int, value: Callable[[int], str] = lambda _: "1.000", *, minutes: int = 60,
    heading: str = "start,kWh", form: str = "%Y-%m-%d %H:%M", mark: str = ",",
) -> str:  # fmt: skip
    first = datetime(2024, 6, 1)
    rows = [
        f"{first + timedelta(minutes=minutes * row):{form}}{mark}{value(row)}"
        for row in range(count)
    ]
    return "\n".join([heading, *rows, ""])


def feed(
    count: int = 48, *, point: bool = True, cost: int | None = None, currency: str = "840"
) -> str:
    """Hours from 1 June 2024 on at UTC-04:00, 1 kWh each in thousandths of a watt-hour."""
    first = int(datetime(2024, 6, 1, 4, tzinfo=UTC).timestamp())
    money = "" if cost is None else f"<cost>{cost}</cost>"
    readings = "".join(
        f"<IntervalReading>{money}<timePeriod><duration>3600</duration>"
        f"<start>{first + 3600 * hour}</start></timePeriod><value>1000000</value></IntervalReading>"
        for hour in range(count)
    )
    kind = (
        f"<commodity>1</commodity><currency>{currency}</currency><flowDirection>1</flowDirection>"
        "<powerOfTenMultiplier>-3</powerOfTenMultiplier><uom>72</uom>"
    )
    entries = [
        '<LocalTimeParameters xmlns="http://naesb.org/espi"><tzOffset>-18000</tzOffset>'
        "<dstOffset>3600</dstOffset><dstStartRule>360E2000</dstStartRule>"
        "<dstEndRule>B40E2000</dstEndRule></LocalTimeParameters>",
        f'<ReadingType xmlns="http://naesb.org/espi">{kind}</ReadingType>',
        f'<IntervalBlock xmlns="http://naesb.org/espi">{readings}</IntervalBlock>',
    ]
    links = ["", '<link rel="self" href="/T/1"/>', '<link rel="up" href="/U/1/M/1/B"/>']
    if point:
        entries += [
            '<MeterReading xmlns="http://naesb.org/espi"/>',
            '<UsagePoint xmlns="http://naesb.org/espi"><ServiceCategory><kind>0</kind>'
            "</ServiceCategory></UsagePoint>",
        ]
        links += [
            '<link rel="self" href="/U/1/M/1"/><link rel="related" href="/T/1"/>'
            '<link rel="related" href="/U/1/M/1/B"/>',
            '<link rel="self" href="/U/1"/>',
        ]
    body = "".join(
        f"<entry>{link}<content>{one}</content></entry>"
        for link, one in zip(links, entries, strict=True)
    )
    return f'<?xml version="1.0"?><feed xmlns="http://www.w3.org/2005/Atom">{body}</feed>'


# Green Button files


@pytest.mark.parametrize("name", ["use.xml", "use.csv"])
def test_a_green_button_file_is_known_by_its_content_and_billed(bill: Runner, name: str) -> None:
    text = shown(bill(feed(), *ZONE, name=name))
    assert "4.80" in text  # 48 kWh at 0.10
    assert f"{name}: accepted." in text


def test_a_feed_without_usage_point_is_billed_with_a_listed_repair(bill: Runner) -> None:
    text = shown(bill(feed(point=False), *ZONE, name="use.xml"))
    assert "4.80" in text
    assert "use.xml: accepted with listed repairs: - use.xml: the feed has no usage point" in text


def test_the_cost_of_a_feed_has_its_own_scale_and_needs_its_currency(bill: Runner) -> None:
    text = shown(bill(feed(cost=15_000), *ZONE, name="use.xml"))
    assert "states a cost of 7.20 USD" in text  # 48 x 0.15, cost in hundred-thousandths
    text = shown(bill(feed(cost=15_000, currency=""), *ZONE, name="use.xml"))
    assert "costs without a known currency" in text
    assert "states a cost" not in text


def test_feeds_ask_for_the_zone_and_refuse_options_of_tables(bill: Runner) -> None:
    assert "time zone of the place" in fault(bill(feed(), name="use.xml")).what
    refused = fault(bill(feed(), *ZONE, "--unit", "kW", name="use.xml"))
    assert refused.what == "--unit has no meaning for a Green Button file"
    assert "no usage point 2" in fault(bill(feed(), *ZONE, "--usage-point", "2", name="u.xml")).what
    assert "no series 9" in fault(bill(feed(), *ZONE, "--series", "9", name="use.xml")).what


def test_broken_xml_and_odd_text_are_one_message(bill: Runner) -> None:
    for text in (feed()[:3000], "a" * 300_000 + ",b", 'month,kWh\n"2024-01,5\n' + "x" * 200_000):
        fault(bill(text, *ZONE, name="use.xml"))


def test_an_odd_tariff_file_is_one_message(bill: Runner, tmp_path: Path) -> None:
    odd = tmp_path / "rates.csv"
    odd.write_text("a" * 300_000 + ",b\n")
    app = typer.Typer(pretty_exceptions_enable=False, rich_markup_mode=None)
    app.command("bill")(commands.bill)
    fault(CliRunner().invoke(app, [str(odd), str(odd)]))


# Facts that a file does not say


def test_watts_per_half_hour_are_billed_once_unit_and_interval_are_said(bill: Runner) -> None:
    text = hours(96, lambda row: str(1900 + row % 2 * 200), minutes=30, heading="", mark=";")
    text = text.strip().replace("2024-06", "2,31282E+13;2024-06")
    refused = fault(bill(text, *ZONE))
    assert 'say --unit W --interval 30 (from Python: unit="W", interval_min=30)' in refused.remedy
    # 2 kW on average for 48 hours at 0.10
    assert "9.60" in shown(bill(text, *ZONE, "--unit", "W", "--interval", "30"))


def test_negative_values_are_export_once_said(bill: Runner) -> None:
    text = hours(48, lambda row: "-0.5" if row % 24 == 12 else "1.0")
    assert "say --signs net" in fault(bill(text, *ZONE)).remedy
    done = shown(bill(text, *ZONE, "--signs", "net", tariff=CREDIT))
    assert "4.56" in done  # 46 kWh at 0.10 less 1 kWh at 0.04


@pytest.mark.parametrize(("unit", "word"), [("kWh", "comma"), ("Wh", "point")])
def test_the_decimal_mark_is_said_in_words(bill: Runner, unit: str, word: str) -> None:
    text = hours(48, lambda _: "1,196", heading=f"start;{unit}", mark=";")
    assert "--decimal-mark comma or --decimal-mark point" in fault(bill(text, *ZONE)).remedy
    # 48 values of 1.196 kWh or of 1196 Wh
    assert "5.74" in shown(bill(text, *ZONE, "--decimal-mark", word))


def test_dates_that_can_be_read_in_two_ways_are_settled_by_their_order(bill: Runner) -> None:
    text = hours(24, form="%m/%d/%Y %H:%M")
    assert "--date-order" in fault(bill(text, *ZONE)).remedy
    assert "2024-06-01" in shown(bill(text, *ZONE, "--date-order", "mdy"))
    assert "2024-01-06" in shown(bill(text, *ZONE, "--date-order", "dmy"))


def test_a_single_bill_with_two_dates_is_settled_by_its_last_day(bill: Runner) -> None:
    text = "from,to,use (kWh)\n2024-06-01,2024-06-30,500\n"
    assert "--last-day read" in fault(bill(text)).remedy
    assert "2024-06-01 to 2024-06-29" in shown(bill(text, "--last-day", "read"))
    assert "2024-06-01 to 2024-06-30" in shown(bill(text, "--last-day", "included"))


def test_options_that_would_not_be_used_are_refused(bill: Runner) -> None:
    text = "month,kWh\n2024-01,500\n"
    refused = fault(bill(text, "--signs", "net", "--clock", "utc"))
    assert refused.what == "--clock, --signs have no meaning for a table of months"
    zone = ("--zone", "America/New_York")
    heat = fault(bill(hours(24 * 30), *zone, "--heat-content", "1.02 therm/ccf"))
    assert heat.what == "--heat-content 1.02 therm/ccf with a tariff of electricity"


@pytest.mark.parametrize("minutes", ["0", "-5"])
def test_an_interval_that_is_no_length_is_refused(bill: Runner, minutes: str) -> None:
    done = bill(hours(24), "--zone", "America/New_York", f"--interval={minutes}")
    assert done.exit_code == 2
    assert "--interval" in done.output


# Gaps


def test_a_gap_is_refused_with_the_labels_and_line_of_the_file(bill: Runner) -> None:
    rows = hours(72).split("\n")
    refused = fault(bill("\n".join(rows[:10] + rows[20:]), *ZONE))
    assert refused.where == "use.csv, line 11"
    assert refused.what.startswith(
        "after '2024-06-01 08:00' (line 10) comes '2024-06-01 19:00' (line 11)"
    )


def test_a_blank_cell_is_refused_as_a_blank_cell(bill: Runner) -> None:
    text = hours(72, lambda row: "" if row == 30 else "1.0")
    refused = fault(bill(text, *ZONE))
    assert refused.what.startswith("the value of '2024-06-02 06:00' (line 32) is blank")


# Units against one bill line


def quarters(heading: str) -> str:
    """30 days of 1.5 kW in quarter hours."""
    return hours(30 * 96, lambda _: "1.5", minutes=15, heading=heading)


def test_power_labelled_as_energy_is_warned_of_loudly_and_not_repaired(bill: Runner) -> None:
    done = bill(quarters("time,kWh"), *ZONE)
    text = shown(done)
    assert text.startswith("CHECK THE UNIT: use.csv: 4,320 kWh")
    assert "4 times too high" in text
    assert "432.00" in text  # 4,320 kWh at 0.10 all the same
    quiet = shown(bill(quarters("time,kWh"), *ZONE, "--unit", "kW"))
    assert "CHECK" not in quiet
    assert "108.00" in quiet


def test_a_bill_line_names_the_cause_of_a_sum_that_is_too_high(bill: Runner) -> None:
    line = "1,080 kWh 2024-06-01 2024-06-30"
    refused = fault(bill(quarters("time,kWh"), *ZONE, "--bill-line", line))
    assert "4 times the bill's 1080 kWh" in refused.what
    assert "power samples, 4 per hour, were summed as energy" in refused.what


def test_one_bill_line_settles_a_heading_that_says_kw(bill: Runner) -> None:
    text = quarters("time,kW")
    assert "--bill-line" in str(fault(bill(text, *ZONE)))
    done = shown(bill(text, *ZONE, "--bill-line", "1085 kWh"))
    assert "use.csv: confirmed, the sum is 99.5 % of the bill 2024-06-01 to 2024-06-30" in done


def test_the_latest_whole_bill_follows_the_day_on_which_bills_begin(bill: Runner) -> None:
    text = hours(70 * 24, lambda row: "2.0" if row < 40 * 24 else "1.0")
    # 1 June to 9 August; bills from the 5th: the latest whole one is 5 July to 4 August
    kwh = 6 * 24 * 2 + 25 * 24
    done = shown(bill(text, *ZONE, "--day", "5", "--bill-line", f"{kwh} kWh"))
    assert "100.0 % of the bill 2024-07-05 to 2024-08-04" in done
    refused = fault(bill(hours(200), *ZONE, "--bill-line", "500 kWh"))
    assert "holds no whole bill" in refused.what
    assert "is no line of a bill" in fault(bill(text, *ZONE, "--bill-line", "much")).what


def test_a_list_of_readings_is_held_against_its_latest_bill(bill: Runner) -> None:
    text = "from,to,use (kWh)\n2024-06-01,2024-07-01,500\n2024-07-01,2024-08-01,600\n"
    assert "is 100.0% of the 600 kWh on the bill" in shown(bill(text, "--bill-line", "600 kWh"))
    refused = fault(bill(text, "--bill-line", "60 kWh"))
    assert "10 times as much" in refused.what


def test_gas_intervals_are_billed_in_therms_with_one_bill_line(bill: Runner) -> None:
    text = hours(30 * 24, lambda _: "0.05", heading="start,therm")
    assert "one bill line to confirm it" in fault(bill(text, *ZONE, tariff=GAS)).expected
    done = shown(bill(text, *ZONE, "--bill-line", "36 therm", tariff=GAS))
    assert "36.00" in done
    volume = hours(30 * 24, lambda _: "0.05", heading="start,ccf")
    assert (
        "--heat-content" in fault(bill(volume, *ZONE, "--bill-line", "36 ccf", tariff=GAS)).remedy
    )
    done = shown(
        bill(volume, *ZONE, "--bill-line", "36 ccf", "--heat-content", "1.02 therm/ccf", tariff=GAS)
    )
    assert "36.72" in done


# To the cent


def table(done: Result) -> list[list[Decimal]]:
    """Numbers of each bill and of all bills, without the use."""
    rows = [line for line in done.stdout.splitlines() if " to 20" in line[:24] or "All" in line[:5]]
    cells = [row.replace(",", "").split()[2 if "All" in row else 3 :] for row in rows]
    return [[Decimal(cell) for cell in row[1:]] for row in cells]


@settings(
    max_examples=15, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(
    kwh=st.lists(st.integers(0, 3_000_000), min_size=2, max_size=12),
    where=st.sampled_from(["each line", "total"]),
)
def test_printed_rows_and_columns_add_up_to_the_cent(
    bill: Runner, kwh: list[int], where: str
) -> None:
    rows = [f"2024-{month:02d},{one / 1000}" for month, one in enumerate(kwh, start=1)]
    tariff = f'round = "{where}"\n' + BLOCKS
    done = bill("\n".join(["month,kWh", *rows]), tariff=tariff)
    shown(done)
    *bills, everything = table(done)
    assert len(bills) == len(kwh)
    for row in bills:
        assert sum(row[:-1]) == row[-1]
    assert [sum(column) for column in zip(*bills, strict=True)] == everything


def test_the_energy_column_is_the_sum_of_rounded_lines(bill: Runner) -> None:
    # 100.05 kWh: 10.5423 -> 10.54 and 0.3332 -> 0.33; together 10.8755, which would be 10.88
    rows = ["2024-01,100.05", "2024-02,100.05"]
    done = bill("\n".join(["month,kWh", *rows]), tariff=BLOCKS)
    assert table(done) == [
        [Decimal("14.00"), Decimal("10.87"), Decimal("24.87")],
        [Decimal("14.00"), Decimal("10.87"), Decimal("24.87")],
        [Decimal("28.00"), Decimal("21.74"), Decimal("49.74")],
    ]
    assert shown(done)


# Tables of months


@pytest.mark.parametrize("month", ["Jan 2013", "January 2013", "2013-01", "2013/1"])
def test_months_may_be_named_with_their_year(bill: Runner, month: str) -> None:
    assert "2013-01-01 to 2013-01-31" in shown(bill(f"month,kWh\n{month},155\n"))


def test_therms_under_an_electric_tariff_are_named(bill: Runner) -> None:
    text = "from,to,use (therm)\n2024-06-01,2024-07-01,5\n2024-07-01,2024-08-01,6\n"
    assert "a unit of natural gas and not of electricity" in fault(bill(text)).what
    refused = fault(bill("month,therm\n2024-01,5\n"))
    assert "the tariff counts kWh" in refused.remedy


def test_repairs_of_a_list_are_always_shown(bill: Runner) -> None:
    row = "2024-06-01,2024-07-01,500"
    text = shown(bill(f"from,to,use (kWh)\n{row}\n2024-07-01,2024-08-01,600\n{row}\n"))
    assert "use.csv: accepted with listed repairs: - use.csv, line 4: the row stands twice" in text
