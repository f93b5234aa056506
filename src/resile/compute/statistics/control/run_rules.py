"""Where a rule about a run of points holds; vectorised, for charts and for simulated ones alike."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from resile.errors import MeasurementError
from resile.records.control.run_rule import RULE_KINDS, RunRule

Bools = NDArray[np.bool_]


def rule_holds(scores: ArrayLike, rule: RunRule) -> NDArray[np.int8]:
    """Say at which points a rule holds.

    Parameters
    ----------
    scores : array_like of float, shape (..., n)
        Distances from the centre line in standard deviations of what is plotted, in order of time.
    rule : RunRule
        What is looked for.

    Returns
    -------
    ndarray of int8, shape (..., n)
        1 where the rule holds for the run that ends there, above or rising; -1 below or falling; 0 elsewhere.
        A rule about both sides gives 1.

    Raises
    ------
    MeasurementError
        For a kind of rule that is not known, or numbers that make no rule.

    Notes
    -----
    ``beyond``: k of the last m points lie beyond the distance, on one side; a run that is shorter than m
    counts what there is. ``trend`` and ``alternating`` of m points compare m - 1 neighbours. A point on a
    line is not beyond it.

    Examples
    --------
    >>> rule = RunRule(name="a", kind="beyond", count=2, of=3, distance=2.0, sentence="")
    >>> rule_holds([0.0, 2.5, 0.1, 2.2, -2.5], rule).tolist()
    [0, 0, 0, 1, 0]
    """
    _check(rule)
    z = np.asarray(scores, dtype=float)
    if rule.kind == "beyond":
        above = _runs(z > rule.distance, rule.count, rule.of)
        below = _runs(z < -rule.distance, rule.count, rule.of)
        return above.astype(np.int8) - below.astype(np.int8)
    if rule.kind == "within":
        return _runs(np.abs(z) < rule.distance, rule.count, rule.of).astype(np.int8)
    if rule.kind == "outside":
        return _runs(np.abs(z) > rule.distance, rule.count, rule.of).astype(np.int8)
    steps = np.diff(z, axis=-1)
    if rule.kind == "trend":
        up = _runs(steps > 0.0, rule.of - 1, rule.of - 1)
        down = _runs(steps < 0.0, rule.of - 1, rule.of - 1)
        found = up.astype(np.int8) - down.astype(np.int8)
    else:
        turns = steps[..., 1:] * steps[..., :-1] < 0.0
        found = _late(_runs(turns, rule.of - 2, rule.of - 2).astype(np.int8))
    return _late(found)


def _check(rule: RunRule) -> None:
    if rule.kind not in RULE_KINDS:
        raise MeasurementError(f"run rule {rule.name}: {rule.kind!r} is not one of {', '.join(RULE_KINDS)}")
    fewest = {"trend": 2, "alternating": 3}.get(rule.kind, 1)
    if not fewest <= rule.of or not 1 <= rule.count <= rule.of or rule.distance < 0.0:
        raise MeasurementError(
            f"run rule {rule.name}: {rule.count} of {rule.of} points at {rule.distance:g} is no rule"
        )


def _runs(marked: Bools, count: int, of: int) -> Bools:
    """Say where `count` of the last `of` places are marked; before that, of as many as there are."""
    sums = np.cumsum(marked, axis=-1)
    earlier = np.zeros_like(sums)
    if marked.shape[-1] > of:
        earlier[..., of:] = sums[..., :-of]
    return np.asarray(sums - earlier >= count)


def _late(found: NDArray[np.int8]) -> NDArray[np.int8]:
    """Put a place in front: a comparison of neighbours belongs to the later one."""
    first = np.zeros((*found.shape[:-1], 1), dtype=np.int8)
    return np.concatenate([first, found], axis=-1)
