"""Pavement temperature hour by hour on the hot days of a record."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from resile.errors import MeasurementError

Floats = NDArray[np.float64]

WARMEST_HOUR = 14.0
"""Hour of the day at which the pavement is hottest [h]: common practice, no source."""
HOURS = 24


def hot_days(
    maximum_c: ArrayLike, minimum_c: ArrayLike, *, hottest_week_c: float, within_c: float
) -> NDArray[np.int64]:
    """Give the days near the hottest week, where the high pavement models hold.

    Parameters
    ----------
    maximum_c, minimum_c : array_like of float, shape (n,)
        Daily air maxima and minima; not-a-number where missing [°C].
    hottest_week_c : float
        Hottest seven-day mean of daily maxima, mean over the years [°C].
    within_c : float
        How far below it a day's maximum may lie [°C].

    Returns
    -------
    ndarray of int
        Places of the days with both values and a maximum of `hottest_week_c` less `within_c` or more.

    Raises
    ------
    MeasurementError
        Where the columns differ in length or `within_c` is negative.
    """
    high, low = np.asarray(maximum_c, dtype=float), np.asarray(minimum_c, dtype=float)
    if high.ndim != 1 or high.shape != low.shape or not within_c >= 0.0:
        raise MeasurementError(
            "hot days: needed are maxima and minima of one length, and a reach of 0 °C or more"
        )
    known = np.isfinite(high) & np.isfinite(low)
    return np.flatnonzero(known & (np.where(known, high, -np.inf) >= hottest_week_c - within_c))


def hourly_temperature(high_c: ArrayLike, low_c: ArrayLike) -> Floats:
    """Give the temperature at the middle of each hour between a day's lowest and highest.

    Parameters
    ----------
    high_c, low_c : array_like of float, shape (n,)
        Highest and lowest pavement temperature of each day [°C].

    Returns
    -------
    ndarray of float, shape (n, 24)
        From midnight on [°C].

    Raises
    ------
    MeasurementError
        Where a number is missing, or a highest lies below its lowest.

    Notes
    -----
    A cosine of one day with its top at 14 h:
    ``(high + low)/2 + (high - low)/2 cos(2 pi (h - 14)/24)``. A convention of our own, no source: real
    pavement warms faster than it cools.

    Examples
    --------
    >>> round(float(hourly_temperature([60.0], [20.0]).max()), 1)
    59.8
    """
    high, low = np.atleast_1d(np.asarray(high_c, dtype=float)), np.atleast_1d(np.asarray(low_c, dtype=float))
    if (
        high.shape != low.shape
        or not (np.isfinite(high).all() and np.isfinite(low).all())
        or np.any(high < low)
    ):
        raise MeasurementError(
            "hours of a day: every highest temperature must be a number not below its lowest"
        )
    hours = np.arange(HOURS) + 0.5
    wave = np.cos(2.0 * np.pi * (hours - WARMEST_HOUR) / HOURS)
    return np.asarray(((high + low) / 2.0)[:, None] + ((high - low) / 2.0)[:, None] * wave)
