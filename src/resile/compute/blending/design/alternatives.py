"""Recipes that cost nearly the same and differ most from one another."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from resile.compute.blending.design.conformity import conformity_of
from resile.compute.blending.design.search import SLACK, Search, objective_values, slack_of
from resile.records.blending.problem import Optimum

Floats = NDArray[np.float64]

STEPS = 24
"""Recipes along each way out from the best one."""
WAYS = 120
"""Ways out that are looked along."""


def different_recipes(
    search: Search,
    best: Optimum,
    *,
    probability: float | None,
    tolerance: float,
    count: int = 3,
    others: Sequence[Optimum] = (),
) -> tuple[tuple[float, ...], ...]:
    """Give the recipes that differ most among those nearly as good as the best.

    Parameters
    ----------
    search : Search
        As `prepare_search` gives it.
    best : Optimum
        The best recipe; always the first of those given.
    probability : float or None
        Probability asked for; None for expected values alone.
    tolerance : float
        How much worse the objective may be, in its own unit.
    count : int
        How many at most, the best one included.
    others : sequence of Optimum
        Further recipes that serve, of other sets of components.

    Returns
    -------
    tuple of tuple of float, shape (k, q)
        Recipes that are kept, as ratios; fewer where there are no more that differ.

    Notes
    -----
    From the best recipe straight ways lead to recipes spread over the region; along each the farthest
    recipe that still serves is a candidate. Of these the second is the one farthest from the first, the
    third the one whose smaller distance to the two is the largest (max-min). The distance is the largest
    change of any share, in parts of the range that the share has over the region, so that a part of a percent
    of an additive counts as much as a tenth of base binder.

    References
    ----------
    Max-min distance design: Johnson, Moore and Ylvisaker 1990, Journal of Statistical Planning and
    Inference 26, from memory (high). That near-optimal alternatives are worth showing: Brill 1979, Management
    Science 25, from memory (medium).
    """
    first = np.asarray(best.shares)
    candidates = _candidates(search, first, others)
    value = objective_values(search.problem, candidates) if _priced(search) else None
    found = conformity_of(search.windows, candidates, acceptance_test=search.problem.acceptance_test)
    kept = slack_of(search, probability).many(found) >= SLACK
    worst = best.objective + tolerance
    kept &= (1.0 - found.whole if value is None else value) <= worst
    scale = np.ptp(search.region.corners, axis=0)
    scale = np.where(scale > 1e-9, scale, np.inf)
    scale[~np.isfinite(scale)] = 1.0
    return _farthest(first, candidates[kept], scale, count)


def _priced(search: Search) -> bool:
    return search.problem.objective != "margin"


def _candidates(search: Search, first: Floats, others: Sequence[Optimum]) -> Floats:
    spread = search.spread
    if len(spread) > WAYS:
        spread = spread[np.linspace(0, len(spread) - 1, WAYS).astype(int)]
    parts = np.linspace(0.0, 1.0, STEPS + 1)[1:] ** 2  # closer steps near the best recipe
    ways = first + parts[None, :, None] * (spread - first)[:, None, :]
    further = np.array([one.shares for one in others]).reshape(-1, first.size)
    return np.concatenate([ways.reshape(-1, first.size), further])


def _farthest(first: Floats, recipes: Floats, scale: Floats, count: int) -> tuple[tuple[float, ...], ...]:
    chosen = [first]
    while len(chosen) < count and len(recipes):
        apart = np.stack([np.abs((recipes - one) / scale).max(axis=1) for one in chosen]).min(axis=0)
        place = int(np.argmax(apart))
        if apart[place] < 1e-3:
            break
        chosen.append(recipes[place])
    return tuple(tuple(float(share) for share in one) for one in chosen)
