"""Life-cycle cost and its measures, against worked problems and the federal definitions."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from energymodel.economics.cash_flow import cash_flow
from energymodel.economics.life_cycle import (
    LifeCycleComparison,
    adjusted_rate_of_return,
    compare_life_cycles,
    life_cycle_cost,
    life_total,
    life_total_guard,
    return_from_ratio,
    saving_to_investment_ratio,
)
from energymodel.economics.option_costs import OptionCosts, PlannedCost, YearlyCost
from energymodel.economics.present_value import present_value, uniform_factor
from energymodel.economics.rates import ConstantEscalation, Money, PriceIndex, Rate, real_rate
from energymodel.economics.study_period import StudyPeriod
from energymodel.errors import InputError

_TRIES = settings(max_examples=50, deadline=None)


def _compare(base: OptionCosts, option: OptionCosts, study: StudyPeriod) -> LifeCycleComparison:
    return compare_life_cycles(cash_flow(base, study), cash_flow(option, study))


def _furnace(efficiency: float, cost: float) -> OptionCosts:
    gas = YearlyCost(name="natural gas", per_year=100.0 / efficiency * 7.0)
    return OptionCosts(name=f"{efficiency:.0%}", installed_cost=cost, energy=(gas,))


@pytest.mark.parametrize(
    ("rate", "discounted_years"), [(0.03, 4.407), (0.05, 4.665), (0.08, 5.121)]
)
def test_furnace_problem_of_a_textbook(rate: float, discounted_years: float) -> None:
    # Energy-management textbook problem 1 (inputs quoted, results computed): 75 % at $1,000
    # against 95 % at $1,800; 100 MMBtu a year at $7.00; 15 years.
    study = StudyPeriod(years=15, discount=real_rate(rate))
    found = _compare(_furnace(0.75, 1000.0), _furnace(0.95, 1800.0), study)
    assert found.simple_payback.years == pytest.approx(4.071, abs=5e-4)
    assert found.discounted_payback.years == pytest.approx(discounted_years, abs=5e-4)
    assert found.rate_of_return.rate == pytest.approx(0.2353, abs=5e-5)


def test_furnace_problem_of_a_textbook_at_3_percent_in_the_other_measures() -> None:
    # As above (computed).
    study = StudyPeriod(years=15, discount=real_rate(0.03))
    found = _compare(_furnace(0.75, 1000.0), _furnace(0.95, 1800.0), study)
    assert found.net_savings == pytest.approx(1545.70, abs=0.01)
    assert found.saving_to_investment.value == pytest.approx(2.932, abs=5e-4)
    assert found.adjusted_return.value == pytest.approx(0.1066, abs=5e-5)
    assert found.cost_effective


def test_retrofit_problem_of_a_textbook_is_worth_56460() -> None:
    # Textbook problem 3 (inputs quoted, result computed): $200,000; 500,000 kWh a year at $0.10;
    # 8 years, 12 %, salvage $20,000.
    study = StudyPeriod(years=8, discount=real_rate(0.12))
    now = OptionCosts(name="now", energy=(YearlyCost(name="electricity", per_year=500_000 * 0.10),))
    retrofit = OptionCosts(name="retrofit", installed_cost=200_000.0, residual=20_000.0)
    assert _compare(now, retrofit, study).net_savings == pytest.approx(56_459.65, abs=0.01)


@pytest.mark.parametrize(("priced_in_year", "gas_worth"), [(1, 316_426.0), (0, 320_016.0)])
def test_heating_problem_of_a_textbook_pays_its_first_energy_bill_unescalated(
    priced_in_year: int, gas_worth: float
) -> None:
    # Textbook problem 5 (inputs quoted, results computed): 8 %, 20 years; gas 225,000 + 2,000 a
    # year + energy 5,000 in year 1, rising 5 %; ground source 200,000 + 10,000 a year. Escalating
    # the first payment too would give 320,016.
    study = StudyPeriod(years=20, discount=real_rate(0.08))
    rise = ConstantEscalation(rate=real_rate(0.05), priced_in_year=priced_in_year)
    gas = OptionCosts(
        name="gas",
        installed_cost=225_000.0,
        energy=(YearlyCost(name="natural gas", per_year=5_000.0, course=rise),),
        upkeep=(YearlyCost(name="maintenance", per_year=2_000.0),),
    )
    ground = OptionCosts(
        name="ground source",
        installed_cost=200_000.0,
        energy=(YearlyCost(name="electricity", per_year=10_000.0),),
    )
    found = _compare(gas, ground, study)
    assert found.base.total == pytest.approx(gas_worth, abs=0.5)
    assert found.option.total == pytest.approx(298_181.0, abs=0.5)
    assert found.cost_effective


# After NIST Handbook 135, office building, recalled, from memory; results computed.
def _office(name: str, amounts: tuple[float, float, float, float, float]) -> OptionCosts:
    first, fan, residual, electricity, upkeep = amounts
    level = PriceIndex(
        by_year=np.full(20, 15.13 / uniform_factor(0.03, 20)), money=Money.CONSTANT, source="above"
    )
    return OptionCosts(
        name=name,
        installed_cost=first,
        planned=(PlannedCost(name="fan", cost=fan, year=12),),
        residual=residual,
        energy=(YearlyCost(name="electricity", per_year=electricity, course=level),),
        upkeep=(YearlyCost(name="maintenance", per_year=upkeep),),
    )


_CONVENTIONAL = (103_000.0, 12_000.0, 3_500.0, 20_000.0, 7_000.0)
_SAVING = (110_000.0, 12_500.0, 3_700.0, 13_000.0, 8_000.0)


def test_office_example_recalled_from_memory_with_exact_factors() -> None:
    study = StudyPeriod(years=20, discount=real_rate(0.03))
    found = _compare(_office("conventional", _CONVENTIONAL), _office("saving", _SAVING), study)
    assert found.base.total == pytest.approx(516_221.0, abs=0.1)
    assert found.option.total == pytest.approx(432_428.4, abs=0.1)
    assert found.saving_to_investment.value == pytest.approx(12.57, abs=5e-3)
    assert found.adjusted_return.value == pytest.approx(0.169, abs=5e-4)


def test_office_example_recalled_from_memory_with_rounded_factors() -> None:
    factors = np.array([1.0, 0.701, -0.554, 15.13, 14.88])
    base, saving = np.dot(_CONVENTIONAL, factors), np.dot(_SAVING, factors)
    assert base == pytest.approx(516_233.0, abs=0.5)
    assert saving == pytest.approx(432_442.7, abs=0.05)
    running, extra = 91_030.0, 7_240.0
    assert base - saving == pytest.approx(83_790.0, abs=0.5)
    assert running - extra == pytest.approx(base - saving, abs=1.0)
    ratio = saving_to_investment_ratio(running, extra)
    assert ratio.words == "12.57"
    assert ratio.value is not None
    assert return_from_ratio(ratio.value, 0.03, 20) == pytest.approx(0.169, abs=5e-4)


_SAVINGS = st.lists(st.floats(1.0, 1e4), min_size=1, max_size=40)


@_TRIES
@given(_SAVINGS, st.floats(10.0, 1e5), st.floats(0.0, 0.15))
def test_adjusted_return_by_definition_is_the_one_from_the_ratio(
    savings: list[float], extra: float, rate: float
) -> None:
    # 10 CFR 436.22 (published) against (1 + d) SIR^(1/N) - 1 (computed).
    ratio = saving_to_investment_ratio(present_value([0.0, *savings], rate), extra)
    assert ratio.value is not None
    by_ratio = return_from_ratio(ratio.value, rate, len(savings))
    found = adjusted_rate_of_return(savings, extra_investment=extra, discount_rate=rate)
    assert found.value is not None
    assert 1 + found.value == pytest.approx(1 + by_ratio, rel=1e-12)


_MONEY = st.floats(0.0, 20_000.0)


@st.composite
def _options(draw: st.DrawFn) -> OptionCosts:
    return OptionCosts(
        name="option",
        installed_cost=draw(_MONEY),
        replaced_anyway=PlannedCost(name="furnace", cost=draw(_MONEY), year=draw(_YEAR)),
        planned=(PlannedCost(name="fan", cost=draw(_MONEY), year=draw(_YEAR)),),
        residual=draw(_MONEY),
        energy=(YearlyCost(name="gas", per_year=draw(_MONEY)),),
        upkeep=(YearlyCost(name="service", per_year=draw(_MONEY)),),
    )


_YEAR = st.integers(0, 12)


@_TRIES
@given(_options(), _options(), st.floats(0.0, 0.15))
def test_net_savings_are_the_difference_of_two_life_cycle_costs_and_the_worth_of_the_gain(
    base: OptionCosts, option: OptionCosts, rate: float
) -> None:
    study = StudyPeriod(years=12, discount=real_rate(rate))
    found = _compare(base, option, study)
    assert found.net_savings == found.base.total - found.option.total
    gain = cash_flow(option, study).by_year() - cash_flow(base, study).by_year()
    assert found.net_savings == pytest.approx(present_value(gain, rate), abs=1e-6)
    extra = found.option.net_investment - found.base.net_investment
    if found.saving_to_investment.value is not None and extra > 1:
        # cost effective: NS > 0 and SIR > 1 are one thing (10 CFR 436.18(c), published)
        assert found.net_savings == pytest.approx(
            (found.saving_to_investment.value - 1) * extra, abs=1e-5
        )


@_TRIES
@given(_options(), st.floats(0.0, 0.15))
def test_equivalent_annual_cost_paid_every_year_is_the_life_cycle_cost(
    option: OptionCosts, rate: float
) -> None:
    cost = life_cycle_cost(cash_flow(option, StudyPeriod(years=12, discount=real_rate(rate))))
    level = [0.0] + [cost.equivalent_annual_cost] * 12
    assert present_value(level, rate) == pytest.approx(cost.total, abs=1e-6)


@_TRIES
@given(st.floats(500.0, 1e4), st.floats(10.0, 2000.0), st.floats(1e-2, 1e2))
def test_another_currency_changes_no_ratio_and_no_rate(
    cost: float, saving: float, exchange: float
) -> None:
    study = StudyPeriod(years=15, discount=real_rate(0.04))

    def measured(unit: float) -> LifeCycleComparison:
        gas = YearlyCost(name="gas", per_year=3000.0 * unit)
        less = YearlyCost(name="gas", per_year=(3000.0 - saving) * unit)
        return _compare(
            OptionCosts(name="now", energy=(gas,)),
            OptionCosts(name="new", installed_cost=cost * unit, energy=(less,)),
            study,
        )

    here, there = measured(1.0), measured(exchange)
    assert there.net_savings == pytest.approx(here.net_savings * exchange, rel=1e-9, abs=1e-6)
    assert there.saving_to_investment.value == pytest.approx(here.saving_to_investment.value)
    assert there.adjusted_return.value == pytest.approx(here.adjusted_return.value, abs=1e-9)
    assert there.rate_of_return.rate == pytest.approx(here.rate_of_return.rate, abs=1e-9)
    assert there.discounted_payback.years == pytest.approx(here.discounted_payback.years)


def test_life_cycle_cost_of_savings_falls_with_the_discount_rate() -> None:
    found = [
        _compare(
            _furnace(0.75, 1000.0),
            _furnace(0.95, 1800.0),
            StudyPeriod(years=15, discount=real_rate(rate)),
        ).net_savings
        for rate in (0.0, 0.03, 0.06, 0.12, 0.2353, 0.30)
    ]
    assert found == sorted(found, reverse=True)
    assert found[-2] == pytest.approx(0.0, abs=1.0)  # at the rate of return
    assert found[-1] < 0


def test_must_be_replaced_anyway_shortens_the_payback_of_the_alternative() -> None:
    study = StudyPeriod(years=15, discount=real_rate(0.0))
    gas = (YearlyCost(name="gas", per_year=900.0),)
    pump = OptionCosts(
        name="pump", installed_cost=6000.0, energy=(YearlyCost(name="kWh", per_year=400.0),)
    )
    sound = OptionCosts(name="sound furnace", energy=gas)
    worn = OptionCosts(
        name="worn furnace",
        energy=gas,
        replaced_anyway=PlannedCost(name="furnace", cost=3500.0, year=0),
    )
    assert _compare(sound, pump, study).simple_payback.years == pytest.approx(12.0)
    assert _compare(worn, pump, study).simple_payback.years == pytest.approx(5.0)


def test_where_nothing_extra_is_put_in_there_is_no_ratio_and_no_return() -> None:
    study = StudyPeriod(years=10, discount=real_rate(0.03))
    found = _compare(_furnace(0.75, 1000.0), _furnace(0.80, 900.0), study)
    assert found.saving_to_investment.value is None
    assert found.saving_to_investment.words == "no ratio: nothing extra is put in"
    assert found.adjusted_return.value is None
    assert found.rate_of_return.rates == ()
    assert found.net_savings > 100.0


def test_an_option_that_costs_more_to_run_has_a_negative_ratio_and_no_adjusted_return() -> None:
    study = StudyPeriod(years=10, discount=real_rate(0.03))
    found = _compare(_furnace(0.95, 900.0), _furnace(0.75, 1000.0), study)
    assert found.saving_to_investment.value is not None
    assert found.saving_to_investment.value < 0
    assert found.adjusted_return.words == "no adjusted rate of return: it costs more to run"
    assert found.rate_of_return.words == "no rate of return: it costs more and saves nothing"
    assert not found.cost_effective


@pytest.mark.parametrize(
    "other",
    [
        StudyPeriod(years=10, discount=real_rate(0.05)),
        StudyPeriod(years=12, discount=real_rate(0.03)),
        StudyPeriod(years=10, discount=Rate(per_year=0.03, money=Money.CURRENT), inflation=0.0),
    ],
)
def test_options_of_unlike_studies_are_not_compared(other: StudyPeriod) -> None:
    study = StudyPeriod(years=10, discount=real_rate(0.03))
    with pytest.raises(InputError, match="the same study period"):
        compare_life_cycles(
            cash_flow(_furnace(0.75, 1000.0), study), cash_flow(_furnace(0.95, 1800.0), other)
        )


# Case A25 [T]: savings over the life as printed, "annual = mean over 15 years".
@pytest.mark.parametrize(
    ("yearly", "printed", "ours", "short"),
    [
        (250.0, 5_400.0, 3_750.0, 1_650.0),
        (1_230.0, 20_200.0, 18_450.0, 1_750.0),
        (1_000.0, 16_800.0, 15_000.0, 1_800.0),
    ],
)
def test_a25_printed_life_totals_are_wrong_and_ours_is_the_sum_of_the_years(
    yearly: float, printed: float, ours: float, short: float
) -> None:
    years = [yearly] * 15
    assert life_total(years) == ours
    assert life_total_guard(ours, years) is None
    flagged = life_total_guard(printed, years)
    assert flagged is not None
    assert f"the difference of {short:,.0f}" in flagged.text


def test_a25_implied_costs_differ_for_one_product() -> None:
    # Case A25: annual saving x payback, $2,275 / $4,797 / $4,500 (computed).
    table = ((250.0, 9.1), (1230.0, 3.9), (1000.0, 4.5))
    costs = [yearly * years for yearly, years in table]
    assert costs == pytest.approx([2275.0, 4797.0, 4500.0])


def test_a_ratio_below_zero_has_no_return() -> None:
    with pytest.raises(InputError, match="ratio of -1"):
        return_from_ratio(-1.0, 0.03, 10)
