"""Curved parameters of a creep model alone: compliances follow from them by linear least squares.

For given retardation times the strain is linear in the compliances. `CreepProjection` solves for them (none
below zero) and hands a search over the few curved parameters its residuals and derivatives. Rows are turned
into a small triangle first: lengths and angles stay, and the search works on as many numbers as there are
columns in place of thousands of rows.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Columns = Callable[[Floats], tuple[Floats, Floats]]

_BLOCK = 192  # rows turned at a time: so few that libraries of linear algebra start no threads for them


@dataclass(frozen=True, slots=True)
class LinearPart:
    """Columns, derivatives and strain turned together, and the compliances that fit them best.

    Attributes
    ----------
    amplitudes : ndarray of float, shape (k,)
        Compliances, and the origin of strain.
    design : ndarray of float, shape (m, k)
        Weighted columns.
    slopes : ndarray of float, shape (m, p, levels)
        Derivatives of the delayed columns.
    target : ndarray of float, shape (m,)
        Weighted strain.
    """

    amplitudes: Floats
    design: Floats
    slopes: Floats
    target: Floats

    @property
    def residuals(self) -> Floats:
        """Fitted less measured, weighted, shape (m,)."""
        return np.asarray(self.design @ self.amplitudes - self.target)

    @property
    def moved(self) -> Floats:
        """Derivative of the fitted strain by each curved parameter at fixed compliances, shape (m, p)."""
        _, count, levels = self.slopes.shape
        delayed = self.amplitudes[len(self.amplitudes) - count * levels :].reshape(count, levels)
        return np.asarray(np.einsum("npl,pl->np", self.slopes, delayed))


@dataclass(slots=True)
class CreepProjection:
    """A record weighted for a fit, with the linear parameters projected out.

    Attributes
    ----------
    fixed : ndarray of float, shape (n, f)
        Columns that do not depend on curved parameters.
    free_sign : int
        The last so many of them may take either sign.
    columns : callable
        Curved parameters, shape (p,), to columns and derivatives, each of shape (n, p, levels).
    strain, weights : ndarray of float, shape (n,)
        Measured strain, and the weight of each row.
    """

    fixed: Floats
    free_sign: int
    columns: Columns
    strain: Floats
    weights: Floats
    _last: tuple[bytes, LinearPart] | None = field(default=None, repr=False)

    @property
    def _free(self) -> NDArray[np.intp]:
        places = self.fixed.shape[1]
        return np.arange(places - self.free_sign, places)

    def solve(self, curved: Floats) -> LinearPart:
        """Give the best compliances, none below zero, for given curved parameters."""
        key = curved.tobytes()
        if self._last is None or self._last[0] != key:
            turned = self.turned(curved)
            best = self._best(turned)
            self._last = (key, LinearPart(best, turned.design, turned.slopes, turned.target))
        return self._last[1]

    def residuals(self, curved: Floats) -> Floats:
        """Give the turned residuals at the best compliances."""
        return self.solve(curved).residuals

    def jacobian(self, curved: Floats) -> Floats:
        """Give their derivatives by the curved parameters.

        Notes
        -----
        Kaufman's form: the derivative of the columns at fixed compliances, less its part in the space of the
        columns in use. What is left out falls with the residuals.
        """
        part = self.solve(curved)
        base, _ = np.linalg.qr(part.design[:, part.amplitudes != 0.0])
        return np.asarray(part.moved - base @ (base.T @ part.moved))

    def turned(self, curved: Floats, amplitudes: Floats | None = None) -> LinearPart:
        """Give the triangle of columns, derivatives and strain, with given compliances (else none yet)."""
        columns, slopes = self.columns(curved)
        rows, places = len(self.strain), self.fixed.shape[1]
        whole = np.empty((rows, places + 2 * columns[0].size + 1))
        whole[:, :places] = self.fixed
        split = places + columns[0].size
        whole[:, places:split] = columns.reshape(rows, -1)
        whole[:, split:-1] = slopes.reshape(rows, -1)
        whole[:, -1] = self.strain
        whole *= self.weights[:, None]
        small = _triangle(whole)
        values = np.zeros(split) if amplitudes is None else amplitudes
        return LinearPart(
            values, small[:, :split], small[:, split:-1].reshape(len(small), *slopes.shape[1:]), small[:, -1]
        )

    def spectrum(self, curved: Floats) -> Floats:
        """Give the strain that each of many fixed elements carries in the best fit, shape (p,)."""
        columns, _ = self.columns(curved)
        rows = len(self.strain)
        design = np.hstack((self.fixed, columns.reshape(rows, -1))) * self.weights[:, None]
        scale = np.linalg.norm(design, axis=0)
        found = _not_negative(design / scale, self.weights * self.strain, self._free)
        return np.asarray(found[self.fixed.shape[1] :].reshape(len(curved), -1).sum(axis=1))

    def slopes_by_row(self, curved: Floats, amplitudes: Floats) -> Floats:
        """Give derivatives of the weighted strain by all parameters, row by row, shape (n, p + k)."""
        columns, slopes = self.columns(curved)
        design = np.hstack((self.fixed, columns.reshape(len(self.strain), -1)))
        moved = LinearPart(amplitudes, design, slopes, self.strain).moved
        return np.asarray(self.weights[:, None] * np.hstack((moved, design)))

    def misfit(self, curved: Floats, amplitudes: Floats) -> Floats:
        """Give fitted less measured strain row by row, shape (n,), not weighted."""
        columns, _ = self.columns(curved)
        design = np.hstack((self.fixed, columns.reshape(len(self.strain), -1)))
        return np.asarray(design @ amplitudes - self.strain)

    def _best(self, turned: LinearPart) -> Floats:
        design, target, free = turned.design, turned.target, self._free
        scale = np.linalg.norm(design, axis=0)
        scale[scale == 0.0] = 1.0
        square = design / scale
        amplitudes = _not_negative(square, target, free)
        used = amplitudes != 0.0
        # The columns in use are known; one solution of theirs alone carries more digits.
        exact: Floats = np.linalg.lstsq(square[:, used], target, rcond=None)[0]
        if np.all(exact[~np.isin(np.flatnonzero(used), free)] > 0.0):
            amplitudes[used] = exact
        return np.asarray(amplitudes / scale)


def _not_negative(design: Floats, target: Floats, free: NDArray[np.intp]) -> Floats:
    """Solve by least squares with nothing below zero but the free columns."""
    from scipy.optimize import nnls

    found, _ = nnls(np.hstack((design, -design[:, free])), target)
    count = design.shape[1]
    found[free] -= found[count:]
    return np.asarray(found[:count])


def _triangle(rows: Floats) -> Floats:
    """Give the triangle of a tall matrix, block by block."""
    width = rows.shape[1]
    block = max(_BLOCK, 4 * width)
    while len(rows) > block:
        blocks = -(-len(rows) // block)
        filled = np.zeros((blocks * block, width))
        filled[: len(rows)] = rows
        small: Floats = np.asarray(np.linalg.qr(filled.reshape(blocks, block, width), mode="r"))
        rows = small.reshape(-1, width)
    return np.asarray(np.linalg.qr(rows, mode="r"))
