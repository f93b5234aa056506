"""Probability that every requirement of a grade holds at once.

Single probabilities do not multiply unless the errors are independent, and they seldom are: requirements
tested on one specimen, one plate or one bath share errors. So `whole_grade_probability` always gives the two
bounds that hold whatever the correlation, and a number between them only for a correlation that is stated.
`probability_of_all` does the same for single probabilities that are known already (a value with few degrees
of freedom, or with two limits), with one common factor as the correlation.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from resile.compute.statistics.probability.common_factor import common_factor_probability
from resile.compute.statistics.probability.conformity import standard_scores
from resile.compute.statistics.uncertainty.draws import checked_correlation, correlated_scores
from resile.errors import MeasurementError
from resile.records.whole_grade import WholeGradeProbability

Floats = NDArray[np.float64]


def joint_bounds(probabilities: ArrayLike) -> tuple[Floats, Floats]:
    """Give what the probability of all must lie between, whatever the correlation.

    Parameters
    ----------
    probabilities : array_like of float, shape (..., n)
        Probability of each.

    Returns
    -------
    tuple of ndarray of float, shape (...)
        ``max(0, sum p - n + 1)`` and ``min p``.

    Raises
    ------
    MeasurementError
        Where a probability is not between 0 and 1, or there is none.

    References
    ----------
    Fréchet 1935, from memory (high); both ends can be reached.

    Examples
    --------
    >>> low, high = joint_bounds([0.95, 0.9])
    >>> round(float(low), 6), float(high)
    (0.85, 0.9)
    """
    p = np.asarray(probabilities, dtype=float)
    if not p.ndim or not p.shape[-1] or not np.all((p >= 0.0) & (p <= 1.0)):
        raise MeasurementError("probability of all: needed are probabilities between 0 and 1")
    return np.maximum(0.0, p.sum(axis=-1) - (p.shape[-1] - 1)), p.min(axis=-1)


def all_below_probability(
    scores: ArrayLike, correlation: ArrayLike, *, rng: np.random.Generator, draws: int = 100_000
) -> tuple[float, float]:
    """Give the probability that correlated standard normal variables all lie below given scores.

    Parameters
    ----------
    scores : array_like of float, shape (n,)
        Upper ends.
    correlation : array_like of float, shape (n, n)
        Correlation of the variables.
    rng : numpy.random.Generator
        Source of the draws.
    draws : int
        How many, at least 1000.

    Returns
    -------
    tuple of float
        Probability and its standard error.

    Raises
    ------
    MeasurementError
        Where the correlation cannot be used or the draws are too few.

    Notes
    -----
    Each variable is drawn below its own end, given those before it; the mean of the products of the
    conditional probabilities is unbiased and varies far less than counting. A singular matrix (a correlation
    of one) is counted instead.

    References
    ----------
    Genz 1992, Journal of Computational and Graphical Statistics 1(2), from memory (high).
    """
    ends = np.asarray(scores, dtype=float)
    matrix = checked_correlation(correlation, len(ends))
    if draws < 1000:
        raise MeasurementError("probability of all: needed are at least 1000 draws")
    # Hardest first: the later factors then vary least.
    order = np.argsort(ends)
    ends, matrix = ends[order], matrix[np.ix_(order, order)]
    try:
        factor: Floats = np.asarray(np.linalg.cholesky(matrix), dtype=float)
    except np.linalg.LinAlgError:
        factor = np.zeros_like(matrix)
    if np.any(np.diag(factor) < 1e-6):
        inside = np.all(correlated_scores(matrix, rng=rng, draws=draws) <= ends[:, None], axis=0)
        share = float(inside.mean())
        return share, float(np.sqrt(share * (1.0 - share) / draws))
    weights = _conditional_products(ends, factor, rng, draws)
    return float(weights.mean()), float(weights.std(ddof=1) / np.sqrt(draws))


def whole_grade_probability(
    values: ArrayLike,
    limits: ArrayLike,
    standard_uncertainties: ArrayLike,
    *,
    bounds: Sequence[str],
    distributions: Sequence[str] | None = None,
    correlation: ArrayLike | None = None,
    rng: np.random.Generator | None = None,
    draws: int = 100_000,
) -> WholeGradeProbability:
    """Give the probability that the true values satisfy all their limits.

    Parameters
    ----------
    values, limits, standard_uncertainties : array_like of float, shape (n,)
        One a requirement, in the unit of the requirement; uncertainties above zero.
    bounds : sequence of str, length n
        ``"maximum"`` or ``"minimum"``.
    distributions : sequence of str, length n, or None
        ``"normal"`` or ``"log-normal"``; None for all normal.
    correlation : array_like of float, shape (n, n), or None
        Correlation of the errors of the values (of their logarithms where log-normal). The identity for
        independent errors; None where it is not known, and then no single probability is stated.
    rng : numpy.random.Generator or None
        Needed for any correlation other than none at all.
    draws : int
        Draws of the simulation.

    Returns
    -------
    WholeGradeProbability
        Bounds always; product exact for independent errors.

    Raises
    ------
    MeasurementError
        Where lengths differ, a number cannot be used, or a generator is needed and missing.

    Notes
    -----
    A value that errs upwards helps a minimum and harms a maximum, so the correlation between a minimum and a
    maximum enters with its sign turned. Prior knowledge of the process does not enter. The probability rests
    on the correlation that was put in: it is no better founded than that.

    References
    ----------
    JCGM 106:2012, section 7, for each requirement, from memory (high); the rest follows from the normal
    distribution of several variables.
    """
    columns = [np.atleast_1d(np.asarray(a, dtype=float)) for a in (values, limits, standard_uncertainties)]
    count = len(columns[0])
    shapes = ["normal"] * count if distributions is None else list(distributions)
    if not count or {len(bounds), len(shapes), *(len(c) for c in columns)} != {count}:
        raise MeasurementError(
            "whole grade: needed are one value, limit, uncertainty and bound a requirement"
        )
    rows = zip(*(column.tolist() for column in columns), bounds, shapes, strict=True)
    scores = np.array(
        [
            float(standard_scores(x, limit, u, bound=bound, distribution=shape))
            for x, limit, u, bound, shape in rows
        ]
    )
    from scipy.special import ndtr

    found = _bounded(ndtr(scores))
    if correlation is None:
        return found
    signs = np.array([1.0 if bound == "maximum" else -1.0 for bound in bounds])
    matrix = checked_correlation(correlation, count) * np.outer(signs, signs)
    probability, error, basis = _joint(scores, matrix, found.if_independent, rng, draws)
    return replace(
        found,
        # Simulation error must not carry the number past what is certain.
        probability=min(max(probability, found.lowest), found.highest),
        basis=basis,
        standard_error=error,
        draws=draws if basis == "simulation" else None,
    )


def probability_of_all(
    probabilities: ArrayLike, *, loadings: ArrayLike | None = None, missing: Sequence[str] = ()
) -> WholeGradeProbability:
    """Give the probability that requirements hold at once, from the probability of each.

    Parameters
    ----------
    probabilities : array_like of float, shape (n,)
        Probability of conformity of each requirement, whatever its distribution.
    loadings : array_like of float, shape (n,), or None
        Correlation of each error with one common factor, -1 to 1, counted positive where the factor harms
        conformity; None where it is not stated, and then no single probability is.
    missing : sequence of str
        Names of further requirements whose probability is not known.

    Returns
    -------
    WholeGradeProbability
        Of the n requirements; with any `missing` there is no probability of the whole.

    Raises
    ------
    MeasurementError
        Where a number is not a probability, or a loading not between -1 and 1.

    Notes
    -----
    The correlation is that of the normal scores behind the probabilities, which for normal errors are the
    errors themselves.

    Examples
    --------
    >>> found = probability_of_all([0.95, 0.9], loadings=[1.0, 1.0])
    >>> round(found.probability, 9)
    0.9
    """
    each = np.atleast_1d(np.asarray(probabilities, dtype=float))
    found = replace(_bounded(each), missing=tuple(missing))
    if loadings is None:
        return found
    loads = np.asarray(loadings, dtype=float)
    joint = found.if_independent if not loads.any() else _with_common_factor(each, loads)
    joint = min(max(joint, found.lowest), found.highest)
    return replace(
        found,
        probability=None if missing else joint,
        probability_of_known=joint,
        basis="common factor" if loads.any() else "product",
    )


def _with_common_factor(each: Floats, loads: Floats) -> float:
    from scipy.special import ndtri  # where a correlation was declared: grading without one starts faster

    return common_factor_probability(ndtri(each), loads)


def _bounded(each: Floats) -> WholeGradeProbability:
    low, high = joint_bounds(each)
    return WholeGradeProbability(
        probability=None,
        lowest=float(low),
        highest=float(high),
        if_independent=float(np.prod(each)),
        each=tuple(each.tolist()),
        weakest=int(np.argmin(each)),
        basis="bounds only",
    )


def _joint(
    scores: Floats, matrix: Floats, product: float, rng: np.random.Generator | None, draws: int
) -> tuple[float, float | None, str]:
    if np.array_equal(matrix, np.eye(len(scores))):
        return product, None, "product"
    if rng is None:
        raise MeasurementError("whole grade: correlated errors need a random generator to draw from")
    probability, error = all_below_probability(scores, matrix, rng=rng, draws=draws)
    return probability, error, "simulation"


def _conditional_products(ends: Floats, factor: Floats, rng: np.random.Generator, draws: int) -> Floats:
    from scipy.special import ndtr, ndtri

    weights = np.ones(draws)
    drawn = np.zeros((len(ends), draws))
    for place, end in enumerate(ends):
        share = ndtr((end - factor[place, :place] @ drawn[:place]) / factor[place, place])
        weights *= share
        # Kept off the ends of the open interval, where the score would be infinite.
        drawn[place] = ndtri(np.clip(rng.random(draws) * share, 1e-300, 1.0 - 1e-16))
    return weights
