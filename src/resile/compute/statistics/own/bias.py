"""Bias from several sources, tolerance zones, and an own precision against a published one."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike, NDArray

from resile.errors import MeasurementError

TOLERANCE_FACTOR = 1.44
"""Of the root of the squares of the site deviation and the doubt of the reference, as check-fluid practice
has it."""


def mean_bias(biases: ArrayLike, standards: ArrayLike) -> tuple[float, float]:
    """Give one bias from several, each weighed by how well it is known.

    Parameters
    ----------
    biases, standards : array_like of float, shape (n,)
        Biases found against different materials or schemes, and their standard uncertainties above zero.

    Returns
    -------
    bias, standard : float
        Mean weighed by ``1/u^2``, and ``1/sqrt(sum 1/u^2)``, widened by ``sqrt(chi2/(n - 1))`` where the
        biases differ by more than they should.

    Raises
    ------
    MeasurementError
        Where there is none, a number is not finite, or a standard uncertainty is not above zero.

    References
    ----------
    Weighted mean; the widening is Birge's ratio, from memory (high).

    Examples
    --------
    >>> [round(x, 4) for x in mean_bias([1.0, 2.0], [1.0, 1.0])]
    [1.5, 0.7071]
    """
    b, u = np.asarray(biases, dtype=float).ravel(), np.asarray(standards, dtype=float).ravel()
    if (
        not len(b)
        or b.shape != u.shape
        or not np.isfinite(b).all()
        or not np.isfinite(u).all()
        or np.any(u <= 0)
    ):
        raise MeasurementError("bias: each one needs a standard uncertainty above zero, all of them finite")
    weights = 1.0 / u**2
    mean = float(np.sum(weights * b) / np.sum(weights))
    standard = 1.0 / math.sqrt(float(np.sum(weights)))
    if len(b) > 1:
        excess = float(np.sum(weights * (b - mean) ** 2)) / (len(b) - 1)
        standard *= math.sqrt(max(1.0, excess))
    return mean, standard


def tolerance_zone(
    site_deviation: ArrayLike, reference_standard: ArrayLike, *, factor: float = TOLERANCE_FACTOR
) -> NDArray[np.float64]:
    """Give the half width of the tolerance zone of a check with a certified material.

    Parameters
    ----------
    site_deviation, reference_standard : array_like of float, shapes that broadcast
        Standard deviation of the laboratory for such checks, and standard uncertainty of the certified value,
        in one unit or both in %.
    factor : float
        Multiplier.

    Returns
    -------
    ndarray of float
        ``1.44 sqrt(s^2 + SE^2)``, in that unit.

    Raises
    ------
    MeasurementError
        Where a number is negative or not finite.

    References
    ----------
    ASTM D6617, and annexes of D445 and D7042, as printed on certificates of check fluids.

    Examples
    --------
    >>> round(float(tolerance_zone(0.19, 0.11)), 5)
    0.31614
    """
    s, se = np.asarray(site_deviation, dtype=float), np.asarray(reference_standard, dtype=float)
    if not (np.isfinite(s).all() and np.isfinite(se).all()) or np.any(s < 0.0) or np.any(se < 0.0):
        raise MeasurementError(
            "tolerance zone: site deviation and doubt of the reference must be zero or above"
        )
    return np.asarray(factor * np.sqrt(s**2 + se**2))


def variance_ratio_limits(
    degrees_of_freedom: float, *, reference_freedom: float = math.inf, significance: float = 0.05
) -> tuple[float, float]:
    """Give the ends between which the ratio of an own to a published variance says nothing against it.

    Parameters
    ----------
    degrees_of_freedom : float
        Of the own variance, at least 1.
    reference_freedom : float
        Of the published one; infinite where it counts as known.
    significance : float
        Two-sided, between 0 and 1.

    Returns
    -------
    lower, upper : float
        Of chi-square over its degrees of freedom, or of F where the published variance has its own.

    Raises
    ------
    MeasurementError
        Where there is less than one degree of freedom or the significance is not between 0 and 1.

    References
    ----------
    Chi-square and F tests of variances; ISO 5725-6:1994, 4, compares a laboratory with a standard so.

    Examples
    --------
    >>> [round(end, 4) for end in variance_ratio_limits(10)]
    [0.3247, 2.0483]
    """
    from scipy.special import chdtri, fdtri

    if degrees_of_freedom < 1.0 or reference_freedom < 1.0 or not 0.0 < significance < 1.0:
        raise MeasurementError(
            "comparison of variances: needed are one degree of freedom and a significance between 0 and 1"
        )
    low, high = significance / 2.0, 1.0 - significance / 2.0
    if math.isinf(reference_freedom):
        return tuple(float(chdtri(degrees_of_freedom, 1.0 - p)) / degrees_of_freedom for p in (low, high))  # type: ignore[return-value]
    return tuple(float(fdtri(degrees_of_freedom, reference_freedom, p)) for p in (low, high))  # type: ignore[return-value]
