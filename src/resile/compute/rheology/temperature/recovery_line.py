"""How percent recovery changes with temperature: a line on a scale on which 0 and 100 % are out of reach.

Use `fit_recovery_line` for two temperatures or more, then `predict_recovery` and `recovery_probability`.
No slope of recovery is published: with one temperature nothing is predicted. Always test, do not scale.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy import special

from resile.compute.rheology.temperature.temperature_line import BOUNDS, CONFIDENCE
from resile.errors import MeasurementError
from resile.records.recovery_line import PredictedRecovery, RecoveryLine

Floats = NDArray[np.float64]

SMALLEST_STANDARD_PERCENT = 1.0
"""Standard deviation of a recovery is taken no smaller than this [%]. Own choice: a coefficient of variation
means little for a recovery of a few per cent."""
NEAREST_END_PERCENT = 0.5
"""A recovery nearer to 0 or 100 %, or beyond, is set here before its logit is taken [%]. Own choice."""


def recovery_logit(percent_recovery: ArrayLike) -> Floats:
    """Give the logit of a recovery, ``ln(R/(100 - R))``.

    Parameters
    ----------
    percent_recovery : array_like of float, any shape
        Recovery [%]; at or beyond the ends it is set to `NEAREST_END_PERCENT` from them.

    Returns
    -------
    ndarray of float
        Logit.

    Raises
    ------
    MeasurementError
        Where a number is not finite.

    Examples
    --------
    >>> float(recovery_logit(50.0))
    0.0
    """
    recovery = np.asarray(percent_recovery, dtype=float)
    if not np.isfinite(recovery).all():
        raise MeasurementError("recovery against temperature: every recovery must be a finite number")
    inside = np.clip(recovery, NEAREST_END_PERCENT, 100.0 - NEAREST_END_PERCENT)
    return np.asarray(np.log(inside / (100.0 - inside)))


def fit_recovery_line(
    temperatures_c: ArrayLike, percent_recovery: ArrayLike, *, variation_percent: float
) -> RecoveryLine:
    """Draw a straight line through the logit of recovery against temperature.

    Parameters
    ----------
    temperatures_c : array_like of float, shape (n,)
        Test temperatures, two different ones at least; replicates are rows of their own [°C].
    percent_recovery : array_like of float, shape (n,)
        Recovery [%].
    variation_percent : float
        Coefficient of variation of one determination [%].

    Returns
    -------
    RecoveryLine
        With the covariance of level and slope.

    Raises
    ------
    MeasurementError
        Where a number cannot be used, or there is one temperature only.

    Notes
    -----
    Least squares of ``ln(R/(100 - R))``, each point weighted by ``1/s²``; ``s = s_R 100/(R (100 - R))``
    with ``s_R`` the coefficient of variation times R, and `SMALLEST_STANDARD_PERCENT` at least. A recovery
    of about nothing then weighs next to nothing: it says that the binder does not recover, not how the
    curve runs. Why the logit: a straight line of R runs out of 0 to 100 %, and against ln Jnr
    the two properties of one specimen would lend one another their errors.

    References
    ----------
    Form: own choice, no published temperature law of recovery was found; weighted least squares: textbooks.
    """
    temperature = np.asarray(temperatures_c, dtype=float)
    recovery = np.asarray(percent_recovery, dtype=float)
    if temperature.size == 0 or temperature.ndim != 1 or temperature.shape != recovery.shape:
        raise MeasurementError("recovery against temperature: needed are as many recoveries as temperatures")
    if not np.isfinite(temperature).all() or not math.isfinite(variation_percent) or variation_percent <= 0.0:
        raise MeasurementError(
            "recovery against temperature: temperatures must be finite, the variation above zero"
        )
    logit = recovery_logit(recovery)
    weight = 1.0 / _logit_standard(logit, variation_percent) ** 2
    middle = float(np.sum(weight * temperature) / np.sum(weight))
    away = temperature - middle
    spread = float(np.sum(weight * away**2))
    if np.ptp(temperature) == 0.0 or spread == 0.0:
        raise MeasurementError(
            "recovery against temperature: needed are two different temperatures; no slope is published"
        )
    return RecoveryLine(
        middle_c=middle,
        level=float(np.sum(weight * logit) / np.sum(weight)),
        slope_per_c=float(np.sum(weight * away * logit) / spread),
        covariance=(1.0 / float(np.sum(weight)), 0.0, 1.0 / spread),
        variation_percent=float(variation_percent),
        coldest_c=float(temperature.min()),
        warmest_c=float(temperature.max()),
        points=temperature.size,
    )


def predict_recovery(
    line: RecoveryLine, temperature_c: float, *, temperature_standard_c: float = 0.0
) -> PredictedRecovery:
    """Give what one test of recovery at a temperature would come to.

    Parameters
    ----------
    line : RecoveryLine
        As fitted.
    temperature_c : float
        Temperature asked for [°C].
    temperature_standard_c : float
        Standard uncertainty of the test temperature [°C].

    Returns
    -------
    PredictedRecovery
        Median and two-sided 95 % interval for one new determination, inside 0 to 100 %.

    Raises
    ------
    MeasurementError
        Where a number cannot be used.

    Notes
    -----
    On the logit scale: ``var = var(level) + d² var(slope) + s² + (slope u_T)²``, d from the middle
    and s the scatter of one test at the expected recovery.
    """
    if not math.isfinite(temperature_c) or not temperature_standard_c >= 0.0:
        raise MeasurementError(
            "prediction: needed are a temperature (°C) and a standard uncertainty of 0 °C or more"
        )
    away = temperature_c - line.middle_c
    centre = line.level + line.slope_per_c * away
    of_level, shared, of_slope = line.covariance
    scatter = float(_logit_standard(np.asarray(centre), line.variation_percent))
    variance = of_level + 2.0 * away * shared + away**2 * of_slope + scatter**2
    standard = math.sqrt(variance + (line.slope_per_c * temperature_standard_c) ** 2)
    reach = standard * float(special.ndtri(0.5 + CONFIDENCE / 2))
    return PredictedRecovery(
        temperature_c=temperature_c,
        percent_recovery=_recovery(centre),
        standard_logit=standard,
        low=_recovery(centre - reach),
        high=_recovery(centre + reach),
        extrapolated_c=max(line.coldest_c - temperature_c, temperature_c - line.warmest_c, 0.0),
    )


def recovery_probability(predicted: PredictedRecovery, limit: float, *, bound: str) -> float:
    """Give the probability that a test of recovery would meet a limit.

    Parameters
    ----------
    predicted : PredictedRecovery
        As predicted.
    limit : float
        Limit [%].
    bound : str
        ``"maximum"`` or ``"minimum"``.

    Returns
    -------
    float
        Probability, 0 to 1.

    Raises
    ------
    MeasurementError
        Where the bound is not known or the limit is not finite.
    """
    if bound not in BOUNDS:
        raise MeasurementError(f"bound '{bound}' is not known; needed: {' or '.join(BOUNDS)}")
    spare = float(recovery_logit(limit) - recovery_logit(predicted.percent_recovery))
    sign = 1.0 if bound == "maximum" else -1.0
    return float(special.ndtr(sign * spare / predicted.standard_logit))


def _logit_standard(logit: Floats, variation_percent: float) -> Floats:
    recovery = np.clip(100.0 * special.expit(logit), NEAREST_END_PERCENT, 100.0 - NEAREST_END_PERCENT)
    standard = np.maximum(variation_percent / 100.0 * recovery, SMALLEST_STANDARD_PERCENT)
    return np.asarray(standard * 100.0 / (recovery * (100.0 - recovery)))


def _recovery(logit: float) -> float:
    return 100.0 * float(special.expit(logit))
