"""Find the pushes of a creep-recovery record: the stretches of rows in which the stress is on.

What is in here: `find_pushes` gives the first and last loaded row of every push; `creep_steps.find_cycles`
makes cycles of them. `over_cycles` sums, or takes the least or largest, cycle by cycle.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from resile.errors import MeasurementError
from resile.records.creep_recovery import CreepRecoveryProgramme

Floats = NDArray[np.float64]
Integers = NDArray[np.intp]

SHORTEST_PUSH = 0.3
"""A loaded stretch shorter than this share of the creep time is a spike, not a push (common practice)."""

FAINT_STRESS = 0.1
"""Stresses down to this share of the lowest nominal one are looked through for pushes (common practice)."""

FEWEST_FAINT = 3
"""So many steady pushes of the creep time make a faint stress a level and no noise (common practice)."""


def find_pushes(
    time_s: Floats, stress: Floats, programme: CreepRecoveryProgramme
) -> tuple[Integers, Integers]:
    """Give the index of the first and last loaded point of every push.

    Parameters
    ----------
    time_s, stress : ndarray, shape (n,)
        Running time [s] in order and stress [kPa].
    programme : CreepRecoveryProgramme
        Nominal times and stresses.

    Returns
    -------
    tuple of (ndarray of int, ndarray of int), each of shape (pushes,)
        First and last loaded row of each push.

    Raises
    ------
    MeasurementError
        When no push is found.
    """
    amplitude = float(stress.max(initial=0.0))
    if amplitude <= 0.0:
        raise MeasurementError("the stress is never above zero: no push is found; is it the stress column?")
    lowest, highest = min(programme.stresses_kpa), max(programme.stresses_kpa)
    threshold = 0.5 * lowest
    if not 1.5 * threshold <= amplitude <= 10.0 * highest:  # another unit: keep the proportion
        threshold *= amplitude / highest
    first, last = _stretches(stress > _faint_threshold(time_s, stress, threshold, programme))
    # Half of each push's own mean, so that a slow rise or fall of a high stress is not taken for the push.
    half_mean = 0.5 * over_cycles(np.add, stress, first, last) / (last + 1 - first)
    if (over_cycles(np.minimum, stress, first, last) < half_mean).any():
        points = np.diff(np.concatenate(([0], first[1:], [len(stress)])))
        first, last = _stretches(stress > np.maximum(np.repeat(half_mean, points), threshold))
    return _join_and_drop(time_s, first, last, programme)


def _faint_threshold(
    time_s: Floats, stress: Floats, threshold: float, programme: CreepRecoveryProgramme
) -> float:
    """Give the stress above which a row is loaded: a lower one where faint levels precede the nominal ones.

    Eleven-level programmes start at a quarter of the usual lowest stress. Steady stretches as long as a
    push are such levels; noise and the slow fall of a high stress are not.
    """
    faint = FAINT_STRESS * min(programme.stresses_kpa)
    if faint >= threshold or not ((stress > faint) & (stress <= threshold)).any():
        return threshold
    first, last = _stretches(stress > faint)
    highest = over_cycles(np.maximum, stress, first, last)
    lowest = over_cycles(np.minimum, stress, first, last)
    before = time_s[np.maximum(first - 1, 0)]
    after = time_s[np.minimum(last + 1, len(time_s) - 1)]
    inner, outer = time_s[last] - time_s[first], after - before
    fits = (inner <= 1.1 * programme.creep_time_s) & (outer >= 0.9 * programme.creep_time_s)
    steady = (highest <= threshold) & (lowest > 0.5 * highest) & fits
    return faint if np.count_nonzero(steady) >= FEWEST_FAINT else threshold


def _stretches(loaded: NDArray[np.bool_]) -> tuple[Integers, Integers]:
    edges = np.flatnonzero(np.diff(loaded.view(np.int8)))
    first = edges[~loaded[edges]] + 1
    last = edges[loaded[edges]]
    if loaded[0]:
        first = np.concatenate(([0], first))
    if loaded[-1]:
        last = np.concatenate((last, [len(loaded) - 1]))
    return first, last


def _join_and_drop(
    time_s: Floats, first: Integers, last: Integers, programme: CreepRecoveryProgramme
) -> tuple[Integers, Integers]:
    """Join pushes that a drop-out split, and leave out spikes."""
    shortest = SHORTEST_PUSH * programme.creep_time_s
    apart = time_s[first[1:]] - time_s[last[:-1]] > shortest
    first = first[np.concatenate(([True], apart))]
    last = last[np.concatenate((apart, [True]))]
    before = time_s[np.maximum(first - 1, 0)]
    if first[0] == 0 and np.count_nonzero(first == last) > 0.5 * len(first):
        before[0] = -np.inf  # only the ends of creep are recorded: the first row is one, not a spike
    after = time_s[np.minimum(last + 1, len(time_s) - 1)]
    long_enough = (after - before > shortest) | (time_s[last] - time_s[first] > shortest)
    if not long_enough.any():
        raise MeasurementError(
            f"no push of about {programme.creep_time_s:g} s is found in the stress; "
            "is it a creep-recovery record?"
        )
    return first[long_enough], last[long_enough]


def over_cycles(function: np.ufunc, values: Floats, begin: Integers, end: Integers) -> Floats:
    """Reduce the values of each cycle by a function such as ``numpy.add``.

    Parameters
    ----------
    function : numpy.ufunc
        Of two arguments.
    values : ndarray, shape (n,)
        One value a row.
    begin, end : ndarray of int, shape (cycles,)
        First and last row of each cycle; the cycles follow one another.

    Returns
    -------
    ndarray, shape (cycles,)
        One value a cycle.
    """
    edges = np.column_stack((begin, end + 1)).ravel()
    reduced: Floats = function.reduceat(values, edges[:-1] if edges[-1] == len(values) else edges)[::2]
    return reduced
