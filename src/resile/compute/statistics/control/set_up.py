"""Level and scatter of a set-up: what the limits of a chart are made of.

`level_from_moving_ranges` for one value a lot, `level_from_ranges` and `level_from_deviations` for lots with
replicates. Values that are left out are left out by the caller, with a mask: nothing is dropped here.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from resile.compute.statistics.control.chart_constants import (
    deviation_mean_factor,
    range_deviation_factor,
    range_mean_factor,
)
from resile.errors import MeasurementError


@dataclass(frozen=True, slots=True, kw_only=True)
class SetUpLevel:
    """Level and scatter of a set-up.

    Attributes
    ----------
    centre : float
        Mean of the values that count.
    standard_deviation : float
        Standard deviation of a single value.
    relative_error : float
        Standard error of that standard deviation, as a share of it [ratio].
    count : int
        Lots that count.
    """

    centre: float
    standard_deviation: float
    relative_error: float
    count: int


def moving_ranges(values: ArrayLike, *, left_out: ArrayLike | None = None) -> NDArray[np.float64]:
    """Give the distance of each value from the one before it.

    Parameters
    ----------
    values : array_like of float, shape (n,)
        Values in order of time.
    left_out : array_like of bool, shape (n,), optional
        True for values that do not count; a range to or from one is no range.

    Returns
    -------
    ndarray of float, shape (n,)
        Moving ranges; not-a-number for the first value and on both sides of a value left out.

    Examples
    --------
    >>> moving_ranges([1.0, 3.0, 2.0]).tolist()[1:]
    [2.0, 1.0]
    """
    x = _clean(values)
    ranges = np.full(x.shape, np.nan)
    ranges[1:] = np.abs(np.diff(x))
    if left_out is not None:
        out = np.asarray(left_out, dtype=bool)
        ranges[out] = np.nan
        ranges[1:][out[:-1]] = np.nan
    return ranges


def level_from_moving_ranges(values: ArrayLike, *, left_out: ArrayLike | None = None) -> SetUpLevel:
    """Give level and scatter of single values from their moving ranges.

    Parameters
    ----------
    values : array_like of float, shape (n,)
        Values in order of time.
    left_out : array_like of bool, shape (n,), optional
        True for values that do not count.

    Returns
    -------
    SetUpLevel
        Mean, and mean moving range over d2(2) = 1.1284.

    Raises
    ------
    MeasurementError
        Without two neighbouring values that count, or when all of them are equal.

    Notes
    -----
    A moving range over a gap left by a value that does not count is not used: its two lots are no neighbours.
    The relative standard error is ``sqrt(0.8264 n - 1.0820)/(n - 1)``; neighbouring ranges share a value, and
    their covariance follows from the absolute moments of two normal variables with a correlation of -1/2
    (Cryer and Ryan 1990 give the same numbers, from memory (medium)).

    References
    ----------
    NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.2.2; ISO 7870-2.

    Examples
    --------
    >>> level = level_from_moving_ranges([49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1])
    >>> round(level.centre, 2), round(level.standard_deviation, 4)
    (50.81, 1.6641)
    """
    x = _clean(values)
    out = np.zeros(x.shape, dtype=bool) if left_out is None else np.asarray(left_out, dtype=bool)
    ranges = moving_ranges(x, left_out=out)
    ranges = ranges[~np.isnan(ranges)]
    if ranges.size == 0:
        raise MeasurementError("set-up of a chart: no two neighbouring lots count; two or more are needed")
    deviation = math.fsum(ranges) / ranges.size / range_mean_factor(2)
    if deviation == 0.0:
        raise MeasurementError("set-up of a chart: all values are equal, so there is no scatter to go by")
    count = int(np.count_nonzero(~out))
    error = math.sqrt(0.8264 * (ranges.size + 1) - 1.0820) / ranges.size
    return SetUpLevel(
        centre=math.fsum(x[~out]) / count, standard_deviation=deviation, relative_error=error, count=count
    )


def level_from_ranges(groups: Sequence[ArrayLike]) -> SetUpLevel:
    """Give level and scatter of lots with replicates from the ranges within the lots.

    Parameters
    ----------
    groups : sequence of array_like of float, each of shape (m,)
        Replicates of each lot that counts, two or more; lots may differ in their number.

    Returns
    -------
    SetUpLevel
        Mean of all values, and the scatter of single values.

    Raises
    ------
    MeasurementError
        Without a lot, with a lot of one value, or when all ranges are zero.

    Notes
    -----
    With equal numbers ``mean range/d2``. With unequal ones each ``R/d2`` counts by ``(d2/d3)^2``, the
    reciprocal of its variance.

    References
    ----------
    ISO 7870-2, from memory (high); weights from the definition.

    Examples
    --------
    >>> level_from_ranges([[1.0, 3.0], [2.0, 2.0]]).centre
    2.0
    """
    lots = _lots(groups)
    scatters, weights = [], []
    for lot in lots:
        d2, d3 = range_mean_factor(lot.size), range_deviation_factor(lot.size)
        scatters.append(float(lot[-1] - lot[0]) / d2)
        weights.append((d2 / d3) ** 2)
    return _pooled(lots, scatters, weights)


def level_from_deviations(groups: Sequence[ArrayLike]) -> SetUpLevel:
    """Give level and scatter of lots with replicates from the standard deviations within the lots.

    Parameters
    ----------
    groups : sequence of array_like of float, each of shape (m,)
        Replicates of each lot that counts, two or more; lots may differ in their number.

    Returns
    -------
    SetUpLevel
        Mean of all values, and the scatter of single values.

    Raises
    ------
    MeasurementError
        Without a lot, with a lot of one value, or when all values of each lot are equal.

    Notes
    -----
    With equal numbers ``mean s/c4``. With unequal ones each ``s/c4`` counts by ``c4^2/(1 - c4^2)``, the
    reciprocal of its variance.

    References
    ----------
    ISO 7870-2, from memory (high); weights from the definition (Burr 1969 gives the same, from memory
    (medium)).

    Examples
    --------
    >>> round(level_from_deviations([[1.0, 3.0], [2.0, 4.0]]).standard_deviation, 4)
    1.7725
    """
    lots = _lots(groups)
    scatters, weights = [], []
    for lot in lots:
        c4 = deviation_mean_factor(lot.size)
        scatters.append(float(np.std(lot, ddof=1)) / c4)
        weights.append(c4**2 / (1.0 - c4**2))
    return _pooled(lots, scatters, weights)


def limit_standard_error(level: SetUpLevel, *, width: float = 3.0) -> float:
    """Give the standard error of a control limit that comes from few lots.

    Parameters
    ----------
    level : SetUpLevel
        Level and scatter of the set-up of single values.
    width : float
        Distance of the limit from the centre line, in standard deviations.

    Returns
    -------
    float
        Standard error of the limit, in standard deviations of a single value.

    Notes
    -----
    ``sqrt(1/n + (width e)^2)`` with e the relative standard error of the standard deviation: the limit is
    mean plus a multiple of the standard deviation, and the two are independent.

    Examples
    --------
    >>> level = SetUpLevel(centre=0.0, standard_deviation=2.0, relative_error=0.2, count=25)
    >>> round(limit_standard_error(level), 3)
    0.632
    """
    return math.sqrt(1.0 / level.count + (width * level.relative_error) ** 2)


def _clean(values: ArrayLike) -> NDArray[np.float64]:
    x = np.asarray(values, dtype=float)
    if x.ndim != 1 or x.size == 0 or not np.all(np.isfinite(x)):
        raise MeasurementError("values of a chart: a row of finite numbers is needed")
    return x


def _lots(groups: Sequence[ArrayLike]) -> list[NDArray[np.float64]]:
    """Sort the values of each lot, so that their order cannot matter, not even in the last digit."""
    if len(groups) == 0:
        raise MeasurementError("set-up of a chart: no lot counts; one or more are needed")
    lots = [np.sort(_clean(group)) for group in groups]
    if any(lot.size < 2 for lot in lots):
        raise MeasurementError(
            "chart with a scatter within lots: a lot has one result only; two or more are needed in every lot"
        )
    return lots


def _pooled(lots: list[NDArray[np.float64]], scatters: list[float], weights: list[float]) -> SetUpLevel:
    total = math.fsum(weights)
    deviation = math.fsum(s * w for s, w in zip(scatters, weights, strict=True)) / total
    if deviation == 0.0:
        raise MeasurementError(
            "set-up of a chart: the results within each lot are equal, so there is no scatter to go by"
        )
    values = math.fsum(math.fsum(lot) for lot in lots) / sum(lot.size for lot in lots)
    return SetUpLevel(
        centre=values, standard_deviation=deviation, relative_error=1.0 / math.sqrt(total), count=len(lots)
    )
