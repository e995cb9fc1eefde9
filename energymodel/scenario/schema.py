"""Records of a scenario file. Quantities carry their unit; unknown keys are refused."""

from __future__ import annotations

import datetime as dt
from typing import TYPE_CHECKING, Annotated, Literal

from pydantic import Field, field_validator, model_validator

from energymodel.scenario.by_kind import ByKind
from energymodel.scenario.emissions_schema import Emissions
from energymodel.scenario.fields import (
    Fraction,
    MoneyPerYear,
    Month,
    Record,
    check_readable,
    refuse,
    shown,
)
from energymodel.scenario.handout_schema import HandoutTable
from energymodel.scenario.heat_pump_kind import CoolingRecord, HeatPumpRecord
from energymodel.scenario.heater_kinds import (
    HEATER_RECORDS,
    ElectricFurnaceRecord,
    FurnaceRecord,
    HeaterRecord,
)
from energymodel.scenario.later import later
from energymodel.scenario.money_schema import MoneyTable, PositiveAmount, Years
from energymodel.scenario.option_money_schema import (
    ClaimEntry,
    IncentiveEntry,
    LoanEntry,
    PlannedEntry,
    Residual,
    UpkeepEntry,
    check_money,
    check_option_money,
)
from energymodel.scenario.place import Place
from energymodel.scenario.ranges_schema import RangesTable
from energymodel.scenario.room_schema import RoomTable
from energymodel.scenario.site_schema import SiteTable
from energymodel.scenario.unit_schema import UnitTable

if TYPE_CHECKING:
    from energymodel.scenario.meter_schema import MeterTable
    from energymodel.scenario.sweep_schema import SweepTable

    HeatingEntry = HeatPumpRecord | HeaterRecord
else:
    MeterTable = later("meter_schema", "MeterTable")
    SweepTable = later("sweep_schema", "SweepTable")
    HeatingEntry = Annotated[HEATER_RECORDS | HeatPumpRecord, ByKind()]


Amount = Annotated[float, Field(ge=0, description="a number of 0 or more")]
UNIT_OF_SALE = 'the unit of sale on the bill, such as "kWh", "therm" or "gallon"'


class Price(Record):
    """Price of one carrier: flat with its unit of sale, or a tariff file."""

    energy: float | None = Field(
        default=None,
        ge=0,
        description="money per unit of sale: a plain number such as 0.14, without quotes",
    )
    per: str | None = Field(default=None, description=UNIT_OF_SALE)
    tariff: str | None = Field(default=None, description="a tariff file beside this one")
    other_use_kwh: list[Annotated[float, Field(ge=0)]] | None = Field(
        default=None,
        min_length=12,
        max_length=12,
        description="the household's other use, kWh in January to December",
    )
    other_use: list[Amount] | None = Field(
        default=None,
        min_length=12,
        max_length=12,
        description="the household's other use in the unit of sale, January to December",
    )
    fixed: MoneyPerYear = 0.0
    other_uses: bool | None = None
    other_appliances: list[str] = Field(default_factory=list)
    exit_fee: float = Field(default=0.0, ge=0, description="money due once when the account closes")
    heat_content: str | None = None
    source: str = ""
    date: str = ""

    @field_validator("date", mode="before")
    @classmethod
    def _day_is_text(cls, value: object) -> object:
        """Take a bare date of TOML too."""
        return value.isoformat() if isinstance(value, dt.date) else value

    @field_validator("per", mode="before")
    @classmethod
    def _unit_is_text(cls, value: object) -> object:
        if not isinstance(value, str) or not value.strip():
            raise refuse(f"{shown(value)} is not a unit of sale", expected=UNIT_OF_SALE)
        return value

    @model_validator(mode="after")
    def _flat_or_tariff(self) -> Price:
        if self.tariff is None:
            missing = [name for name in ("energy", "per") if getattr(self, name) is None]
            if missing:
                raise refuse(
                    f"the price has no {' and no '.join(missing)}",
                    expected=f"energy (money) and per ({UNIT_OF_SALE}), or a tariff file",
                )
            if self.other_use_kwh is not None:
                raise refuse(
                    "other_use_kwh stands beside a flat price",
                    expected="other_use_kwh only with a tariff, whose blocks and demand it fills",
                )
        elif self.energy is not None or self.per is not None or self.fixed:
            raise refuse(
                "a tariff stands beside a flat price",
                expected="either tariff, or energy with per and fixed",
            )
        elif self.heat_content is not None:
            raise refuse(
                "a heat content stands beside a tariff",
                expected="unit and billing_factor in the tariff file",
            )
        return self

    @model_validator(mode="after")
    def _other_uses_agree(self) -> Price:
        if self.other_use is not None and self.other_use_kwh is not None:
            raise refuse("other_use and other_use_kwh are both given", expected="one of them")
        given = any((*(self.other_use or ()), *(self.other_use_kwh or ()), *self.other_appliances))
        if given and self.other_uses is False:
            raise refuse(
                "other_uses = false stands beside other use of the account",
                expected="other_uses = true, or no other_use and no other_appliances",
            )
        return self

    @field_validator("heat_content")
    @classmethod
    def _readable(cls, value: str | None) -> str | None:
        if value is not None:
            check_readable(value, expected='a heat content such as "91,452 Btu/gal"')
        return value


