"""The stress history of a creep-recovery record, and what every part of a model answers to it.

`CreepHistory` knows when the stress was switched on and off and to which level each push belongs. It gives
one column a level for each part of a model: the strain at every row for a compliance of one. A fit is then a
sum of columns. Nothing is computed cycle by cycle: what an earlier push left goes on in all later rows.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import Self

import numpy as np
from numpy.typing import ArrayLike, NDArray

from resile.errors import InputError

Floats = NDArray[np.float64]

_SAME_MOMENT_S = (
    1e-9  # 201.0 and 200 + 1.0 differ in the last bit; a row at a switch still shows the strain before
)
_NEVER = -1.0e4  # logarithm of a time that has not begun: any positive power of it is zero


@dataclass(frozen=True, slots=True)
class CreepHistory:
    """Rows of a record between the switches of its stress.

    Attributes
    ----------
    time_s : ndarray of float, shape (n,)
        Times at which strains are asked for [s].
    switch_s : ndarray of float, shape (2 c,)
        Moments at which the stress of each of c pushes is put on and taken off, in turn [s]; the middle of
        the rise where it takes time.
    jump_kpa : ndarray of float, shape (2 c, levels)
        Change of the stress of each level at each switch [kPa].
    rise_s : float
        Time of the straight rise and fall [s].
    last_switch : ndarray of int, shape (n,)
        Place of the last switch before each row; -1 before the first.
    since_s : ndarray of float, shape (n,)
        Time since that switch [s].
    """

    time_s: Floats
    switch_s: Floats
    jump_kpa: Floats
    rise_s: float
    last_switch: NDArray[np.intp]
    since_s: Floats

    @classmethod
    def of(
        cls,
        time_s: ArrayLike,
        starts_s: ArrayLike,
        stresses_kpa: ArrayLike,
        *,
        creep_time_s: float,
        rise_s: float = 0.0,
    ) -> Self:
        """Give the history of pushes of one length; every stress that occurs is a level, the lowest first.

        Parameters
        ----------
        time_s : array_like of float, shape (n,)
            Times of the rows [s].
        starts_s, stresses_kpa : array_like of float, shape (c,)
            Start [s] and stress [kPa] of each push, in order of time.
        creep_time_s, rise_s : float
            Length of a push, and of its straight rise [s].

        Returns
        -------
        CreepHistory
            For these rows.

        Raises
        ------
        InputError
            Where pushes overlap or there is none.
        """
        starts, stresses = (np.atleast_1d(np.asarray(one, dtype=float)) for one in (starts_s, stresses_kpa))
        if starts.shape != stresses.shape or not starts.size or np.any(np.diff(starts) <= creep_time_s):
            raise InputError(
                "pushes of a creep model: at least one, in order of time, each over before the next"
            )
        switches = (starts[:, None] + np.array([0.0, creep_time_s]) + rise_s / 2.0).ravel()
        levels = np.unique(stresses)
        at_level = np.where(stresses[:, None] == levels, stresses[:, None], 0.0)
        jumps = np.stack((at_level, -at_level), axis=1).reshape(len(switches), len(levels))
        time = np.asarray(time_s, dtype=float)
        last = np.searchsorted(switches, time - _SAME_MOMENT_S) - 1
        since = np.where(last >= 0, time - switches[np.maximum(last, 0)], 0.0)
        return cls(time, switches, jumps, rise_s, last, since)

    @property
    def rising(self) -> NDArray[np.bool_]:
        """Rows inside a rise or fall of the stress, shape (n,): the columns do not hold there."""
        half = self.rise_s / 2.0 - _SAME_MOMENT_S
        later = np.searchsorted(self.switch_s, self.time_s - half)
        nearest = np.abs(self.time_s - self.switch_s[np.minimum(later, len(self.switch_s) - 1)])
        return np.asarray(nearest < half)

    def elastic(self) -> Floats:
        """Give the stress of each level at each row, shape (n, levels): a spring of compliance one."""
        return self._by_row(np.cumsum(self.jump_kpa, axis=0))

    def flow(self) -> Floats:
        """Give the stress of each level summed over time, shape (n, levels): a dashpot of fluidity one."""
        stress = np.cumsum(self.jump_kpa, axis=0)
        before = np.vstack((np.zeros(stress.shape[1]), np.diff(self.switch_s)[:, None] * stress[:-1]))
        return self._by_row(np.cumsum(before, axis=0)) + self._by_row(stress) * self.since_s[:, None]

    def kelvin(self, times_s: Floats) -> tuple[Floats, Floats]:
        """Give Kelvin elements of compliance one, and their derivatives by the logarithm of their time.

        Parameters
        ----------
        times_s : ndarray of float, shape (m,)
            Retardation times [s].

        Returns
        -------
        tuple of (ndarray of float, ndarray of float), each of shape (n, m, levels)
            Strain, and its derivative.

        Notes
        -----
        After switch i the distance from rest is ``P_i exp(-(t - t_i)/r)`` with
        ``P_i = -sum_(j <= i) ds_j exp(-(t_i - t_j)/r)``: the sums run over switches, not over rows. A
        straight rise of length q multiplies it by ``sinh(x)/x``, ``x = q/(2 r)``, the
        switch at its middle.
        """
        ratio = (self.switch_s[:, None] - self.switch_s)[_below(len(self.switch_s))] / times_s[:, None]
        fading = np.exp(-ratio)
        # Strain left and its derivative stand side by side: they go to the rows together.
        left = np.concatenate((self._left_at_switch(fading), self._left_at_switch(ratio * fading)), axis=2)
        since = self.since_s[:, None] / times_s
        decay = np.exp(-since)[..., None]
        both = self._by_row(left)
        both *= decay
        distance, slope = both[..., : self.jump_kpa.shape[1]], both[..., self.jump_kpa.shape[1] :]
        slope += since[..., None] * distance
        if self.rise_s > 0.0:
            factor, factor_slope = _rise_factor(self.rise_s / (2.0 * times_s))
            slope = factor_slope[:, None] * distance + factor[:, None] * slope
            distance = factor[:, None] * distance
        distance += self.elastic()[:, None, :]
        return distance, slope

    def _left_at_switch(self, fading: Floats) -> Floats:
        """Give minus the sum of faded jumps at each switch, shape (2 c, m, levels)."""
        count = len(self.switch_s)
        whole = np.zeros((len(fading), count, count))
        whole[:, *_below(count)] = fading
        return -np.moveaxis(whole @ self.jump_kpa, 0, 1)

    def spring_pot(self, exponent: float) -> tuple[Floats, Floats]:
        """Give a spring-pot of compliance ``t^a`` and its derivative by a, each of shape (n, 1, levels)."""
        elapsed = self.time_s[:, None] - self.switch_s
        begun = elapsed > _SAME_MOMENT_S
        logarithm = np.log(np.where(begun, elapsed, 1.0))
        logarithm[~begun] = _NEVER
        power = np.exp(exponent * logarithm)
        strain, slope = power @ self.jump_kpa, (logarithm * power) @ self.jump_kpa
        return strain[:, None, :], slope[:, None, :]

    def delayed(self, curved: Floats, *, fractional: bool) -> tuple[Floats, Floats]:
        """Give spring-pots with these exponents, or Kelvin elements with these logarithms of time."""
        return (
            self.spring_pot(float(curved[0])) if fractional and curved.size else self.kelvin(np.exp(curved))
        )

    def _by_row(self, by_switch: Floats) -> Floats:
        nothing_yet = np.zeros((1, *by_switch.shape[1:]))  # stands last: rows before the first switch are -1
        return np.concatenate((by_switch, nothing_yet)).take(self.last_switch, axis=0, mode="wrap")


@cache
def _below(count: int) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """Give the places of the lower triangle of a square: each switch with those before it."""
    return np.tril_indices(count)


def _rise_factor(half: Floats) -> tuple[Floats, Floats]:
    """Give ``sinh(x)/x`` and its derivative by the logarithm of the retardation time."""
    small = half < 1e-4
    safe = np.where(small, 1.0, half)
    factor = np.where(small, 1.0 + half**2 / 6.0, np.sinh(safe) / safe)
    return factor, np.where(small, -(half**2) / 3.0, factor - np.cosh(safe))
