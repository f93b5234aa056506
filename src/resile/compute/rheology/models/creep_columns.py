"""The columns of a creep model at the rows of a record."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Self

import numpy as np
from numpy.typing import NDArray

from resile.compute.rheology.models.creep_history import CreepHistory
from resile.compute.rheology.models.creep_record import CreepRecord

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class CreepColumns:
    """One column a compliance: springs and dashpots of all levels, the origin of strain, delayed elements.

    Attributes
    ----------
    rows : CreepHistory
        History at the rows.
    starts : CreepHistory or None
        History at the starts of the cycles, where the record sets its strain back to zero there.
    cycle : ndarray of int, shape (n,)
        Place of the cycle of each row.
    fractional : bool
        True for a spring-pot in place of Kelvin elements.
    """

    rows: CreepHistory
    starts: CreepHistory | None
    cycle: NDArray[np.intp]
    fractional: bool

    @classmethod
    def of(cls, record: CreepRecord, rows: NDArray[np.bool_], *, fractional: bool) -> Self:
        """Give the columns at chosen rows of a record, shape (all rows,) of bool."""
        starts = record.history(record.starts_s) if record.restarts else None
        return cls(record.history(record.time_s[rows]), starts, record.cycle[rows], fractional)

    def fixed(self) -> Floats:
        """Give springs, dashpots and, where the strain never restarts, the origin, shape (n, f)."""
        columns = np.hstack((self.rows.elastic(), self.rows.flow()))
        if self.starts is None:
            return np.hstack((columns, np.ones((len(columns), 1))))
        return np.asarray(columns - np.hstack((self.starts.elastic(), self.starts.flow()))[self.cycle])

    def curved(self, values: Floats) -> tuple[Floats, Floats]:
        """Give columns and derivatives of elements of these logarithms of time, or of this exponent."""
        strain, slope = self.rows.delayed(values, fractional=self.fractional)
        if self.starts is None:
            return strain, slope
        origin, origin_slope = (
            one[self.cycle] for one in self.starts.delayed(values, fractional=self.fractional)
        )
        return strain - origin, slope - origin_slope
