"""Pavement temperature from air temperature: rival published models, one function each.

Use `shrp_high` and `shrp_low` for the equations the performance grades were built with (`ltpp_high` and
`ltpp_low`, in `resile.compute.site.ltpp`, are the later regression with its own standard error),
`latitude_offset_high` for the rule by bands of latitude, `robertson_low` for the Canadian low, and
`degree_day_high` only as an unverified alternative. The models disagree by up to two grade steps on one
record: show more than one. Choose by name through `resile.compute.site.models`.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from resile.compute.site.inputs import site_inputs
from resile.errors import MeasurementError

Floats = NDArray[np.float64]

MM_PER_INCH = 25.4
SURFACE_LAYER_MM = 20.0
"""Depth at which the high temperature of a surface layer is taken [mm]. SHRP-A-648A, from memory (high)."""

LATITUDE_OFFSETS: tuple[tuple[float, float], ...] = ((24.0, 24.0), (27.0, 23.0), (35.0, 22.0), (41.0, 21.0))
"""Upper end of a band of latitude [°] and its offset [°C]; 20 °C beyond. AGPT04K, table D1, read."""
LATITUDE_OFFSET_BEYOND_C = 20.0

DEGREE_DAY_PEAK = 14.0 / (2 * 0.96)
"""Thousands of degree-days at which the parabola of `degree_day_high` turns: never beyond."""


def shrp_high(
    air_high_c: ArrayLike, latitude_deg: ArrayLike, depth_mm: ArrayLike = SURFACE_LAYER_MM
) -> Floats:
    """Give the high pavement temperature by SHRP.

    Parameters
    ----------
    air_high_c : array_like of float
        Hottest seven-day mean of daily maximum air temperature [°C].
    latitude_deg : array_like of float, shape that broadcasts
        Latitude, north or south; its size counts [°].
    depth_mm : array_like of float, shape that broadcasts
        Depth below the surface, zero or more [mm].

    Returns
    -------
    ndarray of float
        Pavement temperature [°C].

    Raises
    ------
    MeasurementError
        Where a number is not finite, a latitude is beyond 90° or a depth is below zero.

    Notes
    -----
    At 20 mm: ``T = 0.9545 (Tair - 0.00618 Lat² + 0.2289 Lat + 42.2) - 17.78``. At another depth d the surface
    temperature ``Ts = Tair - 0.00618 Lat² + 0.2289 Lat + 24.4``, in °F, times
    ``1 - 0.063 d + 0.007 d² - 0.0004 d³``, d in inches. At 20 mm the second gives the factor 0.954538 of the
    first: the two agree to 0.03 °C, the constants 24.4 and 42.2 being rounded. Use the depth form with care
    below some 200 mm.

    References
    ----------
    SHRP-A-648A; Superpave SP-1, both from memory (high).

    Examples
    --------
    >>> round(float(shrp_high(36.0, 39.07)), 2)
    56.39
    """
    air, latitude, depth = site_inputs(air_high_c, latitude_deg, depth_mm)
    rise = -0.00618 * latitude**2 + 0.2289 * latitude
    at_20_mm = (air + rise + 42.2) * 0.9545 - 17.78
    inches = depth / MM_PER_INCH
    share = 1.0 - 0.063 * inches + 0.007 * inches**2 - 0.0004 * inches**3
    fahrenheit = (1.8 * (air + rise + 24.4) + 32.0) * share
    return np.asarray(np.where(depth == SURFACE_LAYER_MM, at_20_mm, (fahrenheit - 32.0) / 1.8))


def shrp_low(air_low_c: ArrayLike, depth_mm: ArrayLike = 0.0) -> Floats:
    """Give the low pavement temperature by SHRP: that of the air at the surface, milder with depth.

    Parameters
    ----------
    air_low_c : array_like of float
        Lowest air temperature of the year [°C].
    depth_mm : array_like of float, shape that broadcasts
        Depth below the surface, zero or more [mm].

    Returns
    -------
    ndarray of float
        ``T = Tair + 0.051 d - 0.000063 d²`` [°C].

    Raises
    ------
    MeasurementError
        Where a number is not finite, or a depth is below zero.

    References
    ----------
    Surface: FHWA-RD-97-103, abstract, read. Term of depth: SHRP, from memory (medium).
    """
    air, _, depth = site_inputs(air_low_c, 0.0, depth_mm)
    return np.asarray(air + 0.051 * depth - 0.000063 * depth**2)


def robertson_low(air_low_c: ArrayLike) -> Floats:
    """Give the low temperature of a pavement surface by the Canadian regression.

    Parameters
    ----------
    air_low_c : array_like of float
        Lowest air temperature of the year [°C].

    Returns
    -------
    ndarray of float
        ``0.859 Tair + 1.7`` [°C].

    Raises
    ------
    MeasurementError
        Where a number is not finite.

    Notes
    -----
    For the surface only: the term of depth is known with two constants (1.7 and 0.17), neither with a source.

    References
    ----------
    Robertson 1987; C-SHRP, from memory (medium).
    """
    air, _, _ = site_inputs(air_low_c, 0.0, 0.0)
    return np.asarray(0.859 * air + 1.7)


def latitude_offset_high(monthly_decile_nine_c: ArrayLike, latitude_deg: ArrayLike) -> Floats:
    """Give the maximum surface temperature of a pavement by bands of latitude.

    Parameters
    ----------
    monthly_decile_nine_c : array_like of float
        Highest ninth decile of daily maximum air temperature over the months [°C].
    latitude_deg : array_like of float, shape that broadcasts
        Latitude south, its size counts [°].

    Returns
    -------
    ndarray of float
        Air temperature plus 20 °C (beyond 41°), 21 (35 to 41), 22 (27 to 35), 23 (24 to 27) or 24 °C [°C].

    Raises
    ------
    MeasurementError
        Where a number is not finite or a latitude is beyond 90°.

    Notes
    -----
    Published for Australia; a latitude on the edge of two bands gets the warmer one (own choice: the table
    does not say). The published values are rounded to whole degrees.

    References
    ----------
    AGPT04K, appendix D, tables D1 to D3, read.

    Examples
    --------
    >>> float(latitude_offset_high(32.7, 27.5))
    54.7
    """
    air, latitude, _ = site_inputs(monthly_decile_nine_c, latitude_deg, 0.0)
    ends = np.array([end for end, _ in LATITUDE_OFFSETS])
    offsets = np.array([*(offset for _, offset in LATITUDE_OFFSETS), LATITUDE_OFFSET_BEYOND_C])
    return np.asarray(air + offsets[np.searchsorted(ends, latitude, side="left")])


def degree_day_high(
    degree_days: ArrayLike, latitude_deg: ArrayLike, *, rut_depth_mm: ArrayLike = 12.5, z: ArrayLike = 0.0
) -> Floats:
    """Give the high grade temperature from degree-days and an accepted rut depth. Unverified.

    Parameters
    ----------
    degree_days : array_like of float
        Yearly degree-days above 10 °C [°C·d].
    latitude_deg : array_like of float, shape that broadcasts
        Latitude, its size counts [°].
    rut_depth_mm : array_like of float, shape that broadcasts
        Rut depth that is accepted, above zero [mm].
    z : array_like of float, shape that broadcasts
        Normal quantile of the reliability asked for; 0 for one half.

    Returns
    -------
    ndarray of float
        ``PGd (1 + z CV/100)`` with ``PGd = 48.2 + 14 DD - 0.96 DD² - 2 RD``,
        ``CV = 0.000034 (Lat - 20)² RD²`` per cent and DD in thousands [°C].

    Raises
    ------
    MeasurementError
        Where a number cannot be used, or there are more degree-days than the peak of the parabola (7292).

    Notes
    -----
    Whether the degree-days are those of the daily maximum or of the daily mean is not established: the two
    give grades apart. Never a default.

    References
    ----------
    Mohseni, Carpenter, D'Angelo, AAPT 74 (2005), from memory (medium).
    """
    thousands, latitude, rut = site_inputs(degree_days, latitude_deg, rut_depth_mm)
    thousands = thousands / 1000.0
    if np.any(thousands < 0.0) or np.any(thousands > DEGREE_DAY_PEAK) or np.any(rut <= 0.0):
        raise MeasurementError(
            "degree-day model: needed are 0 to 7292 degree-days above 10 °C and a rut depth above 0 mm; "
            "beyond its peak the published parabola falls"
        )
    centre = 48.2 + 14.0 * thousands - 0.96 * thousands**2 - 2.0 * rut
    variation = 0.000034 * (latitude - 20.0) ** 2 * rut**2
    return np.asarray(centre * (1.0 + np.asarray(z, dtype=float) * variation / 100.0))
