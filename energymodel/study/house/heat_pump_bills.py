"""Load of a house that an existing heat pump heats: the fit is on load, not on kWh.

The kWh of a heat pump do not go straight with the load, because its COP falls in the cold. So the
load line is found whose electricity, through the heat pump's own map, hour by hour and with the
humidity of each hour where frost can form, comes nearest to the readings.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from energymodel.arrays import Array, frozen
from energymodel.building.fit_bands import CONFIDENCE, Band, t_quantile
from energymodel.building.load import LoadLine
from energymodel.building.period_use import PeriodUse
from energymodel.errors import InputError
from energymodel.notices import Notice
from energymodel.study.house.bill_load import BillLoad
from energymodel.study.house.period_weather import HourCounts
from energymodel.study.house.predicted_use import RATED, PowerOfLoad, energy_of_lines
from energymodel.units import HOURS_PER_DAY

FEWEST_PERIODS = 6
"""Three more than the three unknowns (our choice)."""
_STEP_K = 0.1
_BALANCES = 24
_SLOPES = np.array([0.25, 0.5, 0.75, 1.0, 1.5, 2.0, 3.0])
_MEAN_COP = 2.5
_LEAST_BELOW = 3
_DRAWS = 1000
_SEED = 16_180
_LEAST_SLOPE = 1e-9
_NORMAL_90 = 1.6449


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
        CV(RMSE), divisor periods less unknowns, %.
    resampled
        Base, slope and balance temperature (and use of cooling per day and kelvin) drawn with
        their common scatter, shape (draws, 3 or 4).
    """

    line: LoadLine
    slope_w_per_k: Band
    balance_c: Band
    base_kwh_per_day: Band
    fitted_kwh_per_day: Array
    cv_rmse_pct: float
    resampled: Array

    def load(self, *, in_service: Band = RATED) -> BillLoad:
        """Load line with its draws, as bills of a fuel give it.

        Parameters
        ----------
        in_service
            In-service factor over the one that the fit was made with: a unit that does better in
            service has given more heat for the same kWh.

        Returns
        -------
        BillLoad
            Gains included; with a notice of what its band holds.

        Notes
        -----
        The slope is scaled by factors drawn from the triangle of `in_service`; that the COP moves
        a little with the load is left out.
        """
        held = "the in-service factor is taken as exact"
        factors = np.ones(self.resampled.shape[0])
        if in_service.low < in_service.high:
            ends = in_service.low, in_service.likely, in_service.high
            factors = np.random.default_rng(_SEED + 1).triangular(*ends, factors.size)
            held = (
                f"{in_service.low - 1.0:+.0%} to {in_service.high - 1.0:+.0%} of the in-service"
                " factor"
            )
        text = (
            f"The band of {CONFIDENCE:.0%} holds the scatter of the readings"
            f"{' and ' if factors.std() else '; '}{held}; the heat pump's map is taken as exact."
        )
        return BillLoad(
            line=self.line,
            slopes_w_per_k=frozen(np.maximum(self.resampled[:, 1] * factors, _LEAST_SLOPE)),
            balances_c=frozen(self.resampled[:, 2]),
            base_kwh_per_day=self.base_kwh_per_day,
            notices=(Notice(topic="load from bills", text=text),),
        )


