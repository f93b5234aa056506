"""Components of variance of nested factors: each level of one lies within one level of the factor before."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

import numpy as np
from numpy.typing import ArrayLike, NDArray

from resile.compute.statistics.components.assembling import Terms
from resile.compute.statistics.finite import finite_row
from resile.errors import MeasurementError
from resile.records.laboratories import VarianceComponents

Floats = NDArray[np.float64]


def nested_components(
    values: ArrayLike,
    factors: Sequence[tuple[str, Sequence[str]]],
    *,
    coverage: float = 0.95,
    specimen: str = "",
) -> VarianceComponents:
    """Give the components of variance of nested factors.

    Parameters
    ----------
    values : array_like of float, shape (n,)
        Results in one unit.
    factors : sequence of (name, labels)
        From the outermost: operator, day within operator, …; one label a result. A label counts within the
        level of the factors before it. What is left below the last one (duplicates) is the residual.
    coverage : float
        Two-sided coverage of the intervals.
    specimen : str
        Factor that stands for the specimens; everything else is measurement. Empty for none.

    Returns
    -------
    VarianceComponents
        Every factor in order, then the residual; a negative estimate is kept as such beside the floor at
        zero.

    Raises
    ------
    MeasurementError
        Where a result is not finite, a factor has one level only, or nothing is left below the last factor.

    Notes
    -----
    Sums of squares between the means of nested cells. Numbers may differ: component j stands in mean square i
    with ``sum over cells c of j of n_c^2 (1/n_i(c) - 1/n_(i-1)(c)) / v_i``, where n_i(c) is the number of
    results of the level of factor i that holds c. Each factor is tested against the line after it; with
    unequal numbers that test is approximate below the residual.

    References
    ----------
    Searle, Casella and McCulloch, Variance Components (1992), unbalanced nested analysis of variance, from
    memory (high). One factor: NIST StRD analysis of variance.

    Examples
    --------
    >>> found = nested_components([1.0, 3.0, 5.0, 7.0], [("day", ["a", "a", "b", "b"])])
    >>> [round(one.variance, 6) for one in found.components]
    [7.0, 2.0]
    """
    x = finite_row(values, "components of variance")
    cells = _cells(len(x), factors)
    stages = [np.zeros(len(x), dtype=np.int64), *cells, np.arange(len(x))]
    names = [*(_name(factors, place) for place in range(len(factors))), "residual"]
    offset = float(x.mean())
    means = [_cell_means(x - offset, stage) for stage in stages]
    squares = np.array([float(np.sum((b - a) ** 2)) for a, b in pairwise(means)])
    levels = [len(np.unique(stage)) for stage in stages]
    freedom = np.diff(np.array(levels, dtype=float))
    for name, left in zip(names, freedom, strict=True):
        if left < 1.0:
            where = "below the last factor" if name == "residual" else f"of '{name}'"
            raise MeasurementError(
                f"components of variance: nothing can be told {where}: "
                "at least two levels within one are needed"
            )
    terms = Terms(tuple(names), squares, freedom, _expected(stages, freedom), (*range(1, len(names)), None))
    return terms.components_of(
        x,
        design="nested",
        coverage=coverage,
        specimen=specimen,
    )


def _name(factors: Sequence[tuple[str, Sequence[str]]], place: int) -> str:
    return factors[place][0] if place == 0 else f"{factors[place][0]} within {factors[place - 1][0]}"


def _cells(count: int, factors: Sequence[tuple[str, Sequence[str]]]) -> list[NDArray[np.int64]]:
    found: list[NDArray[np.int64]] = []
    before = [""] * count
    if not factors:
        raise MeasurementError("components of variance: at least one factor is needed")
    for name, labels in factors:
        if len(labels) != count:
            raise MeasurementError(f"components of variance: factor '{name}' needs one label for each result")
        before = [f"{a}\x1f{b}" for a, b in zip(before, labels, strict=True)]
        found.append(np.unique(before, return_inverse=True)[1])
    return found


def _cell_means(x: Floats, cells: NDArray[np.int64]) -> Floats:
    sums = np.bincount(cells, weights=x)
    return np.asarray((sums / np.bincount(cells))[cells])


def _sizes(cells: NDArray[np.int64]) -> Floats:
    """Give, for each result, how many results its cell holds."""
    return np.asarray(np.bincount(cells)[cells], dtype=float)


def _expected(stages: Sequence[NDArray[np.int64]], freedom: Floats) -> Floats:
    sizes = [_sizes(stage) for stage in stages]
    count = len(freedom)
    table = np.zeros((count, count))
    for i in range(count):
        for j in range(i, count):
            # A sum over cells of n_c^2 (…) is a sum over results of n_c (…).
            table[i, j] = np.sum(sizes[j + 1] * (1.0 / sizes[i + 1] - 1.0 / sizes[i])) / freedom[i]
    return table
