"""What a fit of rows that hang together in time is worth.

Rows of one record follow each other closely, and what disturbs one often disturbs the next. A fit by least
squares then still finds the parameters, but its usual covariance counts each row as news of its own. How far
neighbours hang together is found in `neighbours`; `correlated_covariance` gives the covariance that holds
where they do, and `fit_of_correlated_rows` the fit that states it.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from resile.errors import InputError
from resile.records.fit import LeastSquaresFit

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class CorrelatedCovariance:
    """Covariance of the parameters of a fit whose residuals hang together.

    Attributes
    ----------
    covariance : ndarray of float, shape (p, p)
        Covariance of the parameters.
    scatter : float
        Standard deviation of one residual; of rows of several kinds the root of their mean variance.
    effective_rows : float
        Rows without correlation that tell as much of a mean.
    """

    covariance: Floats
    scatter: float
    effective_rows: float


def correlated_covariance(
    slopes: ArrayLike,
    residuals: ArrayLike,
    *,
    groups: ArrayLike,
    correlations: ArrayLike,
    kinds: ArrayLike | None = None,
) -> CorrelatedCovariance:
    """Give the covariance of fitted parameters where the residuals of each group hang together.

    Parameters
    ----------
    slopes : array_like of float, shape (n, p)
        Derivatives of the (weighted) residuals by the parameters at the end of the fit, of full rank.
    residuals : array_like of float, shape (n,)
        The (weighted) residuals, in order of time.
    groups : array_like of int, shape (n,)
        Group of each row, from 0; rows of one group follow each other.
    correlations : array_like of float, shape (g,)
        Correlation of neighbours within each group, from 0 to below 1.
    kinds : array_like of int, shape (n,), or None
        Kind of each row, from 0: rows of one kind have one scatter, those of a group are of one kind. None
        where all rows have one scatter.

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
    Of rows of several kinds q the middle is ``sum s_q² M_q``, M_q the part of J'RJ from that kind, and the
    variances follow from what the sum of squares of each kind is expected to be, with N_q the part of J'J:
    ``e_q'e_q = s_q² (n_q - 2 trace(A^-1 M_q)) + sum_k s_k² trace(A^-1 N_q A^-1 M_k)``.
    Rows that count are those without correlation whose mean would be as sure:
    ``sum n_g²/(n_g + 2 sum_k (n_g - k) r_g^k)``, k from 1 to n_g - 1; of a long group about
    ``n_g (1 - r_g)/(1 + r_g)``, of any at least one.

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
    (0.515625, 1.939394)
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
    kind = np.zeros(misfit.size, dtype=int) if kinds is None else np.asarray(kinds, dtype=int)
    middles, rows = np.zeros((int(kind.max(initial=0)) + 1, len(singular), len(singular))), 0.0
    for place, r in enumerate(correlation.tolist()):
        inside = group == place
        own = base[inside]
        half = own.T @ _running(own, r)
        middles[kind[inside][0] if len(own) else 0] += half + half.T - own.T @ own
        rows += _rows_that_count(len(own), r)
    variances = _variances(base, misfit, kind, middles)
    middle = np.tensordot(variances, middles, axes=1)
    covariance = (inverse @ middle @ inverse.T) / np.outer(scale, scale)
    mean = float(np.mean(variances[kind])) if misfit.size else 0.0
    return CorrelatedCovariance(covariance, math.sqrt(mean), rows)


def _rows_that_count(count: int, correlation: float) -> float:
    apart = np.arange(1, count)
    return count**2 / (count + 2.0 * float((count - apart) @ correlation**apart)) if count else 0.0


def _variances(base: Floats, misfit: Floats, kind: NDArray[np.int64], middles: Floats) -> Floats:
    """Give the variance of a residual of each kind, from what their sums of squares are expected to be."""
    count = len(middles)
    squares, expected = np.empty(count), np.empty((count, count))
    for place in range(count):
        own, off = base[kind == place], misfit[kind == place]
        squares[place] = off @ off
        expected[place] = np.trace((own.T @ own) @ middles, axis1=1, axis2=2)
        expected[place, place] += len(off) - 2.0 * np.trace(middles[place])
    if count > 1 and np.linalg.cond(expected) < 1e6:
        found = np.linalg.solve(expected, squares)
        if (found > 0.0).all():
            return np.asarray(found)
    together = squares.sum() / max(len(misfit) - float(np.trace(middles.sum(axis=0))), 1.0)
    return np.full(count, together)


def fit_of_correlated_rows(
    fit: LeastSquaresFit,
    slopes: ArrayLike,
    residuals: ArrayLike,
    *,
    groups: ArrayLike,
    correlations: ArrayLike,
    kinds: ArrayLike | None = None,
) -> LeastSquaresFit:
    """Give a fit with the covariance that holds where the residuals of each group hang together.

    Parameters
    ----------
    fit : LeastSquaresFit
        With the covariance of rows without correlation.
    slopes : array_like of float, shape (n, p)
        Derivatives of the (weighted) residuals by all its parameters; those on a bound are left out here.
    residuals, groups, correlations, kinds
        As in `correlated_covariance`.

    Returns
    -------
    LeastSquaresFit
        The same values; covariance, scatter and degrees of freedom (rows that count less parameters) anew.

    Raises
    ------
    InputError
        As `correlated_covariance`.
    """
    moving = np.setdiff1d(np.arange(len(fit.values)), fit.at_bounds)
    columns = np.asarray(slopes, dtype=float)[:, moving]
    told = correlated_covariance(columns, residuals, groups=groups, correlations=correlations, kinds=kinds)
    covariance = np.full((len(fit.values), len(fit.values)), np.nan)
    covariance[np.ix_(moving, moving)] = told.covariance
    with np.errstate(invalid="ignore"):
        standards = np.sqrt(np.diag(covariance))
    return replace(
        fit,
        standards=tuple(standards.tolist()),
        covariance=tuple(tuple(row) for row in covariance.tolist()),
        residual_standard=told.scatter,
        degrees_of_freedom=max(int(told.effective_rows) - len(moving), 1),
    )


def _running(rows: Floats, correlation: float) -> Floats:
    """Give to each row itself and all before it, each by ``r`` to the power of how far it lies back."""
    total, factor, step = rows.copy(), correlation, 1
    while step < len(rows) and factor > np.finfo(float).eps:
        later = total[step:] + factor * total[:-step]  # twice as many rows summed in each turn
        total[step:] = later
        factor, step = factor * factor, 2 * step
    return total
