"""How sure a recipe is to keep its limits: each of them, and all of them at once.

`conformity_of` gives the probabilities of many
recipes at once, exactly for responses that are independent given the recipe; `simulated_conformity` draws
them where the batch scatter of the responses hangs together; `log_whole_probability` with its gradient is
what an optimisation uses.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from resile.compute.blending.design.kept_windows import KeptWindow
from resile.compute.blending.surfaces.predicted_surface import predict_surface, surface_gradient
from resile.compute.statistics.probability.student import NORMAL_FROM, student_below, student_density
from resile.compute.statistics.uncertainty.draws import checked_correlation, correlated_scores
from resile.errors import MeasurementError
from resile.records.blending.surface import Surface

Floats = NDArray[np.float64]

SMALLEST_STANDARD = 1e-9
"""A prediction is never surer than this on the scale of the fit, so that a score stays finite."""
STEP = 1e-5
"""Step of the central difference of the standard deviation, in shares."""


@dataclass(frozen=True, slots=True)
class Conformity:
    """What was found for m recipes, l limits and r responses.

    Attributes
    ----------
    mean, standard : ndarray of float, shape (r, m)
        Prediction of a batch on the scale of the fit.
    degrees_of_freedom : ndarray of float, shape (r,)
        Of the standard deviations.
    each : ndarray of float, shape (l, m)
        Probability that a batch keeps each limit.
    margins : ndarray of float, shape (l, m)
        Distance to each limit in standard deviations, above zero on the good side.
    whole : ndarray of float, shape (m,)
        Probability that a batch keeps every limit.
    """

    mean: Floats
    standard: Floats
    degrees_of_freedom: Floats
    each: Floats
    margins: Floats
    whole: Floats


def conformity_of(
    windows: Sequence[KeptWindow], shares: ArrayLike, *, acceptance_test: bool = False
) -> Conformity:
    """Give the probability that a batch of each recipe keeps its limits.

    Parameters
    ----------
    windows : sequence of KeptWindow
        As `kept_windows` gives them.
    shares : array_like of float, shape (m, q)
        Recipes, as ratios.
    acceptance_test : bool
        Count the scatter of one acceptance test too: the probability is then that the *test* is kept.

    Returns
    -------
    Conformity
        Of every recipe.

    Raises
    ------
    MeasurementError
        Where the shares do not fit the surfaces.

    Notes
    -----
    A batch is ``mean + s t``, with ``s² = u² + batch² (+ test²)``, u the doubt of the surface there and t
    Student's with the degrees of freedom of the surface: the predictive distribution of a regression, exact
    where the batch scatter is estimated from the same residuals. Responses are independent given the recipe,
    so the whole grade is the product over the responses; a response with two limits counts once, as the
    probability of lying between them.

    References
    ----------
    Predictive distribution of a linear regression: textbook, from memory (high).
    """
    recipes = np.atleast_2d(np.asarray(shares, dtype=float))
    count = sum(len(window.limits) for window in windows)
    each, margins = np.ones((count, len(recipes))), np.full((count, len(recipes)), np.inf)
    mean, standard = np.zeros((len(windows), len(recipes))), np.zeros((len(windows), len(recipes)))
    freedom, whole = np.zeros(len(windows)), np.ones(len(recipes))
    for row, window in enumerate(windows):
        mean[row], standard[row], freedom[row] = batch_prediction(
            window.surface, recipes, acceptance_test=acceptance_test
        )
        for place, (low, high) in zip(window.limits, window.ends, strict=True):
            each[place] = _between(low, high, mean[row], standard[row], freedom[row])
            nearest = np.minimum(mean[row] - low, high - mean[row])
            margins[place] = nearest / standard[row]
        whole = whole * _between(window.lower, window.upper, mean[row], standard[row], freedom[row])
    return Conformity(mean, standard, freedom, each, margins, whole)


def batch_prediction(
    surface: Surface, shares: Floats, *, acceptance_test: bool = False
) -> tuple[Floats, Floats, float]:
    """Give mean and standard deviation of a batch at recipes, and the degrees of freedom.

    Parameters
    ----------
    surface : Surface
        The property.
    shares : ndarray of float, shape (m, q)
        Recipes, as ratios.
    acceptance_test : bool
        Add the scatter of one test.

    Returns
    -------
    mean, standard : ndarray of float, shape (m,)
        On the scale of the fit.
    degrees_of_freedom : float
        Of the standard deviation.
    """
    found = predict_surface(surface, shares)
    test = surface.test_standard if acceptance_test else 0.0
    scatter = surface.batch_standard**2 + test**2
    standard = np.sqrt(np.square(found.standard) + scatter)
    return (
        np.asarray(found.mean, dtype=float),
        np.maximum(standard, SMALLEST_STANDARD),
        float(found.degrees_of_freedom),
    )


def sloped_prediction(
    surface: Surface, shares: Floats, *, acceptance_test: bool = False
) -> tuple[float, float, float, Floats, Floats]:
    """Give the prediction of a batch at one recipe, with the slopes of its mean and standard deviation.

    Parameters
    ----------
    surface : Surface
        The property.
    shares : ndarray of float, shape (q,)
        One recipe, as ratios.
    acceptance_test : bool
        Add the scatter of one test.

    Returns
    -------
    mean, standard, degrees_of_freedom : float
        As in `batch_prediction`.
    mean_slope, standard_slope : ndarray of float, shape (q,)
        By each share, the others kept; the first exact, the second by central differences in one call.
    """
    count = shares.size
    beside = np.concatenate([shares[None, :], shares + STEP * np.eye(count), shares - STEP * np.eye(count)])
    mean, standard, freedom = batch_prediction(surface, beside, acceptance_test=acceptance_test)
    mean_slope = surface_gradient(surface, shares[None, :])[0]
    standard_slope = (standard[1 : count + 1] - standard[count + 1 :]) / (2.0 * STEP)
    return float(mean[0]), float(standard[0]), freedom, mean_slope, standard_slope


def log_whole_probability(
    windows: Sequence[KeptWindow], shares: ArrayLike, *, acceptance_test: bool = False
) -> tuple[float, Floats]:
    """Give the logarithm of the probability of the whole grade, and its gradient.

    Parameters
    ----------
    windows : sequence of KeptWindow
        As `kept_windows` gives them.
    shares : array_like of float, shape (q,)
        One recipe, as ratios.
    acceptance_test : bool
        As in `conformity_of`.

    Returns
    -------
    value : float
        Natural logarithm of the probability.
    gradient : ndarray of float, shape (q,)
        By each share, the others kept.

    Raises
    ------
    MeasurementError
        As in `conformity_of`.

    Notes
    -----
    The mean is differentiated exactly; the standard deviation, which a smooth residual bends too, by one
    central difference for all shares in one call.
    """
    recipe = np.asarray(shares, dtype=float)
    total, slope = 0.0, np.zeros(recipe.size)
    for window in windows:
        mean, standard, freedom, mean_slope, standard_slope = sloped_prediction(
            window.surface, recipe, acceptance_test=acceptance_test
        )
        part, part_slope = _log_between(window, mean, standard, freedom, mean_slope, standard_slope)
        total += part
        slope += part_slope
    return total, slope


def simulated_conformity(
    windows: Sequence[KeptWindow],
    shares: ArrayLike,
    *,
    correlation: ArrayLike,
    rng: np.random.Generator,
    draws: int = 20_000,
    acceptance_test: bool = False,
) -> tuple[Floats, Floats]:
    """Draw batches of each recipe whose responses hang together, and count those that keep every limit.

    Parameters
    ----------
    windows : sequence of KeptWindow
        As `kept_windows` gives them.
    shares : array_like of float, shape (m, q)
        Recipes, as ratios.
    correlation : array_like of float, shape (r, r)
        Correlation between the responses of one batch, on the scale of the fits.
    rng : numpy.random.Generator
        Source of the draws; every recipe is drawn with the same numbers, so that recipes compare.
    draws : int
        How many.
    acceptance_test : bool
        As in `conformity_of`.

    Returns
    -------
    whole : ndarray of float, shape (m,)
        Share of the draws that keep every limit.
    standard_error : ndarray of float, shape (m,)
        Of that share.

    Raises
    ------
    MeasurementError
        Where correlation or draws cannot be used.

    Notes
    -----
    Student's t as a normal score over the root of a chi-squared over its degrees of freedom, each response
    with its own chi-squared.
    """
    if draws < 1000:
        raise MeasurementError("probability of the whole grade: needed are at least 1000 draws")
    recipes = np.atleast_2d(np.asarray(shares, dtype=float))
    scores = correlated_scores(checked_correlation(correlation, len(windows)), rng=rng, draws=draws)
    kept = np.ones((len(recipes), draws), dtype=bool)
    for row, window in enumerate(windows):
        mean, standard, freedom = batch_prediction(window.surface, recipes, acceptance_test=acceptance_test)
        t = scores[row]
        if freedom < NORMAL_FROM:
            t = t / np.sqrt(rng.chisquare(freedom, draws) / freedom)
        drawn = mean[:, None] + standard[:, None] * t
        kept &= (drawn >= window.lower) & (drawn <= window.upper)
    share = kept.mean(axis=1)
    return share, np.sqrt(share * (1.0 - share) / draws)


def _between(low: float, high: float, mean: Floats, standard: Floats, freedom: float) -> Floats:
    """Give the probability of lying between two ends, each tail taken where it is small."""
    below = student_below((low - mean) / standard, freedom) if low > -math.inf else 0.0
    above = student_below((mean - high) / standard, freedom) if high < math.inf else 0.0
    if low > -math.inf and high < math.inf:
        return np.clip(1.0 - below - above, 0.0, 1.0)
    # One end: the kept side itself, so that a hopeless recipe keeps its tiny probability.
    if high < math.inf:
        return student_below((high - mean) / standard, freedom)
    if low > -math.inf:
        return student_below((mean - low) / standard, freedom)
    return np.ones_like(mean)


def _log_between(
    window: KeptWindow,
    mean: float,
    standard: float,
    freedom: float,
    mean_slope: Floats,
    standard_slope: Floats,
) -> tuple[float, Floats]:
    inside = float(_between(window.lower, window.upper, np.array([mean]), np.array([standard]), freedom)[0])
    kept = max(inside, 1e-300)
    slope = np.zeros_like(mean_slope)
    for end, sign in ((window.upper, 1.0), (window.lower, -1.0)):
        if math.isfinite(end):
            score = (end - mean) / standard
            slope += (
                sign * student_density(score, freedom) * (-mean_slope - score * standard_slope) / standard
            )
    return math.log(kept), slope / kept
