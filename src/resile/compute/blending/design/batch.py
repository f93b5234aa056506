"""Masses of a batch in the steps of the plant, so that the total is kept and the grade still holds."""

from __future__ import annotations

import itertools

import numpy as np
from numpy.typing import ArrayLike, NDArray

from resile.errors import MeasurementError

Floats = NDArray[np.float64]

MOST_FREE = 12
"""Components whose rounding up and down is tried both ways; of more, the largest remainders decide."""


def batch_masses(shares: ArrayLike, tank_kg: float, increments_kg: ArrayLike) -> Floats:
    """Round a batch to the steps of the plant by largest remainders.

    Parameters
    ----------
    shares : array_like of float, shape (q,)
        Recipe, as ratios.
    tank_kg : float
        Mass of the batch [kg].
    increments_kg : array_like of float, shape (q,)
        Smallest step of each component [kg].

    Returns
    -------
    ndarray of float, shape (q,)
        Masses [kg], each less than one step from its exact one. They add up to the tank where the steps
        allow it: always where all steps are alike and the tank is a multiple of them.

    Raises
    ------
    MeasurementError
        Where a number cannot be used.

    Notes
    -----
    Every mass is rounded down; what is missing is given out one step at a time by the largest remainder
    (Hamilton's rule of apportionment), each component at most once.

    Examples
    --------
    >>> batch_masses([1 / 3, 1 / 3, 1 / 3], 1000.0, [10.0, 10.0, 10.0]).tolist()
    [340.0, 330.0, 330.0]
    """
    exact, steps = _checked(shares, tank_kg, increments_kg)
    whole = np.floor(exact / steps + 1e-9)
    remainder = exact / steps - whole
    missing = tank_kg - float((whole * steps).sum())
    for place in np.argsort(-remainder, kind="stable"):
        if remainder[place] > 1e-9 and steps[place] <= missing + 1e-6:
            whole[place] += 1.0
            missing -= steps[place]
    return np.asarray(whole * steps)


def batch_choices(shares: ArrayLike, tank_kg: float, increments_kg: ArrayLike) -> Floats:
    """Give every way to round a batch that keeps the total as well as the largest remainders do.

    Parameters
    ----------
    shares : array_like of float, shape (q,)
        Recipe, as ratios.
    tank_kg : float
        Mass of the batch [kg].
    increments_kg : array_like of float, shape (q,)
        Smallest step of each component [kg].

    Returns
    -------
    ndarray of float, shape (k, q)
        Masses [kg], the largest remainders first, then by their distance from the exact masses in steps.

    Raises
    ------
    MeasurementError
        Where a number cannot be used.
    """
    exact, steps = _checked(shares, tank_kg, increments_kg)
    first = batch_masses(shares, tank_kg, increments_kg)
    off = abs(float(first.sum()) - tank_kg)
    down = np.floor(exact / steps + 1e-9)
    free = np.flatnonzero(exact / steps - down > 1e-9)
    if len(free) > MOST_FREE:
        return first[None, :]
    ways = np.array(list(itertools.product((0.0, 1.0), repeat=len(free)))).reshape(2 ** len(free), len(free))
    counts = np.repeat(down[None, :], len(ways), axis=0)
    counts[:, free] += ways
    masses = counts * steps
    kept = np.abs(masses.sum(axis=1) - tank_kg) <= off + 1e-6
    masses = masses[kept]
    away = np.abs((masses - exact) / steps).sum(axis=1) + np.where(np.all(masses == first, axis=1), -1e6, 0.0)
    return np.asarray(masses[np.argsort(away, kind="stable")])


def _checked(shares: ArrayLike, tank_kg: float, increments_kg: ArrayLike) -> tuple[Floats, Floats]:
    recipe, steps = np.asarray(shares, dtype=float), np.asarray(increments_kg, dtype=float)
    if recipe.ndim != 1 or recipe.shape != steps.shape or abs(float(recipe.sum()) - 1.0) > 1e-6:
        raise MeasurementError("batch: needed are one step for each component, and shares that add up to 1")
    if not np.isfinite(tank_kg) or tank_kg <= 0.0 or not np.all(steps > 0.0):
        raise MeasurementError(f"batch of {tank_kg:g} kg: the mass and every step must be above zero")
    if np.any(recipe < 0.0):
        raise MeasurementError("batch: a share below zero cannot be dosed")
    return recipe * tank_kg, steps
