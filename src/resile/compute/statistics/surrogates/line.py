"""A linear model of a slow property on quick ones, on scales that are given already.

Use `fit_surrogate` for the model, `predict_surrogate` for a new lot with its reach and `surrogate_conformity`
for what that says of a limit. Errors on lots that the model has not seen are in `left_out`.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike, NDArray

from resile.errors import InputError
from resile.records.control.surrogate import SurrogateModel, SurrogatePrediction

Floats = NDArray[np.float64]

_ON_HULL = 1e-8  # distance from the hull, in scatters of the quick properties, that is rounding alone
_ALIKE = 1e-10  # singular value, against the largest, below which two quick properties say the same


def fit_surrogate(quick: ArrayLike, slow: ArrayLike) -> SurrogateModel:
    """Fit a slow property on quick ones by least squares.

    Parameters
    ----------
    quick : array_like of float, shape (n, k)
        Quick properties, one row a sample, each on its scale.
    slow : array_like of float, shape (n,)
        The slow property on its scale.

    Returns
    -------
    SurrogateModel
        Intercept and slopes, their covariance without the scatter, residual standard deviation.

    Raises
    ------
    InputError
        Where numbers are not finite, there are not at least two more samples than coefficients, or quick
        properties say the same.

    Notes
    -----
    ``y = b0 + b1 x1 + … + e``; columns are centred and scaled before the fit, so that units do not matter.

    References
    ----------
    Certified results: NIST StRD, linear regression (Norris, Longley).

    Examples
    --------
    >>> model = fit_surrogate([[0.0], [1.0], [2.0], [3.0]], [1.0, 3.0, 5.0, 7.0])
    >>> [round(one, 6) for one in model.coefficients]
    [1.0, 2.0]
    """
    rows, seen = _checked(quick, slow)
    count, slopes = rows.shape
    if count < slopes + 3:
        raise InputError(
            f"quick tests: {count} samples for {slopes + 1} coefficients; at least {slopes + 3} are needed"
        )
    centre, spread = rows.mean(axis=0), rows.std(axis=0, ddof=1)
    if np.any(spread <= 0.0):
        raise InputError("quick tests: a quick property that never changes says nothing; leave it out")
    design = _design((rows - centre) / spread)
    left, singular, right = np.linalg.svd(design, full_matrices=False)
    if singular[-1] < _ALIKE * singular[0]:
        raise InputError("quick tests: two quick properties say the same thing; leave one out")
    scaled = right.T @ ((left.T @ seen) / singular)
    misfit = seen - design @ scaled
    freedom = count - slopes - 1
    total = float(np.sum((seen - seen.mean()) ** 2))
    residual_sum = float(np.sum(misfit**2))
    slope = scaled[1:] / spread
    return SurrogateModel(
        coefficients=(float(scaled[0] - slope @ centre), *slope.tolist()),
        residual_standard=math.sqrt(residual_sum / freedom),
        degrees_of_freedom=freedom,
        r_squared=1.0 - residual_sum / total if total > 0.0 else 0.0,
        quick=tuple(tuple(row) for row in rows.tolist()),
        slow=tuple(seen.tolist()),
        largest_leverage=float(np.max(np.sum(left**2, axis=1))),
    )


def predict_surrogate(
    model: SurrogateModel, quick: Sequence[float], *, standard: float | None = None, confidence: float = 0.95
) -> SurrogatePrediction:
    """Predict the slow property of a new sample, and say whether the model reaches it.

    Parameters
    ----------
    model : SurrogateModel
        From `fit_surrogate`.
    quick : sequence of float, length k
        Quick properties of the sample, on the scales of the model.
    standard : float or None
        Standard deviation of a single new value about the line, in place of that of the fit where lots left
        out say more.
    confidence : float
        Of the interval, two-sided.

    Returns
    -------
    SurrogatePrediction
        Value, interval, leverage, and ``inside``, ``edge`` or ``outside``.

    Raises
    ------
    InputError
        Where a number is missing or not finite.

    Notes
    -----
    ``s sqrt(1 + h)`` with leverage ``h``, and Student's t. *Inside*: within the convex hull of the samples of
    the fit. *Outside*: a quick property beyond its range, or a leverage above the largest of the fit. *Edge*:
    neither; each property has its range, but the combination was not seen.

    References
    ----------
    Prediction interval of a linear regression: NIST/SEMATECH e-Handbook, 4.5.1; leverage beyond that of the
    data as extrapolation that is hidden: Montgomery, Peck and Vining, Introduction to Linear Regression
    Analysis, from memory (high).

    Examples
    --------
    >>> model = fit_surrogate([[0.0], [1.0], [2.0], [3.0]], [1.0, 3.1, 4.9, 7.0])
    >>> predict_surrogate(model, [1.5]).place, predict_surrogate(model, [9.0]).place
    ('inside', 'outside')
    """
    from resile.compute.statistics.probability.student import student_quantile

    rows = np.asarray(model.quick, dtype=float)
    place = np.asarray(quick, dtype=float)
    if place.shape != (rows.shape[1],) or not np.isfinite(place).all():
        raise InputError(f"quick tests: {rows.shape[1]} finite numbers are needed for a prediction")
    leverage = _leverage(rows, place)
    scatter = model.residual_standard if standard is None else standard
    deviation = scatter * math.sqrt(1.0 + leverage)
    value = float(model.coefficients[0] + np.asarray(model.coefficients[1:]) @ place)
    half = student_quantile(0.5 + confidence / 2.0, model.degrees_of_freedom) * deviation
    return SurrogatePrediction(
        value=value,
        standard=deviation,
        low=value - half,
        high=value + half,
        degrees_of_freedom=model.degrees_of_freedom,
        leverage=leverage,
        place=_place(model, rows, place, leverage),
    )


def surrogate_conformity(prediction: SurrogatePrediction, *, limit: float, limit_is: str) -> float:
    """Give the probability that the slow property keeps its limit, by what is predicted.

    Parameters
    ----------
    prediction : SurrogatePrediction
        On the scale of the limit.
    limit : float
        Limit.
    limit_is : str
        ``at_most`` or ``at_least``.

    Returns
    -------
    float
        Probability by Student's t.

    Raises
    ------
    InputError
        Where `limit_is` is not known or the limit not finite.

    References
    ----------
    JCGM 106:2012, section 7, with Student's t for the normal distribution, from memory (high).

    Examples
    --------
    >>> at = SurrogatePrediction(1.0, 0.1, 0.8, 1.2, 20, 0.1, "inside")
    >>> surrogate_conformity(at, limit=1.0, limit_is="at_most")
    0.5
    """
    from resile.compute.statistics.probability.student import student_below

    if limit_is not in ("at_most", "at_least") or not math.isfinite(limit):
        raise InputError(f"limit: '{limit_is}' {limit:g} found; at_most or at_least and a number are needed")
    sign = 1.0 if limit_is == "at_most" else -1.0
    distance = sign * (limit - prediction.value)
    score = distance / prediction.standard if prediction.standard > 0.0 else math.copysign(math.inf, distance)
    return float(student_below(np.asarray(score), prediction.degrees_of_freedom))


def _checked(quick: ArrayLike, slow: ArrayLike) -> tuple[Floats, Floats]:
    rows, seen = np.asarray(quick, dtype=float), np.asarray(slow, dtype=float)
    if rows.ndim != 2 or seen.shape != rows.shape[:1] or rows.shape[1] < 1:
        raise InputError("quick tests: one row of quick properties for each value of the slow one is needed")
    if not (np.isfinite(rows).all() and np.isfinite(seen).all()):
        raise InputError("quick tests: every value must be a finite number")
    return rows, seen


def _design(scaled: Floats) -> Floats:
    return np.column_stack([np.ones(len(scaled)), scaled])


def _leverage(rows: Floats, place: Floats) -> float:
    centre, spread = rows.mean(axis=0), rows.std(axis=0, ddof=1)
    _, singular, right = np.linalg.svd(_design((rows - centre) / spread), full_matrices=False)
    at = np.concatenate([[1.0], (place - centre) / spread])
    return float(np.sum((right @ at / singular) ** 2))


def _place(model: SurrogateModel, rows: Floats, place: Floats, leverage: float) -> str:
    low, high = rows.min(axis=0), rows.max(axis=0)
    if np.any(place < low) or np.any(place > high) or leverage > model.largest_leverage * (1.0 + _ON_HULL):
        return "outside"
    return "inside" if _within_hull(rows, place) else "edge"


def _within_hull(rows: Floats, place: Floats) -> bool:
    """Tell whether a place is a weighted mean of the rows with weights of at least nought."""
    from scipy.optimize import nnls

    spread = rows.std(axis=0, ddof=1)
    corners = np.vstack([((rows - place) / spread).T, np.ones(len(rows))])
    wanted = np.concatenate([np.zeros(rows.shape[1]), [1.0]])
    try:
        _, distance = nnls(corners, wanted)
    except RuntimeError:  # the search did not end: say the lesser thing
        return False
    return bool(distance < _ON_HULL)
