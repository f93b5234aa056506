"""How far neighbouring residuals of a fit hang together, and whether that is more than chance.

`neighbour_correlation` for one long row, `correlation_in_groups` with `beyond_chance` for many short ones.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike

from resile.errors import InputError

NO_CORRELATION = 2.0
"""A correlation of neighbours below so many of its own standard errors, one over the root of the number of
rows, counts as none (Bartlett 1946, from memory, high; the factor is common practice)."""

_HIGHEST = 0.999  # more would leave less than one row in two thousand


def neighbour_correlation(residuals: ArrayLike) -> float:
    """Give the correlation of neighbouring residuals; 0 where it is negative or may be chance.

    Parameters
    ----------
    residuals : array_like of float, shape (n,)
        Residuals of a fit, in their order.

    Returns
    -------
    float
        From 0 to below 1.

    Raises
    ------
    InputError
        Where there are fewer than two residuals, or one is not a number.

    Notes
    -----
    ``r = sum e_i e_(i+1)/sum e_i²``, the autocorrelation at lag one about zero. Below
    ``NO_CORRELATION/sqrt(n)`` it counts as 0, so that residuals without pattern leave a fit as it was. A
    negative one counts as 0 too: it would narrow intervals.

    References
    ----------
    Box and Jenkins 1970, autocorrelation at lag one, from memory (high); Bartlett 1946 for its scatter.

    Examples
    --------
    >>> neighbour_correlation([1.0] * 6 + [-1.0] * 6)
    0.75
    >>> neighbour_correlation([1.0, -1.0, 1.0, -1.0])
    0.0
    """
    values = np.asarray(residuals, dtype=float)
    if values.ndim != 1 or values.size < 2 or not np.isfinite(values).all():
        raise InputError("residuals: at least two finite numbers in a row are needed")
    total = float(np.sum(values**2))
    found = float(values[:-1] @ values[1:]) / total if total > 0.0 else 0.0
    return beyond_chance(found, values.size)


def correlation_in_groups(residuals: ArrayLike, groups: ArrayLike) -> float:
    """Give the correlation of neighbouring residuals of many short groups, as found: negative or chance too.

    Parameters
    ----------
    residuals : array_like of float, shape (n,)
        Residuals of a fit; those of one group follow each other.
    groups : array_like of int, shape (n,)
        Group of each row; neighbours of two groups are no neighbours.

    Returns
    -------
    float
        From -1 to 1; 0 where no group has two rows or nothing is left over.

    Raises
    ------
    InputError
        Where lengths differ or a residual is not a number.

    Notes
    -----
    ``r = sum e_i e_(i+1)/sqrt(sum e_i² sum e_(i+1)²)`` over all pairs of neighbours in one group. In short
    groups a good share of the rows has one neighbour only, and the sum over all rows would make r too small.

    References
    ----------
    Correlation about zero, definition.

    Examples
    --------
    >>> correlation_in_groups([1.0, 1.0, -1.0, -1.0], [0, 0, 1, 1])
    1.0
    """
    values, group = np.asarray(residuals, dtype=float), np.asarray(groups)
    if values.ndim != 1 or values.shape != group.shape or not np.isfinite(values).all():
        raise InputError("residuals: finite numbers are needed, each with its group")
    paired = group[1:] == group[:-1]
    first, second = values[:-1][paired], values[1:][paired]
    size = math.sqrt(float(first @ first) * float(second @ second))
    return float(first @ second) / size if size > 0.0 else 0.0


def beyond_chance(correlation: float, pairs: int) -> float:
    """Give a correlation of neighbours where it is more than chance; 0 else, and for a negative one.

    Parameters
    ----------
    correlation : float
        As found.
    pairs : int
        Pairs of neighbours it was found from.

    Returns
    -------
    float
        From 0 to below 1.

    Notes
    -----
    Below ``NO_CORRELATION/sqrt(pairs)`` it counts as none, so that residuals without pattern leave a fit as
    it was; a negative one would narrow intervals.

    Examples
    --------
    >>> beyond_chance(0.5, 100), beyond_chance(0.1, 100), beyond_chance(-0.5, 100)
    (0.5, 0.0, 0.0)
    """
    return min(correlation, _HIGHEST) if correlation > NO_CORRELATION / math.sqrt(max(pairs, 1)) else 0.0
