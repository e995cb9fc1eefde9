"""Load of a house that an existing heat pump heats: the fit is on load, not on kWh.

The kWh of a heat pump do not go straight with the load, because its COP falls in the cold. So the
load line is found whose electricity, through the heat pump's own map, hour by hour, comes nearest
to the readings.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from energymodel.arrays import Array, frozen
from energymodel.building.fit_bands import CONFIDENCE, Band
from energymodel.building.load import LoadLine
from energymodel.building.period_use import PeriodUse
from energymodel.errors import InputError
from energymodel.study.predicted_use import PowerOfLoad
from energymodel.units import HOURS_PER_DAY

FEWEST_PERIODS = 6
"""Three more than the three unknowns (our choice)."""
_STEP_K = 0.1
_BALANCES = 24
_SLOPES = np.array([0.25, 0.5, 0.75, 1.0, 1.5, 2.0, 3.0])
_MEAN_COP = 2.5
_LEAST_BELOW = 3


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class HeatPumpFit:
    """Load line behind the kWh of a heat pump.

    Parameters
    ----------
    line
        Load line, gains included.
    slope_w_per_k, balance_c, base_kwh_per_day
        With their bands; base is electricity besides the heat pump's.
    fitted_kwh_per_day
        Electricity of each period, shape (periods,).
    cv_rmse_pct
        CV(RMSE), divisor n - 3, %.
    """

    line: LoadLine
    slope_w_per_k: Band
    balance_c: Band
    base_kwh_per_day: Band
    fitted_kwh_per_day: Array
    cv_rmse_pct: float


def fit_through_heat_pump(data: PeriodUse, power_w: PowerOfLoad, *, indoor_c: float) -> HeatPumpFit:
    """Find the load line whose electricity through a heat pump matches the readings.

    Parameters
    ----------
    data
        Electricity in kWh per day, days, and the temperature of each HOUR of each period.
    power_w
        Electric power of heat pump and backup at an outdoor temperature and a load.
    indoor_c
        Set-point in the metered time, degC.

    Returns
    -------
    HeatPumpFit
        Bands from the linearised fit with residuals enlarged for their leverage, widened by the
        t quantile: the load line and its map are not resampled.

    Raises
    ------
    InputError
        If there are fewer than six periods, or too few on one side of the balance temperature.

    Notes
    -----
    Minimises sum of days x (reading - base - mean electricity(slope, balance))^2 over base, slope
    and balance temperature: a grid, then bounded least squares (scipy).
    """
    if len(data) < FEWEST_PERIODS:
        raise InputError(
            f"{len(data)} periods for three unknowns", expected=f"at least {FEWEST_PERIODS}"
        )
    problem = _Problem(data=data, power_w=power_w)
    start = problem.best_on_grid()
    solution = problem.refined(start)
    return problem.result(solution, indoor_c=indoor_c)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Problem:
    data: PeriodUse
    power_w: PowerOfLoad

    @property
    def mean_c(self) -> Array:
        return self.data.temperatures.mean_c

    def electricity(self, slope: float, balance_c: float) -> Array:
        """Electricity of the heat pump in kWh per day, shape (periods,)."""
        outdoor_c = self.data.temperatures.samples_c
        known = ~np.isnan(outdoor_c)
        load = slope * np.maximum(balance_c - outdoor_c[known], 0.0)
        power = np.zeros(outdoor_c.shape)
        power[known] = self.power_w(outdoor_c[known], load)
        mean_w = power.sum(axis=1) / self.data.temperatures.count
        return np.asarray(mean_w * HOURS_PER_DAY / 1000.0)

    def base_of(self, electricity: Array) -> float:
        return float(np.average(self.data.use_per_day - electricity, weights=self.data.days))

    def residual(self, unknowns: Array) -> Array:
        base, slope, balance_c = (float(value) for value in unknowns)
        fitted = base + self.electricity(slope, balance_c)
        return np.asarray((self.data.use_per_day - fitted) * np.sqrt(self.data.weights))

    def bounds(self) -> tuple[float, float]:
        """Range of balance temperatures with enough periods on each side."""
        ordered = np.sort(self.mean_c)
        return float(ordered[_LEAST_BELOW - 1]), float(ordered[-_LEAST_BELOW])

    def rough_slope(self, balance_c: float) -> float:
        cold = int(np.argmin(self.mean_c))
        used = self.data.use_per_day[cold] - self.data.use_per_day.min()
        away = balance_c - self.mean_c[cold]
        return float(used * 1000.0 / HOURS_PER_DAY * _MEAN_COP / away)

    def best_on_grid(self) -> Array:
        low, high = self.bounds()
        found = []
        for balance_c in np.linspace(low, high, _BALANCES + 2)[1:-1]:
            for factor in _SLOPES:
                slope = self.rough_slope(float(balance_c)) * float(factor)
                if slope > 0:
                    base = self.base_of(self.electricity(slope, float(balance_c)))
                    found.append(np.array([base, slope, balance_c]))
        if not found:
            raise InputError(
                "the use does not rise with the cold", expected="electricity of a heat pump"
            )
        return min(found, key=lambda unknowns: float((self.residual(unknowns) ** 2).sum()))

    def refined(self, start: Array) -> Array:
        from scipy import optimize  # noqa: PLC0415 - slow to import and only bills need it

        low, high = self.bounds()
        solution = optimize.least_squares(
            self.residual,
            start,
            bounds=([-np.inf, 1e-6, low], [np.inf, np.inf, high]),
            x_scale=np.maximum(np.abs(start), 1.0),
            xtol=1e-12,
            ftol=1e-14,
            gtol=1e-14,
        )
        found = np.asarray(solution.x, dtype=np.float64)
        if min(found[2] - low, high - found[2]) < 1e-3 * (high - low):
            raise InputError(
                f"too few periods lie on one side of the balance temperature: it runs to "
                f"{found[2]:.1f} degC, the edge of what the periods allow",
                expected="three periods on each side",
                remedy="add readings of the other season",
            )
        return found

    def result(self, found: Array, *, indoor_c: float) -> HeatPumpFit:
        half = self._half_widths(found)
        residual = self.residual(found)
        spare = len(self.data) - 3
        mean = float(np.average(self.data.use_per_day, weights=self.data.days))
        bands = [
            Band(low=float(value - width), likely=float(value), high=float(value + width))
            for value, width in zip(found, half, strict=True)
        ]
        return HeatPumpFit(
            line=LoadLine(
                slope_w_per_k=bands[1].likely,
                balance_c=bands[2].likely,
                indoor_c=indoor_c,
                heating=True,
            ),
            base_kwh_per_day=bands[0],
            slope_w_per_k=bands[1],
            balance_c=bands[2],
            fitted_kwh_per_day=frozen(
                found[0] + self.electricity(float(found[1]), float(found[2]))
            ),
            cv_rmse_pct=100.0 * float(np.sqrt((residual**2).sum() / spare)) / mean,
        )

    def _half_widths(self, found: Array) -> Array:
        """Sandwich covariance with residuals over 1 - leverage, times the t quantile."""
        from scipy import special  # noqa: PLC0415 - slow to import and only bills need it

        steps = np.array([1e-3, 1e-4 * found[1], _STEP_K])
        jacobian = np.stack(
            [
                (self.residual(found - step) - self.residual(found + step)) / (2.0 * step.max())
                for step in np.diag(steps)
            ],
            axis=1,
        )
        inverse = np.linalg.pinv(jacobian)
        leverage = np.minimum((jacobian * inverse.T).sum(axis=1), 0.9)
        enlarged = self.residual(found) / (1.0 - leverage)
        spread = np.sqrt(((inverse * enlarged) ** 2).sum(axis=1))
        quantile = special.stdtrit(len(self.data) - 3, (1.0 + CONFIDENCE) / 2.0)
        return np.asarray(spread * quantile)
