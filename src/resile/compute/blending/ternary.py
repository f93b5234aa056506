"""The lattice of a ternary picture, and the lines on it along which a property has one value.

`ternary_lattice` gives the points to work out; `level_lines` joins where a level is crossed between them.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from resile.errors import MeasurementError

Floats = NDArray[np.float64]
_MOST_DIVISIONS = 1000


def ternary_lattice(divisions: int) -> Floats:
    """Give the points of a triangular lattice as shares of three things.

    Parameters
    ----------
    divisions : int
        Steps from one corner to another, 1 to 1000.

    Returns
    -------
    ndarray of float, shape ((n + 1)(n + 2)/2, 3)
        Shares that add up to 1; row by row of the first share, from 0 to 1, and in a row by the second.

    Raises
    ------
    MeasurementError
        Where `divisions` cannot be used.

    Notes
    -----
    Points ``(i, j, n - i - j)/n``: the simplex lattice of Scheffé (1958), from memory (high).

    Examples
    --------
    >>> ternary_lattice(1).tolist()
    [[0.0, 0.0, 1.0], [0.0, 1.0, 0.0], [1.0, 0.0, 0.0]]
    """
    if not 1 <= divisions <= _MOST_DIVISIONS:
        raise MeasurementError(f"ternary lattice: {divisions} divisions; needed are 1 to {_MOST_DIVISIONS}")
    first, second = (grid.ravel() for grid in np.indices((divisions + 1, divisions + 1)))
    inside = first + second <= divisions
    first, second = first[inside], second[inside]
    return np.asarray(np.stack([first, second, divisions - first - second], axis=1) / divisions)


def level_lines(values: ArrayLike, divisions: int, level: float) -> list[Floats]:
    """Give the lines along which values on the lattice reach a level.

    Parameters
    ----------
    values : array_like of float, shape ((n + 1)(n + 2)/2,)
        In the order of `ternary_lattice`; none may be missing.
    divisions : int
        n of the lattice.
    level : float
        The value sought.

    Returns
    -------
    list of ndarray, shape (k, 3)
        Lines as shares, point by point; empty where the level is not crossed. A closed line ends where it
        begins.

    Raises
    ------
    MeasurementError
        Where a value is missing or their number does not fit the lattice.

    Notes
    -----
    Each small triangle is taken as a plane: on two of its edges the level lies at ``(level - a)/(b - a)`` of
    the way. A value at the level counts as above it.

    Examples
    --------
    >>> (line,) = level_lines(ternary_lattice(2)[:, 0], 2, 0.25)
    >>> line.round(3).tolist()
    [[0.25, 0.0, 0.75], [0.25, 0.25, 0.5], [0.25, 0.5, 0.25], [0.25, 0.75, 0.0]]
    """
    field = np.asarray(values, dtype=float)
    points = ternary_lattice(divisions)
    if field.shape != (len(points),) or not np.all(np.isfinite(field)):
        raise MeasurementError(f"ternary lattice: needed are {len(points)} values, none of them missing")
    above = field >= level
    neighbours: dict[tuple[int, int], list[tuple[int, int]]] = {}
    for corners in _triangles(divisions):
        mixed = above[corners].any() and not above[corners].all()
        if not mixed:
            continue
        a, b, c = (int(corner) for corner in corners)
        one, other = ((min(p, q), max(p, q)) for p, q in ((a, b), (b, c), (c, a)) if above[p] != above[q])
        neighbours.setdefault(one, []).append(other)
        neighbours.setdefault(other, []).append(one)

    def crossing(edge: tuple[int, int]) -> Floats:
        start, stop = edge
        part = (level - field[start]) / (field[stop] - field[start])
        return np.asarray(points[start] + part * (points[stop] - points[start]))

    return [np.array([crossing(edge) for edge in chain]) for chain in _chains(neighbours)]


def _triangles(divisions: int) -> NDArray[np.intp]:
    """Give the corners of every small triangle as places in the lattice."""
    starts = np.cumsum([0, *(divisions + 1 - row for row in range(divisions + 1))])
    found = []
    for row in range(divisions):
        here = starts[row] + np.arange(divisions - row)
        up = starts[row + 1] + np.arange(divisions - row)
        found.append(np.stack([here, here + 1, up], axis=1))
        found.append(np.stack([here[1:], up[1:], up[:-1]], axis=1))
    return np.concatenate(found)


def _chains(neighbours: dict[tuple[int, int], list[tuple[int, int]]]) -> list[list[tuple[int, int]]]:
    """Join edges that share a triangle: open lines from their ends first, then closed ones."""
    left = {edge: list(others) for edge, others in neighbours.items()}
    chains = []
    for start in sorted(left, key=lambda edge: (len(neighbours[edge]), edge)):
        if not left[start]:
            continue
        chain = [start]
        while left[chain[-1]]:
            here = chain[-1]
            there = left[here].pop(0)
            left[there].remove(here)
            chain.append(there)
        chains.append(chain)
    return chains
