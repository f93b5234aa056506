"""Which determinations are of one temperature, and their means.

Use `replicate_groups` first, then `group_means` and, where the laboratory's own scatter counts,
`group_spreads`.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike, NDArray

from resile.errors import MeasurementError

_SLACK_C = 1e-9


def replicate_groups(
    families: ArrayLike, temperatures_c: ArrayLike, *, tolerance_c: float
) -> NDArray[np.int64]:
    """Number the determinations so that those of one family at one temperature have one number.

    Parameters
    ----------
    families : array_like of int, shape (n,)
        Number of what belongs together but for the temperature: sample, residue, quantity.
    temperatures_c : array_like of float, shape (n,)
        Test temperatures [°C]; not-a-number where there is none, which is a temperature of its own.
    tolerance_c : float
        Determinations this near to the first of a group belong to it [°C].

    Returns
    -------
    ndarray of int, shape (n,)
        Numbers from 0, in the order in which the groups first appear.

    Raises
    ------
    MeasurementError
        Where the shapes differ or the tolerance is negative.

    Notes
    -----
    In the order given, a determination joins the first group of its family whose first member is near
    enough, else opens one. Where the temperatures of a family fall into heaps no wider than the tolerance and
    farther apart than it, that is the same as taking the heaps; only families where it is not are gone
    through one by one.

    References
    ----------
    Own rule, the same as of `resile.judge.results.results.results_from_determinations`.

    Examples
    --------
    >>> replicate_groups([0, 0, 1, 0], [64.0, 70.0, 64.0, 64.05], tolerance_c=0.1).tolist()
    [0, 1, 2, 0]
    """
    family, t = np.asarray(families, dtype=np.int64), np.asarray(temperatures_c, dtype=float)
    if family.ndim != 1 or family.shape != t.shape or tolerance_c < 0.0:
        raise MeasurementError("replicates: one family and one temperature a determination are needed")
    if not family.size:
        return np.zeros(0, dtype=np.int64)
    order = np.lexsort((t, family))
    f, sorted_t = family[order], t[order]
    # A temperature that is not given sorts last; two of them are one heap.
    apart = np.diff(sorted_t) > tolerance_c + _SLACK_C
    apart |= np.isnan(sorted_t[1:]) != np.isnan(sorted_t[:-1])
    starts = np.concatenate(([True], (np.diff(f) != 0) | apart))
    heap = np.cumsum(starts) - 1
    first = sorted_t[np.flatnonzero(starts)]
    ends = np.append(np.flatnonzero(starts)[1:], f.size) - 1
    wide = (sorted_t[ends] - first) > tolerance_c + _SLACK_C
    found = np.empty(f.size, dtype=np.int64)
    found[order] = heap
    if wide.any():
        for one in np.unique(f[np.flatnonzero(wide[heap])]).tolist():
            places = np.flatnonzero(family == one)
            found[places] = f.size + places[_one_by_one(t[places], tolerance_c)]
    return _by_appearance(found)


def _one_by_one(temperatures: NDArray[np.float64], tolerance_c: float) -> NDArray[np.int64]:
    """Give for each the place of the first member of its group."""
    heads: list[tuple[int, float]] = []
    found = np.empty(temperatures.size, dtype=np.int64)
    for place, t in enumerate(temperatures.tolist()):
        fits = (
            head
            for head, of in heads
            if (math.isnan(of) and math.isnan(t)) or abs(of - t) <= tolerance_c + _SLACK_C
        )
        head = next(fits, place)
        if head == place:
            heads.append((place, t))
        found[place] = head
    return found


def _by_appearance(numbers: NDArray[np.int64]) -> NDArray[np.int64]:
    _, first, inverse = np.unique(numbers, return_index=True, return_inverse=True)
    rank = np.empty(first.size, dtype=np.int64)
    rank[np.argsort(first, kind="stable")] = np.arange(first.size)
    return rank[inverse.reshape(-1)]


def group_means(values: ArrayLike, groups: ArrayLike) -> NDArray[np.float64]:
    """Give the mean of each group, each sum rounded once.

    Parameters
    ----------
    values : array_like of float, shape (n,)
        Finite numbers.
    groups : array_like of int, shape (n,)
        Numbers of the groups, from 0 to g - 1, each with at least one value.

    Returns
    -------
    ndarray of float, shape (g,)
        Means.

    Raises
    ------
    MeasurementError
        Where a value is not finite or a group is empty.

    References
    ----------
    By definition; sums as of `math.fsum`, so that the order within a group does not matter.

    Examples
    --------
    >>> group_means([1.0, 2.0, 4.0], [0, 0, 1]).tolist()
    [1.5, 4.0]
    """
    x, starts, counts = _sorted(values, groups)
    sums = x[starts].copy()
    two = counts == 2
    sums[two] = x[starts[two]] + x[starts[two] + 1]
    several = np.flatnonzero(counts > 2)
    for group in several.tolist():
        start = int(starts[group])
        sums[group] = math.fsum(x[start : start + int(counts[group])].tolist())
    return np.asarray(sums / counts)


def group_spreads(values: ArrayLike, groups: ArrayLike) -> NDArray[np.float64]:
    """Give the standard deviation of each group.

    Parameters
    ----------
    values : array_like of float, shape (n,)
        Finite numbers.
    groups : array_like of int, shape (n,)
        Numbers of the groups, from 0 to g - 1, each with at least one value.

    Returns
    -------
    ndarray of float, shape (g,)
        Not-a-number for a single value.

    Raises
    ------
    MeasurementError
        Where a value is not finite or a group is empty.

    References
    ----------
    By definition, with n - 1; ISO 3534-1.

    Examples
    --------
    >>> group_spreads([1.0, 3.0, 4.0], [0, 0, 1]).round(6).tolist()
    [1.414214, nan]
    """
    x, starts, counts = _sorted(values, groups)
    means = group_means(values, groups)
    squares = np.add.reduceat((x - np.repeat(means, counts)) ** 2, starts)
    several = counts > 1
    return np.where(several, np.sqrt(squares / np.where(several, counts - 1, 1)), np.nan)


def _sorted(
    values: ArrayLike, groups: ArrayLike
) -> tuple[NDArray[np.float64], NDArray[np.int64], NDArray[np.int64]]:
    x, group = np.asarray(values, dtype=float), np.asarray(groups, dtype=np.int64)
    if not np.isfinite(x).all():
        raise MeasurementError("replicates: every value must be a finite number")
    order = np.argsort(group, kind="stable")
    counts = np.bincount(group) if group.size else np.zeros(0, dtype=np.int64)
    if np.any(counts == 0):
        raise MeasurementError("replicates: a group without a value has no mean")
    starts = np.concatenate(([0], np.cumsum(counts)[:-1])) if counts.size else counts
    return x[order], starts, counts
