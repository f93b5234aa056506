"""Replicates and two results of one or two laboratories: whether they may differ by that much.

Use `range_factor`, `range_probability` and `ranges_agree` for replicates of one operator, `two_results_agree`
and `laboratory_critical_difference` for two results. How far beyond a limit a result must lie before
a failure is proved stands in `proof`.
"""

from __future__ import annotations

import math
from functools import lru_cache

import numpy as np
from numpy.typing import ArrayLike, NDArray

from resile.errors import MeasurementError


def range_factor(count: int, *, probability: float = 0.95) -> float:
    """Give the studentised range for a known standard deviation.

    Parameters
    ----------
    count : int
        Number of results, at least 2.
    probability : float
        Probability that the range stays within, between 0 and 1.

    Returns
    -------
    float
        Range of `count` normal results, in standard deviations, that is not exceeded with that probability.

    Raises
    ------
    MeasurementError
        Where fewer than two results are asked about or the probability is not between 0 and 1.

    Notes
    -----
    Root of ``n * integral of phi(x) (Phi(x) - Phi(x - q))^(n - 1) dx = p``. For two results ``q = 1.96 sqrt
    2``, printed as 2.8 and used as d2s (difference two-sigma limit).

    References
    ----------
    ASTM C670: 2.8, 3.3, 3.6, 3.9, 4.0, 4.2, 4.3, 4.4, 4.5 for 2 to 10 results, from memory (high).

    Examples
    --------
    >>> round(range_factor(2), 4)
    2.7718
    """
    if count < 2:
        raise MeasurementError(f"range of {count} result: at least two results are needed")
    if not 0.0 < probability < 1.0:
        raise MeasurementError("range of results: the probability must lie between 0 and 1")
    return _range_root(count, probability)


@lru_cache(maxsize=64)
def _range_root(count: int, probability: float) -> float:
    from scipy.optimize import brentq

    return float(brentq(lambda q: range_probability(q, count) - probability, 1e-3, 20.0, xtol=1e-10))


def range_probability(width: float, count: int) -> float:
    """Give the probability that the range of normal results stays within a width.

    Parameters
    ----------
    width : float
        Range, in standard deviations.
    count : int
        Number of results, at least 2.

    Returns
    -------
    float
        Probability.

    Notes
    -----
    ``n * integral of phi(x) (Phi(x) - Phi(x - w))^(n - 1) dx``.

    Examples
    --------
    >>> round(range_probability(2.7718, 2), 4)
    0.95
    """
    from scipy.special import ndtr

    x = np.linspace(-9.0, 9.0 + width, 4001)
    density = np.exp(-0.5 * x**2) / math.sqrt(2.0 * math.pi)
    inside = (ndtr(x) - ndtr(x - width)) ** (count - 1)
    return float(count * np.trapezoid(density * inside, x))


def replicate_spread(
    values: ArrayLike,
) -> tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.float64]]:
    """Give mean, standard deviation and range of replicates along the last axis.

    Parameters
    ----------
    values : array_like of float, shape (..., n) with n at least 2
        Replicates.

    Returns
    -------
    mean, standard_deviation, range : ndarray of float, shape (...)
        Standard deviation with n - 1.

    Raises
    ------
    MeasurementError
        Where there are fewer than two replicates or one is not finite.
    """
    x = _replicates(values)
    return (
        np.asarray(np.mean(x, axis=-1)),
        np.asarray(np.std(x, axis=-1, ddof=1)),
        np.asarray(np.ptp(x, axis=-1)),
    )


def ranges_agree(values: ArrayLike, repeatability_sd: ArrayLike) -> NDArray[np.bool_]:
    """Tell whether the range of replicates stays within the repeatability limit.

    Parameters
    ----------
    values : array_like of float, shape (..., n) with n at least 2
        Replicates of one operator.
    repeatability_sd : array_like of float, shape (...)
        Single-operator standard deviation, in the unit of the values.

    Returns
    -------
    ndarray of bool, shape (...)
        True where ``max - min <= q(0.95, n) s_r``.

    Raises
    ------
    MeasurementError
        Where there are fewer than two replicates or a number is not finite.

    References
    ----------
    ASTM C670, from memory (high).
    """
    x = _replicates(values)
    limit = range_factor(x.shape[-1]) * np.asarray(repeatability_sd, dtype=float)
    return np.asarray(np.ptp(x, axis=-1) <= limit)


def two_results_agree(first: ArrayLike, second: ArrayLike, limit_percent: ArrayLike) -> NDArray[np.bool_]:
    """Tell whether two results agree within a printed d2s % of their mean.

    Parameters
    ----------
    first, second : array_like of float, shapes that broadcast
        Two results.
    limit_percent : array_like of float, shape that broadcasts
        Difference of two results (d2s) in % of their mean [%].

    Returns
    -------
    ndarray of bool
        True where ``|x1 - x2| / mean <= d2s``.

    Raises
    ------
    MeasurementError
        Where a number is not finite or a mean is not above zero.

    References
    ----------
    ASTM C670, from memory (high).

    Examples
    --------
    >>> bool(two_results_agree(0.42, 0.60, 39.0)), bool(two_results_agree(3.10, 4.00, 22.0))
    (True, False)
    """
    x1, x2, limit = (np.asarray(a, dtype=float) for a in (first, second, limit_percent))
    mean = (x1 + x2) / 2.0
    if not (np.isfinite(mean).all() and np.isfinite(limit).all()) or np.any(mean <= 0.0):
        raise MeasurementError("two results: both must be finite numbers with a mean above zero")
    return np.asarray(100.0 * np.abs(x1 - x2) / mean <= limit)


def laboratory_critical_difference(
    reproducibility_limit: ArrayLike,
    repeatability_limit: ArrayLike,
    first_count: ArrayLike = 1,
    second_count: ArrayLike = 1,
) -> NDArray[np.float64]:
    """Give the largest acceptable difference between the means of two laboratories.

    Parameters
    ----------
    reproducibility_limit, repeatability_limit : array_like of float, shapes that broadcast
        R and r, in the unit of the results.
    first_count, second_count : array_like of int, shapes that broadcast
        Results in each mean.

    Returns
    -------
    ndarray of float
        ``sqrt(R^2 - r^2 (1 - 1/(2 k1) - 1/(2 k2)))``.

    Raises
    ------
    MeasurementError
        Where a count is below one, or r exceeds R.

    References
    ----------
    ISO 4259, from memory (high).
    """
    big, small = np.asarray(reproducibility_limit, dtype=float), np.asarray(repeatability_limit, dtype=float)
    k1, k2 = np.asarray(first_count, dtype=float), np.asarray(second_count, dtype=float)
    if np.any(k1 < 1.0) or np.any(k2 < 1.0):
        raise MeasurementError("two laboratories: each needs at least one result")
    if np.any(small > big) or np.any(small < 0.0):
        raise MeasurementError(
            "two laboratories: the repeatability must lie between zero and the reproducibility"
        )
    return np.asarray(np.sqrt(big**2 - small**2 * (1.0 - 1.0 / (2.0 * k1) - 1.0 / (2.0 * k2))))


def _replicates(values: ArrayLike) -> NDArray[np.float64]:
    x = np.asarray(values, dtype=float)
    if x.ndim == 0 or x.shape[-1] < 2:
        raise MeasurementError("replicates: at least two results are needed")
    if not np.isfinite(x).all():
        raise MeasurementError("replicates: every result must be a finite number")
    return x
