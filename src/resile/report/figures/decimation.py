"""Fewer points without losing what decides: turning points of every bucket and the named instants stay."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

MOST_POINTS = 2000


def kept_points(
    times: NDArray[np.float64],
    values: NDArray[np.float64],
    decisive_s: list[float],
    *,
    most: int = MOST_POINTS,
) -> NDArray[np.intp]:
    """Give the places of the points to draw.

    Parameters
    ----------
    times, values : ndarray of float, shape (n,)
        Running time [s] and the drawn value.
    decisive_s : list of float
        Instants [s] whose nearest points always stay (start, end of creep, end of recovery).
    most : int
        Most points kept, decisive ones included.

    Returns
    -------
    ndarray of int, shape (m,)
        Ascending; m is at most `most`.
    """
    count = len(times)
    if count <= most:
        return np.arange(count)
    keep = np.zeros(count, dtype=bool)
    keep[[0, count - 1]] = True
    after = np.clip(np.searchsorted(times, decisive_s), 1, count - 1)
    # A push is a corner: the points on both sides of a decisive instant stay, or the corner would be cut.
    keep[after] = True
    keep[after - 1] = True
    room = most - int(keep.sum())
    if room >= 2:
        edges = np.linspace(0, count, room // 2 + 1).astype(int)
        for first, last in pairwise(edges.tolist()):
            part = values[first:last]
            keep[first + int(part.argmin())] = True
            keep[first + int(part.argmax())] = True
    return np.flatnonzero(keep)
