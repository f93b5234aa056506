"""What a fit of rows that hang together in time is worth.

Rows of one record follow each other closely, and what disturbs one often disturbs the next. A fit by least
squares then still finds the parameters, but its usual covariance counts each row as news of its own.
`neighbour_correlation` measures how far neighbours hang together; `correlated_covariance` gives the
covariance that holds where they do.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from resile.errors import InputError

Floats = NDArray[np.float64]

NO_CORRELATION = 2.0
"""A correlation of neighbours below so many of its own standard errors, one over the root of the number of
rows, counts as none (Bartlett 1946, from memory, high; the factor is common practice)."""
_HIGHEST = 0.999  # more would leave less than one row in two thousand


@dataclass(frozen=True, slots=True)
class CorrelatedCovariance:
    """Covariance of the parameters of a fit whose residuals hang together.

    Attributes
    ----------
    covariance : ndarray of float, shape (p, p)
        Covariance of the parameters.
    scatter : float
        Standard deviation of one residual.
    effective_rows : float
        Rows without correlation that tell as much of a mean.
    """

    covariance: Floats
    scatter: float
    effective_rows: float


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
    return min(found, _HIGHEST) if found > NO_CORRELATION / math.sqrt(values.size) else 0.0


def correlated_covariance(
    slopes: ArrayLike, residuals: ArrayLike, *, groups: ArrayLike, correlations: ArrayLike
) -> CorrelatedCovariance:
    """Give the covariance of fitted parameters where the residuals of each group hang together.

    Parameters
    ----------
    slopes : array_like of float, shape (n, p)
        Derivatives of the (weighted) residuals by the parameters at the end of the fit, of full rank.
    residuals : array_like of float, shape (n,)
        The (weighted) residuals, in order of time: all of one scatter.
    groups : array_like of int, shape (n,)
        Group of each row, from 0; rows of one group follow each other.
    correlations : array_like of float, shape (g,)
        Correlation of neighbours within each group, from 0 to below 1.

    Returns
    -------
    CorrelatedCovariance
        With the scatter and the number of rows that count.

    Raises
    ------
    InputError
        Where lengths differ, or a correlation is not from 0 to below 1.

    Notes
    -----
    The sandwich ``s² A^-1 (J'RJ) A^-1`` with ``A = J'J``, R the correlation of rows: of rows k apart in one
    group ``r^k`` (autoregression of the first order), of rows of two groups 0. R is never made:
    ``J'RJ = K + K' - J'J`` with K of running sums. ``s² = e'e/(n - trace(A^-1 J'RJ))``, for that is what
    the sum of squares is expected to be. Without correlation this is the usual ``s² A^-1`` with ``n - p``.
    Rows that count: ``sum n_g (1 - r_g)/(1 + r_g)``, exact for the mean of many rows.

    That rows r^k apart in number, not in time, hang together so is an assumption; where residuals have
    another pattern, a wave that returns in each cycle for one, no such covariance makes up for it.

    References
    ----------
    Sandwich: Eicker 1967, Huber 1967, White 1980; autoregression in regression: Cochrane and Orcutt 1949;
    number of rows that count: Bayley and Hammersley 1946. All from memory (high).

    Examples
    --------
    >>> told = correlated_covariance(np.ones((4, 1)), [1, 1, -1, -1], groups=[0] * 4, correlations=[0.5])
    >>> round(float(told.covariance[0, 0]) / told.scatter**2, 6), round(told.effective_rows, 6)
    (0.515625, 1.333333)
    """
    columns, misfit = np.asarray(slopes, dtype=float), np.asarray(residuals, dtype=float)
    group, correlation = np.asarray(groups, dtype=int), np.atleast_1d(np.asarray(correlations, dtype=float))
    if columns.ndim != 2 or not len(columns) == misfit.size == group.size:
        raise InputError(
            f"covariance: {len(columns)} rows of derivatives, {misfit.size} residuals and {group.size} "
            "groups found; one each a row is needed"
        )
    if not np.all((correlation >= 0.0) & (correlation < 1.0)):
        raise InputError("covariance: a correlation of neighbours from 0 to below 1 is needed")
    scale = np.linalg.norm(columns, axis=0)
    scale[scale == 0.0] = 1.0
    base, singular, turn = np.linalg.svd(columns / scale, full_matrices=False)
    smallest = max(singular[0] * len(columns) * np.finfo(float).eps, np.finfo(float).tiny ** 0.5)
    inverse = turn.T / np.maximum(singular, smallest)
    middle, rows = np.zeros((len(singular), len(singular))), 0.0
    for place, r in enumerate(correlation.tolist()):
        own = base[group == place]
        half = own.T @ _running(own, r)
        middle += half + half.T - own.T @ own
        rows += len(own) * (1.0 - r) / (1.0 + r)
    variance = float(misfit @ misfit) / max(len(misfit) - float(np.trace(middle)), 1.0)
    covariance = variance * (inverse @ middle @ inverse.T) / np.outer(scale, scale)
    return CorrelatedCovariance(covariance, math.sqrt(variance), rows)


def _running(rows: Floats, correlation: float) -> Floats:
    """Give to each row itself and all before it, each by ``r`` to the power of how far it lies back."""
    total, factor, step = rows.copy(), correlation, 1
    while step < len(rows) and factor > np.finfo(float).eps:
        later = total[step:] + factor * total[:-step]  # twice as many rows summed in each turn
        total[step:] = later
        factor, step = factor * factor, 2 * step
    return total