class OptionTable(Record):
    """One way to heat and cool the room."""

    name: str = Field(min_length=1, description="a name in quotes, not empty")
    present: bool = False
    heating: HeatingEntry | None = None
    cooling: CoolingRecord | None = None
    installed_cost: float = Field(default=0.0, ge=0)
    load_factor: Fraction = 1.0
    months_off: list[Month] = Field(default_factory=list)
    note: str = ""
    closes_account: list[str] = Field(
        default_factory=list,
        description='accounts that close with this option, such as ["natural gas"]',
    )
    appliance_cost: float = Field(
        default=0.0, ge=0, description="money once for what replaces the last appliances there"
    )
    appliance_use_kwh: list[Amount] | None = Field(
        default=None,
        min_length=12,
        max_length=12,
        description="electricity of what replaces them, kWh in January to December",
    )
    upkeep: MoneyPerYear = 0.0
    service_costs: list[UpkeepEntry] = Field(default_factory=list)
    lasts_years: Years | None = None
    replacement_cost: PositiveAmount | None = None
    residual: Residual | None = None
    replaced_anyway: PlannedEntry | None = None
    incentives: list[IncentiveEntry] = Field(default_factory=list)
    loan: LoanEntry | None = None
    claim: ClaimEntry | None = None
    meter: MeterTable | None = None

    @property
    def cost_given(self) -> bool:
        """Whether a payback can be told: it is there now, or the file says what it costs."""
        return self.present or "installed_cost" in self.model_fields_set

    @model_validator(mode="after")
    def _appliances_of_an_account(self) -> OptionTable:
        if not self.closes_account and (self.appliance_cost or self.appliance_use_kwh is not None):
            raise refuse(
                "new appliances are given, but no account that closes",
                expected='closes_account = ["natural gas"] beside them',
            )
        return self

    @model_validator(mode="after")
    def _does_something(self) -> OptionTable:
        if self.heating is None and self.cooling is None:
            raise refuse(
                "an option that neither heats nor cools", expected="heating, cooling or both"
            )
        furnace = isinstance(self.heating, FurnaceRecord | ElectricFurnaceRecord)
        if furnace and getattr(self.heating, "ducts", None) is None:
            raise refuse(
                "a furnace without its ducts",
                expected="ducts = { efficiency = 0.80 } in heating; 1.0 if all lie in heated rooms",
            )
        check_option_money(self)
        return self


class ScenarioFile(Record):
    """A whole scenario file."""

    title: str = ""
    units: Literal["us", "si"] = "us"
    currency: str = Field(
        default="USD", min_length=1, max_length=4, description='a short code such as "USD"'
    )
    place: Place
    room: RoomTable
    option: list[OptionTable] = Field(min_length=1)
    price: dict[str, Price] = Field(
        min_length=1, description="tables such as [price.electricity] with energy and per"
    )
    emissions: Emissions = Emissions.model_construct()
    unit: dict[str, UnitTable] = Field(default_factory=dict)
    sweep: SweepTable | None = None
    money: MoneyTable = MoneyTable.model_construct()
    ranges: RangesTable | None = None
    site: SiteTable = SiteTable.model_construct()
    handout: HandoutTable = HandoutTable.model_construct()

    @model_validator(mode="after")
    def _money_fits(self) -> ScenarioFile:
        check_money(self.money, self.option, self.price)
        return self

    @field_validator("option")
    @classmethod
    def _names_and_present(cls, options: list[OptionTable]) -> list[OptionTable]:
        names = [option.name for option in options]
        twice = [name for name in dict.fromkeys(names) if names.count(name) > 1]
        present = [shown(option.name) for option in options if option.present]
        faults = [f"{names.count(name)} options are called {shown(name)}" for name in twice]
        if len(present) > 1:
            faults.append(f"{' and '.join(present)} are marked as present")
        if faults:
            raise refuse(
                "; ".join(faults),
                expected="each option with its own name, and present = true on the one that is"
                " there now",
            )
        return options
