"""Probability that a true value satisfies a limit, for arrays.

Use `conformity_probability` where one limit bounds the value, `interval_probability` where two do, and
`acceptance_limit` to see where a guard band puts the limit. The verdict itself uses the same equations, one
value at a time, in `resile.judge.results.conformity`; a test holds the two together.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from resile.errors import MeasurementError

DISTRIBUTIONS = ("normal", "log-normal")
BOUNDS = ("maximum", "minimum")


def standard_scores(
    value: ArrayLike,
    limit: ArrayLike,
    standard_uncertainty: ArrayLike,
    *,
    bound: str,
    distribution: str = "normal",
) -> NDArray[np.float64]:
    """Give the distance to a limit in standard uncertainties, positive on the good side.

    Parameters
    ----------
    value, limit : array_like of float, shapes that broadcast
        In one unit; both positive for a log-normal distribution.
    standard_uncertainty : array_like of float, shape that broadcasts
        In the same unit, positive.
    bound : str
        ``"maximum"`` or ``"minimum"``.
    distribution : str
        ``"normal"`` or ``"log-normal"``.

    Returns
    -------
    ndarray of float
        Scores.

    Raises
    ------
    MeasurementError
        Where a number is not finite, an uncertainty is not positive, or a log-normal value is not positive.

    Notes
    -----
    Normal: ``z = (L - x)/u`` for a maximum. Log-normal: `value` is the median and ``c = u/x`` the
    coefficient of variation, so ``sigma = sqrt(ln(1 + c^2))`` and ``z = ln(L/x)/sigma``. At the limit both
    give zero, so that simple acceptance carries a risk of one half there.

    References
    ----------
    JCGM 106:2012, section 7, from memory (high); log-normal form from the definition of that distribution.
    """
    x, end, u = (np.asarray(a, dtype=float) for a in (value, limit, standard_uncertainty))
    if bound not in BOUNDS:
        raise MeasurementError(f"bound '{bound}' is not known; needed: {' or '.join(BOUNDS)}")
    if distribution not in DISTRIBUTIONS:
        raise MeasurementError(
            f"distribution '{distribution}' is not known; needed: {' or '.join(DISTRIBUTIONS)}"
        )
    if not (np.isfinite(x).all() and np.isfinite(end).all() and np.isfinite(u).all()):
        raise MeasurementError(
            "probability of conformity: value, limit and uncertainty must be finite numbers"
        )
    if np.any(u <= 0.0):
        raise MeasurementError("probability of conformity: the standard uncertainty must be above zero")
    if distribution == "log-normal":
        if np.any(x <= 0.0) or np.any(end <= 0.0):
            raise MeasurementError(
                "probability of conformity: a log-normal value and its limit must be above zero"
            )
        scores = np.log(end / x) / np.sqrt(np.log1p((u / x) ** 2))
    else:
        scores = (end - x) / u
    return np.asarray(scores if bound == "maximum" else -scores)


def conformity_probability(
    value: ArrayLike,
    limit: ArrayLike,
    standard_uncertainty: ArrayLike,
    *,
    bound: str,
    distribution: str = "normal",
) -> NDArray[np.float64]:
    """Give the probability that the true value satisfies one limit.

    Parameters
    ----------
    value, limit, standard_uncertainty : array_like of float, shapes that broadcast
        See `standard_scores`.
    bound : str
        ``"maximum"`` or ``"minimum"``.
    distribution : str
        ``"normal"`` or ``"log-normal"``.

    Returns
    -------
    ndarray of float
        ``Phi(z)`` with the scores of `standard_scores`.

    Raises
    ------
    MeasurementError
        See `standard_scores`.

    Notes
    -----
    The specific risk of false acceptance is one minus this number.

    References
    ----------
    JCGM 106:2012, section 7, from memory (high).

    Examples
    --------
    >>> round(float(conformity_probability(-5.47, -5.40, 0.05, bound="maximum")), 4)
    0.9192
    """
    from scipy.special import ndtr

    scores = standard_scores(value, limit, standard_uncertainty, bound=bound, distribution=distribution)
    return np.asarray(ndtr(scores))


def interval_probability(
    value: ArrayLike, lower: ArrayLike, upper: ArrayLike, standard_uncertainty: ArrayLike
) -> NDArray[np.float64]:
    """Give the probability that the true value lies between two limits, for a normal distribution.

    Parameters
    ----------
    value, lower, upper, standard_uncertainty : array_like of float, shapes that broadcast
        In one unit.

    Returns
    -------
    ndarray of float
        ``Phi((upper - x)/u) - Phi((lower - x)/u)``.

    Raises
    ------
    MeasurementError
        See `standard_scores`.

    References
    ----------
    JCGM 106:2012, section 7, from memory (high).

    Examples
    --------
    >>> round(float(interval_probability(13.6, 12.5, 16.3, 1.8)), 4)
    0.6626
    """
    from scipy.special import ndtr

    above = standard_scores(value, lower, standard_uncertainty, bound="minimum")
    below = standard_scores(value, upper, standard_uncertainty, bound="maximum")
    return np.asarray(ndtr(below) - ndtr(-above))


def acceptance_limit(
    limit: ArrayLike, relative_uncertainty: ArrayLike, guard_factor: float, *, bound: str, distribution: str
) -> NDArray[np.float64]:
    """Give the value at which a guard band begins, for an uncertainty proportional to the value.

    Parameters
    ----------
    limit : array_like of float
        Limit of the specification, positive.
    relative_uncertainty : array_like of float, shape that broadcasts
        Standard uncertainty as a ratio of the value, positive.
    guard_factor : float
        Width of the guard band in standard uncertainties.
    bound : str
        ``"maximum"`` or ``"minimum"``.
    distribution : str
        ``"normal"`` or ``"log-normal"``.

    Returns
    -------
    ndarray of float
        Largest (smallest) value whose score is at least `guard_factor`.

    Raises
    ------
    MeasurementError
        Where the guard band of a minimum swallows everything (normal, ``k c >= 1``) or a name is not known.

    Notes
    -----
    Normal: ``x = L/(1 + k c)`` for a maximum, ``L/(1 - k c)`` for a minimum, because the uncertainty grows
    with the value. Log-normal: ``x = L exp(-k sigma)``, ``L exp(k sigma)``, with ``sigma = sqrt(ln(1 +
    c^2))``. Both from solving the score of `standard_scores` for the value.
    """
    end, c = np.asarray(limit, dtype=float), np.asarray(relative_uncertainty, dtype=float)
    sign = {"maximum": 1.0, "minimum": -1.0}.get(bound)
    if sign is None or distribution not in DISTRIBUTIONS:
        raise MeasurementError(f"bound '{bound}' or distribution '{distribution}' is not known")
    if distribution == "log-normal":
        return np.asarray(end * np.exp(-sign * guard_factor * np.sqrt(np.log1p(c**2))))
    width = 1.0 + sign * guard_factor * c
    if np.any(width <= 0.0):
        raise MeasurementError(
            "acceptance limit: the uncertainty is so large that no value clears the guard band"
        )
    return np.asarray(end / width)
