"""Records of a comparison: what one option costs, carries and emits in the year."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from energymodel.arrays import Array
from energymodel.economics.payback import LikeServices
from energymodel.emissions import Emissions
from energymodel.notices import Notice
from energymodel.scenario.assemble import Model, PlannedOption
from energymodel.scenario.prices import ELECTRICITY
from energymodel.season.result import AnnualResult
from energymodel.study.comparison.amounts import amount
from energymodel.units import KWH_PER_MMBTU

if TYPE_CHECKING:
    from energymodel.study.comparison.bill_costs import BilledOption

UNMET_LIMIT = 0.005
"""Share of the year's load that may stay unmet (our choice)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Coverage:
    """Whether an option carries the heating load.

    Parameters
    ----------
    design_c
        Outdoor design temperature, degC; None where the scenario names none.
    design_load_w, design_output_w
        Load and largest output there, W, backup included; infinite where the scenario gives no
        size for a heater that then covers whatever is asked of it.
    coldest_c, coldest_load_w, coldest_output_w
        The same in the coldest hour of the year.
    design_pump_w, coldest_pump_w
        Largest output of the heat pump alone at both, W; None without a heat pump.
    unmet_share
        Unmet heat over the year's load, 0..1.
    unmet_kwh
        Unmet heat, kWh.
    cover_cost
        What electric resistance would cost to cover it, money per year.
    """

    design_c: float | None
    design_load_w: float
    design_output_w: float
    coldest_c: float
    coldest_load_w: float
    coldest_output_w: float
    design_pump_w: float | None
    coldest_pump_w: float | None
    unmet_share: float
    unmet_kwh: float
    cover_cost: float

    @property
    def carries(self) -> bool:
        """Unmet heat within the limit over the year, and none at the design temperature."""
        short = self.design_output_w < self.design_load_w * (1.0 - 1e-9)
        return self.unmet_share <= UNMET_LIMIT and not short


@dataclass(frozen=True, slots=True, kw_only=True)
class Failure:
    """What the coldest month costs if the heat pump fails.

    Parameters
    ----------
    month
        1..12.
    cost
        Heating cost of that month on the backup alone, money.
    normal_cost
        Heating cost of that month with the heat pump, money.
    borrowed
        Whether the backup is a borrowed resistance heater, because the option has none.
    """

    month: int
    cost: float
    normal_cost: float
    borrowed: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class ClosedAccount:
    """An account that closes with an option.

    Parameters
    ----------
    carrier
        What it was for.
    charges_per_year
        Charges that end, money per year.
    exit_fee
        Due once, money.
    appliances
        What else was on the account; empty: heating alone.
    appliance_cost
        What replaces them, money once.
    ended_use_per_year
        Energy of the other use that ends, money per year; None: not counted.
    appliance_use_per_year
        Electricity of what replaces it, money per year; None: not counted.
    """

    carrier: str
    charges_per_year: float
    exit_fee: float = 0.0
    appliances: tuple[str, ...] = ()
    appliance_cost: float = 0.0
    ended_use_per_year: float | None = None
    appliance_use_per_year: float | None = None

    @property
    def one_off_cost(self) -> float:
        """Exit fee and new appliances, money once."""
        return self.exit_fee + self.appliance_cost

    @property
    def yearly_saving(self) -> float:
        """Charges that end, and the other use as far as it is counted, money per year."""
        ended, new = self.ended_use_per_year or 0.0, self.appliance_use_per_year or 0.0
        return self.charges_per_year + ended - new

    @property
    def years_to_break_even(self) -> float | None:
        """Years until the yearly saving has paid what is due once; None: never."""
        if self.yearly_saving <= 0:
            return None
        return self.one_off_cost / self.yearly_saving

    def words(self, currency: str = "") -> str:
        """Say what closing it does.

        Parameters
        ----------
        currency
            Code such as "USD"; empty: numbers alone.

        Returns
        -------
        str
            One sentence.
        """

        def money(value: float) -> str:
            return amount(value, currency)

        text = f"the {self.carrier} account closes, {money(self.charges_per_year)} a year of"
        text += " charges end"
        things = ", ".join(self.appliances)
        if self.ended_use_per_year is not None and self.appliance_use_per_year is not None:
            text += (
                f"; {things}: {money(self.appliance_use_per_year)} a year of electricity instead of"
                f" {money(self.ended_use_per_year)} (not in the CO2e)"
            )
        elif things:
            text += f"; energy of what replaces {things} is not counted"
        due = [f"the exit fee of {money(self.exit_fee)}"] if self.exit_fee else []
        due += [f"new appliances for {money(self.appliance_cost)}"] if self.appliance_cost else []
        if not due:
            return text + "."
        years = self.years_to_break_even
        if years is None:
            return f"{text}; that does not earn back {' and '.join(due)}."
        return f"{text}; that earns back {' and '.join(due)} in {years:.1f} years."


