"""Costs laid out over the years: signs, timing, real and nominal money, incentives, loans."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import numpy as np
import numpy_financial as npf  # type: ignore[import-untyped]
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from energymodel.economics.cash_flow import CashFlow, FlowKind, cash_flow
from energymodel.economics.life_cycle import life_cycle_cost
from energymodel.economics.loan import Loan
from energymodel.economics.option_costs import (
    Incentive,
    OptionCosts,
    PlannedCost,
    YearlyCost,
    replacements,
    straight_line_residual,
)
from energymodel.economics.rates import (
    ConstantEscalation,
    Money,
    PriceIndex,
    nominal_rate,
    real_rate,
)
from energymodel.economics.study_period import StudyPeriod
from energymodel.errors import InputError

_TRIES = settings(max_examples=50, deadline=None)
_STUDY = StudyPeriod(years=5, discount=real_rate(0.03))
_NOMINAL = StudyPeriod(years=5, discount=nominal_rate(0.05), inflation=0.02)


def _flow(study: StudyPeriod = _STUDY, **costs: object) -> CashFlow:
    return cash_flow(OptionCosts(name="option", **costs), study)  # type: ignore[arg-type]


def _line(flow: CashFlow, name: str) -> list[float]:
    by_year = next(line.by_year for line in flow.lines if line.name == name)
    return [float(amount) for amount in by_year]


def test_costs_go_in_positive_and_come_out_negative_at_the_end_of_their_years() -> None:
    flow = _flow(
        installed_cost=4000.0,
        planned=(PlannedCost(name="fan", cost=300.0, year=3),),
        residual=500.0,
        energy=(YearlyCost(name="electricity", per_year=600.0),),
        upkeep=(YearlyCost(name="service", per_year=80.0),),
    )
    assert flow.by_year().tolist() == [-4000.0, -680.0, -680.0, -980.0, -680.0, -180.0]
    assert flow.of(FlowKind.REPLACEMENT).tolist() == [0.0, 0.0, 0.0, -300.0, 0.0, 0.0]
    assert flow.of(FlowKind.RESIDUAL)[-1] == 500.0


def test_the_lines_sum_to_the_total_of_every_year() -> None:
    flow = _flow(
        installed_cost=4000.0,
        energy=(
            YearlyCost(name="electricity", per_year=600.0),
            YearlyCost(name="propane", per_year=120.0),
        ),
    )
    total = np.sum([line.by_year for line in flow.lines], axis=0)
    assert flow.by_year().tolist() == total.tolist()


def test_tank_rent_and_service_fall_when_they_are_due() -> None:
    flow = _flow(
        upkeep=(
            YearlyCost(name="tank rent", per_year=60.0, last_year=2),
            YearlyCost(name="chimney", per_year=90.0, first_year=2, every_years=3),
        ),
        planned=(PlannedCost(name="tank capping", cost=700.0, year=0),),
    )
    assert _line(flow, "tank rent") == [0.0, -60.0, -60.0, 0.0, 0.0, 0.0]
    assert _line(flow, "chimney") == [0.0, 0.0, -90.0, 0.0, 0.0, -90.0]
    assert flow.of(FlowKind.INVESTMENT)[0] == -700.0


def test_what_must_be_replaced_anyway_is_a_cost_of_the_base() -> None:
    now = _flow(replaced_anyway=PlannedCost(name="furnace", cost=3000.0, year=0))
    later = _flow(replaced_anyway=PlannedCost(name="furnace", cost=3000.0, year=4))
    assert _line(now, "furnace (must be replaced anyway)")[0] == -3000.0
    assert now.of(FlowKind.INVESTMENT)[0] == -3000.0
    assert later.of(FlowKind.REPLACEMENT)[4] == -3000.0


def test_a_first_payment_can_be_priced_today_or_in_its_own_year() -> None:
    rise = real_rate(0.05)
    today = ConstantEscalation(rate=rise)
    first = ConstantEscalation(rate=rise, priced_in_year=1)
    assert today.index(3) == pytest.approx([1.05, 1.1025, 1.157625])
    assert first.index(3) == pytest.approx([1.0, 1.05, 1.1025])


def test_a_price_index_moves_the_energy_of_its_carrier_only() -> None:
    index = PriceIndex(
        by_year=np.array([1.1, 1.2, 1.0, 0.9, 0.8, 0.7]), money=Money.CONSTANT, source="invented"
    )
    flow = _flow(
        energy=(
            YearlyCost(name="natural gas", per_year=100.0, course=index),
            YearlyCost(name="electricity", per_year=50.0),
        )
    )
    gas = _line(flow, "natural gas")
    assert gas == pytest.approx([0.0, -110.0, -120.0, -100.0, -90.0, -80.0])
    assert _line(flow, "electricity")[1:] == [-50.0] * 5


def test_a_price_index_that_ends_early_or_has_no_source_is_refused() -> None:
    short = PriceIndex(by_year=np.ones(3), money=Money.CONSTANT, source="invented")
    with pytest.raises(InputError, match="has 3 years, the study period 5"):
        _flow(energy=(YearlyCost(name="gas", per_year=1.0, course=short),))
    with pytest.raises(InputError, match="no source"):
        PriceIndex(by_year=np.ones(3), money=Money.CONSTANT, source=" ")


@pytest.mark.parametrize(
    ("study", "rate"), [(_STUDY, nominal_rate(0.04)), (_NOMINAL, real_rate(0.01))]
)
def test_real_and_nominal_are_never_mixed(study: StudyPeriod, rate: object) -> None:
    course = ConstantEscalation(rate=rate)  # type: ignore[arg-type]
    with pytest.raises(InputError) as refused:
        _flow(study, energy=(YearlyCost(name="gas", per_year=900.0, course=course),))
    assert "mixed" in refused.value.expected
    assert "inflation" in refused.value.remedy


def test_a_nominal_discount_rate_without_inflation_is_refused() -> None:
    with pytest.raises(InputError, match="no inflation is given"):
        StudyPeriod(years=5, discount=nominal_rate(0.05))


@_TRIES
@given(st.floats(0.0, 0.1), st.floats(-0.02, 0.1), st.floats(-0.03, 0.06), st.integers(5, 30))
def test_real_and_nominal_studies_give_the_same_life_cycle_cost(
    discount: float, inflation: float, rise: float, years: int
) -> None:
    # Identity: 1 + D = (1 + d)(1 + inflation) on flows and on the discount rate alike.
    study = StudyPeriod(years=years, discount=real_rate(discount), inflation=inflation)
    other = study.in_current_money()
    totals = []
    for one in (study, other):
        rate = real_rate(rise)
        rate = rate if one is study else rate.in_current_money(inflation)
        costs = OptionCosts(
            name="option",
            installed_cost=5000.0,
            planned=(PlannedCost(name="fan", cost=400.0, year=4),),
            residual=250.0,
            energy=(
                YearlyCost(name="gas", per_year=900.0, course=ConstantEscalation(rate=rate)),
                YearlyCost(name="electricity", per_year=70.0),
            ),
            loan=Loan(principal=2000.0, yearly_rate=0.06, years=4),
            incentives=(
                Incentive(
                    name="rebate",
                    amount=300.0,
                    source="invented",
                    as_of=date(2026, 1, 1),
                    year=1,
                ),
            ),
        )
        totals.append(life_cycle_cost(cash_flow(costs, one)).total_with_loan)
    assert totals[0] == pytest.approx(totals[1], rel=1e-10)
    assert other.in_constant_money().discount.per_year == pytest.approx(discount, abs=1e-12)


_CREDIT = Incentive(
    name="tax credit",
    amount=2000.0,
    source="IRS FS-2025-05 (quoted)",
    as_of=date(2025, 9, 1),
    ends=date(2025, 12, 31),
)


def test_no_incentive_is_built_in() -> None:
    assert OptionCosts(name="option").incentives == ()
    assert _flow(installed_cost=4000.0).of(FlowKind.INCENTIVE).any() == np.False_


def test_an_incentive_is_counted_as_entered_and_the_result_says_from_where() -> None:
    flow = _flow(installed_cost=4000.0, incentives=(_CREDIT,))
    assert flow.by_year()[0] == -2000.0
    text = flow.notices[0].text
    assert "IRS FS-2025-05" in text
    assert "as of 2025-09-01; ends 2025-12-31" in text
    assert "may end" in replace(_CREDIT, ends=None).words


def test_an_incentive_that_ended_before_the_installation_is_refused() -> None:
    # The US 25C credit does not apply to property placed in service after 31 Dec 2025
    # (IRS FS-2025-05, quoted).
    spring = replace(_STUDY, starts=date(2026, 3, 1))
    with pytest.raises(InputError, match="ended on 2025-12-31, the installation is on 2026-03-01"):
        _flow(spring, installed_cost=4000.0, incentives=(_CREDIT,))
    last_day = replace(_STUDY, starts=date(2025, 12, 31))
    assert _flow(last_day, installed_cost=4000.0, incentives=(_CREDIT,)).by_year()[0] == -2000.0


def test_an_incentive_looked_up_long_ago_or_above_the_price_is_flagged() -> None:
    late = replace(_STUDY, starts=date(2027, 1, 1))
    old = replace(_CREDIT, ends=None)
    flow = _flow(late, installed_cost=1500.0, incentives=(old,))
    assert "look again" in flow.notices[1].text
    assert "more than its installation costs, 1,500" in flow.notices[2].text


def test_an_incentive_without_source_or_amount_is_refused() -> None:
    with pytest.raises(InputError, match="no source"):
        replace(_CREDIT, source="")
    with pytest.raises(InputError, match="is 0"):
        replace(_CREDIT, amount=0.0)


def test_an_incentive_paid_later_needs_the_inflation_in_a_real_study() -> None:
    later = replace(_CREDIT, year=1)
    with pytest.raises(InputError, match="fixed in current money"):
        _flow(installed_cost=4000.0, incentives=(later,))
    known = replace(_STUDY, inflation=0.25)
    flow = _flow(known, installed_cost=4000.0, incentives=(later,))
    assert flow.of(FlowKind.INCENTIVE)[1] == pytest.approx(1600.0)


@_TRIES
@given(st.floats(500, 50_000), st.floats(0.001, 0.2), st.integers(1, 15), st.integers(1, 25))
def test_loan_payments_and_what_is_still_owed_have_grown_to_what_the_principal_has(
    principal: float, rate: float, years: int, study_years: int
) -> None:
    lent = Loan(principal=principal, yearly_rate=rate, years=years)
    assert lent.monthly_payment == pytest.approx(-npf.pmt(rate / 12, 12 * years, principal))
    flows = lent.yearly_flows(study_years)
    months = 12 * min(years, study_years)
    grown = npf.fv(rate / 12, months, -lent.monthly_payment, 0)
    owed = -flows[-1] - 12 * lent.monthly_payment if years > study_years else 0.0
    assert grown + owed == pytest.approx(principal * (1 + rate / 12) ** months, rel=1e-6)
    assert np.count_nonzero(flows) == 1 + min(years, study_years)


def test_a_loan_is_a_way_to_pay_and_stands_beside_the_life_cycle_cost() -> None:
    lent = Loan(principal=4000.0, yearly_rate=0.05, years=5)
    flow = _flow(_NOMINAL, installed_cost=4000.0, loan=lent)
    assert flow.by_year()[0] == -4000.0
    assert flow.by_year_with_loan()[0] == 0.0
    cost = life_cycle_cost(flow)
    assert cost.total == pytest.approx(4000.0)
    assert cost.total_with_loan == pytest.approx(4000.0 + cost.loan)
    assert lent.total_interest == pytest.approx(60 * lent.monthly_payment - 4000.0)
    with pytest.raises(InputError, match="the loan is fixed in current money"):
        _flow(installed_cost=4000.0, loan=lent)


def test_loan_payments_stand_against_the_monthly_saving() -> None:
    lent = Loan(principal=6000.0, yearly_rate=0.0, years=10)
    short = lent.against(480.0)
    assert short.monthly_left == pytest.approx(-10.0)
    assert short.words.endswith("the saving is 40.00: 10.00 a month is missing")


def test_replacements_and_residual_follow_the_service_life() -> None:
    found = replacements("unit", 4000.0, life_years=10, study_years=20)
    assert [one.year for one in found] == [10]
    assert straight_line_residual(4000.0, life_years=10, study_years=20) == 0.0
    assert straight_line_residual(4000.0, life_years=25, study_years=20) == 800.0
    assert replacements("unit", 4000.0, life_years=25, study_years=20) == ()


@pytest.mark.parametrize(
    ("make", "message"),
    [
        (lambda: PlannedCost(name="fan", cost=-1.0, year=1), "fan costs -1"),
        (lambda: PlannedCost(name="fan", cost=1.0, year=-1), "falls in year -1"),
        (lambda: OptionCosts(name="x", installed_cost=-5.0), "costs -5"),
        (lambda: OptionCosts(name="x", residual=float("nan")), "residual"),
        (lambda: YearlyCost(name="gas", per_year=float("inf")), "gas costs inf"),
        (lambda: YearlyCost(name="gas", per_year=1.0, first_year=0), "begins in year 0"),
        (lambda: YearlyCost(name="gas", per_year=1.0, first_year=3, last_year=2), "ends in year 2"),
        (lambda: Loan(principal=0.0, yearly_rate=0.05, years=5), "a loan of 0"),
        (lambda: Loan(principal=1.0, yearly_rate=-0.05, years=5), "interest"),
        (lambda: ConstantEscalation(rate=real_rate(0.0), priced_in_year=2), "priced in year 2"),
        (lambda: _flow(planned=(PlannedCost(name="fan", cost=1.0, year=6),)), "ends with year 5"),
    ],
)
def test_impossible_costs_are_refused(make: object, message: str) -> None:
    with pytest.raises(InputError, match=message):
        make()  # type: ignore[operator]
