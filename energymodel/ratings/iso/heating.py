"""ISO 16358-2 (HSPF) and 16358-3 (APF), as far as the recalled data are sound.

Covered: fixed-speed units with the caller's own bins, every recalled constant a named parameter;
APF from any two seasons. Left out: the reference heating bins (2866 h in all, medium confidence;
the recalled list sums to 2907 and is wrong somewhere), variable and multi-stage units with
extended (maximum) operation, and the total APF of 16358-3 Annex A.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from energymodel.arrays import Array
from energymodel.equipment.curves import Curve, Function, PiecewiseLinear
from energymodel.equipment.kernel import AirCycling
from energymodel.errors import EquipmentError
from energymodel.ratings.bin_table import Bins, BinTable
from energymodel.ratings.iso.cooling import IsoCoolingRating
from energymodel.ratings.load_line_curve import LoadLineCurve
from energymodel.ratings.second_law import check_efficiency


@dataclass(frozen=True, slots=True, kw_only=True)
class IsoHeatingUnit:
    """Test points of a fixed-speed heat pump.

    Parameters
    ----------
    capacity_7_w, power_7_w
        At 7 degC outdoors, W.
    capacity_minus7_w, power_minus7_w
        At -7 degC; None: default factors.
    capacity_2_w, power_2_w
        At 2 degC with frost; None: default factors.
    cd
        Degradation coefficient of cycling; 0.25 without a test.

    Raises
    ------
    EquipmentError
        If a value is not above zero, capacity rises with cold by more than 3 %, or the COP at
        7 degC is above the second-law limit.
    """

    capacity_7_w: float
    power_7_w: float
    capacity_minus7_w: float | None = None
    power_minus7_w: float | None = None
    capacity_2_w: float | None = None
    power_2_w: float | None = None
    cd: float = 0.25

    def __post_init__(self) -> None:
        for name in self.__dataclass_fields__:
            value = getattr(self, name)
            if value is not None and name != "cd" and not (math.isfinite(value) and value > 0):
                raise EquipmentError(f"{name} is {value:g}", expected="a value above zero")
        check_efficiency("7 degC", Function.HEATING, 7.0, self.capacity_7_w / self.power_7_w)
        if self.capacity_minus7_w is not None and self.capacity_minus7_w > 1.03 * self.capacity_7_w:
            raise EquipmentError(
                f"capacity rises with cold: {self.capacity_minus7_w:.0f} W at -7 degC, "
                f"{self.capacity_7_w:.0f} W at 7 degC"
            )


@dataclass(frozen=True, slots=True, kw_only=True)
class IsoHeatingRules:
    """Constants of ISO 16358-2, all from memory with medium confidence.

    Parameters
    ----------
    zero_load_c
        Outdoor temperature without load, degC.
    load_share_at_0
        Load at 0 degC over the full capacity at 7 degC.
    capacity_factor_minus7, power_factor_minus7
        Default of the -7 degC values over the 7 degC values.
    frost_capacity_divisor, frost_power_divisor
        Default of the frost values at 2 degC: frost-free line divided by these.
    frost_above_c, frost_to_c
        Frost zone: above the first, up to the second, degC. Inside it both lines run straight
        through the -7 degC point and the frost point at 2 degC.
    """

    zero_load_c: float = 17.0
    load_share_at_0: float = 0.82
    capacity_factor_minus7: float = 0.64
    power_factor_minus7: float = 0.82
    frost_capacity_divisor: float = 1.12
    frost_power_divisor: float = 1.06
    frost_above_c: float = -7.0
    frost_to_c: float = 5.5


@dataclass(frozen=True, slots=True, kw_only=True)
class FrostLine:
    """Capacity or power: straight without frost, another straight line in the frost zone.

    Parameters
    ----------
    at_minus7, at_7, at_2_frost
        Values at -7 and 7 degC without frost and at 2 degC with frost, W.
    frost_above_c, frost_to_c
        Frost zone, degC.
    """

    at_minus7: float
    at_7: float
    at_2_frost: float
    frost_above_c: float
    frost_to_c: float

    def at(self, outdoor_c: float) -> float:
        """Value at one outdoor temperature.

        Parameters
        ----------
        outdoor_c
            Outdoor temperature, degC.

        Returns
        -------
        float
            W.
        """
        if self.frost_above_c < outdoor_c <= self.frost_to_c:
            return self.at_minus7 + (self.at_2_frost - self.at_minus7) * (outdoor_c + 7.0) / 9.0
        return self.at_7 + (self.at_minus7 - self.at_7) * (7.0 - outdoor_c) / 14.0

    def curve(self) -> Curve:
        """Return the same as a curve on arrays."""
        dry = PiecewiseLinear(np.array([-7.0, 7.0]), np.array([self.at_minus7, self.at_7]))
        wet = PiecewiseLinear(np.array([-7.0, 2.0]), np.array([self.at_minus7, self.at_2_frost]))
        low, high = self.frost_above_c, self.frost_to_c

        def value(outdoor_c: Array) -> Array:
            frosting = (outdoor_c > low) & (outdoor_c <= high)
            return np.where(frosting, wet(outdoor_c), dry(outdoor_c))

        return value


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class IsoHeatingRating:
    """HSPF of a unit.

    Parameters
    ----------
    hspf
        Heat over electricity of the season, make-up heat included, Wh/Wh.
    heat_kwh, energy_kwh
        L_HST and C_HSE, kWh.
    bins
        The season bin by bin.
    """

    hspf: float
    heat_kwh: float
    energy_kwh: float
    bins: BinTable


def heating_lines(unit: IsoHeatingUnit, rules: IsoHeatingRules) -> tuple[FrostLine, FrostLine]:
    """Capacity and power lines of a unit.

    Parameters
    ----------
    unit
        Test points.
    rules
        Default factors for what was not tested.

    Returns
    -------
    capacity, power : FrostLine
        W against outdoor temperature.
    """
    capacity = _line(
        (unit.capacity_7_w, unit.capacity_minus7_w, unit.capacity_2_w),
        (rules.capacity_factor_minus7, rules.frost_capacity_divisor),
        rules,
    )
    power = _line(
        (unit.power_7_w, unit.power_minus7_w, unit.power_2_w),
        (rules.power_factor_minus7, rules.frost_power_divisor),
        rules,
    )
    return capacity, power


def _line(
    tested: tuple[float, float | None, float | None],
    factors: tuple[float, float],
    rules: IsoHeatingRules,
) -> FrostLine:
    at_7, at_minus7, at_2 = tested
    cold = factors[0] * at_7 if at_minus7 is None else at_minus7
    dry_2 = cold + (at_7 - cold) * 9.0 / 14.0
    return FrostLine(
        at_minus7=cold,
        at_7=at_7,
        at_2_frost=dry_2 / factors[1] if at_2 is None else at_2,
        frost_above_c=rules.frost_above_c,
        frost_to_c=rules.frost_to_c,
    )


def fixed_speed_hspf(
    unit: IsoHeatingUnit, bins: Bins, rules: IsoHeatingRules | None = None
) -> IsoHeatingRating:
    """Heating seasonal performance factor of a fixed-speed unit.

    Parameters
    ----------
    unit
        Test points.
    bins
        Hours by outdoor temperature; there is no default, see the module's text.
    rules
        Constants, all doubtful.

    Returns
    -------
    IsoHeatingRating
        HSPF, seasonal sums and the bin table.

    References
    ----------
    ISO 16358-2:2013: make-up heat from electric heaters at the same time (scope); the rest
    from memory.
    """
    chosen = rules or IsoHeatingRules()
    lines = heating_lines(unit, chosen)
    rows = [_bin(outdoor_c, unit, lines, chosen) for outdoor_c in bins.outdoor_c.tolist()]
    load_w, given_w, used_w, makeup_w = (np.array(column) for column in zip(*rows, strict=True))
    heat = float(bins.hours @ load_w) / 1000.0  # L_HST
    energy = float(bins.hours @ (used_w + makeup_w)) / 1000.0  # C_HSE
    table = BinTable(
        outdoor_c=bins.outdoor_c,
        hours=bins.hours,
        load_w=load_w,
        delivered_w=given_w,
        power_w=used_w,
        backup_w=makeup_w,
    )
    return IsoHeatingRating(hspf=heat / energy, heat_kwh=heat, energy_kwh=energy, bins=table)


def _bin(
    outdoor_c: float,
    unit: IsoHeatingUnit,
    lines: tuple[FrostLine, FrostLine],
    rules: IsoHeatingRules,
) -> tuple[float, float, float, float]:
    """Load, heat given, mean power and make-up heat in a bin, W."""
    capacity, power = lines
    slope = rules.load_share_at_0 * unit.capacity_7_w / rules.zero_load_c
    load = max(slope * (rules.zero_load_c - outdoor_c), 0.0)
    full = max(capacity.at(outdoor_c), 0.0)
    given = min(load, full)
    x = given / full if full > 0 else 0.0  # X
    part_load = 1.0 - unit.cd * (1.0 - x)  # F_PL
    return load, given, x * power.at(outdoor_c) / part_load, load - given


def iso_heating_curve(unit: IsoHeatingUnit, rules: IsoHeatingRules | None = None) -> LoadLineCurve:
    """Test points of a fixed-speed heat pump as a curve on the load line of ISO 16358-2.

    Parameters
    ----------
    unit
        Test points.
    rules
        Constants, all doubtful.

    Returns
    -------
    LoadLineCurve
        `iso_heating_curve(unit).on_bins(bins).cop_system` is the HSPF.
    """
    chosen = rules or IsoHeatingRules()
    capacity, power = (line.curve() for line in heating_lines(unit, chosen))
    at_0 = chosen.load_share_at_0 * unit.capacity_7_w
    load = PiecewiseLinear(np.array([0.0, chosen.zero_load_c]), np.array([at_0, 0.0]))
    return LoadLineCurve(
        function=Function.HEATING,
        load_w=lambda outdoor_c: np.maximum(load(outdoor_c), 0.0),
        capacity_w=capacity,
        cop=lambda outdoor_c: capacity(outdoor_c) / power(outdoor_c),
        cycling=AirCycling(cd=unit.cd),
    )


def apf(cooling: IsoCoolingRating, heating: IsoHeatingRating) -> float:
    """Annual performance factor from a cooling and a heating season.

    Parameters
    ----------
    cooling, heating
        Ratings of the same unit.

    Returns
    -------
    float
        (L_CST + L_HST) / (C_CSE + C_HSE), Wh/Wh.

    References
    ----------
    ISO 16358-3:2013, clause 5 (definition from memory, high confidence).
    """
    moved = cooling.removed_kwh + heating.heat_kwh
    return moved / (cooling.energy_kwh + heating.energy_kwh)
