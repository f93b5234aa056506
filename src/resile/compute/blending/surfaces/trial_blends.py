"""Trial results made ready for a fit: repeats gathered to batches, the scatter of the test parted off."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from resile.compute.blending.rules.mixing_rules import checked_shares
from resile.errors import MeasurementError

Floats = NDArray[np.float64]

SCALES = ("logarithm", "value")
"""Scales a property may be fitted on."""


@dataclass(frozen=True, slots=True)
class TrialBlends:
    """Mean result of each batch.

    Attributes
    ----------
    points : ndarray of float, shape (b, q)
        Shares of each batch.
    means : ndarray of float, shape (b,)
        Mean of its results, on the scale of the fit.
    counts : ndarray of int, shape (b,)
        Results behind each mean.
    blends : ndarray of int, shape (b,)
        Batches of one recipe share a number: they are left out together.
    test_standard : float
        Scatter of one test, given or pooled from repeats; 0 where neither tells.
    """

    points: Floats
    means: Floats
    counts: NDArray[np.int64]
    blends: NDArray[np.int64]
    test_standard: float

    @property
    def spread(self) -> float:
        """Standard deviation of the batch means: what a prior is scaled by; never quite 0."""
        smallest = 1e-9 * max(1.0, float(np.abs(self.means).max()))
        return max(float(self.means.std(ddof=1)) if len(self.means) > 1 else 0.0, smallest)

    @property
    def test_variances(self) -> Floats:
        """What the test adds to each mean."""
        return np.asarray(self.test_standard**2 / self.counts)


def gather_trials(
    shares: ArrayLike,
    values: ArrayLike,
    *,
    scale: str,
    batches: Sequence[str] | None = None,
    test_standard: float | None = None,
) -> TrialBlends:
    """Gather single results to the mean of each batch.

    Parameters
    ----------
    shares : array_like of float, shape (n, q)
        Shares by mass of the blend behind each result, as ratios.
    values : array_like of float, shape (n,)
        Results, in the unit of the glossary.
    scale : str
        ``"logarithm"`` (natural; results above zero) or ``"value"``.
    batches : sequence of str, length n, or None
        Which batch each result was tested on; None where every recipe was made once.
    test_standard : float or None
        Scatter of one test on the scale of the fit, where known: on the logarithm it is relative.

    Returns
    -------
    TrialBlends
        In the order in which the batches come.

    Raises
    ------
    MeasurementError
        Where results and shares do not go together, a result cannot be on that scale, or one batch has two
        recipes.

    Notes
    -----
    Without `test_standard`, repeats of one batch give it: the squares about the batch means over their
    degrees of freedom.
    """
    y = _on_scale(values, scale)
    rows = np.asarray(shares, dtype=float)
    rows = checked_shares(rows, rows.shape[-1] if rows.ndim else 0)
    if len(rows) != len(y) or (batches is not None and len(batches) != len(y)):
        raise MeasurementError(f"trials: {len(y)} results found, but {len(rows)} recipes; needed is one each")
    recipe = _numbered([tuple(row) for row in np.round(rows, 9)])
    batch = recipe if batches is None else _numbered([(name,) for name in batches])
    counts = np.bincount(batch)
    first = np.array([int(np.argmax(batch == one)) for one in range(len(counts))])
    if np.any(recipe[first][batch] != recipe):
        raise MeasurementError(
            "trials: results of one batch have different shares; needed is one recipe a batch"
        )
    means = np.bincount(batch, weights=y) / counts
    if test_standard is None:
        freedom = len(y) - len(counts)
        test_standard = float(np.sqrt(((y - means[batch]) ** 2).sum() / freedom)) if freedom else 0.0
    elif not (np.isfinite(test_standard) and test_standard >= 0.0):
        raise MeasurementError(f"scatter of the test: {test_standard:g} found; needed is zero or above")
    return TrialBlends(rows[first], means, counts, recipe[first], test_standard)


def _on_scale(values: ArrayLike, scale: str) -> Floats:
    y = np.atleast_1d(np.asarray(values, dtype=float))
    if scale not in SCALES:
        raise MeasurementError(f"scale '{scale}' is not known; needed is one of {', '.join(SCALES)}")
    if y.ndim != 1 or not len(y) or not np.isfinite(y).all():
        raise MeasurementError("trials: needed is at least one result, each a number")
    if scale == "logarithm" and np.any(y <= 0.0):
        raise MeasurementError(f"trials: {y.min():g} has no logarithm; fit this property on its value")
    return np.asarray(np.log(y) if scale == "logarithm" else y)


def _numbered(keys: Sequence[tuple[object, ...]]) -> NDArray[np.int64]:
    """Number what is equal alike, in the order of its first coming."""
    numbers: dict[tuple[object, ...], int] = {}
    return np.array([numbers.setdefault(key, len(numbers)) for key in keys], dtype=np.int64)
