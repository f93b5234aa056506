"""What errors of the scales do to the probability of the whole grade."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike, NDArray

from resile.compute.blending.design.conformity import conformity_of
from resile.compute.blending.design.kept_windows import KeptWindow
from resile.errors import MeasurementError

Floats = NDArray[np.float64]

# Gauss-Hermite with three points for a normal error: places in standard deviations, and weights.
_PLACES = np.array([-np.sqrt(3.0), 0.0, np.sqrt(3.0)])
_WEIGHTS = np.array([1.0, 4.0, 1.0]) / 6.0
SHORT_AND_OVER = 2.0
"""Standard uncertainties that a component is dosed short and over."""


def dosing_probability(
    windows: Sequence[KeptWindow],
    masses_kg: ArrayLike,
    standards_kg: ArrayLike,
    *,
    rng: np.random.Generator,
    draws: int = 2000,
    acceptance_test: bool = False,
) -> tuple[float, float, Floats]:
    """Give the probability of the whole grade with exact doses, with errors of all, and of each.

    Parameters
    ----------
    windows : sequence of KeptWindow
        The limits.
    masses_kg : array_like of float, shape (q,)
        Batch as weighed [kg].
    standards_kg : array_like of float, shape (q,)
        Standard uncertainty of each mass [kg].
    rng : numpy.random.Generator
        Source of the draws.
    draws : int
        Batches with errors.
    acceptance_test : bool
        As in `conformity_of`.

    Returns
    -------
    exact : float
        Without errors.
    dosed : float
        Mean over independent normal errors of all masses.
    each : ndarray of float, shape (q, 3)
        For each component: mean over its own error alone, dosed two standards short, dosed two over.

    Raises
    ------
    MeasurementError
        Where masses or uncertainties cannot be used.

    Notes
    -----
    The probability of each drawn batch is exact, so the mean converges far faster than counting. A mass is
    never drawn below zero.
    """
    masses, standards = np.asarray(masses_kg, dtype=float), np.asarray(standards_kg, dtype=float)
    if masses.ndim != 1 or masses.shape != standards.shape or masses.sum() <= 0.0:
        raise MeasurementError("dosing: needed are one mass and one uncertainty for each component")
    if np.any(masses < 0.0) or np.any(standards < 0.0) or not np.isfinite(standards).all():
        raise MeasurementError("dosing: masses and uncertainties must not be below zero")
    used = masses > 0.0
    errors = rng.standard_normal((draws, masses.size)) * standards * used
    one_at_a_time = np.concatenate([_PLACES, [-SHORT_AND_OVER, SHORT_AND_OVER]])
    single = (one_at_a_time[None, :, None] * np.eye(masses.size)[:, None, :] * standards * used).reshape(
        -1, masses.size
    )
    batches = np.maximum(masses + np.concatenate([np.zeros((1, masses.size)), single, errors]), 0.0)
    shares = batches / batches.sum(axis=1, keepdims=True)
    whole = conformity_of(windows, shares, acceptance_test=acceptance_test).whole
    ways = whole[1 : 1 + len(single)].reshape(masses.size, -1)
    each = np.column_stack([ways[:, :3] @ _WEIGHTS, ways[:, 3], ways[:, 4]])
    return float(whole[0]), float(whole[1 + len(single) :].mean()), each
