"""Time that restarts in each step is made running; disorder is put in order; repeated rows are dropped."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import ArrayLike, NDArray

PROGRAMME_STEPS_S = (1.0, 9.0, 10.0)
"""Creep, recovery and cycle of the usual programme: AASHTO R 92:2018, section 4.2."""
STEP_TOLERANCE_S = 0.3
"""How far a step may end from the programme's length; recovery window of AASHTO TP 70-09, from memory."""
NEAR_ZERO_S = 0.5
_SCATTER = 10


@dataclass(frozen=True, slots=True)
class RunningTime:
    """Rows in running time.

    Attributes
    ----------
    time_s : ndarray of float, shape (m,)
        Running time [s] of the kept rows, never falling.
    order : ndarray of int, shape (m,)
        Which of the given rows they are.
    starts : tuple of int
        Place in `order` at which each step after a restart begins; empty where time never restarts.
    reordered, repeated : int
        Points put in order; exact repeats dropped.
    remarks : tuple of str
        The same in words.
    """

    time_s: NDArray[np.float64]
    order: NDArray[np.int64]
    starts: tuple[int, ...] = ()
    reordered: int = 0
    repeated: int = 0
    remarks: tuple[str, ...] = ()


def find_restarts(time_s: ArrayLike) -> NDArray[np.int64]:
    """Find the rows at which time starts again.

    Parameters
    ----------
    time_s : array_like of float, shape (n,)
        Time as printed, in s.

    Returns
    -------
    ndarray of int
        Rows where time falls back to near zero (0.5 s, or the least time of the file) and grows from there.
        A fall back that the very next point makes good again is a point out of order instead.
    """
    time = np.asarray(time_s, dtype=float)
    falls = np.flatnonzero(time[1:] < time[:-1]) + 1
    if not len(falls):
        return falls
    near = time[falls] <= max(NEAR_ZERO_S, float(time.min()))
    following = np.minimum(falls + 1, len(time) - 1)
    grows = (time[following] <= time[falls - 1]) & ((time[following] >= time[falls]) | (following == falls))
    restarts = falls[near & grows]
    # In a file whose rows were shuffled some falls land near zero by chance, lost among the many others.
    return restarts if len(falls) - len(restarts) <= _SCATTER * len(restarts) else falls[:0]


def _programme_length(last: float, steps: tuple[float, ...]) -> float:
    """Give the length of a finished step: the programme's where its last time is near it."""
    cycle = max(steps, default=0.0)
    whole = (*steps, round(last / cycle) * cycle) if cycle else steps
    near = [step for step in whole if step > 0 and abs(last - step) <= STEP_TOLERANCE_S]
    return min(near, key=lambda step: abs(last - step)) if near else last


def _offsets(
    time: NDArray[np.float64], bounds: list[int], steps: tuple[float, ...]
) -> tuple[list[float], int]:
    """Give the running time at which each step starts, and how many lengths were taken from the programme."""
    offset, offsets, adjusted = 0.0, [0.0], 0
    for begin, end in pairwise(bounds[:-1]):
        last = float(time[begin:end].max())
        length = _programme_length(last, steps)
        adjusted += length != last
        # Whole programme steps add up without the dust of binary fractions.
        offset = round(offset + length, 9)
        offsets.append(offset)
    return offsets, adjusted


def make_running(
    time_s: ArrayLike,
    rows: NDArray[np.float64] | None = None,
    *,
    programme_steps_s: tuple[float, ...] = PROGRAMME_STEPS_S,
) -> RunningTime:
    """Put rows into running time.

    Parameters
    ----------
    time_s : array_like of float, shape (n,)
        Time as printed, in s.
    rows : ndarray of float, shape (n, k), optional
        All columns, to tell repeated rows from two points at one time.
    programme_steps_s : tuple of float
        Lengths of the programme's steps [s]; a step that ends within 0.3 s of one is given that length.

    Returns
    -------
    RunningTime
        Time, order and what was done. Two different points at one time (end of creep, start of recovery)
        stay in file order.
    """
    time = np.asarray(time_s, dtype=float)
    rising = time[1:] - time[:-1]
    if len(time) < 2 or rising.min() > 0:
        return RunningTime(time, np.arange(len(time)))
    remarks: list[str] = []
    restarts = find_restarts(time)
    bounds = [0, *(int(row) for row in restarts), len(time)]
    offsets, adjusted = _offsets(time, bounds, programme_steps_s)
    running = time + np.repeat(offsets, np.diff(bounds))
    if len(restarts):
        remarks.append(
            f"time starts again {len(restarts)} times; the steps were joined into one running time"
        )
        if adjusted:
            remarks.append(
                f"{adjusted} steps end just off a whole step of the programme, whose length was taken"
            )
    order = np.lexsort(
        (np.arange(len(time)), running, np.repeat(np.arange(len(bounds) - 1), np.diff(bounds)))
    )
    reordered = int(np.count_nonzero(order != np.arange(len(time))))
    if reordered:
        remarks.append(f"{reordered} points were out of order in time and were put in order")
    kept, repeated = _drop_repeats(running, order, rows)
    if repeated:
        remarks.append(f"{repeated} rows repeat the row before them exactly and were left out")
    order = order[kept]
    starts = tuple(int(row) for row in np.searchsorted(np.flatnonzero(kept), restarts))
    return RunningTime(running[order], order, starts, reordered, repeated, tuple(remarks))


def _drop_repeats(
    running: NDArray[np.float64], order: NDArray[np.int64], rows: NDArray[np.float64] | None
) -> tuple[NDArray[np.bool_], int]:
    """Mark the rows to keep: a row equal to the one before it in every column is a repeat."""
    kept = np.ones(len(order), dtype=bool)
    if rows is not None:
        same_time = running[order][1:] == running[order][:-1]
        places = np.flatnonzero(same_time) + 1
        kept[places] = ~np.all(rows[order[places]] == rows[order[places - 1]], axis=1)
    return kept, int(len(order) - kept.sum())
