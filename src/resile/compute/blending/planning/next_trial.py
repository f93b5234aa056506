"""Which blend to make and test next: one step of looking ahead on the doubt of the surfaces.

`trial_gains` gives what each candidate is expected to bring; `best_trials` picks several that go together.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from resile.compute.blending.design.conformity import SMALLEST_STANDARD
from resile.compute.blending.design.kept_windows import KeptWindow
from resile.compute.blending.surfaces.predicted_surface import predict_surface, surface_covariance
from resile.compute.statistics.probability.student import NORMAL_FROM
from resile.errors import MeasurementError

Floats = NDArray[np.float64]

DRAWS = 32
"""Outcomes of the tests of one candidate that are looked at, where all candidates are sounded."""
FINAL_DRAWS = 1024
"""Outcomes of those that come first then: the order of the best must not hang on the draws."""
FINALISTS = 6
"""Candidates weighed again with the final draws."""
CERTAIN = 1e-5
"""A property that every recipe keeps but for this probability cannot move the choice, and is left out."""


@dataclass(frozen=True, slots=True)
class TrialGain:
    """What a trial is expected to bring.

    Attributes
    ----------
    place : int
        Which candidate.
    gain : float
        Expected rise of the best probability, or expected saving per tonne.
    by_test : tuple of float
        The same where one property alone is tested, for each window.
    gain_error : float
        Standard error of the gain by the number of outcomes drawn.
    """

    place: int
    gain: float
    by_test: tuple[float, ...]
    gain_error: float = 0.0


@dataclass(frozen=True, slots=True)
class Beliefs:
    """What is believed of every property at recipes and candidates, before the next trial.

    Attributes
    ----------
    windows : tuple of KeptWindow
        The limits.
    mean : ndarray of float, shape (r, n)
        Expected values on the scale of the fit.
    covariance : ndarray of float, shape (r, n, n)
        Doubt of the surfaces.
    freedom : ndarray of float, shape (r,)
        Degrees of freedom.
    batch, test : ndarray of float, shape (r,)
        Scatter of one batch and of one test.
    """

    windows: tuple[KeptWindow, ...]
    mean: Floats
    covariance: Floats
    freedom: Floats
    batch: Floats
    test: Floats


def beliefs_at(windows: Sequence[KeptWindow], recipes: ArrayLike) -> Beliefs:
    """Give what is believed at recipes.

    Parameters
    ----------
    windows : sequence of KeptWindow
        The limits.
    recipes : array_like of float, shape (n, q)
        Recipes and candidates together, as ratios.

    Returns
    -------
    Beliefs
        Means and covariances of every property.

    Raises
    ------
    MeasurementError
        Where the shares do not fit the surfaces.
    """
    some = np.atleast_2d(np.asarray(recipes, dtype=float))
    surfaces = [window.surface for window in windows]
    predictions = [predict_surface(surface, some) for surface in surfaces]
    return Beliefs(
        tuple(windows),
        np.stack([np.asarray(found.mean, dtype=float) for found in predictions]),
        np.stack([np.asarray(surface_covariance(surface, some, some)) for surface in surfaces]),
        np.array([float(found.degrees_of_freedom) for found in predictions]),
        np.array([surface.batch_standard for surface in surfaces]),
        np.array([surface.test_standard for surface in surfaces]),
    )


def after_trial(beliefs: Beliefs, place: int) -> Beliefs:
    """Give what will be believed once a candidate is tested, its results as expected.

    Parameters
    ----------
    beliefs : Beliefs
        Before.
    place : int
        The candidate.

    Returns
    -------
    Beliefs
        Means as they were, doubts reduced.

    Notes
    -----
    ``cov'(a, b) = cov(a, b) - cov(a, c) cov(c, b)/(cov(c, c) + batch² + test²)``: the update of a normal
    belief by one observation.
    """
    column = beliefs.covariance[:, :, place]
    scatter = beliefs.batch**2 + beliefs.test**2
    total = np.maximum(column[:, place] + scatter, 1e-300)
    less = column[:, :, None] * column[:, None, :] / total[:, None, None]
    return replace(beliefs, covariance=beliefs.covariance - less)


def trial_gains(
    beliefs: Beliefs,
    recipes: Sequence[int],
    candidates: Sequence[int],
    *,
    seed: int,
    objective: ArrayLike | None = None,
    probability: float | None = None,
    draws: int = DRAWS,
) -> Floats:
    """Give what each candidate is expected to bring.

    Parameters
    ----------
    beliefs : Beliefs
        At recipes and candidates.
    recipes : sequence of int
        Places of the recipes that may be chosen in the end.
    candidates : sequence of int
        Places of the blends that may be tried.
    seed : int
        Of the outcomes drawn; the same for every candidate.
    objective : array_like of float, shape (len(recipes),), optional
        Cost of each recipe. With it the gain is the expected saving.
    probability : float, optional
        Probability of the whole grade asked for; needed with `objective`.
    draws : int
        Outcomes looked at.

    Returns
    -------
    ndarray of float, shape (len(candidates),)
        Expected rise of the highest probability of the whole grade, or expected saving; about zero or below
        where a candidate tells nothing.

    Raises
    ------
    MeasurementError
        Where there is nothing to choose from, or a cost comes without a probability.

    Notes
    -----
    A test of candidate c moves the mean at recipe x by ``cov(x, c)/sqrt(cov(c, c) + batch² + test²)`` times a
    standard score and takes the square of that from the variance (knowledge gradient for correlated
    beliefs: Frazier, Powell and Dayanik 2009, INFORMS Journal on Computing 21, from memory (high)). The best
    recipe after each outcome is compared with the best before, and the mean taken over the outcomes. With
    costs, an outcome after which no recipe is sure enough counts with the cost of the surest recipe of today.
    Scores are spread evenly (scrambled Sobol points) in pairs of opposite sign. The update is the normal one;
    Student's t enters the probabilities by Wallace's normal score, good to a thousandth and ten times faster.
    """
    chosen = np.asarray(recipes, dtype=int)
    tried = np.asarray(candidates, dtype=int)
    if not chosen.size or not tried.size or (objective is not None and probability is None):
        raise MeasurementError("next trial: needed are recipes and candidates; a cost needs a probability")
    scores = _scores(len(beliefs.windows), draws, seed)
    cost = None if objective is None else np.asarray(objective, dtype=float)
    return np.array(
        [_gains(beliefs, chosen, int(place), scores, cost, probability, None).mean() for place in tried]
    )


def best_trials(
    beliefs: Beliefs,
    recipes: Sequence[int],
    candidates: Sequence[int],
    *,
    seed: int,
    count: int = 3,
    objective: ArrayLike | None = None,
    probability: float | None = None,
) -> tuple[TrialGain, ...]:
    """Pick trials one after another, each as if those before it had come out as expected.

    Parameters
    ----------
    beliefs, recipes, candidates, seed, objective, probability
        As in `trial_gains`.
    count : int
        How many at most.

    Returns
    -------
    tuple of TrialGain
        The best first; fewer where no candidate brings anything.

    Raises
    ------
    MeasurementError
        As in `trial_gains`.
    """
    left, now = list(candidates), beliefs
    found: list[TrialGain] = []
    few = _scores(len(beliefs.windows), DRAWS, seed)
    many = _scores(len(beliefs.windows), FINAL_DRAWS, seed)
    cost = None if objective is None else np.asarray(objective, dtype=float)
    chosen = np.asarray(recipes, dtype=int)
    while left and len(found) < count:
        gains = trial_gains(now, recipes, left, seed=seed, objective=objective, probability=probability)
        finalists = [left[n] for n in np.argsort(-gains, kind="stable")[:FINALISTS]]
        weighed = [_gains(now, chosen, place, many, cost, probability, None) for place in finalists]
        best = int(np.argmax([one.mean() for one in weighed]))
        gain, place = float(weighed[best].mean()), finalists[best]
        left.remove(place)
        if gain <= 0.0 and found:
            break
        by_test = tuple(
            float(_gains(now, chosen, place, few, cost, probability, row).mean())
            for row in range(len(now.windows))
        )
        found.append(TrialGain(place, max(gain, 0.0), by_test, _error(weighed[best])))
        now = after_trial(now, place)
    return tuple(found)


def _scores(windows: int, draws: int, seed: int) -> Floats:
    """Give standard scores in pairs of opposite sign, the same for every candidate: evenly spread (Sobol)."""
    from scipy.special import ndtri
    from scipy.stats import qmc  # slow to load

    power = max(int(draws // 2).bit_length() - 1, 0)
    even = qmc.Sobol(windows, rng=np.random.default_rng(seed)).random_base2(power)
    half = ndtri(np.clip(even, 1e-9, 1.0 - 1e-9)).T
    return np.concatenate([half, -half], axis=1)


def _error(gains: Floats) -> float:
    """Give the standard error of a mean over pairs of opposite outcomes, as if they were drawn at random."""
    half = len(gains) // 2
    pairs = 0.5 * (gains[:half] + gains[half:])
    return float(pairs.std(ddof=1) / np.sqrt(half)) if half > 1 else float("inf")


def _gains(
    beliefs: Beliefs,
    recipes: NDArray[np.int64],
    place: int,
    scores: Floats,
    cost: Floats | None,
    probability: float | None,
    only: int | None,
) -> Floats:
    """Give the gain of one candidate for every outcome, of all tests or of one alone."""
    before = np.ones(len(recipes))
    after = np.ones((len(recipes), scores.shape[1]))
    for row, window in enumerate(beliefs.windows):
        mean = beliefs.mean[row, recipes]
        variance = np.maximum(beliefs.covariance[row, recipes, recipes], 0.0)
        scatter = beliefs.batch[row] ** 2
        now = _kept(window, mean, np.sqrt(variance + scatter), float(beliefs.freedom[row]))
        if now.min() >= 1.0 - CERTAIN:
            continue
        before *= now
        if only is not None and row != only:
            after *= now[:, None]
            continue
        total = beliefs.covariance[row, place, place] + scatter + beliefs.test[row] ** 2
        shift = beliefs.covariance[row, recipes, place] / np.sqrt(max(float(total), 1e-300))
        left = np.sqrt(np.maximum(variance - shift**2, 0.0) + scatter)
        moved = mean[:, None] + shift[:, None] * scores[row]
        after *= _kept(window, moved, left[:, None], float(beliefs.freedom[row]))
    if cost is None or probability is None:
        return np.asarray(after.max(axis=0) - before.max())
    serving = before >= probability
    if not serving.any():
        return np.asarray(after.max(axis=0) - before.max())
    surest = float(cost[int(np.argmax(before))])
    later = np.where(after >= probability, cost[:, None], np.inf).min(axis=0)
    return np.asarray(cost[serving].min() - np.where(np.isfinite(later), later, surest))


def _kept(window: KeptWindow, mean: Floats, standard: Floats, freedom: float) -> Floats:
    standard = np.maximum(standard, SMALLEST_STANDARD)
    inside = np.ones(np.broadcast(mean, standard).shape)
    if np.isfinite(window.upper):
        inside = inside * _nearly_student((window.upper - mean) / standard, freedom)
    if np.isfinite(window.lower):
        inside = inside - _nearly_student((window.lower - mean) / standard, freedom)
    return np.clip(inside, 0.0, 1.0)


def _nearly_student(score: Floats, freedom: float) -> Floats:
    """Give the distribution function of Student's t by Wallace's normal score (1959, from memory (high))."""
    from scipy.special import ndtr

    if freedom < NORMAL_FROM:
        stretch = (8.0 * freedom + 1.0) / (8.0 * freedom + 3.0)
        score = np.sign(score) * stretch * np.sqrt(freedom * np.log1p(np.square(score) / freedom))
    return np.asarray(ndtr(score))
