"""Design a blend: the best recipe as expected and with the probability asked for, and how far to trust it."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from resile.compute.blending.design.alternatives import different_recipes
from resile.compute.blending.design.optimum import nearest_miss, surest_recipe
from resile.compute.blending.design.pareto import LADDER, pareto_recipes
from resile.compute.blending.design.sensitivity import dosing_probability
from resile.compute.blending.design.subsets import Answer, best_of_problem
from resile.errors import InputError
from resile.records.blending.book import BlendBook
from resile.records.blending.design import BlendDesign, DosingEffect, DosingSensitivity, ParetoPoint
from resile.records.blending.problem import Optimum
from resile.records.blending.recipe import Recipe
from resile.records.finding import Finding
from resile.workflows.blending.designing.answers import answer_words, no_room_words
from resile.workflows.blending.designing.desk import RecipeDesk, recipe_desk
from resile.workflows.blending.designing.framing import Frame, frame_book
from resile.workflows.blending.designing.recipes import keeps_every_limit, recipe_of

SEED = 20
"""Of every draw where none is given: the same book gives the same recipe."""
COST_TOLERANCE_PERCENT = 3.0
"""How much dearer an alternative may be [%] (own choice)."""
PROBABILITY_TOLERANCE = 0.01
"""How much less sure an alternative may be where the margin is the objective (own choice)."""
CHANGE_TOLERANCE = 0.002
"""How much farther from today's recipe an alternative may be: half the sum of squared shares (own choice)."""
DOSING_DRAWS = 2000


def design_blend(
    book: BlendBook,
    *,
    seed: int = SEED,
    cost_tolerance_percent: float = COST_TOLERANCE_PERCENT,
    alternatives: int = 3,
) -> BlendDesign:
    """Work out a recipe for the aim of a book.

    Parameters
    ----------
    book : BlendBook
        Components, trials, aim.
    seed : int
        Of every draw; the same seed and book give the same design.
    cost_tolerance_percent : float
        How much dearer an alternative may be [%].
    alternatives : int
        Recipes that are nearly as good, the chosen one included.

    Returns
    -------
    BlendDesign
        Recipes, cost against probability, sensitivity, findings. Where nothing serves, the nearest miss and
        which limits stand in the way: that is an answer, not an error.

    Raises
    ------
    ResileError
        Where the book cannot be used, or bounds and trials leave no recipe at all.
    """
    frame = frame_book(book)
    if not frame.problem.limits:
        return BlendDesign(
            book, frame.aim.grade, frame.aim.limits, (), None, None, None, (), (), None,
            cost_tolerance_percent, seed, answer_words(frame, None, None, None), frame.findings,
        )  # fmt: skip
    desk = recipe_desk(frame)
    problem = frame.problem
    sure = best_of_problem(problem, seed=seed, probability=problem.probability)
    near = [] if sure is None or not sure.best.feasible else [sure.best.shares]
    plain = best_of_problem(problem, seed=seed, near=near)
    if plain is None:
        raise InputError(no_room_words(frame))
    expected = _kept(desk, plain, "as expected")
    chosen = _kept(desk, sure, "with probability")
    if chosen is not None and (chosen.probability or 0.0) < problem.probability:
        chosen = None
    nearest = None
    if chosen is None or sure is None:
        miss = nearest_miss(plain.search) if expected is None else surest_recipe((sure or plain).search)
        nearest = recipe_of(desk, miss.shares, name="nearest miss")
        others: tuple[Recipe, ...] = ()
        pareto = _pareto(frame, plain, None)
    else:
        others = _alternatives(desk, sure, chosen, cost_tolerance_percent, alternatives)
        pareto = _pareto(frame, sure, (problem.probability, sure.best))
    shown = chosen or expected or nearest
    return BlendDesign(
        book=book,
        grade=frame.aim.grade,
        limits=frame.aim.limits,
        surfaces=frame.surfaces.surfaces,
        expected=expected,
        chosen=chosen,
        nearest=nearest,
        alternatives=others,
        pareto=pareto,
        dosing=None if shown is None else dosing_of(desk, shown, seed=seed),
        cost_tolerance_percent=cost_tolerance_percent,
        seed=seed,
        answer=answer_words(frame, expected, chosen, nearest),
        findings=_once((*frame.findings, *(() if shown is None else shown.findings))),
    )