@dataclass(frozen=True, slots=True, kw_only=True)
class LessComfort:
    """What an old system's lowered set-point saves: not efficiency, but cooler rooms.

    Parameters
    ----------
    heat_kwh
        Heat that the rooms go without, kWh.
    cost
        Money per year that it would cost to heat them as before.
    """

    heat_kwh: float
    cost: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Outcome:
    """One option of a comparison.

    Parameters
    ----------
    planned
        The option.
    result
        Its year.
    cost_by_month
        Energy cost by service, money, shape (12,).
    standing_charges
        Standing charges that count for this option, money per year by carrier: above zero for an
        account that it opens, below for one that it closes.
    energy_kwh
        Energy by carrier, kWh per year; fuels by higher heating value.
    emissions
        Of the year.
    coverage
        None where the room has no heating load, or the option does not heat.
    failure
        None for an option without a heat pump.
    bills
        By carrier under a tariff: its use as a difference of two bills.
    cooling_unmet_kwh
        Cooling load that stays unmet, kWh.
    other_use_cost
        Money per year by carrier: the other use of an account that it closes, below zero, and the
        electricity of what replaces it.
    closed_accounts
        Accounts that close with it.
    less_comfort
        What a lowered set-point of the old system saves; None where none is lowered.
    against_present
        Payback against the present option; None for that option itself, or without one.
    no_shorter_than_present
        Whether it gives every service and leaves no larger share of a load unmet than what is
        there now.
    missing_services
        Services of the present option, or of the room where there is none, that the option lacks.
    like_cost
        Yearly cost of the services by which options are ranked, money.
    """

    planned: PlannedOption
    result: AnnualResult
    cost_by_month: Mapping[str, Array]
    standing_charges: Mapping[str, float]
    energy_kwh: Mapping[str, float]
    emissions: Emissions
    coverage: Coverage | None
    failure: Failure | None
    cooling_unmet_kwh: float
    bills: Mapping[str, BilledOption] = field(default_factory=dict)
    other_use_cost: Mapping[str, float] = field(default_factory=dict)
    closed_accounts: tuple[ClosedAccount, ...] = ()
    less_comfort: LessComfort | None = None
    against_present: LikeServices | None = None
    no_shorter_than_present: bool = False
    missing_services: tuple[str, ...] = ()
    like_cost: float = 0.0

    @property
    def name(self) -> str:
        """Name of the option."""
        return self.planned.option.name

    @property
    def present(self) -> bool:
        """Whether this is what is there now."""
        return self.planned.table.present

    @property
    def billed(self) -> BilledOption | None:
        """Its electricity as a difference of two bills; None under a flat price."""
        return self.bills.get(ELECTRICITY)

    @property
    def first_cost(self) -> float:
        """Cost on the day of installation, money.

        Installed cost, what closing accounts costs and what must be replaced anyway on that day,
        less the incentives that are taken off the price.
        """
        table = self.planned.table
        closing = sum(account.one_off_cost for account in self.closed_accounts)
        anyway = table.replaced_anyway
        replaced = anyway.cost if anyway is not None and anyway.year == 0 else 0.0
        taken_off = sum(entry.amount for entry in table.incentives if entry.year == 0)
        return table.installed_cost + closing + replaced - taken_off

    @property
    def account_cost(self) -> float:
        """Standing charges and other use that count for it, money per year."""
        return sum(self.standing_charges.values()) + sum(self.other_use_cost.values())

    @property
    def closing_saving(self) -> float:
        """What closing accounts saves beside heating and cooling, money per year.

        It is in :attr:`account_cost` already, with the other sign.
        """
        ended = sum(money for money in self.standing_charges.values() if money < 0)
        return 0.0 - ended - sum(self.other_use_cost.values())

    @property
    def service_cost(self) -> dict[str, float]:
        """Yearly cost by service, money; the account cost is in heating, if there is any."""
        cost = {service: float(values.sum()) for service, values in self.cost_by_month.items()}
        if cost:
            first = next(iter(cost))
            cost[first] += self.account_cost
        return cost

    @property
    def yearly_cost(self) -> float:
        """Money per year for all services of the option."""
        return sum(self.service_cost.values())

    @property
    def carries(self) -> bool:
        """Whether the option gives every service and carries the load of each."""
        return not self.missing_services and not self.short_of

    @property
    def short_of(self) -> tuple[str, ...]:
        """Services whose load it does not carry: "heating", "cooling"."""
        short = []
        if self.coverage is not None and not self.coverage.carries:
            short.append("heating")
        if self.cooling_unmet_share > UNMET_LIMIT:
            short.append("cooling")
        return tuple(short)

    @property
    def comparable(self) -> bool:
        """Whether its saving may stand beside the present option: it serves at least as well."""
        return self.carries or self.no_shorter_than_present

    @property
    def unmet_shares(self) -> tuple[float, float]:
        """Unmet share of the heating and of the cooling load, 0..1."""
        heating = self.coverage.unmet_share if self.coverage is not None else 0.0
        return heating, self.cooling_unmet_share

    @property
    def worst_unmet_share(self) -> float:
        """Larger of the unmet shares of heating and cooling, 0..1."""
        return max(self.unmet_shares)

    @property
    def short_words(self) -> str:
        """Which load it does not carry, as a phrase; empty where it carries all."""
        if not self.short_of:
            return ""
        return f"does not carry the {' and '.join(self.short_of)} load"

    @property
    def cost_given(self) -> bool:
        """Whether a payback can be told: it is there now, or the scenario says what it costs."""
        return self.planned.table.cost_given

    @property
    def cooling_unmet_share(self) -> float:
        """Unmet cooling over the year's cooling load, 0..1."""
        load_kwh = self.result.total("cooling_load_kwh")
        return self.cooling_unmet_kwh / load_kwh if load_kwh > 0 else 0.0

    def cost_per_mmbtu(self) -> float | None:
        """Energy cost of a million Btu of heat in the room; None without heating."""
        heat_kwh = self.result.total("heating_delivered_kwh")
        if heat_kwh <= 0:
            return None
        return float(self.cost_by_month["heating"].sum()) / heat_kwh * KWH_PER_MMBTU


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Comparison:
    """All options of a scenario over one year.

    Parameters
    ----------
    model
        What was run.
    outcomes
        The present option first, the rest by the yearly cost of the services that the present
        option gives (all services, where there is none); those that do not carry the load last.
    notices
        Everything the reader should know, the model's own first.
    """

    model: Model
    outcomes: tuple[Outcome, ...]
    notices: tuple[Notice, ...]

    @property
    def present(self) -> Outcome | None:
        """What is there now."""
        return next((outcome for outcome in self.outcomes if outcome.present), None)

    @property
    def cheapest(self) -> Outcome | None:
        """The option with the lowest cost for like services among those that carry the load."""
        able = [outcome for outcome in self.outcomes if outcome.carries]
        return min(able, key=lambda outcome: outcome.like_cost, default=None)
