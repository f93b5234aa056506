"""Penetration, softening point and what they say about sensitivity to temperature.

Use `penetration_index_en12591` for European paving grades, `penetration_index` with
`penetration_slope` for two penetrations or for the textbook form. The two forms differ by 0.003 to 0.010.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from resile.errors import MeasurementError

Floats = NDArray[np.float64]

PENETRATION_AT_SOFTENING_POINT = 800.0
"""Penetration of bitumen at its ring-and-ball temperature [0.1 mm]. Textbooks."""


def penetration_slope(
    penetration: ArrayLike,
    other_temperature_c: ArrayLike,
    *,
    other_penetration: ArrayLike = PENETRATION_AT_SOFTENING_POINT,
    temperature_c: ArrayLike = 25.0,
) -> Floats:
    """Give the slope of log penetration on temperature.

    Parameters
    ----------
    penetration : array_like of float
        Penetration at `temperature_c`, positive [0.1 mm].
    other_temperature_c : array_like of float
        Another temperature; the softening point where `other_penetration` is left at 800 [°C].
    other_penetration : array_like of float
        Penetration there [0.1 mm].
    temperature_c : array_like of float
        Temperature of the first penetration [°C].

    Returns
    -------
    ndarray of float
        ``(log10 pen1 - log10 pen2)/(T1 - T2)`` [1/°C].

    Raises
    ------
    MeasurementError
        Where a penetration is not above zero or the temperatures are equal.

    References
    ----------
    Two textbooks; see ``docs/methods/viscosity_temperature.md``.
    """
    first, second = _positive(penetration), _positive(other_penetration)
    apart = np.asarray(temperature_c, dtype=float) - np.asarray(other_temperature_c, dtype=float)
    if not np.isfinite(apart).all() or np.any(apart == 0.0):
        raise MeasurementError("penetration slope: needed are two different temperatures")
    return np.asarray((np.log10(first) - np.log10(second)) / apart)


def penetration_index(slope: ArrayLike) -> Floats:
    """Give the penetration index from the slope of log penetration.

    Parameters
    ----------
    slope : array_like of float
        As `penetration_slope` gives it [1/°C].

    Returns
    -------
    ndarray of float
        ``20 (1 - 25 A)/(1 + 50 A)``.

    Raises
    ------
    MeasurementError
        Where the penetration does not rise with temperature.

    References
    ----------
    Two textbooks.
    """
    a = np.asarray(slope, dtype=float)
    if not np.isfinite(a).all() or np.any(a <= 0.0):
        raise MeasurementError(
            "penetration index: penetration must rise with temperature; is the softening point above 25 °C?"
        )
    return np.asarray(20.0 * (1.0 - 25.0 * a) / (1.0 + 50.0 * a))


def penetration_index_en12591(penetration: ArrayLike, softening_point_c: ArrayLike) -> Floats:
    """Give the penetration index from penetration at 25 °C and softening point.

    Parameters
    ----------
    penetration : array_like of float
        Penetration at 25 °C, positive [0.1 mm].
    softening_point_c : array_like of float, shape that broadcasts
        Ring-and-ball softening point [°C].

    Returns
    -------
    ndarray of float
        Index.

    Raises
    ------
    MeasurementError
        Where a penetration is not above zero, or the two give no index.

    Notes
    -----
    ``(20 SP + 500 log pen - 1952)/(SP - 50 log pen + 120)``.

    References
    ----------
    EN 12591:2009, annex A, from memory (high).

    Examples
    --------
    >>> round(float(penetration_index_en12591(60.0, 49.0)), 4)
    -1.0354
    """
    log_pen, point = np.log10(_positive(penetration)), np.asarray(softening_point_c, dtype=float)
    below = point - 50.0 * log_pen + 120.0
    if not np.isfinite(below).all() or np.any(below <= 0.0):
        raise MeasurementError("penetration index: penetration and softening point do not belong together")
    return np.asarray((20.0 * point + 500.0 * log_pen - 1952.0) / below)


def _positive(values: ArrayLike) -> Floats:
    numbers = np.asarray(values, dtype=float)
    if not np.isfinite(numbers).all() or np.any(numbers <= 0.0):
        raise MeasurementError("penetration: every penetration must be a finite number above zero (0.1 mm)")
    return numbers
