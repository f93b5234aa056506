"""The bivariate normal distribution, for what is true of a load and what a test says of it."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike, NDArray

from resile.errors import InputError

_NEARLY_NOUGHT = 1e-100


def bivariate_normal_below(first: ArrayLike, second: ArrayLike, correlation: float) -> NDArray[np.float64]:
    """Give the probability that two correlated standard normal variables both stay below their bounds.

    Parameters
    ----------
    first, second : array_like of float, shapes that broadcast
        Bounds in standard deviations, finite.
    correlation : float
        From -1 to 1.

    Returns
    -------
    ndarray of float
        Probabilities.

    Raises
    ------
    InputError
        Where a bound is not finite or the correlation outside -1 to 1.

    Notes
    -----
    With Owen's function T: ``(Phi(h) + Phi(k))/2 - T(h, (k - r h)/(h w)) - T(k, (h - r k)/(k w)) - d/2``,
    ``w = sqrt(1 - r²)``, ``d`` one where h and k have unlike signs, else nought. No random numbers enter.

    References
    ----------
    Owen 1956, Annals of Mathematical Statistics 27, 1075, from memory (high); T of scipy.

    Examples
    --------
    >>> round(float(bivariate_normal_below(0.0, 0.0, 0.5)), 6)
    0.333333
    """
    from scipy.special import ndtr, owens_t

    h, k = np.broadcast_arrays(np.asarray(first, dtype=float), np.asarray(second, dtype=float))
    if not (np.isfinite(h).all() and np.isfinite(k).all() and -1.0 <= correlation <= 1.0):
        raise InputError(
            f"bivariate normal: finite bounds and a correlation from -1 to 1 are needed, "
            f"{correlation:g} found"
        )
    if correlation >= 1.0:
        return np.asarray(ndtr(np.minimum(h, k)))
    if correlation <= -1.0:
        return np.asarray(np.maximum(ndtr(h) + ndtr(k) - 1.0, 0.0))
    h = np.where(np.abs(h) < _NEARLY_NOUGHT, _NEARLY_NOUGHT, h)
    k = np.where(np.abs(k) < _NEARLY_NOUGHT, _NEARLY_NOUGHT, k)
    width = math.sqrt((1.0 - correlation) * (1.0 + correlation))
    unlike = np.where(h * k < 0.0, 1.0, 0.0)
    inner = owens_t(h, (k / h - correlation) / width) + owens_t(k, (h / k - correlation) / width)
    return np.asarray(np.clip((ndtr(h) + ndtr(k)) / 2.0 - inner - unlike / 2.0, 0.0, 1.0))
