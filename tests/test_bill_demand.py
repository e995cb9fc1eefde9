"""Demand charges: windows, intervals, seasons, ratchets, coincident and daily demand."""

from __future__ import annotations

from datetime import date

import numpy as np
import pytest

from energymodel.errors import InputError, ManyFaultsError
from energymodel.tariffs.bill import Bill, prepare
from energymodel.tariffs.billing_period import monthly_from_day, of_readings
from energymodel.tariffs.calendar import WallClock, clock_from_utc, year_clock
from energymodel.tariffs.customer import Customer
from energymodel.tariffs.readings import Readings, bill_readings
from energymodel.tariffs.toml_form import tariff_from_toml

DENVER = "America/Denver"


def _quarter_hours(first: str, after: str) -> WallClock:
    utc = np.arange(f"{first}T06:00", f"{after}T06:00", 15, dtype="datetime64[m]")
    return clock_from_utc(utc, zone=DENVER, step_min=15)


def _load_kw(clock: WallClock, peaks: dict[str, float]) -> np.ndarray:
    kw = np.full(len(clock), 1.0)
    for moment, value in peaks.items():
        kw[clock.starts == np.datetime64(moment)] = value
    return kw * clock.step_min / 60.0


def _demand(charge: str) -> str:
    return f'name = "demand"\n[seasons]\nsummer = "1 Jun to 30 Sep"\n[[demand]]\n{charge}'


HIGHEST_CLOCK_HOUR = _demand(
    """
    name = "Summer peak"
    interval = "60 min"
    price = 2
    when = { seasons = "summer", days = "weekdays", hours = "15-20" }
    """
)
HIGHEST_QUARTER = _demand('name = "Peak"\nprice = 2')
CALENDAR_MONTH = _demand(
    """
    name = "Peak"
    interval = "60 min"
    measured = "calendar month"
    price = 5
    when = { hours = "17-20" }
    """
)


def test_three_window_rules_bill_three_demands_of_one_load() -> None:
    # three electric co-operatives' public pages; 10 kW in the summer window bills 20.00 (printed
    # example), the inequality of the rules is computed
    clock = _quarter_hours("2023-06-01", "2023-08-01")
    quarters = ("00", "15", "30", "45")
    load = _load_kw(
        clock,
        {
            **{f"2023-07-12T16:{quarter}": 10.0 for quarter in quarters},
            "2023-07-20T09:30": 14.0,
            **{f"2023-07-25T18:{quarter}": 6.0 for quarter in quarters},
            **{f"2023-06-28T18:{quarter}": 8.0 for quarter in quarters},
        },
    )
    periods = monthly_from_day(10, clock)
    found = {}
    for name, text in (
        ("hour", HIGHEST_CLOCK_HOUR), ("quarter", HIGHEST_QUARTER), ("month", CALENDAR_MONTH),
    ):  # fmt: skip
        bill = prepare(tariff_from_toml(text), clock, periods=periods).bill(load)
        line = bill.lines[0]
        share = line.quantity / periods.months(bill.tariff.monthly_amounts)
        found[name] = share.tolist()
    # bills end 9 June, 9 July and 31 July (cut by the data); the calendar month of the last is July
    assert found["hour"] == pytest.approx([1.0, 8.0, 10.0])
    assert found["quarter"] == pytest.approx([1.0, 8.0, 14.0])
    assert found["month"] == pytest.approx([8.0, 8.0, 6.0])
    assert any("first month of the data stands for it" in n.text for n in bill.notices)


def test_ten_kw_in_the_summer_window_bill_twenty() -> None:
    tariff = tariff_from_toml(_demand('name = "Summer peak"\ninterval = "60 min"\nprice = 2'))
    reads = of_readings([date(2023, 7, 1), date(2023, 8, 1)])
    bill = bill_readings(tariff, reads, Readings(use=[0.0], demand_kw={"Summer peak": [10.0]}))
    assert float(bill.total) == 20.0  # an electric co-operative's printed example


def test_longer_intervals_never_measure_more() -> None:
    clock = _quarter_hours("2023-06-01", "2023-07-01")
    load = np.random.default_rng(4).gamma(2.0, 0.2, len(clock))
    kw = [
        float(
            prepare(
                tariff_from_toml(_demand(f'name = "D"\ninterval = "{minutes} min"\nprice = 1')),
                clock,
            )
            .bill(load)
            .total
        )
        for minutes in (15, 30, 60)
    ]
    assert kw == sorted(kw, reverse=True)
    assert kw[0] == pytest.approx(load.max() * 4)
    assert kw[2] == pytest.approx(load.reshape(-1, 4).sum(axis=1).max())


def test_hourly_data_under_a_quarter_hour_demand_are_billed_with_a_warning() -> None:
    bill = prepare(tariff_from_toml(HIGHEST_QUARTER), year_clock(2023, zone=DENVER)).bill(
        np.ones(8760)
    )
    assert any("the true demand is higher" in notice.text for notice in bill.notices)


