"""Records of a comparison: what one option costs, carries and emits in the year."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

from energymodel.arrays import Array
from energymodel.economics.payback import LikeServices
from energymodel.emissions import Emissions
from energymodel.notices import Notice
from energymodel.scenario.assemble import Model, PlannedOption
from energymodel.season.result import AnnualResult
from energymodel.units import KWH_PER_MMBTU

if TYPE_CHECKING:
    from energymodel.study.bill_costs import BilledOption

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
        Load and largest output there, W, backup included.
    coldest_c, coldest_load_w, coldest_output_w
        The same in the coldest hour of the year.
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
        Standing charges that count for this option, money per year by carrier.
    energy_kwh
        Energy by carrier, kWh per year; fuels by higher heating value.
    emissions
        Of the year.
    coverage
        None where the room has no heating load, or the option does not heat.
    failure
        None for an option without a heat pump.
    billed
        Its electricity as a difference of two bills; None under a flat price.
    cooling_unmet_kwh
        Cooling load that stays unmet, kWh.
    against_present
        Payback against the present option; None for that option itself, or without one.
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
    billed: BilledOption | None = None
    against_present: LikeServices | None = None
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
    def service_cost(self) -> dict[str, float]:
        """Yearly cost by service, money; standing charges are in heating, if there is any."""
        cost = {service: float(values.sum()) for service, values in self.cost_by_month.items()}
        if cost:
            first = next(iter(cost))
            cost[first] += sum(self.standing_charges.values())
        return cost

    @property
    def yearly_cost(self) -> float:
        """Money per year for all services of the option."""
        return sum(self.service_cost.values())

    @property
    def carries(self) -> bool:
        """Whether the option gives every service and carries the heating load."""
        if self.missing_services or self.cooling_unmet_share > UNMET_LIMIT:
            return False
        return self.coverage is None or self.coverage.carries

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
