"""Fits of nonlinear models by least squares, with the doubt of every parameter.

`fit_least_squares` is the one fitting core of every curved model: bounded or free, from one start or many,
with the model's own derivatives or numerical ones. `confidence_bounds` gives intervals of the parameters,
`corrected_information` weighs two models with different numbers of parameters against each other.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike

from resile.compute.statistics.fits.least_squares_problem import (
    MOST_EVALUATIONS,
    Floats,
    LeastSquaresProblem,
    Model,
)
from resile.compute.statistics.probability.student import student_quantile
from resile.errors import InputError
from resile.records.fit import LeastSquaresFit

_AGREE = 1e-6  # two starts came to the same place where their sums differ by less than this share
_SAME_SUM = 1e-24  # share of the first sum below which a sum of squares is nothing but rounding


def fit_least_squares(
    residuals: Model,
    starts: ArrayLike,
    *,
    jacobian: Model | None = None,
    lower: ArrayLike | None = None,
    upper: ArrayLike | None = None,
    known_scatter: bool = False,
    tolerance: float = 1e-15,
    most_evaluations: int = MOST_EVALUATIONS,
) -> LeastSquaresFit:
    """Fit the parameters of a model so that the sum of squared residuals is least.

    Parameters
    ----------
    residuals : callable
        Parameters, shape (p,), to residuals, shape (n,); n is at least p.
    starts : array_like of float, shape (p,) or (k, p)
        One start of the search, or several: the best end is kept and the starts that came there are counted.
    jacobian : callable or None
        Parameters, shape (p,), to the derivatives of the residuals, shape (n, p). None for numerical ones.
    lower, upper : array_like of float, shape (p,) or scalar, or None
        Bounds that no parameter leaves; None for none.
    known_scatter : bool
        True where each residual was divided by its known standard deviation: the standard errors then do not
        take the scatter from the fit itself.
    tolerance : float
        Relative change of the sum and of the parameters at which a search stops; a rougher one where many
        starts are only sounded.
    most_evaluations : int
        Places at which one search asks the model, at most; few where a start is an end already.

    Returns
    -------
    LeastSquaresFit
        Parameters, standard errors, covariance, sum of squares, bounds that hold.

    Raises
    ------
    InputError
        Where the starts are not numbers, bounds cross, there are fewer residuals than parameters, or the
        model gives no number at any start.

    Notes
    -----
    Free problems: Levenberg and Marquardt in the form of Moré (MINPACK), and where that finds no rest the
    reflective trust region of Branch, Coleman and Li; bounded problems by the former with every step over a
    bound refused, and by the latter where that does not come to rest inside the bounds. Parameters are
    scaled by the columns of the Jacobian. The end is polished by Gauss-Newton steps for as long as they
    shrink and the sum does not rise. Covariance ``s² (J'J)^-1`` over the parameters that sit on no bound, by
    singular values of the scaled Jacobian, ``s² = sum/(n - p)`` (1 for a known scatter). It is linear
    theory: with strong curvature the intervals are rough.

    References
    ----------
    Moré 1978, Lecture Notes in Mathematics 630, 105; Branch, Coleman and Li 1999, SIAM J. Sci. Comput.
    21, 1; both as in ``scipy.optimize.least_squares``. Reference problems: NIST StRD, nonlinear regression.

    Examples
    --------
    >>> time, seen = np.array([0.0, 1.0, 2.0, 3.0]), np.array([2.0, 1.0, 0.5, 0.25])
    >>> fit = fit_least_squares(lambda b: b[0] * np.exp(-b[1] * time) - seen, [1.0, 1.0])
    >>> [round(value, 6) for value in fit.values]
    [2.0, 0.693147]
    """
    begins = np.atleast_2d(np.asarray(starts, dtype=float))
    bounds = _checked_bounds(begins, lower, upper)
    problem = LeastSquaresProblem(residuals, jacobian, *bounds, tolerance, most_evaluations)
    usable = _usable_starts(problem, begins)
    with np.errstate(all="ignore"):
        ends = [problem.search(start) for start in usable]
        sums = np.array([float(np.sum(problem.misfit(values) ** 2)) for values, _ in ends])
        best = int(np.argmin(sums))
        values = problem.polished(ends[best][0])
        misfit, slopes = problem.misfit(values), problem.slopes(values)
    nothing = max(_SAME_SUM, (10.0 * tolerance) ** 2) * float(np.sum(problem.misfit(usable[best]) ** 2))
    agreeing = int(np.sum(sums <= sums[best] * (1.0 + max(_AGREE, 10.0 * tolerance)) + nothing))
    return _described(
        problem, values, misfit, slopes, (len(begins), agreeing), ends[best][1], known_scatter=known_scatter
    )


def confidence_bounds(fit: LeastSquaresFit, *, probability: float = 0.95) -> tuple[Floats, Floats]:
    """Give the interval of every parameter of a fit.

    Parameters
    ----------
    fit : LeastSquaresFit
        The fit.
    probability : float
        Probability of the interval.

    Returns
    -------
    tuple of (ndarray of float, ndarray of float), each of shape (p,)
        Lower and upper end; not-a-number for a parameter on a bound.

    Raises
    ------
    InputError
        Where the probability does not lie between 0 and 1.

    Notes
    -----
    ``b ± t s_b`` with Student's t of the fit's degrees of freedom.

    Examples
    --------
    >>> fit = LeastSquaresFit((1.0,), (0.1,), ((0.01,),), 1.0, 1.0, 10)
    >>> print(np.round(confidence_bounds(fit), 4).ravel())
    [0.7772 1.2228]
    """
    if not 0.0 < probability < 1.0:
        raise InputError(f"probability: {probability:g} found, a number between 0 and 1 is needed")

    values, standards = np.asarray(fit.values), np.asarray(fit.standards)
    freedom = fit.degrees_of_freedom
    factor = student_quantile(0.5 + probability / 2.0, freedom) if freedom else math.inf
    return values - factor * standards, values + factor * standards


def corrected_information(residual_sum: float, count: int, parameters: int) -> float:
    """Give Akaike's information criterion with its correction for few data; the smaller the better.

    Parameters
    ----------
    residual_sum : float
        Sum of squared residuals of the fit.
    count : int
        Number of residuals.
    parameters : int
        Number of fitted parameters; the scatter counts as one more.

    Returns
    -------
    float
        The criterion; infinite where there are too few data for so many parameters.

    Raises
    ------
    InputError
        Where the sum is not above zero or a number is not at least one.

    Notes
    -----
    ``n ln(sum/n) + 2 k + 2 k (k + 1)/(n - k - 1)`` with ``k`` the parameters and the scatter.

    References
    ----------
    Hurvich and Tsai 1989, Biometrika 76, 297, from memory (high).

    Examples
    --------
    >>> round(corrected_information(10.0, 10, 1), 4)
    5.7143
    """
    if not (residual_sum > 0.0 and count >= 1 and parameters >= 1):
        raise InputError(
            f"information criterion: sum of squares {residual_sum:g}, {count} data, {parameters} parameters "
            "found; a sum above 0 and at least one of each are needed"
        )
    counted = parameters + 1
    if count <= counted + 1:
        return math.inf
    penalty = 2.0 * counted + 2.0 * counted * (counted + 1) / (count - counted - 1)
    return count * math.log(residual_sum / count) + penalty


def _checked_bounds(
    begins: Floats, lower: ArrayLike | None, upper: ArrayLike | None
) -> tuple[Floats, Floats]:
    if begins.ndim != 2 or begins.size == 0 or not np.isfinite(begins).all():
        raise InputError("starts of a fit: rows of finite numbers are needed, one number a parameter")
    count = begins.shape[1]
    low = np.broadcast_to(np.asarray(-np.inf if lower is None else lower, dtype=float), (count,))
    high = np.broadcast_to(np.asarray(np.inf if upper is None else upper, dtype=float), (count,))
    if not np.all(low < high):
        place = int(np.argmin(low < high))
        raise InputError(
            f"bounds of a fit, parameter {place + 1}: from {low[place]:g} to {high[place]:g}; "
            "the lower bound must lie below the upper one"
        )
    return low, high


def _usable_starts(problem: LeastSquaresProblem, begins: Floats) -> list[Floats]:
    """Give the starts, moved inside the bounds, at which the model gives numbers."""
    span = problem.upper - problem.lower
    margin = np.where(np.isfinite(span), 1e-6 * np.where(np.isfinite(span), span, 0.0), 1e-10)
    inside = np.clip(begins, problem.lower + margin, problem.upper - margin)
    usable = []
    for start in inside:
        with np.errstate(all="ignore"):
            found = np.asarray(problem.residuals(start), dtype=float)
        if found.ndim != 1 or found.size < start.size:
            raise InputError(
                f"fit: {found.size} data for {start.size} parameters; "
                "at least as many data as parameters are needed"
            )
        if np.isfinite(found).all():
            usable.append(start)
    if not usable:
        raise InputError(
            f"fit: the model gives no number at any of {len(inside)} starts; "
            "a start inside its validity is needed"
        )
    return usable


def _described(
    problem: LeastSquaresProblem,
    values: Floats,
    misfit: Floats,
    slopes: Floats,
    starts: tuple[int, int],
    converged: bool,
    *,
    known_scatter: bool,
) -> LeastSquaresFit:
    held = problem.held(values)
    free = ~held
    total, freedom = float(np.sum(misfit**2)), int(misfit.size - free.sum())
    scatter = math.sqrt(total / freedom) if freedom else math.nan
    covariance = np.full((values.size, values.size), np.nan)
    if free.any():
        spread = 1.0 if known_scatter else scatter
        covariance[np.ix_(free, free)] = _inverse_information(slopes[:, free]) * spread**2
    with np.errstate(invalid="ignore"):
        standards = np.sqrt(np.diag(covariance))
    return LeastSquaresFit(
        values=tuple(values.tolist()),
        standards=tuple(standards.tolist()),
        covariance=tuple(tuple(row) for row in covariance.tolist()),
        residual_sum=total,
        residual_standard=scatter,
        degrees_of_freedom=freedom,
        starts=starts[0],
        agreeing=starts[1],
        at_bounds=tuple(int(place) for place in np.flatnonzero(held)),
        converged=converged,
    )


def _inverse_information(slopes: Floats) -> Floats:
    """Give ``(J'J)^-1``; infinite variance where the data say nothing about a parameter."""
    scale = np.linalg.norm(slopes, axis=0)
    silent = scale == 0.0
    scale = np.where(silent, 1.0, scale)
    _, singular, rows = np.linalg.svd(slopes / scale, full_matrices=False)
    smallest = max(singular[0] * max(slopes.shape) * np.finfo(float).eps, np.finfo(float).tiny ** 0.5)
    inverse = (rows.T / np.maximum(singular, smallest) ** 2) @ rows
    result = inverse / np.outer(scale, scale)
    result[silent, silent] = np.inf
    return np.asarray(result)
