"""The table [option.meter]: a meter of an option's own, with a rate of its own."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from energymodel.scenario.fields import Record


class MeterTable(Record):
    """A separate meter for an option's electric heating or cooling.

    Its whole bill, charges included, is the option's; the rest of the house stays on the tariff
    of [price.electricity]. Interruption rules of its tariff cut what it covers.
    """

    tariff: str = Field(min_length=1, description="a tariff file beside this one")
    covers: Literal["heating", "cooling", "heating and cooling"] | None = None
