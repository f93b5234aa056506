"""What lies between a record and its result: the cycles that were found, and what each of them gives.

`creep_steps.find_cycles` makes `Cycles`; `creep_recovery` and `creep_quality` work on `CycleNumbers`.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Integers = NDArray[np.intp]


@dataclass(frozen=True, slots=True)
class Cycles:
    """All cycles of one stretch of record; every array has shape (cycles,).

    Attributes
    ----------
    first, last, stop : ndarray of int
        Index of the first and last loaded point, and of the last point of the recovery.
    start_s : ndarray
        Time at which the stress is put on [s].
    stress_kpa : ndarray
        Mean stress of the loaded points, the first 0.03 s left out [kPa].
    initial_strain, creep_strain, recovered_strain : ndarray
        Strain at the start, at the nominal end of creep and of recovery [ratio].
    creep_gap_s, recovery_gap_s : ndarray
        How far before its nominal end the last usable point lies [s]; 0 where a point stands there or
        beyond.
    creep_interpolated, recovery_interpolated : ndarray of bool
        True where no point stands at the nominal time and the value lies between two points.
    switch_width_s : ndarray
        Width of the interval in which the start of the cycle lies [s].
    origin_assumed : bool
        True where the first cycle has no point at its start and its strain origin was taken as zero.
    strain_restarts : bool
        True where the record sets the strain back to zero in each cycle.
    incomplete : int
        Cycles at the end of the record that stop before their recovery is over; they are left out.
    """

    first: Integers
    last: Integers
    stop: Integers
    start_s: Floats
    stress_kpa: Floats
    initial_strain: Floats
    creep_strain: Floats
    recovered_strain: Floats
    creep_gap_s: Floats
    recovery_gap_s: Floats
    creep_interpolated: NDArray[np.bool_]
    recovery_interpolated: NDArray[np.bool_]
    switch_width_s: Floats
    origin_assumed: bool
    strain_restarts: bool
    incomplete: int

    def __len__(self) -> int:
        return len(self.first)

    def between(self, begin: int, end: int) -> Cycles:
        """Give the cycles ``begin`` to ``end`` (end not included) as `Cycles` of their own."""
        arrays = {name: getattr(self, name)[begin:end] for name in CYCLE_ARRAYS}
        return Cycles(
            **arrays,
            origin_assumed=self.origin_assumed and begin == 0,
            strain_restarts=self.strain_restarts,
            incomplete=self.incomplete if end == len(self) else 0,
        )


CYCLE_ARRAYS = (
    "first",
    "last",
    "stop",
    "start_s",
    "stress_kpa",
    "initial_strain",
    "creep_strain",
    "recovered_strain",
    "creep_gap_s",
    "recovery_gap_s",
    "creep_interpolated",
    "recovery_interpolated",
    "switch_width_s",
)


@dataclass(frozen=True, slots=True)
class CycleNumbers:
    """The cycles of one run with what each gives; arrays of shape (cycles,).

    Attributes
    ----------
    cycles : Cycles
        Where the cycles lie and their strains.
    nominal_kpa, recovery, jnr : ndarray
        Nominal stress [kPa], percent recovery [%], compliance [1/kPa].
    levels : tuple of (int, int)
        First and one past the last cycle of each stress level.
    """

    cycles: Cycles
    nominal_kpa: Floats
    recovery: Floats
    jnr: Floats
    levels: tuple[tuple[int, int], ...]

    def number_in_level(self) -> list[int]:
        """Give the place of each cycle in its stress level, counted from 1."""
        return [number for begin, end in self.levels for number in range(1, end - begin + 1)]
