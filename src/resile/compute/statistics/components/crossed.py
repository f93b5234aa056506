"""Components of variance of crossed factors: each level of one with each of the others, equally often."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from resile.compute.statistics.components.assembling import Terms
from resile.compute.statistics.finite import finite_row
from resile.errors import MeasurementError
from resile.records.laboratories import VarianceComponents

Floats = NDArray[np.float64]
_MOST_FACTORS = 4


def crossed_components(
    values: ArrayLike,
    factors: Sequence[tuple[str, Sequence[str]]],
    *,
    coverage: float = 0.95,
    specimen: str = "",
) -> VarianceComponents:
    """Give the components of variance of crossed random factors with all their interactions.

    Parameters
    ----------
    values : array_like of float, shape (n,)
        Results in one unit.
    factors : sequence of (name, labels)
        Two to four; one label a result.
    coverage : float
        Two-sided coverage of the intervals.
    specimen : str
        Factor that stands for the specimens; everything without it is measurement, its interactions too.
        Empty for none.

    Returns
    -------
    VarianceComponents
        Factors, interactions, then the residual. Without replicates the highest interaction is the residual.

    Raises
    ------
    MeasurementError
        Where a result is not finite, the cells do not hold equal numbers of results (use the nested one, or
        leave results out knowingly), or a factor has one level only.

    Notes
    -----
    Balanced random model: component T stands in mean square S, for S within T, as often as one cell of T has
    results. A term is tested against the single term that exactly fits, where there is one.

    References
    ----------
    Searle, Casella and McCulloch, Variance Components (1992), from memory (high); crossed gauge studies.

    Examples
    --------
    >>> labels = [("sample", list("aabb")), ("operator", list("xyxy"))]
    >>> [one.source for one in crossed_components([1.0, 2.0, 5.0, 6.5], labels).components]
    ['sample', 'operator', 'residual']
    """
    x, coded, levels = _coded(values, factors)
    count = len(levels)
    replicates = len(x) // int(np.prod(levels))
    offset = float(x.mean())
    table = _table(x - offset, coded, levels, replicates)
    subsets = [one for size in range(1, count + 1) for one in combinations(range(count), size)]
    if replicates == 1:
        subsets = subsets[:-1]
    squares, freedom = _sums_of_squares(table, subsets, levels)
    within = float(np.sum(table**2)) - float(squares.sum())
    left = float(len(x) - 1) - float(freedom.sum())
    names = [" × ".join(factors[place][0] for place in one) for one in subsets]
    expected = _expected(subsets, levels, len(x))
    terms = Terms(
        (*names, "residual"),
        np.append(squares, max(within, 0.0)),
        np.append(freedom, left),
        expected,
        tuple(_tested_by(expected, row) for row in range(len(expected))),
    )
    return terms.components_of(
        x,
        design="crossed",
        coverage=coverage,
        specimen=specimen,
    )


def _coded(
    values: ArrayLike, factors: Sequence[tuple[str, Sequence[str]]]
) -> tuple[Floats, list[NDArray[np.int64]], list[int]]:
    x = finite_row(values, "components of variance")
    if not 2 <= len(factors) <= _MOST_FACTORS:
        raise MeasurementError(f"components of crossed factors: two to {_MOST_FACTORS} factors are taken")
    coded = []
    for name, labels in factors:
        if len(labels) != len(x):
            raise MeasurementError(f"components of variance: factor '{name}' needs one label for each result")
        coded.append(np.unique(list(labels), return_inverse=True)[1])
    levels = [int(one.max()) + 1 for one in coded]
    for (name, _), found in zip(factors, levels, strict=True):
        if found < 2:
            raise MeasurementError(
                f"components of variance: factor '{name}' has one level; two or more are needed"
            )
    cells = np.bincount(np.ravel_multi_index(coded, levels), minlength=int(np.prod(levels)))
    if np.any(cells != cells[0]):
        raise MeasurementError(
            f"components of crossed factors: every combination needs the same number of results; found "
            f"{cells.min()} to {cells.max()}"
        )
    return x, coded, levels


def _table(x: Floats, coded: Sequence[NDArray[np.int64]], levels: Sequence[int], replicates: int) -> Floats:
    order = np.argsort(np.ravel_multi_index(list(coded), tuple(levels)), kind="stable")
    return np.asarray(x[order].reshape(*levels, replicates))


def _sums_of_squares(
    table: Floats, subsets: Sequence[tuple[int, ...]], levels: Sequence[int]
) -> tuple[Floats, Floats]:
    """Give the sum of squares of every effect, each what its means show beyond the effects within it."""
    axes = set(range(table.ndim))
    effects: dict[tuple[int, ...], Floats] = {}
    squares, freedom = [], []
    for one in subsets:
        effect = table.mean(axis=tuple(axes - set(one)), keepdims=True)
        for other, found in effects.items():
            if set(other) < set(one):
                effect = effect - found
        effects[one] = effect
        squares.append(float(np.sum(effect**2)) * table.size / effect.size)
        freedom.append(float(np.prod([levels[place] - 1 for place in one])))
    return np.array(squares), np.array(freedom)


def _expected(subsets: Sequence[tuple[int, ...]], levels: Sequence[int], count: int) -> Floats:
    size = len(subsets)
    table = np.zeros((size + 1, size + 1))
    table[:, -1] = 1.0
    for i, inner in enumerate(subsets):
        for j, outer in enumerate(subsets):
            if set(inner) <= set(outer):
                table[i, j] = count / float(np.prod([levels[place] for place in outer]))
    return table


def _tested_by(expected: Floats, row: int) -> int | None:
    """Give the line whose expectation is that of `row` without its own component, if there is one."""
    wanted = expected[row].copy()
    if row == len(expected) - 1:
        return None
    wanted[row] = 0.0
    return next((place for place, line in enumerate(expected) if np.allclose(line, wanted)), None)
