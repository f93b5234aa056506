"""Equivalent axle loads over the life of a road, from counts, shares, axle factors and growth.

Use `design_axle_loads` for a table of vehicle classes, `growth_factor` for the years. What class of a
specification the number leads to is a matter of the specification, not of this module.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from resile.errors import MeasurementError

Floats = NDArray[np.float64]

DAYS_PER_YEAR = 365.0


def growth_factor(growth_percent: ArrayLike, years: ArrayLike) -> Floats:
    """Give the factor that turns the first year's traffic into that of all years.

    Parameters
    ----------
    growth_percent : array_like of float
        Yearly growth, above -100 [%].
    years : array_like of float, shape that broadcasts
        Length of the period, above zero [a].

    Returns
    -------
    ndarray of float
        ``((1 + g)^n - 1)/g``; n where the growth is zero.

    Raises
    ------
    MeasurementError
        Where growth or years cannot be used.

    Notes
    -----
    Written with ``expm1`` and ``log1p``: nothing is lost where the growth is small.

    References
    ----------
    AASHTO Guide 1993, II-2.1 and table D.20, from memory (high).

    Examples
    --------
    >>> round(float(growth_factor(4.0, 20.0)), 3)
    29.778
    """
    growth, length = np.asarray(growth_percent, dtype=float) / 100.0, np.asarray(years, dtype=float)
    if not np.isfinite(growth).all() or np.any(growth <= -1.0):
        raise MeasurementError("traffic growth: needed is a yearly growth above -100 %")
    if not np.isfinite(length).all() or np.any(length <= 0.0):
        raise MeasurementError("traffic growth: needed is a period above 0 years")
    still = growth == 0.0
    rate = np.where(still, 1.0, growth)
    return np.asarray(np.where(still, length, np.expm1(length * np.log1p(rate)) / rate))


def design_axle_loads(
    vehicles_per_day: ArrayLike,
    share_percent: ArrayLike,
    axle_factor: ArrayLike,
    *,
    growth_percent: ArrayLike,
    years: ArrayLike,
    direction_share: ArrayLike = 0.5,
    lane_share: ArrayLike = 1.0,
) -> Floats:
    """Give the equivalent standard axle loads of the design lane over the life of a road.

    Parameters
    ----------
    vehicles_per_day : array_like of float, shape (...)
        Average daily traffic of the first year, both directions [1/d].
    share_percent, axle_factor : array_like of float, shape (..., n) or ()
        Share of each of n kinds of vehicle [%] and its equivalent axle loads a vehicle.
    growth_percent, years : array_like of float, shape (...)
        Yearly growth [%] and length of the period [a].
    direction_share, lane_share : array_like of float, shape (...)
        Share of the traffic in the design direction, and of that in the design lane; 0 to 1.

    Returns
    -------
    ndarray of float, shape (...)
        Equivalent standard axle loads.

    Raises
    ------
    MeasurementError
        Where a count, share or factor cannot be used.

    Notes
    -----
    ``W = sum over kinds of (AADT share factor) DD DL 365 GF``.

    References
    ----------
    AASHTO Guide 1993, II-2.1 and appendix D, from memory (high).

    Examples
    --------
    >>> loads = design_axle_loads(12_000, 12.0, 1.2, growth_percent=3.0, years=20.0, lane_share=0.9)
    >>> round(float(loads) / 1e6, 3)
    7.626
    """
    count = _within(vehicles_per_day, 0.0, np.inf, "vehicles a day: 0 or more")
    share = _within(share_percent, 0.0, 100.0, "share of a kind of vehicle: 0 to 100 %") / 100.0
    factor = _within(axle_factor, 0.0, np.inf, "equivalent axle loads a vehicle: 0 or more")
    direction = _within(direction_share, 0.0, 1.0, "share of the design direction: 0 to 1")
    lane = _within(lane_share, 0.0, 1.0, "share of the design lane: 0 to 1")
    per_vehicle = share * factor
    if per_vehicle.ndim:
        if np.any(np.broadcast_to(share, per_vehicle.shape).sum(axis=-1) > 1.0 + 1e-9):
            raise MeasurementError("traffic: the shares of all kinds of vehicle together exceed 100 %")
        per_vehicle = per_vehicle.sum(axis=-1)
    return np.asarray(
        count * per_vehicle * direction * lane * DAYS_PER_YEAR * growth_factor(growth_percent, years)
    )


def _within(values: ArrayLike, lowest: float, highest: float, needed: str) -> Floats:
    numbers = np.asarray(values, dtype=float)
    if not np.isfinite(numbers).all() or np.any(numbers < lowest) or np.any(numbers > highest):
        raise MeasurementError(f"traffic: {needed} is needed")
    return numbers
