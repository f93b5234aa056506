"""How damage grows in an amplitude sweep, and how much of the binder it leaves whole.

AASHTO T 391 (formerly TP 101) and Hintz and Bahia's papers on the test, from memory (high), except where a
function says otherwise.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike

from resile.compute.rheology.above_zero import above_zero
from resile.compute.rheology.damage.fatigue_law import Floats
from resile.errors import MeasurementError
from resile.records.models.amplitude_sweep import IntegrityFit

LEAST_DAMAGE = 10.0
"""Rows with less damage are left out of the fit: AASHTO T 391, from memory (high)."""

_FIT_POINTS = 4


def damage_growth(
    strain_percent: ArrayLike,
    integrity: ArrayLike,
    time_s: ArrayLike,
    *,
    exponent: float,
    initial_modulus: float = 1.0,
) -> Floats:
    """Give the damage that has grown up to each row.

    Parameters
    ----------
    strain_percent : array_like of float, shape (n,)
        Strain amplitude of each row [%].
    integrity : array_like of float, shape (n,)
        What is left whole, C.
    time_s : array_like of float, shape (n,)
        Time, rising [s].
    exponent : float
        alpha.
    initial_modulus : float
        1 where C is the ratio of moduli; the initial |G*| [MPa] where C is |G*| sin(delta) [MPa].

    Returns
    -------
    ndarray of float, shape (n,)
        D, beginning with 0.

    Raises
    ------
    MeasurementError
        Where the columns differ in length, a number is missing, or time does not rise.

    Notes
    -----
    ``D = sum [pi I gamma_i² (C_(i-1) - C_i)]^(alpha/(1+alpha)) (t_i - t_(i-1))^(1/(1+alpha))``, AASHTO T 391
    (I = 1); the older form has I = initial |G*|.

    A rise of C would give a negative number to a broken power. Damage does not heal under a load that rises,
    so C is taken at its lowest so far: a rise adds nothing. Where the scatter of a row is as large as its
    fall, gather the rows first (`gathered_rows`): the sum over rows that only scatter is far too large.
    """
    strain, whole, time = (np.asarray(a, dtype=float) for a in (strain_percent, integrity, time_s))
    alpha = float(above_zero("fatigue law", "damage exponent", exponent))
    initial = float(above_zero("fatigue law", "initial modulus", initial_modulus))
    if strain.ndim != 1 or not strain.shape == whole.shape == time.shape or not strain.size:
        raise MeasurementError("amplitude sweep: strain, modulus and time must be columns of one length")
    if not (np.isfinite(strain) & np.isfinite(whole) & np.isfinite(time) & (strain > 0)).all():
        raise MeasurementError("amplitude sweep: every strain must be above zero, every number finite")
    steps = np.diff(time)
    if np.any(steps <= 0.0):
        row = int(np.flatnonzero(steps <= 0.0)[0]) + 2
        raise MeasurementError(f"amplitude sweep: time does not rise at its row {row}")
    drops = -np.diff(np.minimum.accumulate(whole))
    work = math.pi * initial * strain[1:] ** 2 * drops
    grown = work ** (alpha / (1.0 + alpha)) * steps ** (1.0 / (1.0 + alpha))
    return np.concatenate([[0.0], np.cumsum(grown)])


def fit_integrity(damage: ArrayLike, integrity: ArrayLike, *, initial: float = 1.0) -> IntegrityFit:
    """Fit C = C0 - C1 D^C2.

    Parameters
    ----------
    damage : array_like of float, shape (n,)
        D.
    integrity : array_like of float, shape (n,)
        C.
    initial : float
        C0.

    Returns
    -------
    IntegrityFit
        With the covariance of ln C1 and C2.

    Raises
    ------
    MeasurementError
        Where fewer than four rows have D of 10 or more and C below C0, or C does not fall with D.

    Notes
    -----
    ``log(C0 - C) = log C1 + C2 log D`` by least squares, D below 10 left out (AASHTO T 391). Rows of one
    specimen follow each other, so the scatter of the residuals says too little: with r their correlation
    from row to row the number of rows counts as n (1 - r)/(1 + r) (effective sample size of a first-order
    autoregression, textbooks of statistics).
    """
    d, c = np.asarray(damage, dtype=float), np.asarray(integrity, dtype=float)
    c0 = float(above_zero("fatigue law", "initial integrity", initial))
    used = (d >= LEAST_DAMAGE) & (c < c0)
    count = int(np.count_nonzero(used))
    if count < _FIT_POINTS:
        raise MeasurementError(
            f"amplitude sweep: {count} rows have a damage of {LEAST_DAMAGE:g} or more; "
            f"at least {_FIT_POINTS} are needed to fit the loss of modulus"
        )
    x, y = np.log(d[used]), np.log(c0 - c[used])
    away = x - x.mean()
    spread = float(np.sum(away**2))
    exponent = float(np.sum(away * y) / spread) if spread > 0.0 else 0.0
    if exponent <= 0.0:
        raise MeasurementError(
            "amplitude sweep: the modulus does not fall with damage; nothing can be fitted"
        )
    residuals = y - y.mean() - exponent * away
    total = float(np.sum(residuals**2))
    effective = max(3.0, count * _independent_share(residuals, total))
    # Variance of the scatter as if `effective` rows stood alone, spread as wide as the rows are.
    variance = total / count * effective / (effective - 2.0)
    of_slope = variance / (spread / count * effective)
    middle = float(x.mean())
    of_level = variance / effective + middle**2 * of_slope
    return IntegrityFit(
        c0,
        math.exp(float(y.mean()) - exponent * middle),
        exponent,
        (of_level, -middle * of_slope, of_slope),
        math.sqrt(total / (count - 2)),
        effective - 2.0,
        count,
    )


def _independent_share(residuals: Floats, total: float) -> float:
    """Give which share of the rows counts as rows of their own."""
    if total <= 0.0:
        return 1.0
    following = float(np.sum(residuals[1:] * residuals[:-1])) / total
    held = min(max(following, 0.0), 0.99)
    return (1.0 - held) / (1.0 + held)
