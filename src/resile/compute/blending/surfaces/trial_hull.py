"""Which recipes lie outside the trials of a property, so that extrapolation is told."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from resile.errors import MeasurementError
from resile.records.blending.surface import Surface

Floats = NDArray[np.float64]

SLACK = 1e-6
"""A share may lie so far outside before it is told: the last step of any dosing scale (own choice)."""
MOST_DIMENSIONS = 6
"""Up to so many free shares the hull is worked out as planes; above, linear programming asks each recipe."""


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
    The trials are turned into the plane they span; a recipe off that plane is outside. In the plane the
    hull is a set of half-spaces (Barber, Dobkin and Huhdanpaa 1996, as scipy carries it), which all recipes
    are held against at once. With more than six free shares, linear programming asks for each recipe
    whether weights exist.
    """
    points = np.asarray(surface.points, dtype=float)
    x = np.atleast_2d(np.asarray(shares, dtype=float))
    if points.ndim != 2 or x.ndim != 2 or x.shape[1] != points.shape[1]:
        raise MeasurementError(
            f"recipes: needed is a number for each of {len(surface.components)} components; "
            f"found shape {x.shape}"
        )
    centre = points.mean(axis=0)
    _, sizes, axes = np.linalg.svd(points - centre, full_matrices=True)
    spanned = int((sizes > SLACK).sum())
    along, across = (x - centre) @ axes[:spanned].T, (x - centre) @ axes[spanned:].T
    off = np.abs(across).max(axis=1, initial=0.0) > SLACK
    flat = (points - centre) @ axes[:spanned].T
    if spanned == 0:
        return np.asarray(off)
    if spanned == 1:
        low, high = flat[:, 0].min() - SLACK, flat[:, 0].max() + SLACK
        return np.asarray(off | (along[:, 0] < low) | (along[:, 0] > high))
    return np.asarray(off | (_beyond_planes if spanned <= MOST_DIMENSIONS else _not_a_mixture)(flat, along))


def _beyond_planes(points: Floats, recipes: Floats) -> NDArray[np.bool_]:
    from scipy.spatial import ConvexHull  # slow to load

    planes = np.unique(np.round(ConvexHull(points).equations, 12), axis=0)
    beyond = np.zeros(len(recipes), dtype=bool)
    for plane in planes:  # one plane at a time: recipes by planes would not fit into memory
        beyond |= recipes @ plane[:-1] + plane[-1] > SLACK
    return beyond


def _not_a_mixture(points: Floats, recipes: Floats) -> NDArray[np.bool_]:
    from scipy.optimize import linprog  # slow to load

    weights = np.vstack([points.T, np.ones(len(points))])
    return np.array(
        [
            linprog(np.zeros(len(points)), A_eq=weights, b_eq=np.append(one, 1.0), bounds=(0.0, 1.0)).status
            == 2
            for one in recipes
        ],
        dtype=bool,
    )
