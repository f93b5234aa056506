"""How compliance or stiffness changes with temperature, and what a test at another temperature would give.

Use `fit_temperature_line` for two temperatures or more, `line_from_prior` where one was tested, then
`predict_value`, `meeting_probability` and `meeting_temperature`. The logarithm is a straight line over a few
grade steps only; polymer-modified binder is less regular. Always test, do not scale: a prediction is a reason
for a test.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy import special

from resile.compute.statistics.probability.student import student_below, student_quantile
from resile.errors import MeasurementError
from resile.records.temperature_line import PredictedValue, SlopePrior, TemperatureLine

Floats = NDArray[np.float64]

CONFIDENCE = 0.95
BOUNDS = ("maximum", "minimum")


def fit_temperature_line(
    temperatures_c: ArrayLike, values: ArrayLike, *, standard_log: float | None = None
) -> TemperatureLine:
    """Draw a straight line through the logarithm of a property against temperature.

    Parameters
    ----------
    temperatures_c : array_like of float, shape (n,)
        Test temperatures, two different ones at least; replicates are rows of their own [°C].
    values : array_like of float, shape (n,)
        Property, above zero.
    standard_log : float or None
        Stated standard deviation of one determination, as natural logarithm (a coefficient of variation is
        one to first order). None to estimate it from the scatter about the line, which needs a third
        determination.

    Returns
    -------
    TemperatureLine
        With the covariance of level and slope.

    Raises
    ------
    MeasurementError
        Where a number cannot be used, there is one temperature only, or no scatter is stated and none can be
        estimated.

    Notes
    -----
    Least squares of ln(value). A stated scatter is used as it is, whatever the points show, so that two
    laboratories that state the same draw the same band.

    References
    ----------
    Form: ln Jnr linear in temperature between tests, no standard formula, common practice; regression and its
    covariance: textbooks of statistics.
    """
    temperature, logs = _usable(temperatures_c, values)
    middle = float(temperature.mean())
    away = temperature - middle
    spread = float(np.sum(away**2))
    if spread == 0.0:
        raise MeasurementError(
            "line against temperature: needed are two different temperatures; "
            "with one, choose a prior for the slope"
        )
    slope = float(np.sum(away * logs) / spread)
    level = float(logs.mean())
    free = temperature.size - 2
    if standard_log is not None:
        scatter, dof = _positive(standard_log), math.inf
    elif free > 0:
        scatter, dof = math.sqrt(float(np.sum((logs - level - slope * away) ** 2)) / free), float(free)
    else:
        raise MeasurementError(
            "line against temperature: two determinations show no scatter; "
            "state their standard deviation, or add a replicate"
        )
    covariance = (scatter**2 / temperature.size, 0.0, scatter**2 / spread)
    ends = float(temperature.min()), float(temperature.max())
    return TemperatureLine(middle, level, slope, covariance, scatter, dof, *ends, temperature.size)


def line_from_prior(
    temperature_c: float, values: ArrayLike, prior: SlopePrior, *, standard_log: float
) -> TemperatureLine:
    """Draw a line through the tests at one temperature with a slope that is known beforehand.

    Parameters
    ----------
    temperature_c : float
        The one temperature tested [°C].
    values : array_like of float, shape (n,), n at least 1
        Determinations there, above zero.
    prior : SlopePrior
        Slope and its standard uncertainty.
    standard_log : float
        Standard deviation of one determination, as natural logarithm.

    Returns
    -------
    TemperatureLine
        Through the geometric mean; the prior is kept in it.

    Raises
    ------
    MeasurementError
        Where a number cannot be used.
    """
    logs = _usable(np.full(np.size(values), temperature_c), np.atleast_1d(np.asarray(values, dtype=float)))[1]
    scatter = _positive(standard_log)
    covariance = (scatter**2 / logs.size, 0.0, _positive(prior.standard_per_c) ** 2)
    return TemperatureLine(
        float(temperature_c),
        float(logs.mean()),
        prior.slope_per_c,
        covariance,
        scatter,
        math.inf,
        float(temperature_c),
        float(temperature_c),
        logs.size,
        prior,
    )


def predict_value(
    line: TemperatureLine, temperature_c: float, *, temperature_standard_c: float = 0.0
) -> PredictedValue:
    """Give what one test at a temperature would come to.

    Parameters
    ----------
    line : TemperatureLine
        As fitted.
    temperature_c : float
        Temperature asked for [°C].
    temperature_standard_c : float
        Standard uncertainty of the test temperature [°C].

    Returns
    -------
    PredictedValue
        Median and two-sided 95 % interval for one new determination.

    Raises
    ------
    MeasurementError
        Where a number cannot be used.

    Notes
    -----
    ``var = var(level) + 2 d cov + d² var(slope) + scatter² + (slope u_T)²``, d from the middle. Student's
    quantile with the degrees of freedom of the scatter.
    """
    if not math.isfinite(temperature_c) or not temperature_standard_c >= 0.0:
        raise MeasurementError(
            "prediction: needed are a temperature (°C) and a standard uncertainty of 0 °C or more"
        )
    away = temperature_c - line.middle_c
    of_level, shared, of_slope = line.covariance
    variance = of_level + 2.0 * away * shared + away**2 * of_slope
    variance += line.scatter**2 + (line.slope_per_c * temperature_standard_c) ** 2
    standard = math.sqrt(variance)
    centre = line.level + line.slope_per_c * away
    reach = standard * student_quantile(0.5 + CONFIDENCE / 2, line.degrees_of_freedom)
    outside = max(line.coldest_c - temperature_c, temperature_c - line.warmest_c, 0.0)
    return PredictedValue(
        temperature_c=temperature_c,
        value=math.exp(centre),
        standard_log=standard,
        degrees_of_freedom=line.degrees_of_freedom,
        low=math.exp(centre - reach),
        high=math.exp(centre + reach),
        extrapolated_c=outside,
    )


def meeting_probability(predicted: PredictedValue, limit: float, *, bound: str) -> float:
    """Give the probability that a test would meet a limit.

    Parameters
    ----------
    predicted : PredictedValue
        As predicted.
    limit : float
        Limit in the unit of the property, above zero.
    bound : str
        ``"maximum"`` or ``"minimum"``.

    Returns
    -------
    float
        Probability, 0 to 1.

    Raises
    ------
    MeasurementError
        Where the bound is not known or the limit is not above zero.
    """
    if bound not in BOUNDS:
        raise MeasurementError(f"bound '{bound}' is not known; needed: {' or '.join(BOUNDS)}")
    spare = math.log(_positive(limit) / predicted.value) * (1.0 if bound == "maximum" else -1.0)
    if predicted.standard_log == 0.0:
        return 1.0 if spare >= 0.0 else 0.0
    return float(student_below(np.asarray(spare / predicted.standard_log), predicted.degrees_of_freedom))


def meeting_temperature(line: TemperatureLine, limit: float) -> tuple[float, float]:
    """Give the temperature at which the line meets a limit.

    Parameters
    ----------
    line : TemperatureLine
        As fitted.
    limit : float
        Limit in the unit of the property, above zero.

    Returns
    -------
    tuple of float
        Temperature, and its standard uncertainty from the line alone by the linear law [°C].

    Raises
    ------
    MeasurementError
        Where the line is level, or the limit is not above zero.
    """
    if line.slope_per_c == 0.0:
        raise MeasurementError("line against temperature: the property does not change; it meets no limit")
    away = (math.log(_positive(limit)) - line.level) / line.slope_per_c
    of_level, shared, of_slope = line.covariance
    variance = of_level + 2.0 * away * shared + away**2 * of_slope
    return line.middle_c + away, math.sqrt(variance) / abs(line.slope_per_c)


def scatter_about_line(
    line: TemperatureLine, temperatures_c: ArrayLike, values: ArrayLike
) -> tuple[float, int, float]:
    """Give how far determinations lie from a line, beside the scatter it was drawn with.

    Parameters
    ----------
    line : TemperatureLine
        Drawn through these determinations.
    temperatures_c, values : array_like of float, shape (n,), n at least 3
        The determinations [°C] and [unit of the property].

    Returns
    -------
    scatter : float
        Standard deviation about the line, as natural logarithm.
    degrees_of_freedom : int
        Of it.
    chance : float
        Probability that determinations with the line's own scatter lie as far away, or further.

    Raises
    ------
    MeasurementError
        Where a number cannot be used, or there are two determinations only.

    Notes
    -----
    ``sum (residual/scatter)²`` is chi-squared with n - 2 degrees of freedom where line and scatter hold.
    """
    temperature, logs = _usable(temperatures_c, values)
    free = temperature.size - 2
    if free < 1:
        raise MeasurementError("line against temperature: two determinations show no scatter")
    residual = logs - line.level - line.slope_per_c * (temperature - line.middle_c)
    total = float(np.sum(residual**2))
    return math.sqrt(total / free), free, float(special.chdtrc(free, total / line.scatter**2))


def _usable(temperatures: ArrayLike, values: ArrayLike) -> tuple[Floats, Floats]:
    temperature, value = np.asarray(temperatures, dtype=float), np.asarray(values, dtype=float)
    if temperature.size == 0 or temperature.ndim != 1 or temperature.shape != value.shape:
        raise MeasurementError("line against temperature: needed are as many values as temperatures")
    if not np.isfinite(temperature).all() or not np.isfinite(value).all() or np.any(value <= 0.0):
        raise MeasurementError("line against temperature: every value must be a finite number above zero")
    return temperature, np.log(value)


def _positive(number: float) -> float:
    if not math.isfinite(number) or number <= 0.0:
        raise MeasurementError(f"line against temperature: {number:g} must be a finite number above zero")
    return float(number)
