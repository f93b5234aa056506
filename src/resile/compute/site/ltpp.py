"""Pavement temperature by the LTPP regressions, with the standard errors they were published with."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from resile.compute.site.inputs import deviation, site_inputs
from resile.compute.site.pavement_temperature import SURFACE_LAYER_MM

Floats = NDArray[np.float64]

HIGH_VARIANCE = 9.0
HIGH_AIR_SHARE = 0.61
LOW_VARIANCE = 4.4
LOW_AIR_SHARE = 0.52
"""Variances of the regressions [°C²], squared slopes of air: FHWA-RD-97-103, from memory (high)."""


def ltpp_high(
    air_high_c: ArrayLike,
    latitude_deg: ArrayLike,
    depth_mm: ArrayLike = SURFACE_LAYER_MM,
    *,
    air_sd_c: ArrayLike = 0.0,
    z: ArrayLike = 0.0,
) -> Floats:
    """Give the high pavement temperature by the LTPP regression.

    Parameters
    ----------
    air_high_c : array_like of float
        Mean over the years of the hottest seven-day mean of daily maxima [°C].
    latitude_deg, depth_mm : array_like of float, shapes that broadcast
        Latitude, its size counts [°]; depth below the surface [mm].
    air_sd_c : array_like of float, shape that broadcasts
        Standard deviation of the yearly air temperature [°C].
    z : array_like of float, shape that broadcasts
        Normal quantile of the reliability asked for; 0 for one half.

    Returns
    -------
    ndarray of float
        ``54.32 + 0.78 Tair - 0.0025 Lat² - 15.14 log10(H + 25) + z sqrt(9 + 0.61 s²)`` [°C].

    Raises
    ------
    MeasurementError
        Where a number is not finite, a latitude is beyond 90°, or a depth or deviation is below zero.

    References
    ----------
    FHWA-RD-97-103 (1998), from memory (high).

    Examples
    --------
    >>> round(float(ltpp_high(36.0, 39.07, air_sd_c=2.0, z=2.055)), 3)
    60.505
    """
    air, latitude, depth = site_inputs(air_high_c, latitude_deg, depth_mm)
    centre = 54.32 + 0.78 * air - 0.0025 * latitude**2 - 15.14 * np.log10(depth + 25.0)
    return np.asarray(centre + np.asarray(z, dtype=float) * ltpp_high_standard(air_sd_c))


def ltpp_low(
    air_low_c: ArrayLike,
    latitude_deg: ArrayLike,
    depth_mm: ArrayLike = 0.0,
    *,
    air_sd_c: ArrayLike = 0.0,
    z: ArrayLike = 0.0,
) -> Floats:
    """Give the low pavement temperature by the LTPP regression.

    Parameters
    ----------
    air_low_c : array_like of float
        Mean over the years of the lowest daily minimum [°C].
    latitude_deg, depth_mm, air_sd_c, z : array_like of float, shapes that broadcast
        As in `ltpp_high`.

    Returns
    -------
    ndarray of float
        ``-1.56 + 0.72 Tair - 0.004 Lat² + 6.26 log10(H + 25) - z sqrt(4.4 + 0.52 s²)`` [°C].

    Raises
    ------
    MeasurementError
        As `ltpp_high`.

    References
    ----------
    FHWA-RD-97-103 (1998), from memory (high).
    """
    air, latitude, depth = site_inputs(air_low_c, latitude_deg, depth_mm)
    centre = -1.56 + 0.72 * air - 0.004 * latitude**2 + 6.26 * np.log10(depth + 25.0)
    return np.asarray(centre - np.asarray(z, dtype=float) * ltpp_low_standard(air_sd_c))


def ltpp_high_standard(air_sd_c: ArrayLike) -> Floats:
    """Give the standard deviation of a year's high pavement temperature by LTPP: model and weather together.

    Parameters
    ----------
    air_sd_c : array_like of float
        Standard deviation of the yearly air temperature, zero or more [°C].

    Returns
    -------
    ndarray of float
        ``sqrt(9 + 0.61 s²)`` [°C].

    Raises
    ------
    MeasurementError
        Where a deviation is below zero or not finite.

    References
    ----------
    FHWA-RD-97-103 (1998), from memory (high).
    """
    return np.sqrt(HIGH_VARIANCE + HIGH_AIR_SHARE * deviation(air_sd_c) ** 2)


def ltpp_low_standard(air_sd_c: ArrayLike) -> Floats:
    """Give the standard deviation of a year's low pavement temperature by LTPP: model and weather together.

    Parameters
    ----------
    air_sd_c : array_like of float
        Standard deviation of the yearly air temperature, zero or more [°C].

    Returns
    -------
    ndarray of float
        ``sqrt(4.4 + 0.52 s²)`` [°C].

    Raises
    ------
    MeasurementError
        Where a deviation is below zero or not finite.

    References
    ----------
    FHWA-RD-97-103 (1998), from memory (high).
    """
    return np.sqrt(LOW_VARIANCE + LOW_AIR_SHARE * deviation(air_sd_c) ** 2)