def dosing_of(desk: RecipeDesk, recipe: Recipe, *, seed: int, draws: int = DOSING_DRAWS) -> DosingSensitivity:
    """Give what errors of the scales do to a batch.

    Parameters
    ----------
    desk : RecipeDesk
        As `recipe_desk` gives it.
    recipe : Recipe
        With its batch.
    seed : int
        Of the draws.
    draws : int
        Batches.

    Returns
    -------
    DosingSensitivity
        For all components together and each alone.

    Notes
    -----
    Where the book does not state the uncertainty of a weighing, it is a step of the scales either way, evenly
    distributed: the step over the root of three.
    """
    aim = desk.frame.book.aim
    masses = np.array([line.mass_kg for line in recipe.batch])
    steps = [one.increment_kg or aim.increment_kg for one in desk.frame.book.components]
    standards = np.array([aim.dosing_standard_kg or step / np.sqrt(3.0) for step in steps])
    exact, dosed, each = dosing_probability(
        desk.windows,
        masses,
        standards,
        rng=np.random.default_rng(seed),
        draws=draws,
        acceptance_test=desk.problem.acceptance_test,
    )
    effects = tuple(
        DosingEffect(line.component, float(standard), *(float(one) for one in row))
        for line, standard, row in zip(recipe.batch, standards, each, strict=True)
        if line.mass_kg > 0.0
    )
    return DosingSensitivity(exact, dosed, draws, effects)


def _kept(desk: RecipeDesk, answer: Answer | None, name: str) -> Recipe | None:
    """Give a recipe that its own check finds kept; None where it is not, whatever the search says."""
    if answer is None or not answer.best.feasible:
        return None
    recipe = recipe_of(desk, answer.best.shares, name=f"{_WORDS[desk.problem.objective]} {name}")
    return recipe if keeps_every_limit(recipe) else None


_WORDS = {
    "cost": "cheapest",
    "margin": "surest",
    "fewest components": "fewest components",
    "smallest change": "nearest to today's",
}


def _alternatives(
    desk: RecipeDesk, sure: Answer, chosen: Recipe, tolerance_percent: float, count: int
) -> tuple[Recipe, ...]:
    objective = sure.search.problem.objective
    tolerance = {
        "cost": abs(sure.best.objective) * tolerance_percent / 100.0,
        "margin": PROBABILITY_TOLERANCE,
        "smallest change": CHANGE_TOLERANCE,
    }[objective]
    recipes = different_recipes(
        sure.search,
        sure.best,
        probability=desk.problem.probability,
        tolerance=tolerance,
        count=count,
        others=sure.others,
    )
    return (
        chosen,
        *(recipe_of(desk, shares, name=f"alternative {n}") for n, shares in enumerate(recipes[1:], 1)),
    )


def _pareto(frame: Frame, answer: Answer, known: tuple[float, Optimum] | None) -> tuple[ParetoPoint, ...]:
    """Give cost against probability; empty without prices."""
    prices = frame.problem.prices
    if prices is None:
        return ()
    # Whatever is asked of the recipe, the picture is about cost.
    priced = replace(answer.search, problem=replace(answer.search.problem, objective="cost"))
    of_cost = known if answer.search.problem.objective == "cost" else None
    found = pareto_recipes(priced, probabilities=LADDER, known=() if of_cost is None else (of_cost,))
    return tuple(
        ParetoPoint(one.probability, float(np.dot(one.shares, prices)), frame.percent(one.shares))
        for one in found
    )


def _once(findings: tuple[Finding, ...]) -> tuple[Finding, ...]:
    return tuple({(one.code, one.message): one for one in findings}.values())