def fit_through_heat_pump(
    data: PeriodUse,
    power_w: PowerOfLoad,
    *,
    hours: HourCounts,
    indoor_c: float,
    cooling_change_c: float | None = None,
) -> HeatPumpFit:
    """Find the load line whose electricity through a heat pump matches the readings.

    Parameters
    ----------
    data
        Electricity in kWh per day, days, and the temperature of each HOUR of each period.
    power_w
        Electric power of heat pump and backup at an outdoor temperature, humidity and load.
    hours
        Outdoor air in those hours.
    indoor_c
        Set-point in the metered time, degC.
    cooling_change_c
        Temperature above which the same meter counts cooling, in proportion to degree-days above
        it, degC; None: no cooling.

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
    cooling = np.zeros((0, len(data)))
    if cooling_change_c is not None:
        cooling = data.temperatures.degrees_above(np.array([cooling_change_c]))
    unknowns, fewest = 3 + cooling.shape[0], FEWEST_PERIODS + cooling.shape[0]
    if len(data) < fewest:
        raise InputError(
            f"{len(data)} periods for {unknowns} unknowns", expected=f"at least {fewest}"
        )
    problem = _Problem(data=data, power_w=power_w, hours=hours, cooling=cooling)
    start = problem.best_on_grid()
    solution = problem.refined(start)
    return problem.result(solution, indoor_c=indoor_c)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Problem:
    data: PeriodUse
    power_w: PowerOfLoad
    hours: HourCounts
    cooling: Array

    @property
    def spare(self) -> int:
        """Periods less unknowns."""
        return len(self.data) - 3 - int(self.cooling.shape[0])

    @property
    def mean_c(self) -> Array:
        return self.data.temperatures.mean_c

    def electricity(self, slopes: Array, balances_c: Array) -> Array:
        """Electricity of the heat pump in kWh per day, shape (lines, periods)."""
        away = np.maximum(balances_c[:, None] - self.hours.outdoor_c, 0.0)
        energy = energy_of_lines(self.power_w, self.hours, slopes[:, None] * away)
        return np.asarray(energy / (self.data.temperatures.count / HOURS_PER_DAY))

    def with_linear(self, heating: Array) -> tuple[Array, float]:
        """Fit base and cooling beside some electricity for heating; and the squares left."""
        rest = self.data.use_per_day - heating
        root = np.sqrt(self.data.weights)
        columns = (np.vstack([np.ones((1, rest.size)), self.cooling]) * root).T
        linear = np.linalg.lstsq(columns, rest * root, rcond=None)[0]
        return linear, float(((rest * root - columns @ linear) ** 2).sum())

    def fitted(self, unknowns: Array) -> Array:
        (heating,) = self.electricity(unknowns[1:2], unknowns[2:3])
        return np.asarray(unknowns[0] + heating + unknowns[3:] @ self.cooling)

    def residual(self, unknowns: Array) -> Array:
        away = self.data.use_per_day - self.fitted(unknowns)
        return np.asarray(away * np.sqrt(self.data.weights))

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
        balances_c = np.linspace(low, high, _BALANCES + 2)[1:-1]
        rough = np.array([self.rough_slope(float(one)) for one in balances_c])
        slopes = (rough[:, None] * _SLOPES).ravel()
        if not (slopes > 0).all():
            raise InputError(
                "the use does not rise with the cold", expected="electricity of a heat pump"
            )
        balances_c = np.repeat(balances_c, _SLOPES.size)
        tried = [self.with_linear(one) for one in self.electricity(slopes, balances_c)]
        best = int(np.argmin([squares for _, squares in tried]))
        linear = tried[best][0]
        return np.array([linear[0], slopes[best], balances_c[best], *linear[1:]])

    def refined(self, start: Array) -> Array:
        from scipy import optimize  # noqa: PLC0415 - slow to import and only bills need it

        low, high = self.bounds()
        free = np.ones(self.cooling.shape[0])
        solution = optimize.least_squares(
            self.residual,
            start,
            bounds=(
                [-np.inf, 1e-6, low, *free * -np.inf],
                [np.inf, np.inf, high, *free * np.inf],
            ),
            x_scale=np.maximum(np.abs(start), 1.0),
            xtol=1e-12,
            ftol=1e-14,
            gtol=1e-14,
        )
        found = np.asarray(solution.x, dtype=np.float64)
        if min(found[2] - low, high - found[2]) < 1e-3 * (high - low):
            raise InputError(
                "too few periods lie on one side of the temperature at which heating begins",
                expected="three periods that need no heating, and three that do",
                remedy="add readings of the other season",
            )
        return found

    def result(self, found: Array, *, indoor_c: float) -> HeatPumpFit:
        scatter = self._scatter(found)
        half = np.sqrt((scatter**2).sum(axis=1)) * self._t_quantile()
        residual = self.residual(found)
        mean = float(np.average(self.data.use_per_day, weights=self.data.days))
        bands = [
            Band(low=float(value - width), likely=float(value), high=float(value + width))
            for value, width in zip(found[:3], half[:3], strict=True)
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
            fitted_kwh_per_day=frozen(self.fitted(found)),
            cv_rmse_pct=100.0 * float(np.sqrt((residual**2).sum() / self.spare)) / mean,
            resampled=frozen(self._drawn(found, scatter)),
        )

    def _scatter(self, found: Array) -> Array:
        """Root of the sandwich covariance, residuals over 1 - leverage.

        Shape (unknowns, periods).
        """
        steps = np.array([1e-3, 1e-4 * found[1], _STEP_K, *[1e-3] * (found.size - 3)])
        jacobian = np.stack(
            [
                (self.residual(found - step) - self.residual(found + step)) / (2.0 * step.max())
                for step in np.diag(steps)
            ],
            axis=1,
        )
        inverse = np.linalg.pinv(jacobian)
        leverage = np.minimum((jacobian * inverse.T).sum(axis=1), 0.9)
        return np.asarray(inverse * (self.residual(found) / (1.0 - leverage)))

    def _t_quantile(self) -> float:
        return t_quantile((1.0 + CONFIDENCE) / 2.0, self.spare)

    def _drawn(self, found: Array, scatter: Array) -> Array:
        random = np.random.default_rng(_SEED)
        normal = random.standard_normal((_DRAWS, scatter.shape[1]))
        return np.asarray(found + normal @ scatter.T * (self._t_quantile() / _NORMAL_90))
