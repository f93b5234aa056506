"""Scatter of all values of a series, and of the plant without that of the test.

The scatter from one lot to the next is in `resile.compute.statistics.control.set_up`.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike

from resile.errors import InputError


def overall_deviation(values: ArrayLike) -> float:
    """Give the standard deviation of all values.

    Parameters
    ----------
    values : array_like of float, shape (n,)
        On the watched scale; two at least.

    Returns
    -------
    float
        With ``n - 1`` in the denominator.

    Raises
    ------
    InputError
        Where there are fewer than two values or one is not finite.

    References
    ----------
    NIST/SEMATECH e-Handbook, 1.3.5.6.

    Examples
    --------
    >>> overall_deviation([1.0, 2.0, 3.0])
    1.0
    """
    return float(np.std(_series(values), ddof=1))


def plant_deviation(overall: float, test_standard: float) -> float:
    """Give the scatter of the plant itself from that of results and that of the test.

    Parameters
    ----------
    overall : float
        Standard deviation of results, on the watched scale.
    test_standard : float
        Standard uncertainty of one result as it scatters from lot to lot, on the same scale.

    Returns
    -------
    float
        ``sqrt(overall² - test²)``; zero where the test alone explains the scatter.

    Raises
    ------
    InputError
        Where a number is negative or not finite.

    Notes
    -----
    Variances of independent causes add. A constant bias of the laboratory is in `test_standard` where a
    reproducibility is taken, but not in the scatter of results of one laboratory: take the scatter within the
    laboratory here.

    Examples
    --------
    >>> plant_deviation(5.0, 3.0)
    4.0
    """
    if not (math.isfinite(overall) and math.isfinite(test_standard) and min(overall, test_standard) >= 0.0):
        raise InputError(
            f"scatter of the plant: {overall:g} and {test_standard:g} found; two standard deviations of at "
            "least 0 are needed"
        )
    return math.sqrt(max(overall * overall - test_standard * test_standard, 0.0))


def _series(values: ArrayLike) -> np.ndarray:
    series = np.asarray(values, dtype=float)
    if series.ndim != 1 or series.size < 2 or not np.isfinite(series).all():
        raise InputError(f"scatter of a series: {series.size} values found; two finite numbers are needed")
    return series
