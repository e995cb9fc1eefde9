"""Records of the room: set-points, heating and cooling load."""

from __future__ import annotations

from pydantic import Field, model_validator

from energymodel.building.envelope import HeatLoss, rough_cooling_line
from energymodel.building.load import LoadLine, RoomLoad, cooling_line
from energymodel.errors import InputError, ManyFaultsError
from energymodel.scenario.faults import placed
from energymodel.scenario.fields import (
    Area,
    Fraction,
    Month,
    PositivePower,
    Power,
    Record,
    Temperature,
    refuse,
    temperature_text,
)
from energymodel.scenario.heating_schema import HeatingLoad, known
from energymodel.scenario.ledger import Ledger

COLDEST_ROOM_C, WARMEST_ROOM_C = 0.0, 40.0


class Indoor(Record):
    """Indoor set-points."""

    heating: Temperature
    cooling: Temperature

    @model_validator(mode="after")
    def _in_order(self) -> Indoor:
        for set_point in (self.heating, self.cooling):
            if not COLDEST_ROOM_C <= set_point <= WARMEST_ROOM_C:
                raise refuse(
                    f"an indoor set-point of {temperature_text(set_point)}",
                    expected=f"{temperature_text(COLDEST_ROOM_C)} to"
                    f" {temperature_text(WARMEST_ROOM_C)}",
                )
        if not self.heating <= self.cooling:
            raise refuse(
                "the heating set-point lies above the cooling set-point",
                expected='for example heating = "70 degF", cooling = "75 degF"',
            )
        return self


class CoolingLoad(Record):
    """Cooling load: total heat at the design temperature, or the heat loss with a steady gain."""

    design_load: PositivePower | None = None
    design_temperature: Temperature | None = None
    balance_temperature: Temperature | None = None
    steady_gain: Power | None = None
    sensible_heat_ratio: Fraction | None = None
    months_without: list[Month] = Field(default_factory=list)

    @model_validator(mode="after")
    def _one_way(self) -> CoolingLoad:
        names = ("design_load", "design_temperature", "balance_temperature")
        if self.steady_gain is not None:
            beside = [name for name in (names[0], names[2]) if getattr(self, name) is not None]
            if beside:
                raise refuse(f"{' and '.join(beside)} beside steady_gain", expected=_COOLING_WAYS)
            return self
        absent = [name for name in names if getattr(self, name) is None]
        if absent:
            raise refuse(f"{' and '.join(absent)} missing", expected=_COOLING_WAYS)
        return self

    def line(self, indoor_c: float, loss: HeatLoss | None, ledger: Ledger) -> LoadLine:
        """Build the load line.

        Parameters
        ----------
        indoor_c
            Cooling set-point, degC.
        loss
            Heat loss of the room, where it is known.
        ledger
            Collects notices.

        Returns
        -------
        LoadLine
            W against degC.

        Raises
        ------
        InputError
            If the temperatures are out of order, or a steady gain has no heat loss to go with.
        """
        if self.steady_gain is not None:
            if loss is None:
                raise InputError(
                    "steady_gain needs the room's heat loss",
                    expected="a heating load with its gains excluded",
                    remedy=f"or give {_COOLING_WAYS.partition(', or')[0]}",
                )
            line, notice = rough_cooling_line(
                loss, indoor_c=indoor_c, cooling_gain_w=self.steady_gain
            )
            ledger.add_notices([notice])
            return line
        design_c, balance_c = known(self.design_temperature), known(self.balance_temperature)
        if design_c <= balance_c:
            raise InputError(
                f"the design temperature, {temperature_text(design_c)}, is not above the balance"
                f" temperature, {temperature_text(balance_c)}",
                expected="the hottest temperature that the cooling is sized for",
            )
        return cooling_line(
            design_load_w=known(self.design_load),
            design_c=design_c,
            balance_c=balance_c,
            indoor_c=indoor_c,
        )


_COOLING_WAYS = (
    "design_load, design_temperature and balance_temperature, or steady_gain (sun, people and"
    " moisture as one mean gain on top of the heat loss)"
)


class RoomTable(Record):
    """The room or house."""

    name: str = ""
    area: Area | None = None
    glazed: bool = False
    indoor: Indoor
    heating: HeatingLoad | None = None
    cooling: CoolingLoad | None = None

    @model_validator(mode="after")
    def _has_a_load(self) -> RoomTable:
        if self.heating is None and self.cooling is None:
            raise refuse(
                "a room without a heating or a cooling load",
                expected="a table [room.heating] or [room.cooling]",
            )
        return self

    def load(self, ledger: Ledger, *, elevation_m: float = 0.0) -> RoomLoad:
        """Build the load lines.

        Parameters
        ----------
        ledger
            Collects defaults and notices.
        elevation_m
            Height of the place, m: thinner air carries less heat.

        Returns
        -------
        RoomLoad
            Heating and cooling.

        Raises
        ------
        ManyFaultsError
            If a load cannot be used, with its place in the table.
        """
        if self.glazed:
            ledger.notice(
                "load",
                "the room is much glazed: its load depends on the sun as well as on outdoor"
                " temperature, so this estimate is rougher than for other rooms",
            )
        heating, loss = self._heating_line(ledger, elevation_m)
        cooling = self._cooling_line(loss, ledger)
        if heating is not None and cooling is not None and heating.balance_c > cooling.balance_c:
            raise InputError(
                f"the heating balance temperature, {temperature_text(heating.balance_c)}, lies"
                f" above the cooling balance temperature, {temperature_text(cooling.balance_c)}",
                expected="heating balance at or below cooling balance",
                remedy="as written the room would heat and cool in the same hour",
            )
        return RoomLoad(
            heating=heating,
            cooling=cooling,
            months_without_cooling=frozenset(self.cooling.months_without if self.cooling else ()),
            sensible_heat_ratio=self.cooling.sensible_heat_ratio if self.cooling else None,
        )

    def _heating_line(
        self, ledger: Ledger, elevation_m: float
    ) -> tuple[LoadLine | None, HeatLoss | None]:
        if self.heating is None:
            return None, None
        try:
            return self.heating.line(self.indoor.heating, ledger, elevation_m=elevation_m)
        except InputError as error:
            raise ManyFaultsError(placed(error, "heating: ")) from None

    def _cooling_line(self, loss: HeatLoss | None, ledger: Ledger) -> LoadLine | None:
        if self.cooling is None:
            return None
        try:
            return self.cooling.line(self.indoor.cooling, loss, ledger)
        except InputError as error:
            raise ManyFaultsError(placed(error, "cooling: ")) from None
