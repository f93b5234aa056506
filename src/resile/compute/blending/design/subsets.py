"""Which components to use: every set of them is tried where their number matters.

`best_of_problem` is the way in: it goes straight to the search where the number of components does not
matter, and through the sets of components where it does.
"""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike

from resile.compute.blending.design.optimum import best_recipe
from resile.compute.blending.design.search import (
    SLACK,
    SPREAD,
    Search,
    objective_values,
    prepare_search,
    slack_of,
)
from resile.errors import MeasurementError
from resile.records.blending.problem import BlendProblem, Optimum

MOST_SETS = 500
"""Sets of components that are tried at most."""
FINALISTS = 8
"""Sets that are searched by gradient, of all that were spread."""
COARSE_SPREAD = 120


@dataclass(frozen=True, slots=True)
class Answer:
    """A best recipe, and the search it came from.

    Attributes
    ----------
    best : Optimum
        The recipe.
    search : Search
        Of the components it uses.
    others : tuple of Optimum
        Best recipes of other sets of components that serve too.
    """

    best: Optimum
    search: Search
    others: tuple[Optimum, ...] = ()


def best_of_problem(
    problem: BlendProblem,
    *,
    seed: int,
    probability: float | None = None,
    near: ArrayLike = (),
    starts: Sequence[Sequence[float]] = (),
) -> Answer | None:
    """Give the best recipe with the number of components that is asked for.

    Parameters
    ----------
    problem : BlendProblem
        What is asked.
    seed : int
        Of the spread.
    probability : float, optional
        As in `best_recipe`.
    near : array_like of float, shape (k, q), optional
        Further recipes to look at.
    starts : sequence of sequence of float, optional
        Recipes to start from, in place of those of the spread.

    Returns
    -------
    Answer or None
        None where bounds, groups and trials leave no recipe at all. Where nothing serves, the nearest miss.

    Raises
    ------
    MeasurementError
        Where there are too many sets of components.

    Notes
    -----
    ``"fewest components"`` goes up from the components that must be in, one more at a time, and takes the
    first number with a recipe that serves; among the sets of that number the cheapest, or without prices
    the surest.
    """
    for some, last in _stages(problem):
        found = _of_sets(some, seed=seed, probability=probability, near=near, starts=starts)
        if found is not None and (found.best.feasible or last):
            return found
    return None


def _stages(problem: BlendProblem) -> list[tuple[list[BlendProblem], bool]]:
    """Give the problems to be tried one after another: all of a stage are of one number of components."""
    lower, upper = np.array(problem.lower), np.array(problem.upper)
    always = [int(place) for place in np.flatnonzero(lower > 0.0)]
    perhaps = [int(place) for place in np.flatnonzero((lower <= 0.0) & (upper > 0.0))]
    most = len(always) + len(perhaps)
    most = most if problem.most_components is None else min(most, problem.most_components)
    fewest = problem.objective == "fewest components"
    inner = replace(problem, objective="cost" if problem.prices else "margin") if fewest else problem
    if not fewest and most >= len(always) + len(perhaps):
        return [([inner], True)]
    if most < len(always):
        raise MeasurementError(
            f"recipe: {len(always)} components must be in by their lowest dose, "
            f"but at most {most} are asked for"
        )
    sizes = range(max(len(always), 1), most + 1) if fewest else [most]
    stages = []
    for size in sizes:
        sets = list(itertools.combinations(perhaps, size - len(always)))
        if len(sets) > MOST_SETS:
            raise MeasurementError(
                f"recipe: {len(sets)} sets of {size} components can be made of {len(perhaps)}; needed are at "
                f"most {MOST_SETS}: leave out components, or give those that must be in a lowest dose"
            )
        stages.append(([_only(inner, {*always, *some}) for some in sets], size == most))
    return stages


def _only(problem: BlendProblem, used: set[int]) -> BlendProblem:
    upper = tuple(end if place in used else 0.0 for place, end in enumerate(problem.upper))
    return replace(problem, upper=upper)


def _of_sets(
    problems: Sequence[BlendProblem],
    *,
    seed: int,
    probability: float | None,
    near: ArrayLike,
    starts: Sequence[Sequence[float]],
) -> Answer | None:
    one = len(problems) == 1
    ready = [
        prepare_search(
            problem, rng=np.random.default_rng(seed), spread=SPREAD if one else COARSE_SPREAD, near=near
        )
        for problem in problems
    ]
    searches = [search for search in ready if search is not None]
    if not searches:
        return None
    ranked = sorted(searches, key=lambda search: _promise(search, probability))[:FINALISTS]
    found = [
        Answer(best_recipe(search, probability=probability, starts=starts if one else ()), search)
        for search in ranked
    ]
    found.sort(key=lambda answer: (not answer.best.feasible, answer.best.objective))
    others = tuple(answer.best for answer in found[1:] if answer.best.feasible)
    return replace(found[0], others=others)


def _promise(search: Search, probability: float | None) -> tuple[bool, float]:
    """Rank a set of components by what its spread came to: serving ones by objective, others by the miss."""
    slack = slack_of(search, probability).many(search.found)
    kept = slack >= SLACK
    if not kept.any() or search.problem.objective == "margin":
        return not kept.any(), -float(slack.max())
    return False, float(objective_values(search.problem, search.spread[kept]).min())