def test_rows_that_do_not_make_whole_intervals_are_refused() -> None:
    utc = np.arange("2023-01-01T06:15", "2023-01-02T06:15", 15, dtype="datetime64[m]")
    clock = clock_from_utc(utc, zone=DENVER, step_min=15)
    with pytest.raises(InputError, match="do not make whole demand intervals of 60 minutes"):
        prepare(tariff_from_toml(_demand('name = "D"\ninterval = "60 min"\nprice = 1')), clock)


SEASONAL = """
name = "industrial primary"
[seasons]
"May-Oct" = "1 May to 31 Oct"
"Nov-Apr" = "1 Nov to 30 Apr"
[[demand]]
name = "Demand"
interval = "60 min"
{extra}
[[demand.period]]
name = "period 0"
price = 11.5
when = {{ seasons = "May-Oct" }}
[[demand.period]]
name = "period 1"
price = 10.5
when = {{ seasons = "Nov-Apr" }}
"""


def _monthly_peaks(kw: list[float]) -> tuple[WallClock, np.ndarray]:
    clock = year_clock(2023, zone=DENVER)
    return clock, np.array(kw)[clock.months - 1]


def _kw_billed(bill: Bill) -> list[float]:
    return np.sum([line.quantity for line in bill.lines], axis=0).tolist()


def test_seasonal_demand_is_billed_at_the_price_of_its_season() -> None:
    clock, load = _monthly_peaks([100.0] * 12)
    bill = prepare(tariff_from_toml(SEASONAL.format(extra="")), clock).bill(load)
    assert bill.total_by_period.tolist() == pytest.approx(
        [1050.0] * 4 + [1150.0] * 6 + [1050.0] * 2
    )


def test_a_season_that_begins_inside_a_bill_is_billed_by_days_not_twice() -> None:
    clock, load = _monthly_peaks([100.0] * 12)
    periods = monthly_from_day(16, clock)
    bill = prepare(tariff_from_toml(SEASONAL.format(extra="")), clock, periods=periods).bill(load)
    # 16 April to 15 May: 15 days at 10.5, 15 days at 11.5 (computed)
    assert bill.total_by_period[4] == pytest.approx(100 * (10.5 + 11.5) / 2)
    assert _kw_billed(bill)[4] == pytest.approx(100.0)


RATCHET = SEASONAL.format(extra="ratchet = { percent = 80, look_back = 11 }")


def test_a_ratchet_bills_eighty_percent_of_a_peak_for_eleven_months() -> None:
    # national-laboratory FAQ: a 1,000 kW peak bills at least 800 kW for 11 months (published)
    clock, load = _monthly_peaks([10.0] * 6 + [1000.0] + [10.0] * 5)
    once = Customer(demand_before_kw={"Demand": (10.0,)})
    bill = prepare(tariff_from_toml(RATCHET), clock, customer=once).bill(load)
    assert _kw_billed(bill) == pytest.approx([10.0] * 6 + [1000.0] + [800.0] * 5)


def test_a_year_that_repeats_itself_looks_back_over_its_own_end() -> None:
    clock, load = _monthly_peaks([10.0] * 6 + [1000.0] + [10.0] * 5)
    bill = prepare(tariff_from_toml(RATCHET), clock).bill(load)
    assert _kw_billed(bill) == pytest.approx([800.0] * 6 + [1000.0] + [800.0] * 5)
    assert any(default.value == "the year repeats itself" for default in bill.defaults)


@pytest.mark.parametrize(("month", "kw"), [(5, 100.0), (6, 105.0)])
def test_half_of_the_yearly_maximum_is_the_least_demand(month: int, kw: float) -> None:
    # yearly maximum 200 kW: May 80 bills 100, June 105 bills 105 (quoted)
    peaks = [60.0] * 12
    peaks[0], peaks[4], peaks[5] = 200.0, 80.0, 105.0
    text = SEASONAL.format(extra="ratchet = { percent = 50, look_back = 11 }")
    clock, load = _monthly_peaks(peaks)
    assert _kw_billed(prepare(tariff_from_toml(text), clock).bill(load))[month - 1] == kw


def test_a_ratchet_remembers_only_its_months() -> None:
    text = SEASONAL.format(
        extra='ratchet = { percent = 50, look_back = 11, months = ["Jun", "Jul"] }'
    )
    peaks = [300.0, *[50.0] * 5, 200.0, *[50.0] * 5]
    clock, load = _monthly_peaks(peaks)
    billed = _kw_billed(prepare(tariff_from_toml(text), clock).bill(load))
    assert billed[0] == 300.0
    assert billed[1] == 100.0


def test_least_demand_and_blocks_of_demand() -> None:
    text = _demand(
        """
        name = "D"
        interval = "60 min"
        minimum = "50 kW"
        blocks = [{ up_to = "40 kW", price = 1 }, { price = 3 }]
        """
    )
    clock, load = _monthly_peaks([20.0] * 11 + [90.0])
    bill = prepare(tariff_from_toml(text), clock).bill(load)
    assert bill.total_by_period[0] == pytest.approx(40 * 1 + 10 * 3)
    assert bill.total_by_period[11] == pytest.approx(40 * 1 + 50 * 3)


