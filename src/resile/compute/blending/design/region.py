"""Where the shares of a recipe may lie: bounds, groups and the hull of the trials, as one polytope.

`recipe_region` makes it; it is kept in free coordinates ``x = origin + directions u`` in which the shares add
up to 1 by themselves, with all that binds as ``rows u <= ends``. `corner_recipes` gives its corners and
`spread_recipes` recipes spread over it, all of them inside by convexity.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from resile.compute.blending.surfaces.trial_hull import trial_hull
from resile.errors import MeasurementError
from resile.records.blending.problem import BlendProblem, ShareGroup

Floats = NDArray[np.float64]

FLAT = 1e-9
"""A range of shares narrower than this is a point."""
CRUMB = 1e-8
"""A share smaller than this, on either side of zero, is none."""
MOST_CORNERS = 4000


@dataclass(frozen=True, slots=True)
class RecipeRegion:
    """A polytope of recipes.

    Attributes
    ----------
    origin : ndarray of float, shape (q,)
        A recipe inside, as far from every face as can be.
    directions : ndarray of float, shape (q, d)
        Free directions, orthonormal; the shares of each add up to 0.
    rows : ndarray of float, shape (k, d)
        Faces.
    ends : ndarray of float, shape (k,)
        ``rows u <= ends``; none below zero.
    corners : ndarray of float, shape (v, q)
        Corner recipes.
    """

    origin: Floats
    directions: Floats
    rows: Floats
    ends: Floats
    corners: Floats

    def recipe(self, free: Floats) -> Floats:
        """Give the recipe at free coordinates."""
        return without_crumbs(self.origin + self.directions @ free)

    def free(self, shares: Floats) -> Floats:
        """Give the free coordinates of a recipe."""
        return np.asarray(self.directions.T @ (shares - self.origin), dtype=float)

    def holds(self, shares: ArrayLike, *, slack: float = 1e-7) -> NDArray[np.bool_]:
        """Tell which recipes lie inside; shape (m,)."""
        recipes = np.atleast_2d(np.asarray(shares, dtype=float))
        free = (recipes - self.origin) @ self.directions
        off_plane = np.abs(recipes - self.origin - free @ self.directions.T).max(axis=1)
        inside = np.all(free @ self.rows.T <= self.ends + slack, axis=1)
        return np.asarray(inside & (off_plane <= slack))


def without_crumbs(shares: ArrayLike) -> Floats:
    """Give recipes in which no share is below zero by rounding.

    Parameters
    ----------
    shares : array_like of float, shape (..., q)
        As ratios.

    Returns
    -------
    ndarray of float, shape (..., q)
        Shares a hair below zero are zero; what is really negative stays, to be seen.

    Examples
    --------
    >>> without_crumbs([1.0, -1e-9, -0.1]).tolist()
    [1.0, 0.0, -0.1]
    """
    given = np.asarray(shares, dtype=float)
    return np.where(np.abs(given) < CRUMB, 0.0, given)


def recipe_region(
    lower: ArrayLike,
    upper: ArrayLike,
    *,
    groups: Sequence[ShareGroup] = (),
    trials: Sequence[ArrayLike] = (),
) -> RecipeRegion | None:
    """Give the polytope of all recipes that bounds, groups and trials allow.

    Parameters
    ----------
    lower, upper : array_like of float, shape (q,)
        Bounds of the shares, as ratios.
    groups : sequence of ShareGroup
        Shares bounded together.
    trials : sequence of array_like of float, shape (n, q)
        Sets of trial blends; a recipe lies in the hull of each.

    Returns
    -------
    RecipeRegion or None
        None where no recipe satisfies all of it.

    Raises
    ------
    MeasurementError
        Where shapes do not fit.
    """
    low, high = np.asarray(lower, dtype=float), np.asarray(upper, dtype=float)
    if low.ndim != 1 or low.shape != high.shape:
        raise MeasurementError("recipe: needed are one lower and one upper bound for each component")
    count = low.size
    rows, ends = [np.eye(count), -np.eye(count)], [high, -low]
    planes, heights = [np.ones((1, count))], [np.ones(1)]
    for group in groups:
        member = np.zeros((1, count))
        member[0, list(group.members)] = 1.0
        rows += [member, -member]
        ends += [np.array([group.highest]), np.array([-group.lowest])]
    for points in _different(trials):
        hull_rows, hull_ends, hull_planes, hull_heights = trial_hull(points)
        rows.append(hull_rows)
        ends.append(hull_ends)
        planes.append(hull_planes)
        heights.append(hull_heights)
    fixed = np.flatnonzero(high - low < FLAT)
    planes.append(np.eye(count)[fixed])
    heights.append(low[fixed])
    return _in_free_coordinates(
        np.concatenate(rows), np.concatenate(ends), np.concatenate(planes), np.concatenate(heights)
    )


def region_of(problem: BlendProblem) -> RecipeRegion | None:
    """Give the region of a problem; see `recipe_region`."""
    trials = [surface.points for surface in problem.surfaces if surface.points]
    return recipe_region(
        problem.lower,
        problem.upper,
        groups=problem.groups,
        trials=trials if problem.within_trials else (),
    )


def spread_recipes(region: RecipeRegion, *, rng: np.random.Generator, count: int) -> Floats:
    """Give recipes spread over a region: its corners, its middle, and mixtures of corners.

    Parameters
    ----------
    region : RecipeRegion
        Where.
    rng : numpy.random.Generator
        Source of the draws.
    count : int
        Mixtures beside corners and middle.

    Returns
    -------
    ndarray of float, shape (m, q)
        Recipes, all inside.

    Notes
    -----
    Each mixture takes as many corners as the region has dimensions and one more, with weights spread evenly
    over their simplex, so that faces and edges are reached as well as the middle.
    """
    corners = region.corners
    some = min(len(corners), region.directions.shape[1] + 1)
    if some < 2:
        return np.concatenate([corners, region.origin[None, :]])
    chosen = rng.integers(0, len(corners), size=(count, some))
    weights = rng.dirichlet(np.ones(some), size=count)
    mixed = np.einsum("ns,nsq->nq", weights, corners[chosen])
    return np.concatenate([corners, region.origin[None, :], mixed])


def _different(trials: Sequence[ArrayLike]) -> list[Floats]:
    """Give the sets of trials that differ: most properties are tested on the same blends."""
    found: dict[bytes, Floats] = {}
    for points in trials:
        table = np.unique(np.round(np.atleast_2d(np.asarray(points, dtype=float)), 9), axis=0)
        found.setdefault(table.tobytes(), table)
    return list(found.values())


def _in_free_coordinates(rows: Floats, ends: Floats, planes: Floats, heights: Floats) -> RecipeRegion | None:
    count = planes.shape[1]
    _, sizes, axes = np.linalg.svd(planes, full_matrices=True)
    rank = int(np.sum(sizes > 1e-7))
    point = np.asarray(np.linalg.lstsq(planes, heights, rcond=None)[0], dtype=float)
    if np.abs(planes @ point - heights).max() > 1e-7:
        return None
    directions = axes[rank:].T
    inner, room = rows @ directions, ends - rows @ point
    length = np.linalg.norm(inner, axis=1)
    if np.any(room[length < 1e-9] < -1e-7):
        return None
    moving = length >= 1e-9
    inner, room = inner[moving] / length[moving, None], room[moving] / length[moving]
    if not directions.shape[1]:
        point = without_crumbs(point)
        return RecipeRegion(point, np.zeros((count, 0)), inner, room, point[None, :])
    found = _deepest(inner, room)
    if found is None:
        return None
    centre, radius = found
    origin = without_crumbs(point + directions @ centre)
    room = room - inner @ centre
    if radius <= FLAT:
        # Flat in some direction the planes did not name: what has no room on either side is an equality.
        tight = room < FLAT * 10.0
        return _flattened(origin, directions, inner, room, tight)
    corners = without_crumbs(origin + _corners(inner, room) @ directions.T)
    return RecipeRegion(origin, directions, inner, room, corners)


def _flattened(
    origin: Floats, directions: Floats, inner: Floats, room: Floats, tight: NDArray[np.bool_]
) -> RecipeRegion | None:
    """Give a region that is flat: the opposite faces that touch become planes."""
    faces = inner[tight]
    opposed = np.array([np.any(faces @ face < -1.0 + 1e-9) for face in faces], dtype=bool)
    if not opposed.any():  # it narrows to a point
        point = np.zeros((origin.size, 0))
        return RecipeRegion(origin, point, np.zeros((0, 0)), np.zeros(0), origin[None, :])
    _, sizes, axes = np.linalg.svd(faces[opposed], full_matrices=True)
    rank = int(np.sum(sizes > 1e-7))
    kept = directions @ axes[rank:].T
    rows, ends = inner @ axes[rank:].T, np.maximum(room, 0.0)
    length = np.linalg.norm(rows, axis=1)
    moving = length >= 1e-9
    rows, ends = rows[moving] / length[moving, None], ends[moving] / length[moving]
    if not kept.shape[1]:
        return RecipeRegion(origin, kept, rows, ends, origin[None, :])
    found = _deepest(rows, ends)
    if found is None or found[1] <= FLAT:
        return RecipeRegion(origin, kept[:, :0], np.zeros((0, 0)), np.zeros(0), origin[None, :])
    centre = found[0]
    middle, ends = origin + kept @ centre, ends - rows @ centre
    corners = without_crumbs(middle + _corners(rows, ends) @ kept.T)
    return RecipeRegion(middle, kept, rows, ends, corners)


def _deepest(rows: Floats, ends: Floats) -> tuple[Floats, float] | None:
    """Give the point farthest from every face, and that distance; None where nothing is inside."""
    from scipy.optimize import linprog

    free = rows.shape[1]
    value = np.zeros(free + 1)
    value[-1] = -1.0
    table = np.concatenate([rows, np.ones((len(rows), 1))], axis=1)
    answer = linprog(
        value, A_ub=table, b_ub=ends, bounds=[(None, None)] * free + [(None, 1.0)], method="highs"
    )
    if answer.x is None or answer.x[-1] < -1e-8:
        return None
    return np.asarray(answer.x[:-1], dtype=float), float(answer.x[-1])


def _corners(rows: Floats, ends: Floats) -> Floats:
    """Give the corners of a polytope that holds the origin inside; shape (v, d)."""
    if rows.shape[1] == 1:
        up, down = rows[:, 0] > 0.0, rows[:, 0] < 0.0
        return np.array([[np.min(ends[up])], [np.max(-ends[down])]])
    from scipy.spatial import ConvexHull

    # The corners of a polytope are the faces of the hull of its polar points.
    polar = rows / ends[:, None]
    faces = ConvexHull(polar).equations
    corners = np.unique(np.round(faces[:, :-1] / -faces[:, -1:], 12), axis=0)
    return corners[:MOST_CORNERS] if len(corners) > MOST_CORNERS else corners
