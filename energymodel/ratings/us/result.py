"""A US seasonal rating with its bin table, and the official rounding of published numbers."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal

from energymodel.errors import InputError
from energymodel.notices import Notice, UsedDefault
from energymodel.ratings.us.cases import Mode
from energymodel.ratings.us.points import Rate
from energymodel.ratings.us.tables import Region

_CAPACITY_STEPS = ((20_000.0, 50.0), (38_000.0, 100.0), (65_000.0, 250.0))


def nearest(value: float, step: float) -> float:
    """Round to the nearest multiple of a step, ties up, in decimal arithmetic.

    Parameters
    ----------
    value
        Number, >= 0.
    step
        Step in the same unit.

    Returns
    -------
    float
        Multiple of the step.

    References
    ----------
    10 CFR 430.23, opening rounding rule (published).

    Examples
    --------
    >>> nearest(13.0375, 0.025), nearest(7.4631, 0.025), nearest(7.4875, 0.025)
    (13.05, 7.475, 7.5)
    """
    multiple = (Decimal(repr(value)) / Decimal(repr(step))).quantize(Decimal(1), ROUND_HALF_UP)
    return float(multiple * Decimal(repr(step)))


def published_ratio(value_btu_per_wh: float) -> float:
    """Round SEER, SEER2, EER, EER2, HSPF or HSPF2 as represented.

    Parameters
    ----------
    value_btu_per_wh
        Unrounded, Btu/Wh.

    Returns
    -------
    float
        Nearest 0.025 Btu/Wh.

    References
    ----------
    10 CFR 430.23(m) (published).
    """
    return nearest(value_btu_per_wh, 0.025)


def published_cooling_capacity(capacity_btu_h: float) -> float:
    """Round a cooling capacity as represented.

    Parameters
    ----------
    capacity_btu_h
        Unrounded, Btu/h.

    Returns
    -------
    float
        Nearest 50 Btu/h below 20 000, 100 from there to below 38 000, 250 to below 65 000.

    Raises
    ------
    InputError
        From 65 000 Btu/h on, where another procedure holds.

    References
    ----------
    10 CFR 430.23(m) (published).

    Examples
    --------
    >>> published_cooling_capacity(35_949.0), published_cooling_capacity(17_925.0)
    (35900.0, 17950.0)
    """
    for limit, step in _CAPACITY_STEPS:
        if capacity_btu_h < limit:
            return nearest(capacity_btu_h, step)
    raise InputError(
        f"a cooling capacity of {capacity_btu_h:,.0f} Btu/h",
        expected="below 65,000 Btu/h for the residential procedure",
    )


def published_off_mode(power_w: float) -> float:
    """Round an off-mode power as represented.

    Parameters
    ----------
    power_w
        Unrounded, W.

    Returns
    -------
    float
        Nearest 0.5 W.

    References
    ----------
    10 CFR 430.23(m) (published).
    """
    return nearest(power_w, 0.5)


@dataclass(frozen=True, slots=True, kw_only=True)
class BinRow:
    """What a unit does in one bin; rates per hour of the bin, not yet times the fraction.

    Parameters
    ----------
    outdoor_f
        Bin temperature, degF.
    fraction
        Share of the season's hours.
    load_btu_h
        Building load, Btu/h.
    speeds
        Capacity and power of each speed at the bin temperature, lowest first.
    mode
        What the unit does while it may run.
    allowed_share
        Share of the time in which the controls let it run: 0, 1/2 or 1.
    load_factor, part_load_factor
        X and PLF; 1 where the unit does not cycle. Alternating: X is the share of low stage.
    delivered_btu_h, power_w
        Heat or cold from the unit and its power, Btu/h and W.
    resistance_w
        Electric resistance heat, W.
    cop
        COP of the unit (in cooling too); nan where it does not run.
    """

    outdoor_f: float
    fraction: float
    load_btu_h: float
    speeds: tuple[Rate, ...]
    mode: Mode
    allowed_share: float
    load_factor: float
    part_load_factor: float
    delivered_btu_h: float
    power_w: float
    resistance_w: float
    cop: float

    @property
    def full_capacity_btu_h(self) -> float:
        """Capacity of the highest speed, Btu/h."""
        return self.speeds[-1].capacity_btu_h

    @property
    def full_power_w(self) -> float:
        """Power of the highest speed, W."""
        return self.speeds[-1].power_w


@dataclass(frozen=True, slots=True, kw_only=True)
class SeasonalRating:
    """A seasonal figure with the bins it comes from.

    Parameters
    ----------
    metric
        "SEER2", "HSPF2", "SEER" or "HSPF".
    edition
        Name of the procedure.
    value_btu_per_wh
        Unrounded, Btu/Wh.
    rows
        Bins; empty for the closed form of single speed.
    region
        Heating region; None in cooling.
    requirement_btu_h
        Design heating requirement, Btu/h; None where there is none.
    defrost_factor
        Demand-defrost credit contained in the value.
    used
        Defaults and official estimates that stood in for tests.
    notices
        What the reader should know.
    """

    metric: str
    edition: str
    value_btu_per_wh: float
    rows: tuple[BinRow, ...]
    region: Region | None = None
    requirement_btu_h: float | None = None
    defrost_factor: float = 1.0
    used: tuple[UsedDefault, ...] = ()
    notices: tuple[Notice, ...] = ()

    @property
    def published_btu_per_wh(self) -> float:
        """As represented: nearest 0.025 Btu/Wh."""
        return published_ratio(self.value_btu_per_wh)

    @property
    def load_btu_h(self) -> float:
        """Mean load of the season, sum of fraction x load, Btu/h."""
        return sum(row.fraction * row.load_btu_h for row in self.rows)

    @property
    def delivered_btu_h(self) -> float:
        """Mean output of the unit, Btu/h."""
        return sum(row.fraction * row.delivered_btu_h for row in self.rows)

    @property
    def power_w(self) -> float:
        """Mean power of the unit, sum of e_j, W."""
        return sum(row.fraction * row.power_w for row in self.rows)

    @property
    def resistance_w(self) -> float:
        """Mean resistance heat, sum of RH_j, W."""
        return sum(row.fraction * row.resistance_w for row in self.rows)
