"""Gradient searches over a region: sequential quadratic programming (SLSQP of scipy) in free coordinates."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from resile.compute.blending.design.conformity import conformity_of, log_whole_probability
from resile.compute.blending.design.region import RecipeRegion
from resile.compute.blending.design.search import SLACK, Constraint, Search, Slack, margin_rows

Floats = NDArray[np.float64]

ITERATIONS = 60
TOLERANCE = 1e-10
HOPELESS = 1e-12
"""Below this probability the slope of its logarithm leads nowhere, and the margins are climbed first."""
PULLS = np.concatenate([[0.0], np.geomspace(1e-9, 1.0, 28)])
"""Parts of the way to a recipe inside that are tried for one just outside."""
FINER = 24
"""Parts between two of them that are tried next."""


def descend(
    search: Search,
    start: Floats,
    value: Callable[[Floats], Floats],
    slope: Callable[[Floats], Floats],
    slack: Slack,
) -> Floats:
    """Follow an objective from a start within what is asked.

    Parameters
    ----------
    search : Search
        As `prepare_search` gives it.
    start : ndarray of float, shape (q,)
        A recipe of the region.
    value, slope : callable
        Objective of recipes (m, q) and its gradient at one (q,).
    slack : Slack
        What is asked.

    Returns
    -------
    ndarray of float, shape (q,)
        Where it ends, inside the region; the caller checks whether it is kept.
    """
    region = search.region
    scale = float(np.ptp(value(search.spread))) or 1.0
    free = _minimised(
        lambda u: float(value(region.recipe(u)[None, :])[0]) / scale,
        lambda u: slope(region.recipe(u)) @ region.directions / scale,
        region.free(start),
        (*slack.constraints, _faces(region)),
    )
    return _inside(region, free, start)


def climb_probability(search: Search) -> Floats:
    """Climb to the recipe with the highest probability of the whole grade.

    Parameters
    ----------
    search : Search
        As `prepare_search` gives it.

    Returns
    -------
    ndarray of float, shape (q,)
        The best of the spread, of where the climb began and of where it ended.
    """
    region, test = search.region, search.problem.acceptance_test
    best = search.spread[int(np.argmax(search.found.whole))]
    start = climb_margins(search) if search.found.whole.max() < HOPELESS else best
    known: dict[bytes, tuple[float, Floats]] = {}

    def both(u: Floats) -> tuple[float, Floats]:
        """Log probability and its slope, once a point."""
        if u.tobytes() not in known:
            known.clear()
            known[u.tobytes()] = log_whole_probability(search.windows, region.recipe(u), acceptance_test=test)
        return known[u.tobytes()]

    free = _minimised(
        lambda u: -both(u)[0],
        lambda u: -both(u)[1] @ region.directions,
        region.free(start),
        (_faces(region),),
    )
    pool = np.stack([best, start, _inside(region, free, start)])
    sure = conformity_of(search.windows, pool, acceptance_test=test).whole
    return np.asarray(pool[int(np.argmax(sure))])


def climb_margins(search: Search) -> Floats:
    """Climb to the recipe whose worst margin by expected values is the largest.

    Parameters
    ----------
    search : Search
        As `prepare_search` gives it.

    Returns
    -------
    ndarray of float, shape (q,)
        The best of the spread and of two climbs.

    Notes
    -----
    Largest t with ``margin_l(x) >= t`` for every limit, each in standard deviations of the recipe itself.
    """
    worst = search.found.margins.min(axis=0, initial=np.inf)
    best = search.spread[int(np.argmax(worst))]
    pool = np.stack([best, _raised(search, best), _raised(search, search.region.origin)])
    found = conformity_of(search.windows, pool, acceptance_test=search.problem.acceptance_test)
    return np.asarray(pool[int(np.argmax(found.margins.min(axis=0, initial=np.inf)))])


def pulled_in(search: Search, end: Floats, anchor: Floats, slack: Slack) -> Floats | None:
    """Give a recipe that is kept, between one that may not be and one that is.

    Parameters
    ----------
    search : Search
        As `prepare_search` gives it.
    end : ndarray of float, shape (q,)
        Where a search ended.
    anchor : ndarray of float, shape (q,)
        The recipe of the spread with the most to spare.
    slack : Slack
        What is asked.

    Returns
    -------
    ndarray of float, shape (q,), or None
        The end itself where it is kept; None where not even the anchor is.
    """
    if slack.one(end) >= SLACK:
        return end
    if slack.one(anchor) < SLACK:
        return None
    pulled, parts = anchor, PULLS
    for _ in range(2):
        way = end + parts[:, None] * (anchor - end)
        found = conformity_of(search.windows, way, acceptance_test=search.problem.acceptance_test)
        first = int(np.argmax(slack.many(found) >= SLACK))
        if slack.one(way[first]) < SLACK:
            break
        pulled = way[first]
        parts = np.linspace(parts[max(first - 1, 0)], parts[first], FINER)
    return np.asarray(pulled)


def _raised(search: Search, start: Floats) -> Floats:
    region = search.region
    margins, slopes = margin_rows(search)
    free = region.free(start)
    count = free.size
    below = -np.ones((len(margins(free)), 1))
    flat = np.zeros((len(region.rows), 1))
    raised = _row(lambda z: margins(z[:count]) - z[count], lambda z: np.hstack([slopes(z[:count]), below]))
    faces = _row(lambda z: region.ends - region.rows @ z[:count], lambda z: np.hstack([-region.rows, flat]))
    direction = np.append(np.zeros(count), -1.0)
    begin = np.append(free, float(np.min(margins(free), initial=0.0)))
    end = _minimised(lambda z: -float(z[count]), lambda z: direction, begin, (raised, faces))
    return _inside(region, end[:count], start)


def _minimised(
    value: Callable[[Floats], float],
    slope: Callable[[Floats], Floats],
    start: Floats,
    constraints: Sequence[Constraint],
) -> Floats:
    if not start.size:
        return start
    from scipy.optimize import minimize  # slow to load

    options: Any = {"maxiter": ITERATIONS, "ftol": TOLERANCE}
    rows: Any = list(constraints)
    answer: Any = minimize(value, start, jac=slope, method="SLSQP", constraints=rows, options=options)
    return np.asarray(answer.x, dtype=float)


def _faces(region: RecipeRegion) -> Constraint:
    return _row(lambda u: region.ends - region.rows @ u, lambda u: -region.rows)


def _row(value: Callable[[Floats], Any], slope: Callable[[Floats], Any]) -> Constraint:
    return {"type": "ineq", "fun": value, "jac": slope}


def _inside(region: RecipeRegion, free: Floats, start: Floats) -> Floats:
    """Give the recipe at free coordinates, drawn towards the middle until it lies within every face."""
    if not np.isfinite(free).all():
        return start
    reach = region.rows @ free
    over = reach > region.ends
    shrink = float(np.min(region.ends[over] / reach[over], initial=1.0)) if over.any() else 1.0
    return region.recipe(free * shrink)
