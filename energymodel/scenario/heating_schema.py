"""Record of the heating load: from a design load, a heat-loss coefficient or components."""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

from pydantic import Field, model_validator

from energymodel.building.envelope import Envelope, HeatLoss
from energymodel.building.load import LoadLine, heating_line_with_gains
from energymodel.errors import InputError
from energymodel.scenario.fields import (
    Conductance,
    PositivePower,
    Record,
    Temperature,
    refuse,
    temperature_text,
)
from energymodel.scenario.later import later
from energymodel.scenario.ledger import Ledger
from energymodel.units import BTU_PER_WH, KELVIN_PER_DEGF

if TYPE_CHECKING:
    from energymodel.scenario.envelope_schema import (
        GainsRecord,
        InfiltrationRecord,
        RoughRecord,
        SlabEdgeRecord,
        SurfaceRecord,
        VentilationRecord,
    )
else:
    GainsRecord = later("envelope_schema", "GainsRecord")
    InfiltrationRecord = later("envelope_schema", "InfiltrationRecord")
    RoughRecord = later("envelope_schema", "RoughRecord")
    SlabEdgeRecord = later("envelope_schema", "SlabEdgeRecord")
    SurfaceRecord = later("envelope_schema", "SurfaceRecord")
    VentilationRecord = later("envelope_schema", "VentilationRecord")

WAYS = (
    "design_load with design_temperature; ua; surfaces (with slab_edges, infiltration,"
    " ventilation); or rough with design_temperature"
)


