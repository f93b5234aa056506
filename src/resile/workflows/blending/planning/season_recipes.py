"""Candidate recipes of a season: the cheapest of each grade, of grades together, and without additives."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from resile.compute.blending.design.subsets import best_of_problem
from resile.errors import MeasurementError
from resile.records.blending.book import BlendBook
from resile.records.blending.portfolio import GradeDemand
from resile.records.blending.problem import BlendProblem
from resile.workflows.blending.designing.desk import RecipeDesk
from resile.workflows.blending.designing.framing import Frame, frame_book
from resile.workflows.blending.designing.limits import aim_limits
from resile.workflows.blending.designing.surfaces import surfaces_of_book

Floats = NDArray[np.float64]

MOST_JOINT = 28
"""Pairs of grades for which a recipe that serves both is looked for."""


@dataclass(frozen=True, slots=True)
class SeasonRecipes:
    """Candidate recipes against demands.

    Attributes
    ----------
    recipes : ndarray of float, shape (b, q)
        As ratios.
    probability : ndarray of float, shape (b, d)
        That a batch keeps all limits of a demand that trials tell of.
    serves : ndarray of bool, shape (b, d)
        Where that is enough.
    """

    recipes: Floats
    probability: Floats
    serves: NDArray[np.bool_]


def frames_of_demands(book: BlendBook, demands: Sequence[GradeDemand]) -> list[Frame]:
    """Give one frame a demand; the surfaces are fitted once."""
    books = [
        replace(book, aim=replace(book.aim, grade=one.grade, demand=None, site="", objective="cost"))
        for one in demands
    ]
    aims = [aim_limits(one) for one in books]
    responses = list(dict.fromkeys(limit.response for aim in aims for limit in aim.limits))
    surfaces = surfaces_of_book(book, responses, tolerance_c=aims[0].temperature_tolerance_c)
    return [frame_book(one, surfaces=surfaces, with_stock=False) for one in books]


def season_recipes(desks: Sequence[RecipeDesk], seed: int) -> SeasonRecipes:
    """Give the recipes a plan may choose from.

    Parameters
    ----------
    desks : sequence of RecipeDesk
        One for each demand.
    seed : int
        Of every draw.

    Returns
    -------
    SeasonRecipes
        Against every demand.

    Raises
    ------
    MeasurementError
        Where no recipe keeps any grade.
    """
    problems = [desk.problem for desk in desks]
    wanted = [*problems]
    for first, second in list(itertools.combinations(problems, 2))[:MOST_JOINT]:
        wanted.append(_joint([first, second]))
    if len(problems) > 2:
        wanted.append(_joint(problems))
    book = desks[0].frame.book
    additives = [n for n, one in enumerate(book.components) if one.kind not in ("base", "reclaimed")]
    wanted += [
        _without(problem, place)
        for problem in problems
        for place in additives
        if problem.upper[place] > 0.0 and problem.lower[place] <= 0.0
    ]
    recipes = []
    for problem in wanted:
        answer = (
            best_of_problem(problem, seed=seed, probability=problem.probability) if problem.limits else None
        )
        if answer is not None and answer.best.feasible:
            recipes.append(answer.best.shares)
    if not recipes:
        raise MeasurementError(
            f"portfolio: no recipe within bounds and trials keeps a grade of the demand with "
            f"{100.0 * book.aim.probability:g} %"
        )
    table = np.unique(np.round(np.array(recipes), 9), axis=0)
    probability = np.stack([desk.found(table).whole for desk in desks], axis=1)
    # A recipe on the edge of its own grade must not lose it by the rounding of its shares.
    return SeasonRecipes(table, probability, probability >= book.aim.probability - 1e-6)


def _joint(problems: Sequence[BlendProblem]) -> BlendProblem:
    """Give the problem of a recipe that serves several grades at once."""
    pairs = dict.fromkeys(
        pair for problem in problems for pair in zip(problem.limits, problem.surfaces, strict=True)
    )
    return replace(
        problems[0],
        limits=tuple(limit for limit, _ in pairs),
        surfaces=tuple(surface for _, surface in pairs),
    )


def _without(problem: BlendProblem, place: int) -> BlendProblem:
    return replace(problem, upper=tuple(0.0 if n == place else end for n, end in enumerate(problem.upper)))
