"""The hull of trial blends: its faces for a search, and which recipes lie outside, to be told.

`trial_hull` gives equalities and inequalities; `outside_trials` holds recipes against them.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from resile.errors import MeasurementError
from resile.records.blending.surface import Surface

Floats = NDArray[np.float64]

SLACK = 1e-6
"""A share may lie so far outside before it is told: the last step of any dosing scale (own choice)."""
HULL_SLACK = 1e-9
"""A search may come so far outside: rounding."""
FLAT_SIZE = 1e-7
"""Trials that reach less far in a direction never moved in it."""
MOST_DIMENSIONS = 6
"""Up to so many free shares the hull is worked out as planes; above, linear programming asks each recipe."""


def trial_hull(points: ArrayLike) -> tuple[Floats, Floats, Floats, Floats]:
    """Give the hull of trial blends as equalities and inequalities.

    Parameters
    ----------
    points : array_like of float, shape (n, q)
        Shares, as ratios.

    Returns
    -------
    rows, ends : ndarray of float, shapes (k, q) and (k,)
        ``rows x <= ends``; each row of length 1, so that what it is missed by is a share.
    planes, heights : ndarray of float, shapes (e, q) and (e,)
        ``planes x = heights``: directions in which the trials never moved.

    Raises
    ------
    MeasurementError
        Where there is no point.

    Notes
    -----
    The trials are turned into the plane they span; in it the hull is a set of half-spaces (Barber, Dobkin and
    Huhdanpaa 1996, as scipy carries it).
    """
    given = np.unique(np.round(np.atleast_2d(np.asarray(points, dtype=float)), 12), axis=0)
    if not given.size:
        raise MeasurementError("trials: there is none to stay within")
    count = given.shape[1]
    middle = given.mean(axis=0)
    _, sizes, axes = np.linalg.svd(given - middle, full_matrices=True)
    rank = int(np.sum(sizes > FLAT_SIZE)) if sizes.size else 0
    kept, flat = axes[:rank], axes[rank:]
    if not rank:
        return np.zeros((0, count)), np.zeros(0), flat, flat @ middle
    inner = (given - middle) @ kept.T
    if rank == 1:
        rows, ends = np.array([[1.0], [-1.0]]), np.array([inner.max(), -inner.min()])
    else:
        from scipy.spatial import ConvexHull

        # Shares of an additive are small: the hull is built on unit scales.
        scale = np.abs(inner).max(axis=0)
        faces = np.unique(np.round(ConvexHull(inner / scale).equations, 10), axis=0)
        rows, ends = faces[:, :-1] / scale, -faces[:, -1]
    length = np.linalg.norm(rows, axis=1)
    rows, ends = rows / length[:, None] @ kept, ends / length
    return rows, ends + rows @ middle + HULL_SLACK, flat, flat @ middle


def outside_trials(surface: Surface, shares: ArrayLike) -> NDArray[np.bool_]:
    """Tell which recipes are not mixtures of the trial blends of this property.

    Parameters
    ----------
    surface : Surface
        As fitted; its points are the trials.
    shares : array_like of float, shape (m, q)
        Shares by mass, as ratios.

    Returns
    -------
    ndarray of bool, shape (m,)
        True outside the convex hull of the trials.

    Raises
    ------
    MeasurementError
        Where the shares do not fit the components.

    Notes
    -----
    A recipe off the plane that the trials span is outside, and so is one beyond a face of their hull
    (`trial_hull`). With more than six free shares, linear programming asks for each recipe whether weights
    exist.
    """
    points = np.asarray(surface.points, dtype=float)
    x = np.atleast_2d(np.asarray(shares, dtype=float))
    if points.ndim != 2 or x.ndim != 2 or x.shape[1] != points.shape[1]:
        raise MeasurementError(
            f"recipes: needed is a number for each of {len(surface.components)} components; "
            f"found shape {x.shape}"
        )
    if np.linalg.matrix_rank(points - points.mean(axis=0), tol=FLAT_SIZE) > MOST_DIMENSIONS:
        return _not_a_mixture(points, x)
    rows, ends, planes, heights = trial_hull(points)
    beyond = np.abs(x @ planes.T - heights).max(axis=1, initial=0.0) > SLACK
    for row, end in zip(rows, ends, strict=True):  # one at a time: recipes by faces would not fit into memory
        beyond |= x @ row > end + SLACK
    return np.asarray(beyond)


def _not_a_mixture(points: Floats, recipes: Floats) -> NDArray[np.bool_]:
    from scipy.optimize import linprog  # slow to load

    weights = np.vstack([points.T, np.ones(len(points))])
    blank = np.zeros(len(points))

    def status(recipe: Floats) -> int:
        """Give the answer of the solver: 2 where there are no such weights."""
        return int(linprog(blank, A_eq=weights, b_eq=np.append(recipe, 1.0), bounds=(0.0, 1.0)).status)

    return np.array([status(one) == 2 for one in recipes], dtype=bool)
