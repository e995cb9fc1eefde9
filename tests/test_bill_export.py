"""Credit for feed-in: net metering, net billing, steps by size, caps."""

from __future__ import annotations

import numpy as np
import pytest

from energymodel.errors import EnergyModelError, InputError, ManyFaultsError
from energymodel.tariffs.bill import Bill, Prepared, prepare
from energymodel.tariffs.calendar import WallClock, clock_from_utc, year_clock
from energymodel.tariffs.customer import Customer
from energymodel.tariffs.export import Export, ExportRule, SizeStep, credited_share
from energymodel.tariffs.printed_bill import print_bills
from energymodel.tariffs.toml_form import tariff_from_toml

ZONE = "America/New_York"
FLAT = """
name = "flat"
[[fixed]]
name = "Customer charge"
price = "10 per month"
[[energy]]
name = "Energy"
price = 0.20
"""


def _prepared(export: str, customer: Customer | None = None, base: str = FLAT) -> Prepared:
    return prepare(tariff_from_toml(base + export), year_clock(2023, zone=ZONE), customer=customer)


def _by_month(values: list[float], clock: WallClock) -> np.ndarray:
    """Spread monthly kWh evenly over the hours of each month."""
    hours = np.bincount(clock.months, minlength=13)[1:]
    return (np.array(values) / hours)[clock.months - 1]


def _use_and_sun(clock: WallClock) -> tuple[np.ndarray, np.ndarray]:
    use = _by_month([100.0] * 12, clock)
    sun = _by_month([0.0, 0.0, 50.0, 150.0, 250.0, 250.0, 250.0, 150.0, 50.0, 0.0, 0.0, 0.0], clock)
    return use, sun


NET_METERING = '[export]\nrule = "net metering"\ntrue_up = "Mar"\nsurplus_price = 0.03\n'


def test_net_metering_keeps_energy_until_the_true_up_and_pays_what_is_left() -> None:
    prepared = _prepared(NET_METERING)
    use, sun = _use_and_sun(prepared.plan.clock)
    bill = prepared.bill(use - sun)
    # computed: April to September leave 500 kWh more than is used then, October to February take
    # them, March has nothing left for its own 50 kWh
    energy = bill.of_charge("Energy")
    assert energy.tolist() == pytest.approx([0.0, 0.0, 10.0, *[0.0] * 9])
    assert bill.of_charge("Export credit").sum() == pytest.approx(0.0)
    assert bill.total == pytest.approx(130.0)
    more_sun = prepared.bill(use - 1.5 * sun)
    left = 1.5 * 1150.0 - 1200.0
    assert more_sun.of_charge("Export credit").sum() == pytest.approx(-0.03 * left)
    assert more_sun.of_charge("Export credit")[2] == pytest.approx(-0.03 * left)


def test_net_metering_never_pays_more_than_the_use_costs() -> None:
    prepared = _prepared('[export]\nrule = "net metering"\n')
    use, sun = _use_and_sun(prepared.plan.clock)
    assert prepared.bill(use - 10 * sun).total >= 120.0 - 1e-9
    assert prepared.bill(use - 0 * sun).total == pytest.approx(120.0 + 1200 * 0.20)


TWO_PERIODS = """
name = "two periods"
[[energy]]
name = "Energy"
[[energy.period]]
name = "day"
price = 0.30
when = { hours = "8-20" }
[[energy.period]]
name = "night"
price = 0.10
"""


@pytest.mark.parametrize(("kept", "january"), [("by period", 37.2), ("together", 0.0)])
def test_energy_is_kept_by_period_or_for_all(kept: str, january: float) -> None:
    prepared = _prepared(f'[export]\nrule = "net metering"\nkept = "{kept}"\n', base=TWO_PERIODS)
    clock = prepared.plan.clock
    day = (clock.minutes >= 480) & (clock.minutes < 1200)
    # every hour of the day feeds 1 kWh in, every hour of the night uses 1 kWh
    bill = prepared.bill(np.where(day, -1.0, 1.0))
    assert bill.total_by_period[0] == pytest.approx(january)  # 31 x 12 kWh x 0.10 (computed)


NET_BILLING = '[export]\nrule = "net billing"\nprice = 0.05\ntrue_up = "Dec"\n'


