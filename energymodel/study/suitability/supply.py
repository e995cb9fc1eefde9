"""Electrical supply of a unit: only flags for a licensed electrician, never an approval.

Ampacity and breaker are shown as printed on the plate and never computed.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from energymodel.scenario.supply_text import Supply, read_supplies

CORD_SHARE = 0.80
"""Largest share of a circuit that a cord-and-plug unit may draw (common practice)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SupplyFit:
    """A unit's supply and plate against the site.

    Parameters
    ----------
    asked
        Supply that the unit asks for; empty: not known.
    from_plate
        Whether it was copied from the user's own plate.
    site
        Supplies at hand; empty: not known.
    found_v
        Voltage of the site at which the unit can run, V; None: not known, or there is none.
    ampacity_a, breaker_a
        As printed on the plate, A; None: not given.
    cord
        Whether it comes with a cord and a plug; None: not known.
    input_w
        Largest electric input that the model finds, as rated, W.
    """

    asked: str
    from_plate: bool
    site: tuple[str, ...]
    found_v: float | None
    ampacity_a: float | None
    breaker_a: float | None
    cord: bool | None
    input_w: float

    @property
    def missing(self) -> bool:
        """Whether both supplies are known and do not go together."""
        return bool(self.asked) and bool(self.site) and self.found_v is None

    @property
    def plate_w(self) -> float | None:
        """Supply voltage x ampacity of the plate, W."""
        if self.ampacity_a is None or self.found_v is None:
            return None
        return self.found_v * self.ampacity_a

    @property
    def cord_w(self) -> float | None:
        """Four fifths of the circuit of a cord-and-plug unit, W."""
        if not self.cord or self.breaker_a is None or self.found_v is None:
            return None
        return CORD_SHARE * self.found_v * self.breaker_a

    @property
    def above_plate(self) -> bool:
        """Whether the model's input is above voltage x ampacity."""
        return self.plate_w is not None and self.input_w > self.plate_w

    @property
    def above_cord(self) -> bool:
        """Whether a cord-and-plug unit draws more than four fifths of its circuit."""
        return self.cord_w is not None and self.input_w > self.cord_w

    @property
    def questions(self) -> bool:
        """Whether a licensed electrician is to be asked about a number."""
        return self.missing or self.above_plate or self.above_cord


@dataclass(frozen=True, slots=True, kw_only=True)
class PlateFacts:
    """What the plate says.

    Parameters
    ----------
    supply
        As printed; None: taken from the unit's description.
    ampacity_a, breaker_a
        A; None: not given.
    cord
        None: not known.
    """

    supply: str | None
    ampacity_a: float | None
    breaker_a: float | None
    cord: bool | None


def supply_fit(
    described: str, plate: PlateFacts, site: Sequence[Supply], *, input_w: float
) -> SupplyFit:
    """Hold a unit's supply against the site's.

    Parameters
    ----------
    described
        Supply in the description of the unit; may be empty.
    plate
        What the user copied from the plate.
    site
        Supplies at hand; empty: not known.
    input_w
        Largest electric input of the model, W.

    Returns
    -------
    SupplyFit
        Without a site's supply, the plate's own lowest voltage counts.
    """
    asked = read_supplies(plate.supply or described)
    found_v = _found_v(asked, site)
    if not site and len(asked) == 1:
        found_v = min(asked[0].volts)
    return SupplyFit(
        asked=" or ".join(one.text for one in asked),
        from_plate=plate.supply is not None,
        site=tuple(one.text for one in site),
        found_v=found_v,
        ampacity_a=plate.ampacity_a,
        breaker_a=plate.breaker_a,
        cord=plate.cord,
        input_w=input_w,
    )


def _found_v(asked: Sequence[Supply], site: Sequence[Supply]) -> float | None:
    found = [volts for own in site for one in asked if (volts := own.common(one)) is not None]
    return min(found) if found else None
