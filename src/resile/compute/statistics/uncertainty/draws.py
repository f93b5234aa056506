"""Drawing correlated inputs of any of a few shapes, and the interval that holds a share of the draws."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike, NDArray

from resile.errors import MeasurementError
from resile.records.propagation import InputQuantity

Floats = NDArray[np.float64]

SHAPES = ("normal", "log-normal", "rectangular", "triangular", "student")
INTERVALS = ("symmetric", "shortest")


def checked_correlation(correlation: ArrayLike | None, count: int) -> Floats:
    """Give a correlation matrix, or refuse what is not one.

    Parameters
    ----------
    correlation : array_like of float, shape (n, n), or None
        None for no correlation.
    count : int
        n.

    Returns
    -------
    ndarray of float, shape (n, n)
        Symmetric, ones on the diagonal, no negative eigenvalue.

    Raises
    ------
    MeasurementError
        Says what is wrong with the matrix.

    Notes
    -----
    An eigenvalue down to -1e-9 passes as rounding.
    """
    if correlation is None:
        return np.eye(count)
    matrix = np.asarray(correlation, dtype=float)
    if matrix.shape != (count, count):
        raise MeasurementError(f"correlation: needed is {count} by {count}, found shape {matrix.shape}")
    if not np.isfinite(matrix).all() or np.any(np.abs(matrix) > 1.0 + 1e-12):
        raise MeasurementError("correlation: every entry must lie between -1 and 1")
    if not np.allclose(matrix, matrix.T, atol=1e-12) or not np.allclose(np.diag(matrix), 1.0, atol=1e-12):
        raise MeasurementError("correlation: the matrix must be symmetric with ones on its diagonal")
    if np.linalg.eigvalsh(matrix)[0] < -1e-9:
        raise MeasurementError(
            "correlation: these correlations cannot hold at once (the matrix has a negative eigenvalue)"
        )
    return matrix


def correlated_scores(correlation: Floats, *, rng: np.random.Generator, draws: int) -> Floats:
    """Draw standard normal scores with a correlation.

    Parameters
    ----------
    correlation : ndarray of float, shape (n, n)
        As `checked_correlation` gives it; may be singular.
    rng : numpy.random.Generator
        Source of the draws.
    draws : int
        How many.

    Returns
    -------
    ndarray of float, shape (n, draws)
        Scores.

    Notes
    -----
    By eigenvalues, which also serves fully correlated inputs. JCGM 101:2008, 6.4.8 uses a triangular factor.
    """
    if np.array_equal(correlation, np.eye(len(correlation))):
        return rng.standard_normal((len(correlation), draws))
    values, vectors = np.linalg.eigh(correlation)
    factor = vectors * np.sqrt(np.maximum(values, 0.0))
    return np.asarray(factor @ rng.standard_normal((len(correlation), draws)))


def draw_inputs(
    inputs: Sequence[InputQuantity],
    *,
    rng: np.random.Generator,
    draws: int,
    correlation: ArrayLike | None = None,
) -> Floats:
    """Draw inputs of a function.

    Parameters
    ----------
    inputs : sequence of InputQuantity
        n inputs.
    rng : numpy.random.Generator
        Source of the draws.
    draws : int
        How many.
    correlation : array_like of float, shape (n, n), or None
        Correlation between the normal scores behind the inputs.

    Returns
    -------
    ndarray of float, shape (n, draws)
        One row an input.

    Raises
    ------
    MeasurementError
        Where an input or the correlation cannot be used.

    Notes
    -----
    Every shape is scaled so that its standard deviation is the standard uncertainty; a log-normal input has
    the value as its median and ``sigma = sqrt(ln(1 + (u/x)^2))``; Student's t is scaled by
    ``sqrt((nu - 2)/nu)``. (JCGM 101:2008, 6.4.9 scales it otherwise: there u is that of a mean.)
    """
    scores = correlated_scores(checked_correlation(correlation, len(inputs)), rng=rng, draws=draws)
    return np.stack([_shaped(quantity, row) for quantity, row in zip(inputs, scores, strict=True)])


def coverage_interval(
    draws: ArrayLike, *, probability: float = 0.95, interval: str = "symmetric"
) -> tuple[float, float]:
    """Give the interval that holds a share of the draws.

    Parameters
    ----------
    draws : array_like of float, shape (m,)
        Draws.
    probability : float
        Share inside.
    interval : str
        ``"symmetric"`` (equal shares outside) or ``"shortest"``.

    Returns
    -------
    tuple of float
        Lower and upper end.

    Raises
    ------
    MeasurementError
        Where the kind of interval is not known.

    References
    ----------
    JCGM 101:2008, 7.7.
    """
    if interval not in INTERVALS:
        raise MeasurementError(f"interval '{interval}' is not known; needed: {' or '.join(INTERVALS)}")
    ordered = np.sort(np.asarray(draws, dtype=float))
    if interval == "symmetric":
        low, high = np.quantile(ordered, [0.5 - 0.5 * probability, 0.5 + 0.5 * probability])
        return float(low), float(high)
    inside = min(len(ordered) - 1, max(1, round(probability * len(ordered))))
    first = int(np.argmin(ordered[inside:] - ordered[:-inside]))
    return float(ordered[first]), float(ordered[first + inside])


def _shaped(quantity: InputQuantity, scores: Floats) -> Floats:
    x, u = quantity.value, quantity.standard
    if not (math.isfinite(x) and math.isfinite(u) and u >= 0.0) or quantity.distribution not in SHAPES:
        raise MeasurementError(
            f"input '{quantity.name}': needed are a finite value, a standard uncertainty of zero or above "
            f"and one of the shapes {', '.join(SHAPES)}"
        )
    if quantity.distribution == "log-normal":
        if x <= 0.0:
            raise MeasurementError(f"input '{quantity.name}': a log-normal value must be above zero")
        return np.asarray(x * np.exp(math.sqrt(math.log1p((u / x) ** 2)) * scores))
    return x + u * _unit_shape(quantity, scores)


def _unit_shape(quantity: InputQuantity, scores: Floats) -> Floats:
    """Turn normal scores into ones of the shape asked for, of standard deviation one."""
    if quantity.distribution == "normal":
        return scores
    from scipy.special import ndtr, stdtrit  # slow to load, and normal draws need none of it

    share = ndtr(scores)
    if quantity.distribution == "rectangular":
        return np.asarray(math.sqrt(3.0) * (2.0 * share - 1.0))
    if quantity.distribution == "triangular":
        folded = 1.0 - np.sqrt(2.0 * np.minimum(share, 1.0 - share))
        return np.asarray(math.sqrt(6.0) * np.copysign(folded, scores))
    freedom = quantity.degrees_of_freedom
    if freedom is None or freedom <= 2.0:
        raise MeasurementError(f"input '{quantity.name}': Student's t needs over two degrees of freedom")
    return np.asarray(math.sqrt((freedom - 2.0) / freedom) * stdtrit(freedom, share))