def test_net_billing_credits_at_its_own_price_and_carries_money_over() -> None:
    prepared = _prepared(NET_BILLING + 'of = ["Energy"]\n')
    clock = prepared.plan.clock
    load = _by_month([-1000.0, 100.0, *[0.0] * 10], clock)
    bill = prepared.bill(load)
    # January earns 50.00 and owes 10.00 fixed, which credit may not pay; February owes 20.00 of
    # energy, paid by the credit; 30.00 are lost at the true-up (computed)
    assert bill.total_by_period.tolist() == pytest.approx([10.0] * 12)
    paid = _prepared(NET_BILLING + 'left = "paid"\nof = ["Energy"]\n').bill(load)
    assert paid.total_by_period.tolist() == pytest.approx([10.0] * 11 + [10.0 - 30.0])
    anything = _prepared(NET_BILLING + 'left = "paid"\n').bill(load)
    assert anything.total == pytest.approx(120.0 + 20.0 - 50.0)


def test_printed_bills_with_carried_credit_add_up() -> None:
    prepared = _prepared(NET_BILLING)
    load = _by_month([-1000.0, 100.0, *[50.0] * 10], prepared.plan.clock)
    bill = prepared.bill(load)
    printed = print_bills(bill)
    assert [float(one.total) for one in printed] == pytest.approx(
        bill.total_by_period.tolist(), abs=0.02
    )
    assert all(sum(line.amount for line in one.lines) == one.total for one in printed)


