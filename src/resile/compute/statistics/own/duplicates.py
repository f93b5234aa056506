"""Scatter of duplicates: pooled, with its interval, and against the level."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike, NDArray

from resile.compute.statistics.probability.student import student_below
from resile.errors import MeasurementError

Floats = NDArray[np.float64]


def pooled_deviation(groups: Sequence[ArrayLike], *, relative: bool = False) -> tuple[float, float]:
    """Give the standard deviation within groups of replicates, and its degrees of freedom.

    Parameters
    ----------
    groups : sequence of array_like of float, each of shape (n_i,) with n_i at least 2
        Replicates of one sample each, in one unit.
    relative : bool
        True for the deviation as a ratio of the mean of its group.

    Returns
    -------
    deviation, degrees_of_freedom : float
        ``sqrt(sum v_i s_i^2 / sum v_i)`` with ``v_i = n_i - 1``; for pairs ``sqrt(sum d^2/(2 n))``.

    Raises
    ------
    MeasurementError
        Where there is no group, a group has fewer than two results, a result is not finite, or a ratio is
        asked of a mean that is not above zero.

    References
    ----------
    Definition of the pooled standard deviation; ISO 5725-2:1994, 7.4.5.1; for pairs, Nordtest TR 537, from
    memory (high).

    Examples
    --------
    >>> pooled_deviation([[1.0, 3.0], [2.0, 2.0]])
    (1.0, 2.0)
    """
    cells = _groups(groups)
    freedom = float(sum(len(one) - 1 for one in cells))
    squares = 0.0
    for one in cells:
        scale = _mean_above_zero(one) if relative else 1.0
        squares += float(np.sum((one - one.mean()) ** 2)) / scale**2
    return math.sqrt(squares / freedom), freedom


def deviation_interval(
    deviation: float, degrees_of_freedom: float, *, coverage: float = 0.95
) -> tuple[float, float]:
    """Give the interval within which a standard deviation lies.

    Parameters
    ----------
    deviation : float
        Standard deviation found, zero or above.
    degrees_of_freedom : float
        At least 1.
    coverage : float
        Two-sided, between 0 and 1.

    Returns
    -------
    lower, upper : float
        ``s sqrt(v/chi2)`` at both ends.

    Raises
    ------
    MeasurementError
        Where the deviation is negative, there is less than one degree of freedom, or the coverage is not
        between 0 and 1.

    References
    ----------
    Distribution of the variance of normal results: chi-square.

    Examples
    --------
    >>> [round(end, 3) for end in deviation_interval(1.0, 10)]
    [0.699, 1.755]
    """
    from scipy.special import chdtri

    if deviation < 0.0 or degrees_of_freedom < 1.0 or not 0.0 < coverage < 1.0:
        raise MeasurementError(
            "interval of a standard deviation: needed are a deviation of zero or above, one degree of "
            "freedom and a coverage between 0 and 1"
        )
    tail = (1.0 - coverage) / 2.0
    ends = (float(chdtri(degrees_of_freedom, share)) for share in (tail, 1.0 - tail))
    lower, upper = (deviation * math.sqrt(degrees_of_freedom / end) for end in ends)
    return lower, upper


def level_correlation(groups: Sequence[ArrayLike], *, relative: bool = False) -> tuple[float, float]:
    """Tell whether the scatter of replicates goes with their level.

    Parameters
    ----------
    groups : sequence of array_like of float, each of shape (n_i,) with n_i at least 2
        Replicates of one sample each; at least 4 groups.
    relative : bool
        True for the deviation as a ratio of the mean.

    Returns
    -------
    correlation, probability : float
        Spearman's rank correlation of the deviation with the mean, and the two-sided probability of one at
        least as far from zero where the scatter does not go with the level.

    Raises
    ------
    MeasurementError
        Where there are fewer than four groups, or as `pooled_deviation`.

    Notes
    -----
    Equal values share the mean of their ranks; the probability is that of Student's t, ``r sqrt((n - 2)/(1 -
    r^2))``. Zero and one where all deviations, or all means, are equal.

    References
    ----------
    Spearman's rank correlation with the usual t approximation.
    """
    cells = _groups(groups)
    count = len(cells)
    if count < 4:
        raise MeasurementError(
            f"scatter against level: {count} groups of replicates; at least four are needed"
        )
    means = np.array([one.mean() for one in cells])
    spread = np.array([one.std(ddof=1) for one in cells])
    if relative:
        spread = spread / np.array([_mean_above_zero(one) for one in cells])
    first, second = _ranks(means), _ranks(spread)
    if np.ptp(first) == 0.0 or np.ptp(second) == 0.0:
        return 0.0, 1.0
    r = float(np.corrcoef(first, second)[0, 1])
    if abs(r) >= 1.0 - 1e-12:
        return math.copysign(1.0, r), 0.0
    t = abs(r) * math.sqrt((count - 2) / (1.0 - r * r))
    return r, 2.0 * float(student_below(np.asarray(-t), count - 2.0))


def _ranks(values: Floats) -> Floats:
    """Give ranks from 1; equal values share the mean of theirs."""
    _, place, counts = np.unique(values, return_inverse=True, return_counts=True)
    last = np.cumsum(counts)
    return np.asarray((last - (counts - 1) / 2.0)[place])


def _groups(groups: Sequence[ArrayLike]) -> list[Floats]:
    cells = [np.asarray(one, dtype=float).ravel() for one in groups]
    if not cells or any(len(one) < 2 for one in cells):
        raise MeasurementError("replicates: at least one group, and two results in every group, are needed")
    if not all(np.isfinite(one).all() for one in cells):
        raise MeasurementError("replicates: every result must be a finite number")
    return cells


def _mean_above_zero(values: Floats) -> float:
    mean = float(values.mean())
    if mean <= 0.0:
        raise MeasurementError(
            f"replicates with a mean of {mean:g}: a ratio needs a mean above zero; "
            "take the deviation in its unit"
        )
    return mean
