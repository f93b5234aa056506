"""A problem made ready to be searched: region, spread of recipes, objective, and how far limits are kept."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from resile.compute.blending.design.conformity import (
    Conformity,
    conformity_of,
    log_whole_probability,
    sloped_prediction,
)
from resile.compute.blending.design.kept_windows import KeptWindow, kept_windows
from resile.compute.blending.design.region import RecipeRegion, region_of, spread_recipes
from resile.compute.blending.surfaces.predicted_surface import surface_gradient
from resile.errors import MeasurementError
from resile.records.blending.problem import BlendProblem

Floats = NDArray[np.float64]

Constraint = dict[str, Any]
"""A constraint as scipy takes it: type, function, gradient."""
SPREAD = 400
"""Recipes of the dense search."""
SLACK = 1e-9
"""A limit counts as kept only with this much to spare, so that the last bit never decides."""


@dataclass(frozen=True, slots=True)
class Search:
    """A problem made ready to be searched.

    Attributes
    ----------
    problem : BlendProblem
        What is asked.
    windows : tuple of KeptWindow
        Its limits by property.
    region : RecipeRegion
        Where recipes may lie.
    spread : ndarray of float, shape (m, q)
        Recipes spread over it.
    found : Conformity
        Of the spread.
    """

    problem: BlendProblem
    windows: tuple[KeptWindow, ...]
    region: RecipeRegion
    spread: Floats
    found: Conformity


def prepare_search(
    problem: BlendProblem, *, rng: np.random.Generator, spread: int = SPREAD, near: ArrayLike = ()
) -> Search | None:
    """Make a problem ready: region, dense spread of recipes, and how sure each of them is.

    Parameters
    ----------
    problem : BlendProblem
        What is asked.
    rng : numpy.random.Generator
        Source of the spread.
    spread : int
        Recipes of the dense search beside the corners.
    near : array_like of float, shape (k, q), optional
        Further recipes to look at; those outside the region are left out.

    Returns
    -------
    Search or None
        None where bounds, groups and trials leave no recipe at all.

    Raises
    ------
    MeasurementError
        Where a limit cannot be used.
    """
    region = region_of(problem)
    if region is None:
        return None
    windows = kept_windows(problem.limits, problem.surfaces)
    recipes = spread_recipes(region, rng=rng, count=spread)
    further = np.asarray(near, dtype=float).reshape(-1, len(problem.components))
    if len(further):
        recipes = np.concatenate([recipes, further[region.holds(further)]])
    found = conformity_of(windows, recipes, acceptance_test=problem.acceptance_test)
    return Search(problem, windows, region, recipes, found)


def objective_values(problem: BlendProblem, shares: ArrayLike) -> Floats:
    """Give the objective of recipes, smaller is better.

    Parameters
    ----------
    problem : BlendProblem
        Names the objective.
    shares : array_like of float, shape (m, q)
        Recipes, as ratios.

    Returns
    -------
    ndarray of float, shape (m,)
        Cost per tonne; or half the sum of squared changes from today's recipe.

    Raises
    ------
    MeasurementError
        Where prices or today's recipe are missing.
    """
    return objective_functions(problem)[0](np.atleast_2d(np.asarray(shares, dtype=float)))


def objective_functions(
    problem: BlendProblem,
) -> tuple[Callable[[Floats], Floats], Callable[[Floats], Floats]]:
    """Give the objective as a function of recipes (m, q), and its gradient at one (q,).

    Parameters
    ----------
    problem : BlendProblem
        Names the objective.

    Returns
    -------
    value, slope : callable
        Smaller is better.

    Raises
    ------
    MeasurementError
        Where prices or today's recipe are missing.
    """
    if problem.objective == "smallest change":
        if problem.today is None:
            raise MeasurementError("recipe: 'smallest change' needs the recipe of today")
        today = np.array(problem.today)
        return (lambda x: 0.5 * np.sum((x - today) ** 2, axis=1)), (lambda x: x - today)
    if problem.prices is None:
        raise MeasurementError("recipe: the least cost needs a price for every component")
    prices = np.array(problem.prices)
    return (lambda x: x @ prices), (lambda x: prices)


@dataclass(frozen=True, slots=True)
class Slack:
    """How far recipes keep what is asked: above zero where they do.

    Attributes
    ----------
    one : callable
        Of one recipe (q,).
    many : callable
        Of what was found for m recipes; shape (m,).
    constraints : tuple of dict
        The same for a gradient search, in free coordinates.
    """

    one: Callable[[Floats], float]
    many: Callable[[Conformity], Floats]
    constraints: tuple[Constraint, ...]


def slack_of(search: Search, probability: float | None) -> Slack:
    """Give how far recipes keep what is asked, as functions.

    Parameters
    ----------
    search : Search
        As `prepare_search` gives it.
    probability : float or None
        Probability of the whole grade; None for expected values alone.

    Returns
    -------
    Slack
        In standard deviations for expected values; in the logarithm of the probability else.
    """
    region, windows, test = search.region, search.windows, search.problem.acceptance_test

    def many(found: Conformity) -> Floats:
        """Smallest margin, or log probability above the one asked for."""
        if probability is None:
            return np.asarray(found.margins.min(axis=0, initial=np.inf))
        return np.asarray(np.log(np.maximum(found.whole, 1e-300) / probability))

    def one(x: Floats) -> float:
        """Slack of one recipe."""
        return float(many(conformity_of(windows, x[None, :], acceptance_test=test))[0])

    if probability is None:
        margins, slopes = mean_rows(search)
        return Slack(one, many, ({"type": "ineq", "fun": margins, "jac": slopes},))
    wanted = float(np.log(probability))
    known: dict[bytes, tuple[float, Floats]] = {}

    def both(u: Floats) -> tuple[float, Floats]:
        """Value and gradient, once a point."""
        if u.tobytes() not in known:
            known.clear()
            known[u.tobytes()] = log_whole_probability(windows, region.recipe(u), acceptance_test=test)
        return known[u.tobytes()]

    row = {
        "type": "ineq",
        "fun": lambda u: both(u)[0] - wanted - 10.0 * SLACK,
        "jac": lambda u: both(u)[1] @ region.directions,
    }
    return Slack(one, many, (row,))


def mean_rows(search: Search) -> tuple[Callable[[Floats], Floats], Callable[[Floats], Floats]]:
    """Give the distances of the expected values to their limits, and their slopes, in free coordinates.

    Parameters
    ----------
    search : Search
        As `prepare_search` gives it.

    Returns
    -------
    margins, slopes : callable
        In standard deviations at the middle of the region; shapes (k,) and (k, d).
    """
    region, windows = search.region, search.windows
    middle = conformity_of(windows, region.origin[None, :])
    rows = [
        (row, end, sign, middle.standard[row, 0])
        for row, window in enumerate(windows)
        for end, sign in ((window.upper, 1.0), (window.lower, -1.0))
        if np.isfinite(end)
    ]
    owner = np.array([row for row, *_ in rows], dtype=int)
    end, sign, scale = (np.array([one[place] for one in rows]) for place in (1, 2, 3))

    def margins(free: Floats) -> Floats:
        """Distance of every expected value to its ends."""
        means = conformity_of(windows, region.recipe(free)[None, :]).mean[:, 0]
        return np.asarray(sign * (end - means[owner]) / scale - 10.0 * SLACK)

    def slopes(free: Floats) -> Floats:
        """Their gradients."""
        x = region.recipe(free)[None, :]
        slope = np.stack([surface_gradient(window.surface, x)[0] for window in windows])
        return np.asarray(-(sign / scale)[:, None] * slope[owner] @ region.directions)

    return margins, slopes


def margin_rows(search: Search) -> tuple[Callable[[Floats], Floats], Callable[[Floats], Floats]]:
    """Give the margins in standard deviations of each recipe itself, and their slopes, in free coordinates.

    Parameters
    ----------
    search : Search
        As `prepare_search` gives it.

    Returns
    -------
    margins, slopes : callable
        Shapes (k,) and (k, d).
    """
    region, windows, test = search.region, search.windows, search.problem.acceptance_test
    known: dict[bytes, tuple[Floats, Floats]] = {}

    def both(free: Floats) -> tuple[Floats, Floats]:
        """Margins and slopes, once a point."""
        if free.tobytes() not in known:
            known.clear()
            x = region.recipe(free)
            values, slopes = [], []
            for window in windows:
                mean, standard, _, mean_slope, wider = sloped_prediction(
                    window.surface, x, acceptance_test=test
                )
                for end, sign in ((window.upper, 1.0), (window.lower, -1.0)):
                    if np.isfinite(end):
                        value = sign * (end - mean) / standard
                        values.append(value)
                        slopes.append((-sign * mean_slope - value * wider) / standard)
            known[free.tobytes()] = (np.array(values), np.array(slopes) @ region.directions)
        return known[free.tobytes()]

    return (lambda free: both(free)[0]), (lambda free: both(free)[1])
