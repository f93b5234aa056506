"""Arrays against limits: rounding before comparison, which side a value lies on, and how far.

Use `rounded_values` only where the specification rounds, then `limits_met` and `margins_to_limits`.
"""

from __future__ import annotations

from decimal import ROUND_HALF_EVEN, ROUND_HALF_UP, Decimal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from resile.compute.statistics.probability.conformity import BOUNDS
from resile.errors import MeasurementError

ROUNDINGS = {"half-even": ROUND_HALF_EVEN, "half-up": ROUND_HALF_UP}
RELATIVE_SLACK = 1e-12
"""A value this near its limit equals it: a mean must not miss it by the last bit of a binary number."""
_NEAR_A_TIE = 1e-6
_LARGEST_WHOLE = 2.0**52


def rounded_values(values: ArrayLike, decimals: int, *, rounding: str) -> NDArray[np.float64]:
    """Round decimal numbers as they are written, not as they are stored.

    Parameters
    ----------
    values : array_like of float, any shape
        Finite numbers.
    decimals : int
        Decimals that stay.
    rounding : str
        ``"none"``, ``"half-even"`` or ``"half-up"`` (halves away from zero).

    Returns
    -------
    ndarray of float, shape of `values`
        The nearest binary numbers of the rounded decimals.

    Raises
    ------
    MeasurementError
        Where a number is not finite, or the rounding is not known.

    Notes
    -----
    A number counts as the shortest decimal that stands for it: 2.675 is a half although its binary form lies
    below. Away from a half, ``rint(x 10^d)`` cannot be wrong, and dividing a whole number by a power of ten
    gives the nearest binary number; the few values near a half are rounded as decimals one by one.

    References
    ----------
    ASTM E29, rounding method, from memory (medium); half-even: Ohio construction specification 403.06.

    Examples
    --------
    >>> rounded_values([0.505, 2.675, 0.504], 2, rounding="half-up").tolist()
    [0.51, 2.68, 0.5]
    """
    x = np.array(values, dtype=float)
    if not np.isfinite(x).all():
        raise MeasurementError("rounding: every value must be a finite number")
    if rounding == "none":
        return x
    if rounding not in ROUNDINGS:
        raise MeasurementError(
            f"rounding '{rounding}' is not known; needed: none, {' or '.join(sorted(ROUNDINGS))}"
        )
    scale = 10.0**decimals
    scaled = x * scale
    found = np.rint(scaled) / scale
    # Half-way or so near it that the multiplication might have crossed it; or too large for whole numbers.
    doubtful = np.abs(np.abs(scaled - np.trunc(scaled)) - 0.5) < _NEAR_A_TIE * np.maximum(1.0, np.abs(scaled))
    doubtful |= np.abs(scaled) >= _LARGEST_WHOLE
    step, mode = Decimal(1).scaleb(-decimals), ROUNDINGS[rounding]
    flat, near = found.reshape(-1), np.flatnonzero(doubtful.reshape(-1))
    for place, value in zip(near.tolist(), x.reshape(-1)[near].tolist(), strict=True):
        flat[place] = float(Decimal(repr(value)).quantize(step, rounding=mode))
    return flat.reshape(x.shape)


def limits_met(values: ArrayLike, limits: ArrayLike, *, bound: str) -> NDArray[np.bool_]:
    """Tell which values are on the good side of their limit; equal to the limit is good.

    Parameters
    ----------
    values, limits : array_like of float, shapes that broadcast
        In one unit.
    bound : str
        ``"maximum"`` or ``"minimum"``.

    Returns
    -------
    ndarray of bool
        True on the good side or at the limit.

    Raises
    ------
    MeasurementError
        Where the bound is not known.

    References
    ----------
    'Equal to the limit passes' for both kinds of limit: common practice; AASHTO M 320 writes "min" and "max".

    Examples
    --------
    >>> limits_met([0.5, 0.51], 0.5, bound="maximum").tolist()
    [True, False]
    """
    x, end = _two(values, limits, bound)
    return np.asarray(_equal(x, end) | ((x < end) if bound == "maximum" else (x > end)))


def margins_to_limits(values: ArrayLike, limits: ArrayLike, *, bound: str) -> NDArray[np.float64]:
    """Give the distance of each value to its limit, positive on the good side and exactly zero at the limit.

    Parameters
    ----------
    values, limits : array_like of float, shapes that broadcast
        In one unit.
    bound : str
        ``"maximum"`` or ``"minimum"``.

    Returns
    -------
    ndarray of float
        Distances in that unit.

    Raises
    ------
    MeasurementError
        Where the bound is not known.

    References
    ----------
    By definition; zero at the limit for numbers that differ by less than `RELATIVE_SLACK`.

    Examples
    --------
    >>> margins_to_limits([4.0, 5.0], 4.5, bound="maximum").tolist()
    [0.5, -0.5]
    """
    x, end = _two(values, limits, bound)
    return np.where(_equal(x, end), 0.0, end - x if bound == "maximum" else x - end)


def _two(values: ArrayLike, limits: ArrayLike, bound: str) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    if bound not in BOUNDS:
        raise MeasurementError(f"bound '{bound}' is not known; needed: {' or '.join(BOUNDS)}")
    x, end = np.broadcast_arrays(np.asarray(values, dtype=float), np.asarray(limits, dtype=float))
    return x, end


def _equal(x: NDArray[np.float64], end: NDArray[np.float64]) -> NDArray[np.bool_]:
    """Compare as `math.isclose` does: against the larger of the two."""
    return np.asarray(np.abs(x - end) <= RELATIVE_SLACK * np.maximum(np.abs(x), np.abs(end)))
