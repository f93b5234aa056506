"""Student's distribution by its bare functions: a hundred times as fast as a distribution object."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

NORMAL_FROM = 1e6
"""Degrees of freedom from which Student's t is taken as normal."""


def student_below(score: Floats, degrees_of_freedom: float) -> Floats:
    """Give the distribution function of Student's t; the normal one for very many degrees of freedom.

    Parameters
    ----------
    score : ndarray of float
        Values of t; infinite ones too.
    degrees_of_freedom : float
        Above zero; infinite for the normal.

    Returns
    -------
    ndarray of float
        Probability of a value up to each.
    """
    from scipy.special import ndtr, stdtr

    if degrees_of_freedom >= NORMAL_FROM:
        return np.asarray(ndtr(score))
    inside = np.asarray(stdtr(degrees_of_freedom, np.where(np.isfinite(score), score, 0.0)))
    return np.where(np.isfinite(score), inside, np.where(np.asarray(score) > 0.0, 1.0, 0.0))


def student_quantile(probability: float, degrees_of_freedom: float) -> float:
    """Give the quantile of Student's t; the normal one for very many degrees of freedom.

    Parameters
    ----------
    probability : float
        Above 0 and below 1.
    degrees_of_freedom : float
        Above zero; infinite for the normal.

    Returns
    -------
    float
        Value that t stays below with this probability.

    Examples
    --------
    >>> round(student_quantile(0.975, 10.0), 3)
    2.228
    """
    from scipy.special import ndtri, stdtrit

    if degrees_of_freedom >= NORMAL_FROM:
        return float(ndtri(probability))
    return float(stdtrit(degrees_of_freedom, probability))


def student_density(score: float, degrees_of_freedom: float) -> float:
    """Give the density of Student's t; the normal one for very many degrees of freedom.

    Parameters
    ----------
    score : float
        Value of t; infinite ones too.
    degrees_of_freedom : float
        Above zero; infinite for the normal.

    Returns
    -------
    float
        Density there.
    """
    if not math.isfinite(score):
        return 0.0
    if degrees_of_freedom >= NORMAL_FROM:
        return math.exp(-0.5 * score * score) / math.sqrt(2.0 * math.pi)
    scale = math.lgamma((degrees_of_freedom + 1.0) / 2.0) - math.lgamma(degrees_of_freedom / 2.0)
    shape = -(degrees_of_freedom + 1.0) / 2.0 * math.log1p(score * score / degrees_of_freedom)
    return math.exp(scale + shape) / math.sqrt(degrees_of_freedom * math.pi)
