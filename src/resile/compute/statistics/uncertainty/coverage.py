"""Coverage factors and effective degrees of freedom: how wide an interval few determinations ask for."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from resile.errors import MeasurementError

TWO_SIGMA = 0.9545
"""Share inside two standard deviations of a normal distribution: what k = 2 is said to stand for."""


def coverage_factor(degrees_of_freedom: ArrayLike, *, probability: float = TWO_SIGMA) -> NDArray[np.float64]:
    """Give the factor that makes a standard uncertainty an expanded one.

    Parameters
    ----------
    degrees_of_freedom : array_like of float
        Effective ones, at least 1; infinite for an uncertainty known as such.
    probability : float
        Share of the distribution inside the interval.

    Returns
    -------
    ndarray of float
        Quantile of Student's t.

    Raises
    ------
    MeasurementError
        Where there is less than one degree of freedom or the probability is not between 0 and 1.

    Notes
    -----
    Degrees of freedom that are not whole are cut down. 95.45 % makes the factor 2.00 where they are infinite.

    References
    ----------
    JCGM 100:2008, G.4.1, G.6.4, Table G.2.

    Examples
    --------
    >>> round(float(coverage_factor(16.7)), 2)
    2.17
    """
    from scipy.special import ndtri, stdtrit

    freedom = np.asarray(degrees_of_freedom, dtype=float)
    if np.isnan(freedom).any() or np.any(freedom < 1.0) or not 0.0 < probability < 1.0:
        raise MeasurementError(
            "coverage factor: needed are one degree of freedom or more and a probability between 0 and 1"
        )
    share = 0.5 + 0.5 * probability
    whole = np.where(np.isfinite(freedom), np.floor(freedom), 1.0)
    return np.where(np.isfinite(freedom), stdtrit(whole, share), ndtri(share))


def effective_degrees_of_freedom(
    contributions: ArrayLike, degrees_of_freedom: ArrayLike
) -> NDArray[np.float64]:
    """Give the effective degrees of freedom of a root sum of squares.

    Parameters
    ----------
    contributions : array_like of float, shape (..., n)
        Standard uncertainties in the unit of the result, sensitivities applied.
    degrees_of_freedom : array_like of float, shape (..., n)
        Of each, above zero; infinite where it is known as such.

    Returns
    -------
    ndarray of float, shape (...)
        Infinite where all are.

    Raises
    ------
    MeasurementError
        Where a contribution is not finite or degrees of freedom are not above zero.

    Notes
    -----
    Welch and Satterthwaite: ``nu = u^4/sum(u_i^4/nu_i)``, for contributions without correlation.

    References
    ----------
    JCGM 100:2008, G.4.1, equation G.2b.

    Examples
    --------
    >>> float(effective_degrees_of_freedom([1.0, 1.0], [5.0, 5.0]))
    10.0
    """
    parts, freedom = np.asarray(contributions, dtype=float), np.asarray(degrees_of_freedom, dtype=float)
    if not np.isfinite(parts).all() or np.isnan(freedom).any() or np.any(freedom <= 0.0):
        raise MeasurementError("degrees of freedom: needed are finite contributions and values above zero")
    below = np.sum(parts**4 / freedom, axis=-1)
    total = np.sum(parts**2, axis=-1) ** 2
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.where(below > 0.0, total / below, np.inf)
