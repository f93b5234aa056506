"""Probability that several true values hold at once, where one error common to all stands behind them.

A laboratory that tests a little too cold finds everything a little too stiff. One such common factor is the
simplest correlation that can be stated; the probability is then one integral, without drawing.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from resile.errors import MeasurementError

Floats = NDArray[np.float64]

REACH = 9.0
"""The common factor is followed this many standard deviations to either side: beyond lies 1e-19."""
NODES = 32
"""Points of the Gauss-Legendre rule in each panel."""
WHOLLY_COMMON = 1e-12
"""An error whose own share of the variance is below this is taken as the common factor itself."""


def common_factor_correlation(loadings: ArrayLike) -> Floats:
    """Give the correlation that one common factor makes.

    Parameters
    ----------
    loadings : array_like of float, shape (n,)
        Correlation of each error with the common factor, -1 to 1.

    Returns
    -------
    ndarray of float, shape (n, n)
        ``r_ij = l_i l_j``, ones on the diagonal.

    Raises
    ------
    MeasurementError
        Where a loading is not between -1 and 1.
    """
    loads = _checked(loadings)
    matrix = np.outer(loads, loads)
    np.fill_diagonal(matrix, 1.0)
    return matrix


def common_factor_probability(scores: ArrayLike, loadings: ArrayLike) -> float:
    """Give the probability that standard normal variables with one common factor lie below given scores.

    Parameters
    ----------
    scores : array_like of float, shape (n,)
        Upper ends; infinite ones are allowed.
    loadings : array_like of float, shape (n,)
        Correlation of each variable with the common factor, -1 to 1.

    Returns
    -------
    float
        Probability of all.

    Raises
    ------
    MeasurementError
        Where lengths differ, a score is not a number or a loading is not between -1 and 1.

    Notes
    -----
    ``P = integral phi(f) prod Phi((z_i - l_i f)/sqrt(1 - l_i^2)) df``. A variable with a loading of 1 or -1
    is the factor itself and bounds the integral. Panels end where a factor of the product bends, so that
    32 points in each give more than nine digits.

    References
    ----------
    Dunnett and Sobel 1955, Biometrika 42, from memory (high).

    Examples
    --------
    >>> round(common_factor_probability([0.0, 0.0], [1.0, 1.0]), 12)
    0.5
    >>> round(common_factor_probability([0.0, 0.0], [0.0, 0.0]), 12)
    0.25
    """
    ends, loads = np.asarray(scores, dtype=float), _checked(loadings)
    if ends.shape != loads.shape or np.isnan(ends).any():
        raise MeasurementError("common factor: needed are one score and one loading a requirement")
    own = np.sqrt(np.maximum(1.0 - loads**2, 0.0))
    wholly = own**2 < WHOLLY_COMMON
    high = float(np.min(ends[wholly & (loads > 0.0)], initial=REACH))
    low = float(np.max(-ends[wholly & (loads < 0.0)], initial=-REACH))
    if high <= low:
        return 0.0
    ends, loads, own = ends[~wholly], loads[~wholly], own[~wholly]
    factor, weight = _nodes(_panel_ends(ends, loads, own, low, high))
    from scipy.special import ndtr

    product = np.prod(ndtr((ends[:, None] - loads[:, None] * factor) / own[:, None]), axis=0)
    density = np.exp(-0.5 * factor**2) / np.sqrt(2.0 * np.pi)
    return float(min(1.0, np.sum(weight * density * product)))


def _checked(loadings: ArrayLike) -> Floats:
    loads = np.asarray(loadings, dtype=float)
    if loads.ndim != 1 or not len(loads) or not np.all(np.abs(loads) <= 1.0):
        raise MeasurementError("common factor: every loading must lie between -1 and 1")
    return loads


def _panel_ends(ends: Floats, loads: Floats, own: Floats, low: float, high: float) -> Floats:
    """Part the range at whole numbers, and more finely where a factor of the product goes from 1 to 0."""
    bending = (loads != 0.0) & np.isfinite(ends)
    middle = ends[bending] / loads[bending]
    width = own[bending] / np.abs(loads[bending])
    near = middle + np.array([-6.0, -2.0, 0.0, 2.0, 6.0])[:, None] * width
    cuts = np.concatenate((near.ravel(), np.arange(-REACH, REACH + 1.0)))
    inside = cuts[(cuts > low) & (cuts < high)]
    return np.unique(np.concatenate(([low], inside, [high])))


def _nodes(cuts: Floats) -> tuple[Floats, Floats]:
    place, share = np.polynomial.legendre.leggauss(NODES)
    half = 0.5 * np.diff(cuts)[:, None]
    middle = 0.5 * (cuts[:-1] + cuts[1:])[:, None]
    return (middle + half * place).ravel(), (half * share).ravel()
