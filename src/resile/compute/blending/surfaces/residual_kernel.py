"""The smooth residual of a surface: its kernel, and the length, height and scatter the trials speak for."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike, NDArray

from resile.compute.blending.surfaces.trial_blends import TrialBlends

Floats = NDArray[np.float64]

LENGTH_BOUNDS = (0.3, 3.0)
"""Bounds of the length of the kernel, in ranges of each share over the trials (own choice)."""
KERNEL_BOUNDS = (0.03, 3.0)
"""Bounds of the standard deviation of the residual, in spreads of the trials (own choice)."""
BATCH_BOUNDS = (0.003, 1.0)
"""Bounds of the scatter of a batch, in spreads of the trials (own choice)."""
FEWEST_BLENDS = 5
"""Fewer blends cannot tell a residual from scatter (own choice)."""
GRID = (6, 8, 8)
"""Points along length, residual and scatter in the first search."""


def kernel_matrix(first: ArrayLike, second: ArrayLike, lengths: ArrayLike) -> Floats:
    """Give the correlation of the smooth residual between recipes.

    Parameters
    ----------
    first : array_like of float, shape (m, q)
        Recipes.
    second : array_like of float, shape (n, q)
        Recipes.
    lengths : array_like of float, shape (q,)
        Length along each share.

    Returns
    -------
    ndarray of float, shape (m, n)
        ``exp(-sum((x_j - y_j)²/l_j²)/2)``.

    References
    ----------
    Rasmussen and Williams, Gaussian Processes for Machine Learning, MIT Press 2006, section 4.2.

    Examples
    --------
    >>> kernel_matrix([[0.0, 1.0]], [[1.0, 1.0]], [1.0, 1.0]).round(4).tolist()
    [[0.6065]]
    """
    a = np.asarray(first, dtype=float) / np.asarray(lengths, dtype=float)
    b = np.asarray(second, dtype=float) / np.asarray(lengths, dtype=float)
    squares = (a**2).sum(axis=1)[:, None] - 2.0 * a @ b.T + (b**2).sum(axis=1)
    return np.asarray(np.exp(-0.5 * np.maximum(squares, 0.0)))


def likeliest_residual(
    trials: TrialBlends,
    away: Floats,
    polynomial: Floats,
    reach: Floats,
    fixed: float | None,
    zooms: int,
    *,
    lengths: tuple[float, float] = LENGTH_BOUNDS,
) -> tuple[float, float, float]:
    """Give the length, height and scatter of a residual that make the trials likeliest.

    Parameters
    ----------
    trials : TrialBlends
        Batches, with what the test adds to their means.
    away : ndarray of float, shape (b,)
        Means less what the rule or curve expects before any trial.
    polynomial : ndarray of float, shape (b, b)
        Covariance that the coefficients below the residual bring in by their prior.
    reach : ndarray of float, shape (q,)
        Range of each share over the trials: what a length is counted in.
    fixed : float or None
        Variance of a batch about the surface where it is known; None to find it.
    zooms : int
        Closer grids after the first.
    lengths : tuple of (float, float), optional
        Bounds of the length.

    Returns
    -------
    tuple of (float, float, float)
        Length in ranges, variance of the residual, variance of a batch: the highest marginal likelihood on
        a grid between the bounds of this module, then on closer grids.

    References
    ----------
    Rasmussen and Williams, Gaussian Processes for Machine Learning, MIT Press 2006, equation 5.8.
    """
    axes = [
        np.geomspace(*bounds, count)
        for bounds, count in zip((lengths, KERNEL_BOUNDS, BATCH_BOUNDS), GRID, strict=True)
    ]
    spread = trials.spread
    if fixed is not None:
        axes[2] = np.array([math.sqrt(fixed) / spread])
    best = np.zeros(3)
    for _ in range(zooms + 1):
        best = _best_of(trials, away, polynomial, reach, axes)
        axes = [_closer(axis, one) for axis, one in zip(axes, best, strict=True)]
    return float(best[0]), float((best[1] * spread) ** 2), float((best[2] * spread) ** 2)


def _best_of(
    trials: TrialBlends, away: Floats, polynomial: Floats, reach: Floats, axes: list[Floats]
) -> Floats:
    heights, scatters = (grid.ravel() for grid in np.meshgrid(axes[1], axes[2], indexing="ij"))
    spread, count = trials.spread, len(away)
    noise = trials.test_variances + (scatters[:, None] * spread) ** 2
    best, found = -math.inf, np.zeros(3)
    for length in axes[0]:
        smooth = kernel_matrix(trials.points, trials.points, length * reach)
        total = polynomial + (heights[:, None, None] * spread) ** 2 * smooth
        total[:, np.arange(count), np.arange(count)] += noise + (1e-6 * spread) ** 2
        factor = np.linalg.cholesky(total)
        scores = np.linalg.solve(factor, np.broadcast_to(away[:, None], (len(total), count, 1)))[..., 0]
        logs = np.log(np.diagonal(factor, axis1=1, axis2=2)).sum(axis=1)
        likelihood = -0.5 * (scores**2).sum(axis=1) - logs
        place = int(np.argmax(likelihood))
        if likelihood[place] > best:
            best, found = float(likelihood[place]), np.array([length, heights[place], scatters[place]])
    return found


def _closer(axis: Floats, best: float) -> Floats:
    if len(axis) == 1:
        return axis
    place = int(np.argmin(np.abs(axis - best)))
    return np.geomspace(axis[max(0, place - 1)], axis[min(len(axis) - 1, place + 1)], 5)