def test_hourly_net_billing_sets_off_within_the_hour_and_net_billing_does_not() -> None:
    utc = np.arange("2023-06-01T04:00", "2023-07-01T04:00", 30, dtype="datetime64[m]")
    clock = clock_from_utc(utc, zone=ZONE, step_min=30)
    load = np.tile([1.0, -1.0], len(utc) // 2)
    totals = []
    for rule in ("net billing", "hourly net billing"):
        text = FLAT + f'[export]\nrule = "{rule}"\nprice = 0.05\n'
        totals.append(float(prepare(tariff_from_toml(text), clock).bill(load).total))
    hours = len(utc) / 2
    assert totals == pytest.approx([10.0 + hours * (0.20 - 0.05), 10.0])


def test_selling_all_needs_both_flows_and_sets_nothing_off() -> None:
    prepared = _prepared('[export]\nrule = "sell all"\nprice = 0.08\nleft = "paid"\n')
    use, sun = _use_and_sun(prepared.plan.clock)
    bill = prepared.bill(use, fed_in_kwh=sun)
    assert bill.total == pytest.approx(120 + use.sum() * 0.20 - sun.sum() * 0.08)
    with pytest.raises(InputError, match="only the net load is given"):
        prepared.bill(use - sun)


@pytest.mark.parametrize("of", ["", 'of = ["Customer charge", "Energy"]\n'])
def test_credit_is_set_against_the_charges_once_whether_they_are_named_or_not(of: str) -> None:
    prepared = _prepared(NET_BILLING + of)
    bill = prepared.bill(_by_month([-400.0, 500.0, *[0.0] * 10], prepared.plan.clock))
    # computed: January earns 20.00 and owes 10.00, 10.00 go on; February owes 110.00 less them
    assert bill.total_by_period[:3].tolist() == pytest.approx([0.0, 100.0, 10.0])
    carried = [line.amount for line in bill.lines if line.part == "carried"]
    assert carried[0][:3].tolist() == pytest.approx([10.0, -10.0, 0.0])


def _one_hour_in_and_out(rule: str) -> Bill:
    """Bill thirty days; every other hour meters 1 kWh in and 3 kWh out, the others 1 kWh in."""
    utc = np.arange("2023-06-01T04:00", "2023-07-01T04:00", 60, dtype="datetime64[m]")
    text = FLAT + f'[export]\nrule = "{rule}"\nprice = 0.05\nleft = "paid"\n'
    prepared = prepare(tariff_from_toml(text), clock_from_utc(utc, zone=ZONE, step_min=60))
    out = np.tile([0.0, 3.0], 360)
    return prepared.bill(np.ones(720), fed_in_kwh=out)


@pytest.mark.parametrize(
    ("rule", "use", "credited"),
    [
        # dgrules of the open US utility rate database (names published at openei.org/services/doc
        # /rest/util_rates, version 7): instantaneous keeps the two registers apart, hourly takes
        # their net hour by hour (computed: 360 hours of 1 kWh, 360 of -2 kWh)
        ("net billing", 720.0, 1080.0),
        ("sell all", 720.0, 1080.0),
        ("hourly net billing", 360.0, 720.0),
    ],
)
def test_two_registers_are_billed_as_the_rule_says(rule: str, use: float, credited: float) -> None:
    bill = _one_hour_in_and_out(rule)
    quantity = {line.charge: line.quantity.sum() for line in bill.lines if not line.part}
    assert (quantity["Energy"], quantity["Export credit"]) == pytest.approx((use, credited))
    assert not any(notice.topic == "export" for notice in bill.notices)


def test_net_billing_of_a_net_load_says_that_a_meter_counts_more() -> None:
    prepared = _prepared(NET_BILLING)
    bill = prepared.bill(_by_month([-400.0, 500.0, *[0.0] * 10], prepared.plan.clock))
    assert any("only the net of each 60 minutes is known" in one.text for one in bill.notices)


def test_a_credit_by_size_asks_for_the_size_only_where_energy_is_fed_in() -> None:
    prepared = _prepared(NET_BILLING + 'by_size = [{ below = "10 kW", percent = 100 }]\n')
    assert prepared.bill(np.ones(8760)).total == pytest.approx(120.0 + 8760 * 0.2)
    with pytest.raises(InputError, match="depends on the size") as refused:
        prepared.bill(-np.ones(8760))
    assert "take by_size out of the tariff" in refused.value.remedy


STEPS = (SizeStep(below_kw=10.0, percent=100.0), SizeStep(below_kw=25.0, percent=60.0))


@pytest.mark.parametrize(
    ("generator_kw", "share"), [(5.0, 1.0), (9.999, 1.0), (10.0, 0.6), (24.9, 0.6)]
)
def test_credit_by_size_is_whole_below_ten_kw_and_sixty_percent_from_ten_on(
    generator_kw: float, share: float
) -> None:
    # homeowner blog: full credit below 10 kW, 60 % of value from 10 to 25 kW (quoted); that
    # exactly 10 kW takes the lower step is our reading of "below" (computed)
    rule = Export(rule=ExportRule.NET_METERING, size_steps=STEPS)
    assert credited_share(rule, generator_kw) == share


def test_a_size_beyond_the_steps_or_unknown_is_refused() -> None:
    rule = Export(rule=ExportRule.NET_METERING, size_steps=STEPS)
    with pytest.raises(InputError, match="a generator of 25 kW"):
        credited_share(rule, 25.0)
    with pytest.raises(InputError, match="size of the generator"):
        credited_share(rule, None)


def test_credit_by_size_reaches_the_bill() -> None:
    steps = 'by_size = [{ below = "10 kW", percent = 100 }, { below = "25 kW", percent = 60 }]\n'
    export = NET_BILLING + 'left = "paid"\n' + steps
    totals = []
    for size in (9.0, 10.0):
        prepared = _prepared(export, Customer(generator_kw=size))
        use, sun = _use_and_sun(prepared.plan.clock)
        totals.append(float(prepared.bill(use - sun).total))
    fed_in = np.maximum(sun - use, 0.0).sum()
    assert totals[1] - totals[0] == pytest.approx(0.4 * fed_in * 0.05)


def test_a_cap_on_the_use_of_the_year_before_limits_the_credit() -> None:
    # homeowner blog: caps at 120 % of history (quoted); amounts computed
    export = NET_BILLING + 'left = "paid"\ncap_percent = 120\n'
    prepared = _prepared(export, Customer(use_year_before_kwh=500.0))
    load = _by_month([-400.0] * 3 + [0.0] * 9, prepared.plan.clock)
    assert prepared.bill(load).total == pytest.approx(120.0 - 600.0 * 0.05)
    with pytest.raises(InputError, match="use of the year before"):
        _prepared(export).bill(load)


def test_feed_in_without_a_credit_in_the_tariff_is_refused_with_its_row() -> None:
    load = np.ones(8760)
    load[4000] = -2.0
    with pytest.raises(InputError, match=r"row 4000: 2 kWh") as refused:
        _prepared("").bill(load)
    assert "add [export]" in refused.value.remedy


def test_net_metering_beside_blocks_in_time_order_is_refused() -> None:
    text = FLAT.replace("price = 0.20", 'blocks_count = "time order"\nprice = 0.20')
    with pytest.raises(ManyFaultsError, match="blocks in time order") as refused:
        tariff_from_toml(text + '[export]\nrule = "net metering"\n')
    assert isinstance(refused.value.faults[0], EnergyModelError)


def test_riders_follow_the_netted_use() -> None:
    rider = '[[rider]]\nname = "Fuel"\nprice = [' + ", ".join(["0.01"] * 11 + ["0.02"]) + "]\n"
    prepared = _prepared(rider + '[export]\nrule = "net metering"\n')
    bill: Bill = prepared.bill(_by_month([100.0, -100.0, 50.0, *[100.0] * 9], prepared.plan.clock))
    # March takes 50 of the 100 kWh that February left, April the other 50 (computed)
    assert bill.of_charge("Fuel").tolist() == pytest.approx([1.0, 0.0, 0.0, 0.5, *[1.0] * 7, 2.0])
