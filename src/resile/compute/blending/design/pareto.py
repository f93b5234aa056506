"""What certainty costs: the cheapest recipe for a ladder of probabilities of the whole grade."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from resile.compute.blending.design.optimum import best_recipe, surest_recipe
from resile.compute.blending.design.search import Search, objective_values
from resile.records.blending.problem import Optimum

LADDER = (0.5, 0.7, 0.8, 0.9, 0.95, 0.98, 0.99, 0.995, 0.999)
"""Probabilities of the picture."""


def pareto_recipes(
    search: Search,
    *,
    probabilities: Sequence[float] = LADDER,
    known: Sequence[tuple[float, Optimum]] = (),
) -> tuple[Optimum, ...]:
    """Give the best recipe for each of several probabilities, and the surest one.

    Parameters
    ----------
    search : Search
        As `prepare_search` gives it, with an objective other than margin.
    probabilities : sequence of float
        Probabilities of the whole grade; those beyond the surest recipe are left out.
    known : sequence of tuple of float and Optimum
        Best recipes that were found already, with their probability.

    Returns
    -------
    tuple of Optimum
        By rising probability, the surest recipe last; the objective never falls along it.

    Notes
    -----
    From the surest recipe downwards, each search starts at the one before: that recipe serves the lower
    probability too, so a lower probability is never dearer.
    """
    surest = surest_recipe(search)
    top = _priced(search, surest)
    found = [top]
    given = dict(known)
    for probability in sorted({*probabilities, *given}, reverse=True):
        if probability >= top.probability:
            continue
        starts = [found[-1].shares]
        if probability in given:
            starts.append(given[probability].shares)
        best = best_recipe(search, probability=probability, starts=starts)
        if best.feasible and best.objective < found[-1].objective - 1e-9:
            found.append(best)
    return tuple(reversed(found))


def _priced(search: Search, surest: Optimum) -> Optimum:
    value = float(objective_values(search.problem, np.asarray(surest.shares)[None, :])[0])
    return replace(surest, objective=value, feasible=True)
