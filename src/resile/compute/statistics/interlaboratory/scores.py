"""Scores of one laboratory in comparison rounds, and where they are heading.

`z_score` where the round states a standard deviation; `z_prime_score` where the doubt of its assigned value
is not small beside that; `zeta_score` and `en_number` where the laboratory states its own uncertainty.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from resile.compute.statistics.finite import finite_row
from resile.errors import MeasurementError

Floats = NDArray[np.float64]


def z_score(value: ArrayLike, assigned: ArrayLike, deviation: ArrayLike) -> Floats:
    """Give the z score.

    Parameters
    ----------
    value, assigned : array_like of float, shapes that broadcast
        Result of the laboratory, and assigned value.
    deviation : array_like of float, shape that broadcasts
        Standard deviation by which the round scores, above zero.

    Returns
    -------
    ndarray of float
        ``(x - X)/sigma``.

    Raises
    ------
    MeasurementError
        Where a number is not finite or the deviation is not above zero.

    References
    ----------
    ISO 13528:2015, 9.4, from memory (high).

    Examples
    --------
    >>> float(z_score(3.4, 3.2, 0.1).round(6))
    2.0
    """
    return _over(value, assigned, np.asarray(deviation, dtype=float) ** 2)


def z_prime_score(
    value: ArrayLike, assigned: ArrayLike, deviation: ArrayLike, assigned_standard: ArrayLike
) -> Floats:
    """Give the z' score: the doubt of the assigned value is counted in.

    Parameters
    ----------
    value, assigned : array_like of float, shapes that broadcast
        Result of the laboratory, and assigned value.
    deviation, assigned_standard : array_like of float, shapes that broadcast
        Standard deviation by which the round scores, and standard uncertainty of the assigned value.

    Returns
    -------
    ndarray of float
        ``(x - X)/sqrt(sigma^2 + u(X)^2)``.

    Raises
    ------
    MeasurementError
        Where a number is not finite or both deviations are zero.

    References
    ----------
    ISO 13528:2015, 9.5, from memory (high).
    """
    return _over(
        value,
        assigned,
        np.asarray(deviation, dtype=float) ** 2 + np.asarray(assigned_standard, dtype=float) ** 2,
    )


def zeta_score(
    value: ArrayLike, assigned: ArrayLike, own_standard: ArrayLike, assigned_standard: ArrayLike
) -> Floats:
    """Give the zeta score: whether the laboratory's own uncertainty explains the difference.

    Parameters
    ----------
    value, assigned : array_like of float, shapes that broadcast
        Result of the laboratory, and assigned value.
    own_standard, assigned_standard : array_like of float, shapes that broadcast
        Standard uncertainties of both.

    Returns
    -------
    ndarray of float
        ``(x - X)/sqrt(u(x)^2 + u(X)^2)``.

    Raises
    ------
    MeasurementError
        Where a number is not finite or both uncertainties are zero.

    References
    ----------
    ISO 13528:2015, 9.6, from memory (high).
    """
    return z_prime_score(value, assigned, own_standard, assigned_standard)


def en_number(
    value: ArrayLike, assigned: ArrayLike, own_expanded: ArrayLike, assigned_expanded: ArrayLike
) -> Floats:
    """Give the E number: the difference over the root of the squares of both expanded uncertainties.

    Parameters
    ----------
    value, assigned : array_like of float, shapes that broadcast
        Result of the laboratory, and assigned value.
    own_expanded, assigned_expanded : array_like of float, shapes that broadcast
        Expanded uncertainties (k = 2) of both.

    Returns
    -------
    ndarray of float
        ``(x - X)/sqrt(U(x)^2 + U(X)^2)``.

    Raises
    ------
    MeasurementError
        Where a number is not finite or both uncertainties are zero.

    References
    ----------
    ISO 13528:2015, 9.7, from memory (high).
    """
    return z_prime_score(value, assigned, own_expanded, assigned_expanded)


def weighted_scores(scores: ArrayLike, *, weight: float = 0.2, width: float = 3.0) -> tuple[Floats, Floats]:
    """Give the exponentially weighted average of scores after each round, and its limits.

    Parameters
    ----------
    scores : array_like of float, shape (n,)
        Scores, oldest first, of standard deviation one where the laboratory is like the others.
    weight : float
        Weight of the newest score, above 0 and at most 1.
    width : float
        Limits in standard deviations of the average.

    Returns
    -------
    weighted, limits : ndarray of float, shape (n,)
        ``w_i = weight z_i + (1 - weight) w_(i-1)`` from zero on, and the limit either side of zero.

    Raises
    ------
    MeasurementError
        Where there is no score, one is not finite, or the weight is not above 0 and at most 1.

    Notes
    -----
    Limits: ``width sqrt(weight/(2 - weight) (1 - (1 - weight)^(2 i)))``.

    References
    ----------
    NIST/SEMATECH e-Handbook 6.3.2.4, from memory (high).

    Examples
    --------
    >>> [float(x) for x in weighted_scores([1.0, 1.0])[0].round(4)]
    [0.2, 0.36]
    """
    z = finite_row(scores, "weighted scores")
    if not 0.0 < weight <= 1.0:
        raise MeasurementError("weighted scores: the weight must lie above 0 and at most at 1")
    age = np.arange(len(z))
    fading = np.tril(weight * (1.0 - weight) ** np.clip(age[:, None] - age[None, :], 0, None))
    limits = width * np.sqrt(weight / (2.0 - weight) * (1.0 - (1.0 - weight) ** (2 * (age + 1))))
    return np.asarray(fading @ z), np.asarray(limits)


def score_slope(scores: ArrayLike) -> tuple[float, float]:
    """Give the change of a score from round to round, and its standard deviation.

    Parameters
    ----------
    scores : array_like of float, shape (n,)
        Scores, oldest first, at least 3.

    Returns
    -------
    slope, standard : float
        Least squares slope a round, and its standard deviation where every score has the standard deviation
        one: ``1/sqrt(sum (i - mean i)^2)``.

    Raises
    ------
    MeasurementError
        Where there are fewer than three scores or one is not finite.

    References
    ----------
    Least squares with known standard deviation.

    Examples
    --------
    >>> slope, standard = score_slope([0.0, 1.0, 2.0])
    >>> round(slope, 6), round(standard, 4)
    (1.0, 0.7071)
    """
    z = finite_row(scores, "slope of scores", least=3)
    place = np.arange(len(z)) - (len(z) - 1) / 2.0
    squares = float(place @ place)
    return float(place @ z) / squares, 1.0 / float(np.sqrt(squares))


def _over(value: ArrayLike, assigned: ArrayLike, variance: Floats) -> Floats:
    difference = np.asarray(value, dtype=float) - np.asarray(assigned, dtype=float)
    if not (np.isfinite(difference).all() and np.isfinite(variance).all()) or np.any(variance <= 0.0):
        raise MeasurementError(
            "score: result and assigned value must be finite, the deviation it is measured by above zero"
        )
    return np.asarray(difference / np.sqrt(variance))
