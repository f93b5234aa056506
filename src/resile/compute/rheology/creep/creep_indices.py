"""Indices of a creep-recovery result.

`minimum_recovery_percent` is the elastic-response curve; `difference_percent` and `compliance_slope_percent`
say how far compliance and recovery depend on stress.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from resile.errors import MeasurementError

Floats = NDArray[np.float64]

CURVE_FACTOR = 29.371
CURVE_EXPONENT = -0.2633
CURVE_FLAT_PERCENT = 55.0
CURVE_FROM_JNR = 0.1
CURVE_TO_JNR = 2.0
"""Elastic-response curve: DNIT 423/2020-ME (second-hand); R 92 and M 332 appendix, from memory (high)."""


def minimum_recovery_percent(jnr: ArrayLike) -> Floats:
    """Give the recovery at 3.2 kPa expected of elastomer modification, by compliance.

    Parameters
    ----------
    jnr : array_like, any shape
        Non-recoverable creep compliance at 3.2 kPa [1/kPa].

    Returns
    -------
    ndarray, shape of `jnr`
        Minimum percent recovery [%]; not-a-number above 2.0 1/kPa, where there is no requirement.

    Raises
    ------
    MeasurementError
        When a compliance is negative or not a number.

    Notes
    -----
    ``R_min = 29.371 Jnr^(-0.2633)`` for ``0.1 <= Jnr <= 2.0`` and 55 % below 0.1; the two do not meet (53.85
    against 55 at 0.1). Above the curve: elastomeric modification at a sufficient level. Below does *not* mean
    unmodified, and a stiff aged binder can recover without any polymer.

    Examples
    --------
    >>> minimum_recovery_percent([0.05, 0.5, 3.0]).round(2).tolist()
    [55.0, 35.25, nan]

    References
    ----------
    DNIT 423/2020-ME (second-hand); AASHTO R 92 and M 332, appendix, from memory (high).
    """
    compliance = np.asarray(jnr, dtype=float)
    if not np.all(compliance >= 0.0):
        raise MeasurementError("a compliance below zero, or not a number, has no elastic-response minimum")
    safe = np.maximum(compliance, CURVE_FROM_JNR)
    curve = np.where(compliance < CURVE_FROM_JNR, CURVE_FLAT_PERCENT, CURVE_FACTOR * safe**CURVE_EXPONENT)
    return np.where(compliance > CURVE_TO_JNR, np.nan, curve)


def difference_percent(low: ArrayLike, high: ArrayLike) -> Floats:
    """Give the rise from the low-stress to the high-stress value, in per cent of the low one.

    Parameters
    ----------
    low, high : array_like, broadcastable
        Values at the low and the high stress, in one unit. For a recovery difference, which the standard
        counts as a fall, take the negative.

    Returns
    -------
    ndarray
        ``100 (high - low)/low`` [%]; not-a-number where `low` is zero.

    References
    ----------
    AASHTO T 350, section 9, from memory (high).
    """
    low, high = np.asarray(low, dtype=float), np.asarray(high, dtype=float)
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.where(low == 0.0, np.nan, 100.0 * (high - low) / low)


def compliance_slope_percent(
    jnr_low: ArrayLike, jnr_high: ArrayLike, *, stress_low_kpa: float = 0.1, stress_high_kpa: float = 3.2
) -> Floats:
    """Give the rise of compliance per step of stress.

    Parameters
    ----------
    jnr_low, jnr_high : array_like, broadcastable
        Compliance at the two stresses [1/kPa].
    stress_low_kpa, stress_high_kpa : float
        The two stresses [kPa].

    Returns
    -------
    ndarray
        ``100 (Jnr_high - Jnr_low)/(stress_high - stress_low)`` [%].

    References
    ----------
    Stempihar, Underwood and others, Transportation Research Record, 2018, from memory (high).
    """
    low, high = np.asarray(jnr_low, dtype=float), np.asarray(jnr_high, dtype=float)
    slope: Floats = 100.0 * (high - low) / (stress_high_kpa - stress_low_kpa)
    return slope
