"""The linear system behind a relaxation spectrum: non-negative modes, smoothed, and what they leave open.

`spectrum` uses it; the equations are in the Notes of `fit_relaxation_spectrum` there.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

END_DECADES = 2.0
"""Decades of modes beyond either end of the measured span: what relaxes further out still leans into it."""
_STRENGTHS = (-3.0, 4.0)
_TRIED = 15
_BLOCK = 5
"""Neighbouring residuals hang together; they are drawn in runs of this many points."""


@dataclass(frozen=True, slots=True)
class SmoothedModes:
    """Unknowns are the moduli of the modes over the modulus of the curve at one over their times.

    Attributes
    ----------
    times : ndarray, shape (m,)
        Relaxation times [s].
    scale : ndarray, shape (m,)
        Modulus of the curve there [kPa]: unknown times scale is the modulus of a mode.
    matrix, target : ndarray, shapes (2n, m), (2n,)
        Rows of ln|G*| and of the phase angle, each over its error.
    upper, turned : ndarray, shapes (m, m), (m,)
        The same after an orthogonal turn: a small system for any number of points.
    lost : float
        Sum of squares that no solution can remove.
    """

    times: Floats
    scale: Floats
    matrix: Floats
    target: Floats
    orthogonal: Floats
    upper: Floats
    turned: Floats
    lost: float

    @classmethod
    def of(
        cls,
        frequency: Floats,
        modulus: Floats,
        phase_deg: Floats,
        modes_per_decade: float,
        modulus_error: float,
        phase_error_rad: float,
    ) -> SmoothedModes:
        """Write fit over measured less 1: its real part errs as ln|G*|, the imaginary one as the angle."""
        times = _grid(frequency, modes_per_decade)
        scale = _scale(times, frequency, modulus)
        product = frequency[:, None] * times
        loss = scale / (product + 1.0 / product) / modulus[:, None]
        storage = loss * product
        cosine, sine = np.cos(np.radians(phase_deg))[:, None], np.sin(np.radians(phase_deg))[:, None]
        matrix = np.concatenate(
            [
                (cosine * storage + sine * loss) / modulus_error,
                (cosine * loss - sine * storage) / phase_error_rad,
            ]
        )
        target = np.concatenate([np.full(len(frequency), 1.0 / modulus_error), np.zeros(len(frequency))])
        orthogonal, upper = np.linalg.qr(matrix)
        turned = orthogonal.T @ target
        lost = max(0.0, float(target @ target - turned @ turned))
        return cls(times, scale, matrix, target, orthogonal, upper, turned, lost)

    def misfit(self, unknown: Floats) -> Floats:
        """Give fit less measured in units of the errors, shape (2n,)."""
        return np.asarray(self.matrix @ unknown - self.target)

    def solve(self, strength: float) -> Floats:
        """Give the non-negative unknowns for a strength of the smoothing."""
        return self._solve(self._bends(strength), self.turned)

    def chances(self) -> tuple[Floats, Floats]:
        """Give the strengths tried and their marginal likelihoods, the greatest 1."""
        strengths = 10.0 ** np.linspace(*_STRENGTHS, _TRIED)
        logs = np.array([self._log_likelihood(float(one)) for one in strengths])
        return strengths, np.exp(logs - logs.max())

    def interval(
        self,
        unknown: Floats,
        strengths: Floats,
        chances: Floats,
        draws: int,
        probability: float,
        generator: np.random.Generator,
    ) -> tuple[Floats, Floats]:
        """Draw spectra from what data and smoothness leave open; without draws the estimate itself."""
        if draws <= 0:
            return unknown, unknown
        taken = generator.choice(strengths, draws, p=chances / chances.sum())
        bends = {float(one): self._bends(float(one)) for one in np.unique(taken)}
        residuals = self.misfit(unknown)
        spare = max(1.0, len(residuals) - self._effective(self._bends(float(np.median(taken))), unknown))
        noise = float(np.sqrt(np.sum(residuals**2) / spare))
        residuals = residuals * math.sqrt(len(residuals) / spare)
        data = self.matrix @ unknown + _in_runs(residuals, draws, generator)
        rough = noise * generator.standard_normal((draws, len(self.times) - 2))
        solved = np.array(
            [
                self._solve(bends[float(one)], *rows)
                for one, *rows in zip(taken, data @ self.orthogonal, rough, strict=True)
            ]
        )
        edge = (1.0 - probability) / 2.0
        lower, upper = np.quantile(solved, [edge, 1.0 - edge], axis=0)
        return np.minimum(lower, unknown), np.maximum(upper, unknown)

    def _bends(self, strength: float) -> Floats:
        bend = np.diff(np.eye(len(self.times)), n=2, axis=0)
        return np.asarray(bend * (strength * math.sqrt(len(self.target) / len(bend))))

    def _solve(self, bends: Floats, turned: Floats, rough: Floats | None = None) -> Floats:
        from scipy.optimize import nnls

        wanted = np.zeros(len(bends)) if rough is None else rough
        return np.asarray(nnls(np.concatenate([self.upper, bends]), np.concatenate([turned, wanted]))[0])

    def _log_likelihood(self, strength: float) -> float:
        bends = self._bends(strength)
        unknown = self._solve(bends, self.turned)
        total = float(np.sum((self.upper @ unknown - self.turned) ** 2)) + self.lost
        total += float(np.sum((bends @ unknown) ** 2))
        free = unknown > 0.0
        upper, bend = self.upper[:, free], bends[:, free]
        _, determinant = np.linalg.slogdet(upper.T @ upper + bend.T @ bend)
        # Two directions (level and slope) are not smoothed at all: they leave the count and the power of s.
        count, smoothed = len(self.target) - 2, np.count_nonzero(free) - 2
        return float(-0.5 * count * math.log(total) - 0.5 * determinant + smoothed * math.log(strength))

    def _effective(self, bends: Floats, unknown: Floats) -> float:
        """Give the effective number of parameters: trace of the matrix from data to fit, free modes alone."""
        free = unknown > 0.0
        upper, bend = self.upper[:, free], bends[:, free]
        normal = upper.T @ upper
        return float(np.trace(np.linalg.solve(normal + bend.T @ bend, normal)))


def _in_runs(residuals: Floats, draws: int, generator: np.random.Generator) -> Floats:
    """Draw residuals anew, both of a point together, in runs with random sign: shape (draws, 2n)."""
    pairs = residuals.reshape(2, -1)
    count = pairs.shape[1]
    runs = -(-count // _BLOCK)
    starts = generator.integers(0, max(1, count - _BLOCK + 1), (draws, runs))
    signs = np.repeat(generator.choice([-1.0, 1.0], (draws, runs)), _BLOCK, axis=1)[:, :count]
    places = (starts[:, :, None] + np.arange(_BLOCK)).reshape(draws, -1)[:, :count] % count
    return np.concatenate([pairs[0, places] * signs, pairs[1, places] * signs], axis=1)


def _grid(frequency: Floats, modes_per_decade: float) -> Floats:
    first, last = np.log10(1.0 / frequency.max()) - END_DECADES, np.log10(1.0 / frequency.min()) + END_DECADES
    return np.asarray(10.0 ** np.linspace(first, last, max(3, round((last - first) * modes_per_decade) + 1)))


def _scale(times: Floats, frequency: Floats, modulus: Floats) -> Floats:
    """Give the modulus at 1/time, smoothed; beyond the ends it goes on with its slope there.

    Measured moduli as they are would put their noise into the spectrum past the smoothing.
    """
    known = np.log(frequency)
    curve = np.polynomial.Polynomial.fit(known, np.log(modulus), min(6, len(known) // 4))
    place = np.log(1.0 / times)
    held = np.clip(place, known[0], known[-1])
    return np.asarray(np.exp(curve(held) + (place - held) * np.clip(curve.deriv()(held), 0.0, 1.0)))
