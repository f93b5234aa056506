"""The frequency sweep before the amplitude sweep: slope of G', and the damage exponent made of it.

AASHTO T 391 (formerly TP 101) and Hintz and Bahia's papers on the test, from memory (high).
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike

from resile.compute.rheology.above_zero import above_zero
from resile.compute.rheology.damage.fatigue_law import Floats
from resile.errors import MeasurementError
from resile.records.models.amplitude_sweep import ExponentConvention, ModulusSlope

_SLOPE_POINTS = 3


def fit_modulus_slope(angular_frequency_rad_s: ArrayLike, storage_modulus: ArrayLike) -> ModulusSlope:
    """Draw log10 G' against log10 angular frequency as a straight line.

    Parameters
    ----------
    angular_frequency_rad_s : array_like of float, shape (n,), n at least 3
        Angular frequencies [rad/s], two different ones at least.
    storage_modulus : array_like of float, shape (n,)
        G' [kPa].

    Returns
    -------
    ModulusSlope
        With the standard error of the slope.

    Raises
    ------
    MeasurementError
        Where there are fewer than three points, a number is not above zero, or the line does not rise.

    Notes
    -----
    AASHTO T 391: ``log G' = m log w + b``. The unit of either axis does not touch m.
    """
    frequency, modulus = (np.asarray(a, dtype=float) for a in (angular_frequency_rad_s, storage_modulus))
    if frequency.ndim != 1 or frequency.shape != modulus.shape or frequency.size < _SLOPE_POINTS:
        raise MeasurementError(
            f"frequency sweep: {frequency.size} points found, three frequencies or more are needed"
        )
    if not (np.isfinite(frequency) & np.isfinite(modulus) & (frequency > 0) & (modulus > 0)).all():
        raise MeasurementError("frequency sweep: every frequency and every G' must be above zero")
    x, y = np.log10(frequency), np.log10(modulus)
    away = x - x.mean()
    spread = float(np.sum(away**2))
    if spread == 0.0:
        raise MeasurementError("frequency sweep: all points stand at one frequency, several are needed")
    slope = float(np.sum(away * y) / spread)
    if slope <= 0.0:
        raise MeasurementError(
            f"frequency sweep: G' changes with a slope of {slope:.3g} against frequency; it must rise"
        )
    residuals = y - y.mean() - slope * away
    left, whole = float(np.sum(residuals**2)), float(np.sum((y - y.mean()) ** 2))
    standard = math.sqrt(left / (frequency.size - 2) / spread)
    intercept = float(y.mean() - slope * x.mean())
    return ModulusSlope(slope, intercept, standard, frequency.size, 1.0 - left / whole)


def damage_exponent(slope: ArrayLike, *, convention: ExponentConvention) -> Floats:
    """Give the damage exponent alpha from the slope of the frequency sweep.

    Parameters
    ----------
    slope : array_like of float
        m of `fit_modulus_slope`, above zero.
    convention : ExponentConvention
        Never inferred: the two differ by one, and so does B by two.

    Returns
    -------
    ndarray of float
        ``1/m``, or ``1 + 1/m``.

    Raises
    ------
    MeasurementError
        Where a slope is not above zero.

    Notes
    -----
    1/m: AASHTO T 391 and TP 101-14; 1 + 1/m: TP 101-12 and some papers. Both from memory (high).

    Examples
    --------
    >>> float(damage_exponent(0.5, convention=ExponentConvention.ONE_PLUS_INVERSE_SLOPE))
    3.0
    """
    m = above_zero("fatigue law", "slope", slope)
    return np.asarray(1.0 / m + (convention is ExponentConvention.ONE_PLUS_INVERSE_SLOPE))
