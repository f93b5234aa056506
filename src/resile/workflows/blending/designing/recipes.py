"""A recipe with everything that is known of it: every limit, cost, dose windows, batch sheet, cautions."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from resile.compute.blending.design.conformity import Conformity
from resile.compute.blending.surfaces.trial_hull import outside_trials
from resile.judge.results.conformity import meets
from resile.records.blending.book import BlendBook
from resile.records.blending.recipe import Recipe, RecipeLine
from resile.records.finding import Finding, Severity
from resile.workflows.blending.designing.cautions import recipe_cautions
from resile.workflows.blending.designing.desk import RecipeDesk, batch_values, recipe_desk
from resile.workflows.blending.designing.doses import dose_windows
from resile.workflows.blending.designing.framing import frame_book, shares_of
from resile.workflows.blending.planning.batches import batch_of

Floats = NDArray[np.float64]

COVERED = 0.95
"""Probability of the interval shown for the value of a batch."""
_LEAST_SHARE = 1e-9


def predict_blend(book: BlendBook, percent: dict[str, float], *, name: str = "as given") -> Recipe:
    """Say what a recipe keeps: the check that every recipe of a design has to pass too.

    Parameters
    ----------
    book : BlendBook
        Trials, aim, plant.
    percent : dict of str to float
        Share of each component by mass [%]; they add up to 100.
    name : str
        What to call it.

    Returns
    -------
    Recipe
        Every limit with value, interval and probability; dose windows; batch sheet; cautions.

    Raises
    ------
    ResileError
        Where a component is not known, or the book cannot be used.
    """
    desk = recipe_desk(frame_book(book))
    shares = shares_of(book, percent)
    recipe = recipe_of(desk, shares, name=name)
    return replace(recipe, findings=(*recipe.findings, *desk.frame.findings))


def recipe_of(desk: RecipeDesk, shares: Sequence[float] | Floats, *, name: str) -> Recipe:
    """Put together what is known of a recipe.

    Parameters
    ----------
    desk : RecipeDesk
        As `recipe_desk` gives it.
    shares : sequence of float, length q
        As ratios.
    name : str
        What to call it.

    Returns
    -------
    Recipe
        With windows, batch and cautions.
    """
    x = np.asarray(shares, dtype=float)
    problem = desk.problem
    found = desk.found(x[None, :])
    lines = recipe_lines(desk, x, found)
    percent = desk.frame.percent(x)
    probability = float(found.whole[0]) if desk.windows else None
    batch, batch_probability, told = batch_of(desk, x, probability)
    return Recipe(
        name=name,
        percent=percent,
        lines=lines,
        cost_per_tonne=None if problem.prices is None else float(x @ np.array(problem.prices)),
        probability=probability,
        untested=tuple(limit.title for limit in desk.frame.untested),
        windows=dose_windows(desk, x, probability),
        batch=batch,
        batch_probability=batch_probability,
        limiting=_limiting(lines),
        findings=(*_outside(desk, x, lines), *told, *recipe_cautions(desk.frame.book, percent, lines)),
    )


def recipe_lines(desk: RecipeDesk, shares: Floats, found: Conformity | None = None) -> tuple[RecipeLine, ...]:
    """Give every limit of the aim for one recipe, those that no trial tells of without a value.

    Parameters
    ----------
    desk : RecipeDesk
        As `recipe_desk` gives it.
    shares : ndarray of float, shape (q,)
        As ratios.
    found : Conformity, optional
        Where it is known already.

    Returns
    -------
    tuple of RecipeLine
        In the order of the limits.
    """
    known = found or desk.found(shares[None, :])
    told: dict[int, RecipeLine] = {}
    for row, window in enumerate(desk.windows):
        value, lower, upper = batch_values(window, known, row)
        outside = bool(outside_trials(window.surface, shares[None, :])[0]) if window.surface.points else False
        for place in window.limits:
            told[desk.frame.places[place]] = RecipeLine(
                limit=desk.problem.limits[place],
                value=float(value[0]),
                lower=float(lower[0]),
                upper=float(upper[0]),
                probability=float(known.each[place, 0]),
                margin_standards=float(known.margins[place, 0]),
                extrapolated=outside,
            )
    return tuple(told.get(place, RecipeLine(limit)) for place, limit in enumerate(desk.frame.aim.limits))


def keeps_every_limit(recipe: Recipe) -> bool:
    """Tell whether the expected values keep every limit that trials tell of, compared as a result is.

    Parameters
    ----------
    recipe : Recipe
        With its lines.

    Returns
    -------
    bool
        False where one is missed.
    """
    return all(line.value is None or line_is_kept(line) for line in recipe.lines)


def line_is_kept(line: RecipeLine) -> bool:
    """Tell whether the expected value of a line keeps its limit; False where no trial tells."""
    if line.value is None:
        return False
    value = abs(line.value) if line.limit.absolute else line.value
    return meets(value, line.limit.value, line.limit.bound)


def _limiting(lines: Sequence[RecipeLine]) -> tuple[str, ...]:
    known = [line for line in lines if line.probability is not None]
    known.sort(key=lambda line: (line.probability, line.margin_standards))
    return tuple(line.limit.title for line in known)


def _outside(desk: RecipeDesk, x: Floats, lines: Sequence[RecipeLine]) -> list[Finding]:
    problem = desk.problem
    found = []
    beyond = [line.limit.title for line in lines if line.extrapolated]
    if beyond:
        found.append(
            Finding(
                code="recipe-outside-trials",
                severity=Severity.CAUTION,
                message=f"The recipe lies outside the trials of {'; '.join(beyond)}: "
                "the surfaces are extrapolated there.",
                rule="a recipe lies within the trials that tell of it",
                source="own rule",
                advice="Make a trial blend beyond it before relying on these numbers.",
            )
        )
    lower, upper = np.array(problem.lower), np.array(problem.upper)
    over = [
        n
        for n, low, high, share in zip(problem.components, lower, upper, x, strict=True)
        if share < low - 1e-6 or share > high + 1e-6
    ]
    if over:
        found.append(
            Finding(
                code="dose-outside-bounds",
                severity=Severity.CAUTION,
                message=f"Outside dosage bounds, stock or a ban: {', '.join(over)}.",
                rule="every share lies within its dosage bounds and the stock; what is banned is left out",
                source="the blend book",
                advice="Change the recipe, or the bounds where they are wrong.",
            )
        )
    return found
