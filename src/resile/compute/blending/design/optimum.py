"""The best recipe: as expected first, then with a chosen probability of the whole grade.

`best_recipe` searches a region by gradient from several starts and by a dense spread of recipes, and gives
only what its own check finds kept. `surest_recipe` is the one with the highest probability, `nearest_miss`
the one that comes closest where nothing serves. `subsets.py` adds the number of components.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from resile.compute.blending.design.conformity import conformity_of
from resile.compute.blending.design.descent import climb_margins, climb_probability, descend, pulled_in
from resile.compute.blending.design.region import without_crumbs
from resile.compute.blending.design.search import SLACK, Search, objective_functions, slack_of
from resile.records.blending.problem import Optimum

Floats = NDArray[np.float64]

STARTS = 3
"""Gradient searches a problem."""
TIGHT_STANDARDS = 0.05
"""Limits within this of the worst one are told as those that conflict [standard deviations]."""


def best_recipe(
    search: Search, *, probability: float | None = None, starts: Sequence[Sequence[float]] = ()
) -> Optimum:
    """Give the best recipe, as expected or with a probability of the whole grade.

    Parameters
    ----------
    search : Search
        As `prepare_search` gives it.
    probability : float, optional
        Probability asked for; where left out every limit is kept by the expected value alone.
    starts : sequence of sequence of float, optional
        Recipes to start from in place of those of the spread; those that are kept compete as they stand.

    Returns
    -------
    Optimum
        Feasible where its own check says so; else the nearest miss.

    Raises
    ------
    MeasurementError
        Where the objective needs prices or a recipe of today that are not there.

    Notes
    -----
    Sequential quadratic programming (SLSQP of scipy) in free coordinates from several starts: the best
    recipes of the dense spread, the one with the most to spare and the middle. Whatever comes out is checked
    anew; a recipe a hair outside is pulled towards one inside until the check holds. Gradient and spread
    compete, and the better one that is kept is given, so a flat or bent surface cannot lead to a recipe that
    fails. ``"margin"`` looks for the highest probability (as expected: the largest smallest margin).
    """
    if search.problem.objective == "margin":
        return surest_recipe(search) if probability is not None else nearest_miss(search)
    value, slope = objective_functions(search.problem)
    slack = slack_of(search, probability)
    spread, spread_slack = search.spread, slack.many(search.found)
    if not (spread_slack >= SLACK).any():
        miss = _nearest(search, probability)
        if not miss.feasible:
            return miss
        inside = np.asarray(miss.shares)
        spread, spread_slack = np.vstack([spread, inside]), np.append(spread_slack, slack.one(inside))
    spread_value, kept = value(spread), spread_slack >= SLACK
    anchor = spread[int(np.argmax(spread_slack))]
    given = [np.asarray(one, dtype=float) for one in starts]
    pool = [(one, "gradient") for one in given if search.region.holds(one)[0] and slack.one(one) >= SLACK]
    pool.append((spread[_best(spread_value, kept, 1)[0]], "search"))
    for start in given or _starts(spread, spread_value, spread_slack, kept):
        end = pulled_in(search, descend(search, start, value, slope, slack), anchor, slack)
        if end is not None:
            pool.append((end, "gradient"))
    worth = value(np.stack([shares for shares, _ in pool]))
    # Of two equal ones the gradient's: it is the sharper.
    place = min(range(len(pool)), key=lambda n: (round(float(worth[n]), 12), pool[n][1] == "search"))
    return _optimum(search, pool[place][0], float(worth[place]), True, pool[place][1])


def surest_recipe(search: Search) -> Optimum:
    """Give the recipe with the highest probability of the whole grade.

    Parameters
    ----------
    search : Search
        As `prepare_search` gives it.

    Returns
    -------
    Optimum
        Feasible where the probability that the problem asks for is reached; its objective is one less the
        probability.
    """
    found = _optimum(search, climb_probability(search), 0.0, False, "gradient")
    feasible = found.probability >= search.problem.probability
    return replace(found, objective=1.0 - found.probability, feasible=feasible)


def nearest_miss(search: Search) -> Optimum:
    """Give the recipe whose worst margin is the largest, expected values alone.

    Parameters
    ----------
    search : Search
        As `prepare_search` gives it.

    Returns
    -------
    Optimum
        Feasible where every limit is kept; its objective is the worst margin with its sign turned.
    """
    found = _optimum(search, climb_margins(search), 0.0, False, "gradient")
    return replace(found, objective=-found.slack, feasible=found.slack >= SLACK)


def _nearest(search: Search, probability: float | None) -> Optimum:
    """Give the recipe that comes nearest to what is asked, where the spread found none that does."""
    if probability is None:
        return nearest_miss(search)
    found = surest_recipe(search)
    return replace(found, feasible=slack_of(search, probability).one(np.asarray(found.shares)) >= SLACK)


def _best(value: Floats, kept: NDArray[np.bool_], count: int) -> list[int]:
    order = np.argsort(np.where(kept, value, np.inf), kind="stable")
    return [int(place) for place in order[:count] if kept[place]]


def _starts(spread: Floats, value: Floats, slack: Floats, kept: NDArray[np.bool_]) -> list[Floats]:
    """Give starts that differ: the best kept, the one with the most to spare, the best kept far from both."""
    first = spread[_best(value, kept, 1)[0]]
    chosen = [first, spread[int(np.argmax(slack))]]
    better = _best(value, kept, max(STARTS, int(kept.sum()) // 3))
    far = [min(float(np.abs(spread[place] - one).sum()) for one in chosen) for place in better]
    chosen.append(spread[better[int(np.argmax(far))]])
    return chosen[:STARTS]


def _optimum(search: Search, shares: Floats, objective: float, feasible: bool, by: str) -> Optimum:
    clean = without_crumbs(shares)
    found = conformity_of(search.windows, clean[None, :], acceptance_test=search.problem.acceptance_test)
    margins = found.margins[:, 0]
    worst = float(margins.min(initial=np.inf))
    tight = [place for place in np.argsort(margins) if margins[place] <= worst + TIGHT_STANDARDS]
    return Optimum(
        tuple(float(share) for share in clean),
        bool(feasible),
        float(objective),
        float(found.whole[0]),
        worst,
        tuple(int(place) for place in tight),
        by,
    )
