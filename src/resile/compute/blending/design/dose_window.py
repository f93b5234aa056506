"""How far the dose of one component may move, the others keeping their ratio to one another."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from resile.compute.blending.design.conformity import conformity_of
from resile.compute.blending.design.kept_windows import KeptWindow
from resile.compute.blending.design.region import RecipeRegion
from resile.errors import MeasurementError

Floats = NDArray[np.float64]

DOSES = 200
"""Doses on either side that are looked at, and again between the last that serves and the next."""
BY_BOUND, BY_TRIALS = -1, -2
"""In place of a limit: the dosage bounds end the window, or the trials do."""


@dataclass(frozen=True, slots=True)
class DoseReach:
    """A dose window as numbers.

    Attributes
    ----------
    lowest, highest : float
        Ends, as ratios.
    ends_by : tuple of int
        Place of the limit that ends it below and above, or `BY_BOUND`, or `BY_TRIALS`.
    """

    lowest: float
    highest: float
    ends_by: tuple[int, int]


def recipes_by_dose(shares: ArrayLike, place: int, doses: ArrayLike) -> Floats:
    """Give the recipes in which one component has another dose, the others keeping their ratio.

    Parameters
    ----------
    shares : array_like of float, shape (q,)
        A recipe, as ratios.
    place : int
        The component that moves.
    doses : array_like of float, shape (m,)
        Its shares.

    Returns
    -------
    ndarray of float, shape (m, q)
        Recipes; each adds up to 1.

    Raises
    ------
    MeasurementError
        Where the recipe has nothing else in it, or a dose is no ratio.

    Notes
    -----
    ``x_j = d``, ``x_i = x_i0 (1 - d)/(1 - x_j0)``.

    Examples
    --------
    >>> recipes_by_dose([0.5, 0.3, 0.2], 2, [0.6]).round(3).tolist()
    [[0.25, 0.15, 0.6]]
    """
    recipe, dose = np.asarray(shares, dtype=float), np.atleast_1d(np.asarray(doses, dtype=float))
    rest = 1.0 - recipe[place]
    if rest <= 1e-12:
        raise MeasurementError("dose: the recipe has nothing but this component, so no ratio can be kept")
    if not np.all((dose >= 0.0) & (dose <= 1.0)):
        raise MeasurementError("dose: every one must be a ratio from 0 to 1")
    moved: Floats = recipe[None, :] * ((1.0 - dose) / rest)[:, None]
    moved[:, place] = dose
    return moved


def dose_reach(
    windows: Sequence[KeptWindow],
    region: RecipeRegion,
    shares: ArrayLike,
    place: int,
    *,
    lower: ArrayLike,
    upper: ArrayLike,
    probability: float | None = None,
    acceptance_test: bool = False,
) -> DoseReach:
    """Give how far a dose may move before a limit gives.

    Parameters
    ----------
    windows : sequence of KeptWindow
        The limits.
    region : RecipeRegion
        Where recipes may lie.
    shares : array_like of float, shape (q,)
        The recipe, as ratios.
    place : int
        The component that moves.
    lower, upper : array_like of float, shape (q,)
        Dosage bounds, as ratios.
    probability : float, optional
        The window then ends where the whole grade is less probable than this; else where an expected value
        meets a limit.
    acceptance_test : bool
        As in `conformity_of`.

    Returns
    -------
    DoseReach
        Both ends at the dose itself where the recipe does not serve.

    Raises
    ------
    MeasurementError
        As in `recipes_by_dose`.
    """
    recipe = np.asarray(shares, dtype=float)
    low, high = np.asarray(lower, dtype=float), np.asarray(upper, dtype=float)
    now = float(recipe[place])

    def broken(doses: Floats) -> tuple[NDArray[np.bool_], NDArray[np.int64]]:
        """Tell which doses do not serve, and what breaks."""
        moved = recipes_by_dose(recipe, place, np.clip(doses, 0.0, 1.0))
        found = conformity_of(windows, moved, acceptance_test=acceptance_test)
        bad = (
            found.margins.min(axis=0, initial=np.inf) < -1e-9
            if probability is None
            else found.whole < probability * (1.0 - 1e-9)
        )
        by = found.margins.argmin(axis=0) if len(found.margins) else np.full(len(moved), BY_BOUND)
        outside = ~region.holds(moved)
        bounds = np.any((moved < low - 1e-7) | (moved > high + 1e-7), axis=1)
        by = np.where(outside, np.where(bounds, BY_BOUND, BY_TRIALS), by)
        return bad | outside, by

    ends, reasons = [], []
    for far in (float(low[place]), float(high[place])):
        end, reason = _end(now, far, broken)
        ends.append(end)
        reasons.append(reason)
    return DoseReach(min(ends[0], now), max(ends[1], now), (reasons[0], reasons[1]))


def _end(now: float, far: float, broken: object) -> tuple[float, int]:
    """Walk from a dose to its bound; give the last that serves and what breaks after it."""
    assert callable(broken)
    start, stop, reason = now, far, BY_BOUND
    for _ in range(3):
        doses = np.linspace(start, stop, DOSES)
        bad, by = broken(doses)
        if not bad.any():
            return stop, reason
        first = int(np.argmax(bad))
        reason = int(by[first])
        if first == 0:
            return start, reason
        start, stop = float(doses[first - 1]), float(doses[first])
    return start, reason
