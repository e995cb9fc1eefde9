"""Heating and cooling load of a house from its bills, with bands."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from energymodel.arrays import Array, frozen
from energymodel.building.change_point_forms import LEAST_ON_A_FLAT
from energymodel.building.fit_bands import CONFIDENCE, Band, band_of
from energymodel.building.load import LoadLine
from energymodel.errors import InputError
from energymodel.notices import Notice
from energymodel.scenario.fields import temperature_text
from energymodel.study.house.from_bills import BillFit
from energymodel.study.house.odd_periods import find_odd_periods, odd_words
from energymodel.units import HOURS_PER_DAY

WARM_C = 16.0
COLD_C = 10.0
"""Mean temperatures of periods that usually need no heating, and of such that do (our choice)."""
_W_PER_KWH_DAY = 1000.0 / HOURS_PER_DAY
LEAST_DUCTS = 0.60
"""Lowest duct efficiency that is taken (our choice)."""
_NORMAL_90 = 1.6449
_SEED = 31_415
_LEAST_SLOPE = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True)
class MeteredSystem:
    """What turned the metered energy into heat or cold in the rooms.

    Parameters
    ----------
    efficiency
        Heat or cold from the unit over metered energy: AFUE (0.80), 1 for resistance heat, the
        seasonal COP of an air conditioner (3.2).
    duct_efficiency
        What reaches the rooms over what enters the ducts, 0..1; 1: no ducts, or in the rooms.
    uncertainty
        How far the product of both may be off, as a fraction, in nine cases of ten: 0.08.
    efficiency_assumed, ducts_assumed
        They are not known of this house.
    """

    efficiency: float
    duct_efficiency: float = 1.0
    uncertainty: float = 0.0
    efficiency_assumed: bool = False
    ducts_assumed: bool = False

    def __post_init__(self) -> None:
        if not (0.2 <= self.efficiency <= 9.0 and LEAST_DUCTS <= self.duct_efficiency <= 1.0):
            raise InputError(
                f"an efficiency of {self.efficiency:g} with a duct efficiency of "
                f"{self.duct_efficiency:g}",
                expected="fractions: AFUE 0.56 to 0.99, resistance 1, ducts 0.60 to 1, cooling COP "
                "2 to 9",
            )
        if not 0 <= self.uncertainty < 0.5:
            raise InputError(
                f"an uncertainty of {self.uncertainty:g}", expected="a fraction such as 0.08"
            )

    @property
    def useful(self) -> float:
        """Heat or cold in the rooms over metered energy."""
        return self.efficiency * self.duct_efficiency


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class BillLoad:
    """A load line from bills, gains included, with its resamples.

    Parameters
    ----------
    line
        The likely line.
    slopes_w_per_k, balances_c
        Slope and balance temperature of each resample, shape (resamples,).
    base_kwh_per_day
        Use that does not follow the weather on this side, in metered energy.
    notices
        What the reader should know.
    """

    line: LoadLine
    slopes_w_per_k: Array
    balances_c: Array
    base_kwh_per_day: Band
    notices: tuple[Notice, ...]

    @property
    def slope_w_per_k(self) -> Band:
        """Rise of the load per kelvin, W/K: the heat-loss coefficient as metered."""
        return band_of(self.slopes_w_per_k, self.line.slope_w_per_k)

    @property
    def balance_c(self) -> Band:
        """Outdoor temperature at which the load is zero, degC."""
        return band_of(self.balances_c, self.line.balance_c)

    def load_w(self, outdoor_c: float) -> Band:
        """Load at one outdoor temperature, for example the design temperature.

        Parameters
        ----------
        outdoor_c
            Outdoor temperature, degC.

        Returns
        -------
        Band
            W; slope and balance temperature vary together.
        """
        away = self.balances_c - outdoor_c if self.line.heating else outdoor_c - self.balances_c
        loads = self.slopes_w_per_k * np.maximum(away, 0.0)
        return band_of(loads, float(self.line.load_w(np.array([outdoor_c]))[0]))

    def lines(self, count: int) -> list[LoadLine]:
        """Pick some of the resampled lines, evenly.

        Parameters
        ----------
        count
            How many.

        Returns
        -------
        list of LoadLine
            At most as many as there are resamples.
        """
        at = np.unique(np.linspace(0, self.slopes_w_per_k.size - 1, count).astype(np.intp))
        return [
            LoadLine(
                slope_w_per_k=float(self.slopes_w_per_k[one]),
                balance_c=float(self.balances_c[one]),
                indoor_c=self.line.indoor_c,
                heating=self.line.heating,
            )
            for one in at
        ]


def heating_load(bills: BillFit, system: MeteredSystem, *, indoor_c: float) -> BillLoad:
    """Heating load line from the bills of a fuel or of resistance heat.

    Parameters
    ----------
    bills
        Fit whose form has a heating slope.
    system
        Existing heating.
    indoor_c
        Set-point in the metered time, degC.

    Returns
    -------
    BillLoad
        Slope = fitted kWh per day and kelvin x 1000/24 x useful share; gains included.

    Raises
    ------
    InputError
        If the form has no heating slope above zero: the use does not follow the cold, or the
        base cannot be told from heating.
    """
    slope, change = bills.fit.heating_slope, bills.fit.heating_change_c
    if slope is None or change is None or slope <= 0:
        raise _no_load(bills, "heating")
    line = LoadLine(
        slope_w_per_k=slope * _W_PER_KWH_DAY * system.useful,
        balance_c=change,
        indoor_c=indoor_c,
        heating=True,
    )
    return _load(bills, system, line, bills.bands.coefficients[:, 1], bills.bands.change_c[:, 0])


def cooling_load(bills: BillFit, system: MeteredSystem, *, indoor_c: float) -> BillLoad:
    """Cooling load line from the bills of electricity.

    Parameters
    ----------
    bills
        Fit whose form has a cooling slope.
    system
        Existing cooling; its efficiency is the seasonal COP.
    indoor_c
        Set-point in the metered time, degC.

    Returns
    -------
    BillLoad
        Slope = fitted kWh per day and kelvin x 1000/24 x useful share.

    Raises
    ------
    InputError
        If the form has no cooling slope above zero.
    """
    slope, change = bills.fit.cooling_slope, bills.fit.cooling_change_c
    if slope is None or change is None or slope <= 0:
        raise _no_load(bills, "cooling")
    line = LoadLine(
        slope_w_per_k=slope * _W_PER_KWH_DAY * system.useful,
        balance_c=change,
        indoor_c=indoor_c,
        heating=False,
    )
    return _load(bills, system, line, bills.bands.coefficients[:, -1], bills.bands.change_c[:, 1])


def _no_load(bills: BillFit, function: str) -> InputError:
    """Say in short why there is no line: a period that stands out, a season, or no slope at all."""
    head = f"these {len(bills.readings)} periods of {bills.readings.meter.carrier} give no"
    head = f"{head} {function} load line"
    odd = find_odd_periods(bills.fit) if function == "heating" else None
    if odd is not None:
        what, remedy = odd_words(odd, bills.readings, bills.content)
        return InputError(f"{head}: {what}", remedy=remedy)
    mean_c = bills.fit.data.temperatures.mean_c
    mild = int((mean_c >= WARM_C).sum())
    cold = int((mean_c <= COLD_C).sum())
    if function == "heating" and mild < LEAST_ON_A_FLAT <= cold:
        return InputError(
            f"{head}: {mild or 'none'} of them {'is' if mild < 2 else 'are'} warm enough to need no"
            " heating, so that the base use cannot be told from it",
            expected=f"{LEAST_ON_A_FLAT} warm periods or more beside the cold ones",
            remedy="add bills of summer; or give the outdoor temperature at which heating begins,"
            " for a wider band: --balance '60 degF'",
        )
    if function == "heating" and cold < LEAST_ON_A_FLAT:
        return InputError(
            f"{head}: {cold or 'none'} of them {'is' if cold < 2 else 'are'} cold",
            expected=f"{LEAST_ON_A_FLAT} cold periods or more",
            remedy="add bills of winter",
        )
    way = "in the cold" if function == "heating" else "in the heat"
    return InputError(
        f"{head}: their use does not rise {way} ({bills.fit.form.name} fits them best)",
        expected=f"use that rises {way} from a base that does not",
        remedy="look for what else the meter counts, for estimates and for equal payments",
    )


def _load(
    bills: BillFit, system: MeteredSystem, line: LoadLine, slopes: Array, balances_c: Array
) -> BillLoad:
    random = np.random.default_rng(_SEED)
    spread = 1.0 + system.uncertainty / _NORMAL_90 * random.standard_normal(slopes.size)
    useful = system.useful * np.maximum(spread, 0.1)
    return BillLoad(
        line=line,
        slopes_w_per_k=frozen(np.maximum(slopes * _W_PER_KWH_DAY * useful, _LEAST_SLOPE)),
        balances_c=frozen(balances_c),
        base_kwh_per_day=bills.bands.base_per_day,
        notices=tuple(
            Notice(topic="load from bills", text=text) for text in _texts(bills, system, line)
        ),
    )


def _texts(bills: BillFit, system: MeteredSystem, line: LoadLine) -> list[str]:
    texts = []
    if not system.uncertainty:
        texts.append(
            f"The band of {CONFIDENCE:.0%} holds the scatter of the readings; the efficiency "
            f"({system.useful:.0%} useful) is taken as exact."
        )
    if line.heating and line.balance_c > line.indoor_c:
        texts.append(
            f"The load begins at {temperature_text(line.balance_c)}, above the set-point of "
            f"{temperature_text(line.indoor_c)}: hot water that rises in winter, or another "
            "set-point."
        )
    if bills.fit.form.shared:
        texts.append(
            "Heating and cooling begin at one temperature here; between the two there is likely "
            "a stretch without either."
        )
    return texts
