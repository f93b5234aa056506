"""From mean squares to components: estimates, the floor at zero, intervals."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from resile.errors import MeasurementError

Floats = NDArray[np.float64]
_SAME = 1e-9
METHOD = (
    "chi-square for the residual, Williams and Tukey for a difference of two mean squares, "
    "Satterthwaite for more"
)


def estimates_from_mean_squares(mean_squares: Floats, expected: Floats) -> tuple[Floats, Floats]:
    """Give components of variance from mean squares and what is expected of them.

    Parameters
    ----------
    mean_squares : ndarray of float, shape (n,)
        Of every line, the residual last.
    expected : ndarray of float, shape (n, n)
        ``expected[i, j]``: how often component j stands in the expectation of mean square i.

    Returns
    -------
    components : ndarray of float, shape (n,)
        Estimates; may be negative.
    weights : ndarray of float, shape (n, n)
        ``components = weights @ mean_squares``.

    Raises
    ------
    MeasurementError
        Where the components cannot be told apart.

    References
    ----------
    ANOVA method of moments (Searle, Casella and McCulloch 1992, from memory).
    """
    try:
        weights = np.linalg.inv(expected)
    except np.linalg.LinAlgError as error:
        raise MeasurementError(
            "components of variance: these results cannot tell the factors apart"
        ) from error
    weights[np.abs(weights) < _SAME * np.abs(weights).max()] = 0.0
    return np.asarray(weights @ mean_squares), np.asarray(weights)


def component_interval(
    mean_squares: Floats, freedom: Floats, weights: Floats, *, coverage: float = 0.95
) -> tuple[float, float | None]:
    """Give the interval of one component as standard deviations.

    Parameters
    ----------
    mean_squares, freedom : ndarray of float, shape (n,)
        Mean squares and their degrees of freedom.
    weights : ndarray of float, shape (n,)
        The component is the sum of weights times mean squares.
    coverage : float
        Two-sided.

    Returns
    -------
    lower, upper : float or None
        Zero below where the lower end would be negative; no upper end where the estimate is not above zero
        and Satterthwaite would be needed.

    Raises
    ------
    MeasurementError
        Where the coverage is not between 0 and 1 or a line has less than one degree of freedom.

    Notes
    -----
    One mean square: chi-square. Difference ``(M1 - M2)/c``: ``v1 (M1 - M2 F_u)/(c chi2_u)`` to ``v1 (M1 - M2
    F_l)/(c chi2_l)``; it covers at least ``1 - 2 alpha`` and in practice about ``1 - alpha``. More:
    Satterthwaite's degrees of freedom ``(sum w M)^2 / sum((w M)^2/v)`` and chi-square.

    References
    ----------
    Williams 1962 and Tukey 1951; Satterthwaite 1946; from memory (medium).
    """
    if not 0.0 < coverage < 1.0 or np.any(freedom < 1.0):
        raise MeasurementError(
            "interval of a component: needed are one degree of freedom and a coverage below 1"
        )
    used = np.flatnonzero(weights)
    if len(used) == 2 and weights[used[0]] > 0.0 > weights[used[1]]:
        ends = _difference(mean_squares[used], freedom[used], weights[used], coverage)
    else:
        parts = weights[used] * mean_squares[used]
        total, doubt = float(parts.sum()), float(np.sum(parts**2 / freedom[used]))
        if total <= 0.0 or doubt <= 0.0:
            return 0.0, (0.0 if doubt <= 0.0 else None)
        ends = _scaled(total, total**2 / doubt, coverage)
    lower, upper = (math.sqrt(max(end, 0.0)) for end in ends)
    return lower, upper


def _scaled(variance: float, freedom: float, coverage: float) -> tuple[float, float]:
    from scipy.special import chdtri

    tail = (1.0 - coverage) / 2.0
    lower, upper = (variance * freedom / float(chdtri(freedom, share)) for share in (tail, 1.0 - tail))
    return lower, upper


def _difference(squares: Floats, freedom: Floats, weights: Floats, coverage: float) -> tuple[float, float]:
    from scipy.special import chdtri, fdtri

    tail = (1.0 - coverage) / 2.0
    first, second = float(weights[0] * squares[0]), float(-weights[1] * squares[1])
    ends = [
        freedom[0]
        * (first - second * float(fdtri(freedom[0], freedom[1], 1.0 - share)))
        / float(chdtri(freedom[0], share))
        for share in (tail, 1.0 - tail)
    ]
    return float(ends[0]), float(ends[1])


def measurement_shares(measurement_variance: float, specimen_variance: float) -> tuple[float, int]:
    """Give what a way of measuring adds to the scatter of a study, and how many classes it can tell apart.

    Parameters
    ----------
    measurement_variance : float
        Variance of everything but the specimens.
    specimen_variance : float
        Variance between specimens.

    Returns
    -------
    percent : float
        Standard deviation of the measurement over that of all results [%].
    categories : int
        ``1.41`` times the standard deviation between specimens over that of the measurement, cut to a whole
        number, at least 1.

    Raises
    ------
    MeasurementError
        Where a variance is negative or the measurement has none.

    References
    ----------
    Measurement systems analysis as commonly taught; crossed gauge study with 27.86 % and 4 (second-hand).

    Examples
    --------
    >>> percent, categories = measurement_shares(0.09143, 1.08645)
    >>> round(percent, 2), categories
    (27.86, 4)
    """
    if measurement_variance <= 0.0 or specimen_variance < 0.0:
        raise MeasurementError(
            "shares of a measurement: it needs a variance above zero, the specimens one not below"
        )
    total = measurement_variance + specimen_variance
    percent = 100.0 * math.sqrt(measurement_variance / total)
    return percent, max(1, math.floor(1.41 * math.sqrt(specimen_variance / measurement_variance)))