class HeatingLoad(Record):
    """Heating load in one of four ways, with a balance temperature or the gains that set it."""

    design_load: PositivePower | None = None
    design_temperature: Temperature | None = None
    ua: Conductance | None = None
    surfaces: list[SurfaceRecord] | None = Field(default=None, min_length=1)
    slab_edges: list[SlabEdgeRecord] = Field(default_factory=list)
    infiltration: InfiltrationRecord | None = None
    ventilation: VentilationRecord | None = None
    rough: RoughRecord | None = None
    balance_temperature: Temperature | None = None
    internal_gains: GainsRecord | None = None
    gains: Literal["excluded", "included"] | None = None

    @model_validator(mode="after")
    def _one_way(self) -> HeatingLoad:
        given = [
            name
            for name in ("design_load", "ua", "surfaces", "rough")
            if getattr(self, name) is not None
        ]
        if len(given) != 1:
            raise refuse(
                f"the heating load is given by {' and by '.join(given) or 'nothing'}",
                expected=f"one of: {WAYS}",
            )
        if given[0] in ("design_load", "rough") and self.design_temperature is None:
            raise refuse(
                f"{given[0]} without design_temperature",
                expected='the outdoor temperature it holds for, such as "15 degF"',
            )
        if given[0] != "surfaces" and (self.slab_edges or self.infiltration or self.ventilation):
            raise refuse(
                f"slab_edges, infiltration or ventilation beside {given[0]}, which contains them",
                remedy="leave them out, or give surfaces instead",
            )
        return self

    @model_validator(mode="after")
    def _one_balance(self) -> HeatingLoad:
        both = self.balance_temperature is not None and self.internal_gains is not None
        if both or (self.balance_temperature is None and self.internal_gains is None):
            raise refuse(
                f"{'both' if both else 'neither'} balance_temperature"
                f" {'and' if both else 'nor'} internal_gains",
                expected="balance_temperature (the outdoor temperature at which no heat is needed),"
                " or internal_gains, from which it follows",
            )
        if self.gains == "included" and (self.design_load is None or self.internal_gains):
            raise refuse(
                'gains = "included" without a metered design_load and its balance_temperature',
                remedy='give both, or leave gains out ("excluded")',
            )
        return self

    def line(
        self, indoor_c: float, ledger: Ledger, *, elevation_m: float = 0.0
    ) -> tuple[LoadLine, HeatLoss | None]:
        """Build the load line.

        Parameters
        ----------
        indoor_c
            Heating set-point, degC.
        ledger
            Collects defaults and notices.
        elevation_m
            Height of the place, m: thinner air carries less heat.

        Returns
        -------
        line : LoadLine
            W against degC.
        loss : HeatLoss or None
            The heat loss behind it; None where gains are in the design load, so that the loss
            alone is not known.

        Raises
        ------
        InputError
            If the temperatures are out of order.
        """
        self._check_order(indoor_c, self.balance_temperature)
        if self.design_load and self.gains is None:
            ledger.default(
                "gains in the heating design load",
                "excluded",
                "our choice: heat-loss sheets leave gains out",
            )
        if self.gains == "included":
            return self._metered_line(indoor_c), None
        components = self._components_w_per_k(indoor_c, ledger, elevation_m)
        ua_w_per_k = sum(components.values())
        balance_c = self.balance_temperature
        if self.internal_gains is not None:
            balance_c = indoor_c - self.internal_gains.mean_w(ledger) / ua_w_per_k
            self._check_order(indoor_c, balance_c)
        line = _heating_line(ua_w_per_k, balance_c, indoor_c)
        loss = HeatLoss(
            components_w_per_k=components,
            indoor_c=indoor_c,
            gains_w=ua_w_per_k * (indoor_c - line.balance_c),
        )
        if self.surfaces is not None:
            ledger.notice("heat loss", _sheet(loss))
        return line, loss

    def _metered_line(self, indoor_c: float) -> LoadLine:
        return heating_line_with_gains(
            design_load_w=self.design_load or 0.0,
            design_c=known(self.design_temperature),
            balance_c=known(self.balance_temperature),
            indoor_c=indoor_c,
        )

    def _components_w_per_k(
        self, indoor_c: float, ledger: Ledger, elevation_m: float
    ) -> dict[str, float]:
        if self.surfaces is not None:
            envelope = self._envelope(ledger, elevation_m)
            for used in envelope.used_defaults:
                ledger.default(used.name, used.value, used.source)
            return envelope.components_w_per_k()
        if self.ua is not None:
            return {"as given": self.ua}
        load_w = self.design_load
        if self.rough is not None:
            rough = self.rough.load()
            ledger.add_notices([rough.notice])
            load_w = rough.design_load_w
        return {"as given": known(load_w) / (indoor_c - known(self.design_temperature))}

    def _envelope(self, ledger: Ledger, elevation_m: float) -> Envelope:
        leaks, fan = self.infiltration, self.ventilation
        return Envelope(
            parts=(
                *(surface.part() for surface in self.surfaces or ()),
                *(edge.part() for edge in self.slab_edges),
            ),
            infiltration=leaks.leaks(ledger) if leaks is not None else None,
            ventilation=fan.air() if fan is not None else None,
            altitude_m=elevation_m,
        )

    def _check_order(self, indoor_c: float, balance_c: float | None) -> None:
        design_c = self.design_temperature
        if balance_c is not None and balance_c > indoor_c:
            raise InputError(
                f"the balance temperature, {temperature_text(balance_c)}, lies above the indoor"
                f" set-point, {temperature_text(indoor_c)}",
                expected="balance temperature at or below the set-point",
                remedy="gains lower the balance temperature; nothing raises it",
            )
        upper_c = indoor_c if balance_c is None else balance_c
        if design_c is not None and design_c >= upper_c:
            noun = "indoor set-point" if balance_c is None else "balance temperature"
            raise InputError(
                f"the design temperature, {temperature_text(design_c)}, is not below the {noun},"
                f" {temperature_text(upper_c)}",
                expected="the coldest temperature that the heating is sized for",
            )


def known(value: float | None) -> float:
    """Narrow a value that a record's own checks have made sure of.

    Parameters
    ----------
    value
        Number that is there.

    Returns
    -------
    float
        The same number.

    Raises
    ------
    InputError
        If it is not there after all.
    """
    if value is None:
        raise InputError("the load is not complete")
    return value


def _heating_line(ua_w_per_k: float, balance_c: float | None, indoor_c: float) -> LoadLine:
    return LoadLine(
        slope_w_per_k=ua_w_per_k, balance_c=known(balance_c), indoor_c=indoor_c, heating=True
    )


def _sheet(loss: HeatLoss) -> str:
    """Heat loss by component in one sentence, for who signs the result."""
    whole = loss.ua_w_per_k
    listed = ", ".join(
        f"{name} {ua:.1f} W/K ({ua / whole:.0%})" for name, ua in loss.components_w_per_k.items()
    )
    return (
        f"{listed}; sum {whole:.1f} W/K ({whole * BTU_PER_WH * KELVIN_PER_DEGF:.1f} Btu/(h degF));"
        f" gains {loss.gains_w:.0f} W; balance temperature {temperature_text(loss.balance_c)}."
    )
