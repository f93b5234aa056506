"""Whether residuals still follow a pattern that the model leaves.

`durbin_watson` for a slow wave along a row of residuals; `repeated_pattern_ratio` for a course that comes
back each time something is repeated.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from resile.errors import InputError


def durbin_watson(residuals: ArrayLike) -> float:
    """Give the ratio of Durbin and Watson: near 2 for residuals without pattern, near 0 for slow waves.

    Parameters
    ----------
    residuals : array_like of float, shape (n,)
        Residuals in their order.

    Returns
    -------
    float
        Between 0 and 4.

    Raises
    ------
    InputError
        Where there are fewer than two residuals, or all are zero.

    Notes
    -----
    ``sum (e_i - e_(i-1))² / sum e_i²``; about ``2 (1 - r)`` with r the correlation of neighbours.

    References
    ----------
    Durbin and Watson 1950, Biometrika 37, 409, from memory (high).

    Examples
    --------
    >>> durbin_watson([1.0, -1.0, 1.0, -1.0])
    3.0
    """
    values = np.asarray(residuals, dtype=float)
    total = float(np.sum(values**2))
    if values.ndim != 1 or values.size < 2 or not total > 0.0:
        raise InputError("residuals: at least two numbers are needed, and not all zero")
    return float(np.sum(np.diff(values) ** 2)) / total


def repeated_pattern_ratio(residuals: ArrayLike, places: ArrayLike) -> float:
    """Give how much residuals at the same place of a repetition agree: about 1 where nothing comes back.

    Parameters
    ----------
    residuals : array_like of float, shape (n,)
        Residuals.
    places : array_like of int, shape (n,)
        Place of each within its repetition, 0 or more.

    Returns
    -------
    float
        Mean square of the means by place, times their number, over the variance within places; infinite where
        that is zero.

    Raises
    ------
    InputError
        Where the lengths differ, or no place comes twice.

    Notes
    -----
    ``F = [sum n_b m_b²/B]/[sum (e - m_b)²/(n - B)]`` with the mean ``m_b`` of each of B places: the F
    ratio of one way of grouping with a known mean of zero.

    References
    ----------
    Analysis of variance, any textbook.

    Examples
    --------
    >>> round(repeated_pattern_ratio([1.0, -1.0, 1.1, -1.1], [0, 1, 0, 1]), 6)
    441.0
    """
    values, place = np.asarray(residuals, dtype=float), np.asarray(places, dtype=int)
    if values.shape != place.shape or values.ndim != 1 or not values.size:
        raise InputError(f"residuals: {values.size} found, and {place.size} places; one place each is needed")
    counts = np.bincount(place)
    used = counts > 0
    freedom = values.size - int(used.sum())
    if freedom < 1:
        raise InputError(
            "residuals: no place is repeated, so nothing can be told of a pattern that comes back"
        )
    means = np.bincount(place, weights=values)[used] / counts[used]
    between = float(np.sum(counts[used] * means**2)) / int(used.sum())
    by_place = np.zeros(len(counts))
    by_place[used] = means
    within = float(np.sum((values - by_place[place]) ** 2)) / freedom
    return between / within if within > 0.0 else float("inf")
