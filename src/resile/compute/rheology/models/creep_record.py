"""A creep-recovery record made ready for the fit of a model: rows, pushes, levels, weights."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Self

import numpy as np
from numpy.typing import ArrayLike, NDArray

from resile.compute.rheology.models.creep_history import CreepHistory
from resile.errors import MeasurementError
from resile.records.creep_recovery import CreepRecoveryProgramme, CreepRecoveryRun

Floats = NDArray[np.float64]

DOUBTFUL_S = 2.5e-3
"""A row nearer to a switch than this, and not on it, may lie on either side: it is left out. Times are
printed with two or three decimals."""
LONGEST_RISE_S = 0.1
"""Of a stress that rises at all; the method wants 0.03 s at most (AASHTO T 350, from memory, medium)."""
_PART_OF_STRESS = (0.05, 0.95)
_CLEARLY_PART = 0.85  # a stress that is off its nominal value is still the full one
_TOLD_ROWS = 6.0  # rows kept for each factor of e in time after a switch, where only starts are sounded
_FEWEST_ROWS = 3  # a cycle with fewer rows than this shows no course of strain


@dataclass(frozen=True, slots=True)
class CreepRecord:
    """Rows of one run, and the pushes they belong to.

    Attributes
    ----------
    time_s, strain : ndarray of float, shape (n,)
        Running time [s] and strain (ratio) of the rows in use.
    cycle : ndarray of int, shape (n,)
        Place of the cycle of each row.
    starts_s, stresses_kpa : ndarray of float, shape (c,)
        Start and nominal stress of each push.
    evaluated : ndarray of bool, shape (c,)
        Cycles that enter the mean of their level.
    levels_kpa, scales : ndarray of float, shape (levels,)
        Stress levels, the lowest first, and the mean creep strain of a cycle at each.
    restarts : bool
        True where the record sets the strain back to zero in each cycle.
    rise_s : float
        Time of the rise of the stress, where rows show it [s].
    programme : CreepRecoveryProgramme
        Lengths of push and recovery.
    """

    time_s: Floats
    strain: Floats
    cycle: NDArray[np.intp]
    starts_s: Floats
    stresses_kpa: Floats
    evaluated: NDArray[np.bool_]
    levels_kpa: Floats
    scales: Floats
    restarts: bool
    rise_s: float
    programme: CreepRecoveryProgramme

    @classmethod
    def of(cls, run: CreepRecoveryRun, time_s: ArrayLike, stress_kpa: ArrayLike, strain: ArrayLike) -> Self:
        """Give the rows of a reduced run.

        Parameters
        ----------
        run : CreepRecoveryRun
            The run, reduced from the same columns.
        time_s, stress_kpa, strain : array_like of float, shape (n,)
            Running time [s], stress [kPa] and strain (ratio), in order of time.

        Returns
        -------
        CreepRecord
            Rows from the first push to the end of the last recovery.

        Raises
        ------
        MeasurementError
            Where the run has no cycles, or so few rows that they show no course of strain.
        """
        programme = run.programme
        pushes = [
            (cycle, level.stress_kpa, evaluated)
            for level, cycles, evaluated in (
                *((level, run.conditioning, False) for level in run.levels[:1]),
                *((level, level.cycles, True) for level in run.levels),
            )
            for cycle in cycles
        ]
        if programme is None or not pushes:
            raise MeasurementError("creep model: a typed summary has no rows; the raw record is needed")
        cycles = [cycle for cycle, _, _ in pushes]
        starts = np.array([cycle.start_s for cycle in cycles])
        stresses = np.array([stress for _, stress, _ in pushes])
        columns = [np.asarray(one, dtype=float) for one in (time_s, stress_kpa, strain)]
        rise, offset = _rise(columns[0], columns[1], starts, stresses)
        starts = starts + offset
        steady = ~_on_the_way(columns[0], columns[1], starts, stresses, programme)
        time, ratio, cycle = _rows_in_use(columns[0][steady], columns[2][steady], starts, programme, rise)
        if len(time) < _FEWEST_ROWS * len(starts):
            raise MeasurementError(
                f"creep model: {len(time)} rows for {len(starts)} cycles; "
                f"at least {_FEWEST_ROWS} rows a cycle are needed to see the course of the strain"
            )
        initial, creep, recovered = (
            np.array([getattr(cycle, name) for cycle in cycles])
            for name in ("initial_strain", "creep_strain", "recovered_strain")
        )
        levels = np.unique(stresses)
        scales = np.array([np.mean((creep - initial)[stresses == level]) for level in levels])
        if not np.all(scales > 0.0):
            raise MeasurementError(
                "creep model: the strain does not rise in the pushes; is it the strain column?"
            )
        jumps = np.abs(initial[1:] - recovered[:-1]).sum()
        return cls(
            time,
            ratio,
            cycle,
            starts,
            stresses,
            np.array([evaluated for _, _, evaluated in pushes]),
            levels,
            scales,
            restarts=bool(jumps > np.abs(initial[1:]).sum()),
            rise_s=rise,
            programme=programme,
        )

    @property
    def level(self) -> NDArray[np.intp]:
        """Place of the stress level of each row, shape (n,)."""
        return np.searchsorted(self.levels_kpa, self.stresses_kpa)[self.cycle]

    @property
    def length_s(self) -> float:
        """From the first push to the last row [s]."""
        return float(self.time_s[-1] - self.starts_s[0])

    @property
    def shortest_s(self) -> float:
        """Shortest time after a switch that a row shows [s]."""
        since = self.history(self.time_s).since_s
        return float(since[since > DOUBTFUL_S].min())

    def history(self, time_s: Floats) -> CreepHistory:
        """Give the stress history at other times."""
        return CreepHistory.of(
            time_s,
            self.starts_s,
            self.stresses_kpa,
            creep_time_s=self.programme.creep_time_s,
            rise_s=self.rise_s,
        )

    def telling_rows(self) -> NDArray[np.bool_]:
        """Say which rows tell most, shape (n,): of four cycles a level, evenly spread over log time."""
        told = np.zeros(len(self.starts_s), dtype=bool)
        for level in self.levels_kpa:
            own = np.flatnonzero(self.stresses_kpa == level)
            told[own[[0, min(1, len(own) - 1), len(own) // 2, -1]]] = True
        history = self.history(self.time_s)
        step = np.floor(_TOLD_ROWS * np.log(np.maximum(history.since_s / self.shortest_s, 0.5)))
        place = history.last_switch * 1000 + step
        first = np.concatenate(([True], np.diff(place) != 0.0))
        last = np.concatenate((np.diff(history.last_switch) != 0, [True]))
        return np.asarray(told[self.cycle] & (first | last))


def _rise(time: Floats, stress: Floats, starts: Floats, stresses: Floats) -> tuple[float, float]:
    """Give how long the stress rises, and how far its start lies from the starts of the run.

    Notes
    -----
    A straight line through the rows on the way up where there are two or more, else the moment at which half
    of the stress is reached by the area under it. Without such rows nothing is known, and nothing is changed.
    """
    low, high = _PART_OF_STRESS
    found = []
    for start, full in zip(starts.tolist(), stresses.tolist(), strict=True):
        near = np.flatnonzero((time > start - LONGEST_RISE_S) & (time < start + LONGEST_RISE_S))
        share, moments = stress[near] / full, time[near] - start
        risen = np.flatnonzero(share > high)
        if not risen.size or not (share[: risen[0]] > low).any():
            continue
        below = np.flatnonzero(share[: risen[0]] < low)
        way = slice(below[-1] if below.size else 0, risen[0] + 1)
        part = (share[way] > low) & (share[way] < high)
        if part.sum() > 1:
            slope, level = np.polyfit(moments[way][part], share[way][part], 1)
            found.append((1.0 / slope, -level / slope))
        else:
            area = float(np.trapezoid(share[way], moments[way]))
            found.append((0.0, float(moments[way][-1]) - area))
    if 2 * len(found) < len(starts):
        return 0.0, 0.0
    rise, offset = np.median(np.array(found), axis=0).tolist()
    return (rise, offset) if 0.0 <= rise < LONGEST_RISE_S and abs(offset) < LONGEST_RISE_S else (0.0, 0.0)


def _on_the_way(
    time: Floats, stress: Floats, starts: Floats, stresses: Floats, programme: CreepRecoveryProgramme
) -> NDArray[np.bool_]:
    """Say which rows near a switch show a stress between nothing and full, shape (n,)."""
    push = np.maximum(np.searchsorted(starts, time - 1e-9) - 1, 0)
    since, share = time - starts[push], stress / stresses[push]
    near = (since < LONGEST_RISE_S) | (np.abs(since - programme.creep_time_s) < LONGEST_RISE_S)
    return np.asarray(near & (share > _PART_OF_STRESS[0]) & (share < _CLEARLY_PART))


def _rows_in_use(
    time: Floats, strain: Floats, starts: Floats, programme: CreepRecoveryProgramme, rise_s: float
) -> tuple[Floats, Floats, NDArray[np.intp]]:
    end = starts[-1] + programme.creep_time_s + programme.recovery_time_s
    inside = (time >= starts[0] - 1e-9) & (time <= end + DOUBTFUL_S)
    time, strain = time[inside], strain[inside]
    switches = (starts[:, None] + np.array([0.0, programme.creep_time_s])).ravel()
    last = np.searchsorted(switches, time + DOUBTFUL_S) - 1
    after = time - switches[np.maximum(last, 0)]
    doubtful = (np.abs(after) > 1e-9) & (np.abs(after) < DOUBTFUL_S)
    climbing = (rise_s > 0.0) & (after > 1e-9) & (after < rise_s - 1e-9)
    kept = ~(doubtful | climbing)
    cycle = np.maximum(np.searchsorted(starts, time - 1e-9) - 1, 0)
    return time[kept], strain[kept], cycle[kept]
