"""Which binder serves which demanded grade, and in which order of cost: arrays of binders by grades.

Use `grades_that_cover` once a specification, `serving_probability` for the probability that a binder serves a
demand under one of its labels, `ranking_by_cost` for the order, and `choice_of_sites` to bring it to sites.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from numpy.typing import ArrayLike, NDArray

from resile.errors import MeasurementError

Floats = NDArray[np.float64]
Booleans = NDArray[np.bool_]
Integers = NDArray[np.int64]

NOBODY = -1
"""In place of a binder: no binder serves."""
SITES_AT_ONCE = 65_536


def grades_that_cover(high_c: ArrayLike, rank: ArrayLike, low_c: ArrayLike) -> Booleans:
    """Tell which grade asks for at least as much as which other.

    Parameters
    ----------
    high_c, low_c : array_like of float, shape (g,)
        The two ends of every grade [°C].
    rank : array_like of int, shape (g,)
        Severity of its class; higher is more severe.

    Returns
    -------
    ndarray of bool, shape (g, g)
        ``[i, j]`` is True where a binder that carries grade i may be used where grade j is asked for.

    Raises
    ------
    MeasurementError
        Where the three do not fit together.

    Notes
    -----
    At least as hot, at least as severe and at least as cold. Every grade covers itself.
    """
    high, low = np.asarray(high_c, dtype=float), np.asarray(low_c, dtype=float)
    severity = np.asarray(rank, dtype=float)
    if high.ndim != 1 or high.shape != low.shape or high.shape != severity.shape:
        raise MeasurementError("grades: needed are as many high ends as classes and low ends")
    if not (np.isfinite(high).all() and np.isfinite(low).all() and np.isfinite(severity).all()):
        raise MeasurementError("grades: every end and rank must be a finite number")
    hot = high[:, None] >= high[None, :]
    return hot & (severity[:, None] >= severity[None, :]) & (low[:, None] <= low[None, :])


def serving_probability(probability: ArrayLike, covers: ArrayLike) -> tuple[Floats, Integers]:
    """Give the probability that a binder serves a demand under the best of its labels.

    Parameters
    ----------
    probability : array_like of float, shape (b, g)
        That binder b holds every requirement of grade g; 0 where that is not known.
    covers : array_like of bool, shape (g, g)
        As `grades_that_cover` gives it.

    Returns
    -------
    serving : ndarray of float, shape (b, g)
        For demand g: the largest probability among the grades that cover it.
    label : ndarray of int, shape (b, g)
        Which grade that is; the demanded one itself where it is as probable as any.

    Raises
    ------
    MeasurementError
        Where shapes do not fit, or a number is no probability.

    Notes
    -----
    One label proves the demand, whichever, so the best counts; the labels of one binder hang together and
    are not combined. A stiffer demand is covered by fewer grades: its probability is never larger.
    """
    chance, covering = _probabilities(probability), np.asarray(covers, dtype=bool)
    if chance.ndim != 2 or covering.shape != (chance.shape[1], chance.shape[1]):
        raise MeasurementError("serving: needed are binders by grades, and grades by grades")
    # A nudge in favour of the demanded grade: among equals its own label is the natural one.
    own = np.eye(covering.shape[0])
    label = np.empty(chance.shape, dtype=np.int64)
    for binder, row in enumerate(chance):
        reached = np.where(covering, row[:, None] + own * 1e-12, -1.0)
        label[binder] = reached.argmax(axis=0)
    return np.take_along_axis(chance, label, axis=1), label


def ranking_by_cost(
    serving: ArrayLike, price: ArrayLike, *, required: float, available: ArrayLike | None = None
) -> tuple[Integers, Integers]:
    """Order the binders that serve each demand, cheapest first.

    Parameters
    ----------
    serving : array_like of float, shape (b, g)
        As `serving_probability` gives it.
    price : array_like of float, shape (b,)
        Price per tonne; infinite where not known.
    required : float
        Probability asked for, above 0 and below 1.
    available : array_like of bool, shape (b,), optional
        False for a binder that cannot be had; all can where left out.

    Returns
    -------
    order : ndarray of int, shape (b, g)
        Column by column the binders that serve, cheapest first, then -1.
    count : ndarray of int, shape (g,)
        How many serve.

    Raises
    ------
    MeasurementError
        Where shapes do not fit or a number cannot be used.

    Notes
    -----
    Of two at one price the more probable comes first, then the one listed first.
    """
    chance, cost = _probabilities(serving), np.asarray(price, dtype=float)
    if not 0.0 < required < 1.0:
        raise MeasurementError(f"required probability {required:g}: needed is one above 0 and below 1")
    if chance.ndim != 2 or cost.shape != chance.shape[:1] or np.isnan(cost).any() or np.any(cost < 0.0):
        raise MeasurementError("ranking: needed is one price a binder, not below zero")
    usable = np.ones(cost.size, dtype=bool) if available is None else np.asarray(available, dtype=bool)
    serves = (chance >= required) & usable[:, None]
    listed = np.broadcast_to(np.arange(cost.size)[:, None], chance.shape)
    keys = (listed, -chance, np.broadcast_to(cost[:, None], chance.shape), ~serves)
    order = np.lexsort(keys, axis=0)
    count = serves.sum(axis=0)
    return np.where(np.arange(cost.size)[:, None] < count[None, :], order, NOBODY), count


def choice_of_sites(
    demand: ArrayLike, order: ArrayLike, *, at_once: int = SITES_AT_ONCE
) -> Iterator[tuple[slice, Integers]]:
    """Bring the ranking of each demand to the sites that ask for it, some sites at a time.

    Parameters
    ----------
    demand : array_like of int, shape (n,)
        Which grade each site asks for; -1 where no grade of the specification reaches.
    order : array_like of int, shape (b, g)
        As `ranking_by_cost` gives it.
    at_once : int
        Sites handled together: bounds the memory.

    Yields
    ------
    places : slice
        Which sites.
    ranked : ndarray of int, shape (len, b)
        Their binders, cheapest first, then -1.

    Raises
    ------
    MeasurementError
        Where a site asks for a grade that there is not.
    """
    asked, ranks = np.asarray(demand), np.asarray(order)
    if ranks.ndim != 2 or np.any(asked >= ranks.shape[1]) or np.any(asked < NOBODY):
        raise MeasurementError("sites: a site asks for a grade that is not among the demands")
    for start in range(0, asked.size, at_once):
        some = asked[start : start + at_once]
        ranked = np.where((some == NOBODY)[:, None], NOBODY, ranks.T[some])
        yield slice(start, start + some.size), ranked


def _probabilities(values: ArrayLike) -> Floats:
    chance = np.asarray(values, dtype=float)
    if not np.isfinite(chance).all() or np.any(chance < 0.0) or np.any(chance > 1.0):
        raise MeasurementError("probability: every one must lie between 0 and 1")
    return chance
