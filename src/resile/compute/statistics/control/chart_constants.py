"""Constants of control charts for any number of results in a lot, from the normal distribution.

`range_mean_factor` (d2), `range_deviation_factor` (d3) and `deviation_mean_factor` (c4) are found by
integration or in closed form; `chart_constants` makes the factors for limits of them.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from resile.compute.statistics.uncertainty.repeatability import range_probability
from resile.errors import MeasurementError

_REACH, _NODES = 16.0, 80
"""Ranges beyond sixteen standard deviations are left out of the integrals (below 1e-28 for ten results)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ChartConstants:
    """Constants for a number of results in a lot, by the letters that tables print.

    Attributes
    ----------
    count : int
        Results in a lot.
    d2, d3 : float
        Mean and standard deviation of the range, in standard deviations.
    c4 : float
        Mean of the sample standard deviation, in standard deviations.
    a2, a3 : float
        Half width of the limits of means, in mean ranges and in mean sample standard deviations.
    lower_range, upper_range : float
        Limits of ranges in mean ranges, printed as D3 and D4.
    lower_deviation, upper_deviation : float
        Limits of sample standard deviations in mean sample standard deviations, printed as B3 and B4.
    e2 : float
        Half width of the limits of single values, in mean ranges of `count` values.
    """

    count: int
    d2: float
    d3: float
    c4: float
    a2: float
    a3: float
    lower_range: float
    upper_range: float
    lower_deviation: float
    upper_deviation: float
    e2: float


def range_mean_factor(count: int) -> float:
    """Give d2, the mean range of normal results in standard deviations.

    Parameters
    ----------
    count : int
        Results in a lot, at least 2.

    Returns
    -------
    float
        d2.

    Raises
    ------
    MeasurementError
        With fewer than two results.

    Notes
    -----
    ``d2 = integral of P(R > w) dw`` over all widths from 0, with the distribution of the range of
    `range_probability`; the same number as Tippett's integral of 1925.

    Examples
    --------
    >>> round(range_mean_factor(2), 4)
    1.1284
    """
    return _range_moments(count)[0]


def range_deviation_factor(count: int) -> float:
    """Give d3, the standard deviation of the range of normal results, in standard deviations.

    Parameters
    ----------
    count : int
        Results in a lot, at least 2.

    Returns
    -------
    float
        d3.

    Raises
    ------
    MeasurementError
        With fewer than two results.

    Notes
    -----
    ``E[R^2] = 2 integral of w P(R > w) dw`` and ``d3 = sqrt(E[R^2] - d2^2)``.

    Examples
    --------
    >>> round(range_deviation_factor(5), 4)
    0.8641
    """
    return _range_moments(count)[1]


def deviation_mean_factor(count: int) -> float:
    """Give c4, the mean of the sample standard deviation of normal results, in standard deviations.

    Parameters
    ----------
    count : int
        Results in a lot, at least 2.

    Returns
    -------
    float
        c4.

    Raises
    ------
    MeasurementError
        With fewer than two results.

    Notes
    -----
    ``c4 = sqrt(2/(n - 1)) Gamma(n/2)/Gamma((n - 1)/2)``.

    Examples
    --------
    >>> round(deviation_mean_factor(5), 4)
    0.94
    """
    _refuse_one(count)
    logarithm = math.lgamma(count / 2.0) - math.lgamma((count - 1) / 2.0)
    return math.sqrt(2.0 / (count - 1)) * math.exp(logarithm)


def chart_constants(count: int, *, width: float = 3.0) -> ChartConstants:
    """Give the constants of a chart for a number of results in a lot.

    Parameters
    ----------
    count : int
        Results in a lot, at least 2.
    width : float
        Distance of the limits from the centre line, in standard deviations.

    Returns
    -------
    ChartConstants
        All of them.

    Raises
    ------
    MeasurementError
        With fewer than two results.

    Notes
    -----
    With w = 3: ``A2 = w/(d2 sqrt n)``, ``A3 = w/(c4 sqrt n)``, ``D3, D4 = 1 -+ w d3/d2``, ``B3, B4 = 1 -+ w
    sqrt(1 - c4^2)/c4``, lower limits not below 0, ``E2 = w/d2``.

    References
    ----------
    ISO 7870-2 and ASTM E2587 print them for three standard deviations, from memory (high).

    Examples
    --------
    >>> round(chart_constants(2).e2, 3), round(chart_constants(7).lower_range, 4)
    (2.659, 0.0757)
    """
    d2, d3 = _range_moments(count)
    c4 = deviation_mean_factor(count)
    root = math.sqrt(count)
    of_range = width * d3 / d2
    of_deviation = width * math.sqrt(1.0 - c4**2) / c4
    return ChartConstants(
        count=count,
        d2=d2,
        d3=d3,
        c4=c4,
        a2=width / (d2 * root),
        a3=width / (c4 * root),
        lower_range=max(0.0, 1.0 - of_range),
        upper_range=1.0 + of_range,
        lower_deviation=max(0.0, 1.0 - of_deviation),
        upper_deviation=1.0 + of_deviation,
        e2=width / d2,
    )


def _refuse_one(count: int) -> None:
    if count < 2:
        raise MeasurementError(f"constants of a chart for {count} result in a lot: two or more are needed")


@lru_cache(maxsize=128)
def _range_moments(count: int) -> tuple[float, float]:
    """Give mean and standard deviation of the range from the chance that it is exceeded."""
    _refuse_one(count)
    nodes, weights = np.polynomial.legendre.leggauss(_NODES)
    widths, weights = 0.5 * _REACH * (nodes + 1.0), 0.5 * _REACH * weights
    exceeded = np.array([1.0 - range_probability(float(width), count) for width in widths])
    mean = float(weights @ exceeded)
    square = float(2.0 * weights @ (widths * exceeded))
    return mean, math.sqrt(square - mean**2)
