"""What to add to a tank that is off its grade: the least, or not at all."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from resile.compute.blending.design.optimum import best_recipe, nearest_miss, surest_recipe
from resile.compute.blending.design.search import prepare_search
from resile.errors import MeasurementError
from resile.records.blending.problem import BlendProblem, Optimum

Floats = NDArray[np.float64]

HALVINGS = 14
"""Halvings of the share that the old content makes of the tank: to a ten-thousandth."""


@dataclass(frozen=True, slots=True)
class LeastAddition:
    """The least that brings a tank back.

    Attributes
    ----------
    kept_share : float
        Share of the tank that the old content then makes.
    found : Optimum
        The tank then; not feasible where no addition up to the capacity serves.
    """

    kept_share: float
    found: Optimum


def least_addition(
    problem: BlendProblem,
    tank: Sequence[float],
    *,
    fullest: float,
    seed: int,
    probability: float | None,
) -> LeastAddition | None:
    """Find the least addition with which a tank keeps its limits.

    Parameters
    ----------
    problem : BlendProblem
        Limits and bounds of the finished tank; what may not be added has no more than it holds already.
    tank : sequence of float, length q
        What is in the tank, as ratios.
    fullest : float
        Mass that the tank holds at most, over what is in it; above 1.
    seed : int
        Of the spread.
    probability : float or None
        Probability asked for; None for expected values alone.

    Returns
    -------
    LeastAddition or None
        None where bounds and trials leave no recipe at all, even with the tank filled up.

    Raises
    ------
    MeasurementError
        Where there is no room in the tank, or its content is no recipe.

    Notes
    -----
    With f the share that the old content makes, the tank is ``x >= f x_old`` in every component. A smaller f
    leaves more room, so the largest f that serves is found by halving between filled up and nothing added;
    at that f the best recipe by the objective is taken.
    """
    old = np.asarray(tank, dtype=float)
    if fullest <= 1.0 or abs(float(old.sum()) - 1.0) > 1e-6:
        raise MeasurementError("tank: needed are room for an addition, and a content that adds up to 100 %")

    def with_share(share: float) -> Optimum | None:
        """Give the surest tank in which the old content makes this share."""
        search = prepare_search(_holding(problem, old, share), rng=np.random.default_rng(seed), spread=100)
        if search is None:
            return None
        return nearest_miss(search) if probability is None else surest_recipe(search)

    emptiest = 1.0 / fullest
    most = with_share(emptiest)
    if most is None or not _serves(most, probability):
        return None if most is None else LeastAddition(emptiest, replace(most, feasible=False))
    good, bad = emptiest, 1.0
    for _ in range(HALVINGS):
        middle = 0.5 * (good + bad)
        found = with_share(middle)
        if found is not None and _serves(found, probability):
            good, most = middle, found
        else:
            bad = middle
    search = prepare_search(_holding(problem, old, good), rng=np.random.default_rng(seed), spread=100)
    best = None if search is None else best_recipe(search, probability=probability, starts=[most.shares])
    return LeastAddition(good, best if best is not None and best.feasible else replace(most, feasible=True))


def _serves(found: Optimum, probability: float | None) -> bool:
    return found.slack >= 0.0 if probability is None else found.probability >= probability


def _holding(problem: BlendProblem, old: Floats, share: float) -> BlendProblem:
    lower = np.maximum(np.array(problem.lower), share * old)
    # What the tank holds already may lie above a dosage bound: it can only be diluted, not taken out.
    upper = np.maximum(np.array(problem.upper), lower)
    return replace(problem, lower=tuple(lower.tolist()), upper=tuple(upper.tolist()))