def test_periods_of_the_day_have_a_maximum_each_beside_that_of_any_time() -> None:
    # utility page: separate maxima per window plus the customer's maximum at any time (published)
    text = """
    name = "TOU demand"
    [[demand]]
    name = "On-peak demand"
    interval = "60 min"
    price = 6
    when = { days = "weekdays", hours = "14-20" }
    [[demand]]
    name = "Demand at any time"
    interval = "60 min"
    price = 2
    """
    clock = year_clock(2023, zone=DENVER)
    load = np.ones(8760)
    load[clock.starts == np.datetime64("2023-07-12T15:00")] = 5.0
    load[clock.starts == np.datetime64("2023-07-12T03:00")] = 9.0
    bill = prepare(tariff_from_toml(text), clock).bill(load)
    assert bill.of_charge("On-peak demand")[6] == pytest.approx(30.0)
    assert bill.of_charge("Demand at any time")[6] == pytest.approx(18.0)


def test_coincident_demand_is_the_load_in_the_hours_of_the_systems_peak() -> None:
    text = _demand(
        'name = "D"\ninterval = "60 min"\nprice = 1\n'
        "at = [2023-07-12T17:00:00, 2023-07-20T18:00:00]"
    )
    clock = year_clock(2023, zone=DENVER)
    load = np.full(8760, 50.0)
    load[clock.starts == np.datetime64("2023-07-12T17:00")] = 4.0
    load[clock.starts == np.datetime64("2023-07-20T18:00")] = 8.0
    bill = prepare(tariff_from_toml(text), clock).bill(load)
    assert bill.total_by_period[6] == pytest.approx(6.0)
    assert bill.total == pytest.approx(6.0)
    other_year = prepare(tariff_from_toml(text), year_clock(2022, zone=DENVER)).bill(load)
    assert any("none of the hours" in notice.text for notice in other_year.notices)


def test_daily_demand_adds_up_the_maxima_of_the_days() -> None:
    text = _demand('name = "D"\ninterval = "60 min"\nmeasured = "day"\nprice = 0.5')
    clock = year_clock(2023, zone=DENVER)
    load = np.random.default_rng(3).gamma(2.0, 1.0, 8760)
    bill = prepare(tariff_from_toml(text), clock).bill(load)
    by_day: dict[date, float] = {}
    for moment, kwh in zip(clock.dates.tolist(), load, strict=True):
        by_day[moment] = max(by_day.get(moment, 0.0), kwh)
    january = sum(kw for day, kw in by_day.items() if day.month == 1)
    assert bill.total_by_period[0] == pytest.approx(0.5 * january)
    assert bill.total == pytest.approx(0.5 * sum(by_day.values()))


HOURS_USE = """
name = "hours of use"
[[energy]]
name = "Energy"
{demand}
blocks = [
  {{ up_to = "200 kWh per kW", price = 0.10 }},
  {{ up_to = "400 kWh per kW", price = 0.08 }},
  {{ price = 0.05 }},
]
[[demand]]
name = "D"
interval = "60 min"
price = 0
minimum = "2 kW"
"""


def test_blocks_per_kw_follow_the_billed_demand() -> None:
    clock = year_clock(2023, zone=DENVER)
    load = np.ones(8760)
    july = prepare(tariff_from_toml(HOURS_USE.format(demand='demand = "D"')), clock).bill(load)
    # 744 kWh, 2 kW billed: 400 at .10, 344 at .08 (computed)
    assert july.total_by_period[6] == pytest.approx(400 * 0.10 + 344 * 0.08)
    highest = prepare(tariff_from_toml(HOURS_USE.format(demand="")), clock).bill(load)
    # 1 kW measured: 200 at .10, 200 at .08, 344 at .05 (computed)
    assert highest.total_by_period[6] == pytest.approx(200 * 0.10 + 200 * 0.08 + 344 * 0.05)


def test_reactive_demand_that_is_not_known_is_left_out_and_said() -> None:
    text = 'name = "r"\n[[reactive]]\nname = "Reactive"\nprice = 2.7'
    clock = year_clock(2023, zone=DENVER)
    prepared = prepare(tariff_from_toml(text), clock)
    bill = prepared.bill(np.ones(8760))
    assert bill.total == 0.0
    assert any("reactive demand is not known" in notice.text for notice in bill.notices)
    assert prepared.bill(np.ones(8760), reactive_kvar=np.full(12, 10.0)).total == pytest.approx(324)


def test_impossible_ratchets_and_intervals_are_refused_together() -> None:
    with pytest.raises(ManyFaultsError) as refused:
        tariff_from_toml(
            _demand('name = "D"\nprice = 1\ninterval = "45 min"\nratchet = { percent = 180 }')
        )
    assert "demand over 45 minutes" in str(refused.value)
    assert "one share or twelve" in str(refused.value)
