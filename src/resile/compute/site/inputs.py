"""What every pavement model is given, checked once: no number that cannot be one gets further."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from resile.errors import MeasurementError

Floats = NDArray[np.float64]


def deviation(values: ArrayLike) -> Floats:
    """Give standard deviations as an array, refusing what cannot be one.

    Parameters
    ----------
    values : array_like of float
        Standard deviations [°C].

    Returns
    -------
    ndarray of float
        The same.

    Raises
    ------
    MeasurementError
        Where one is below zero or not finite.
    """
    numbers = np.asarray(values, dtype=float)
    if not np.isfinite(numbers).all() or np.any(numbers < 0.0):
        raise MeasurementError(
            "standard deviation of air temperature: needed are finite numbers, 0 °C or more"
        )
    return numbers


def site_inputs(air: ArrayLike, latitude: ArrayLike, depth: ArrayLike) -> tuple[Floats, Floats, Floats]:
    """Give air temperature, size of the latitude and depth as arrays, refusing what cannot be one.

    Parameters
    ----------
    air : array_like of float
        Air temperature [°C].
    latitude : array_like of float
        Latitude, either sign [°].
    depth : array_like of float
        Depth below the surface [mm].

    Returns
    -------
    tuple of ndarray
        Air temperature [°C], absolute latitude [°], depth [mm].

    Raises
    ------
    MeasurementError
        Where a number is not finite, a latitude is beyond 90° or a depth is below zero.
    """
    temperature, size, below = (np.asarray(a, dtype=float) for a in (air, latitude, depth))
    if not np.isfinite(temperature).all():
        raise MeasurementError("pavement temperature: every air temperature must be a finite number (°C)")
    size = np.abs(size)
    if not np.isfinite(size).all() or np.any(size > 90.0):
        raise MeasurementError("pavement temperature: a latitude lies between -90 and 90 degrees")
    if not np.isfinite(below).all() or np.any(below < 0.0):
        raise MeasurementError("pavement temperature: a depth below the surface is 0 mm or more")
    return temperature, size, below
