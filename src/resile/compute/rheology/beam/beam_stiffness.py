"""Stiffness of a beam in three-point bending, the curve through it in the logarithms, and its slope."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from resile.compute.rheology.above_zero import above_zero
from resile.errors import MeasurementError

Floats = NDArray[np.float64]

GRADE_TIME_S = 60.0
"""Loading time at which stiffness and slope are judged [s]. AASHTO M 320, Table 1."""


class StiffnessFit(NamedTuple):
    """Curves through stiffness at several times, one a beam.

    Attributes
    ----------
    coefficients : ndarray of float, shape (..., 3)
        A, B and C of ``log10 S = A + B log10 t + C (log10 t)^2``.
    fitted : ndarray of float, shape (..., n)
        Stiffness on the curve [MPa].
    r_squared : ndarray of float, shape (...)
        Share of the variance of log S explained; not-a-number where log S does not vary.
    """

    coefficients: Floats
    fitted: Floats
    r_squared: Floats


def creep_stiffness_mpa(
    load_n: ArrayLike,
    deflection_mm: ArrayLike,
    *,
    span_mm: ArrayLike,
    width_mm: ArrayLike,
    thickness_mm: ArrayLike,
) -> Floats:
    """Give the stiffness of a beam in three-point bending.

    Parameters
    ----------
    load_n : array_like of float, shape (..., n) or scalar
        Load at mid-span, positive [N].
    deflection_mm : array_like of float, shape that broadcasts
        Deflection at mid-span, positive [mm].
    span_mm, width_mm, thickness_mm : array_like of float, shapes that broadcast
        Distance between the supports, width and thickness of the beam [mm].

    Returns
    -------
    ndarray of float
        Stiffness [MPa].

    Raises
    ------
    MeasurementError
        Where a number is not finite or not above zero.

    Notes
    -----
    ``S(t) = P L^3/(4 b h^3 delta(t))``. The span is an input because 102 mm and 101.6 mm (4 in) differ by
    1.2 % in stiffness. 1 % of thickness is 3 % of stiffness.

    References
    ----------
    AASHTO T 313, from memory (high); same form in ISO 899-2.

    Examples
    --------
    >>> s = creep_stiffness_mpa(0.980, 1.0, span_mm=102.0, width_mm=12.70, thickness_mm=6.35)
    >>> round(float(s), 6)
    79.954277
    """
    load, deflection, span, width, thickness = (
        above_zero("bending beam", name, values)
        for name, values in (
            ("load", load_n),
            ("deflection", deflection_mm),
            ("span", span_mm),
            ("width", width_mm),
            ("thickness", thickness_mm),
        )
    )
    return np.asarray(load * span**3 / (4.0 * width * thickness**3 * deflection))


def fit_stiffness(loading_time_s: ArrayLike, stiffness_mpa: ArrayLike) -> StiffnessFit:
    """Fit the curve of second degree in the logarithms of time and stiffness.

    Parameters
    ----------
    loading_time_s : array_like of float, shape (n,), n at least 3
        Loading times, positive, all different [s].
    stiffness_mpa : array_like of float, shape (..., n)
        Stiffness, positive [MPa].

    Returns
    -------
    StiffnessFit
        One curve for each leading index.

    Raises
    ------
    MeasurementError
        Where there are fewer than three times, or a number is not finite or not above zero.

    Notes
    -----
    Least squares of ``log10 S = A + B log10 t + C (log10 t)^2``, unweighted.

    References
    ----------
    AASHTO T 313, section 14, from memory (high).
    """
    time, stiffness = (
        above_zero("bending beam", "loading time", loading_time_s),
        above_zero("bending beam", "stiffness", stiffness_mpa),
    )
    if time.ndim != 1 or len(np.unique(time)) != len(time) or len(time) < 3:
        raise MeasurementError("bending beam: needed are at least three different loading times")
    if stiffness.shape[-1:] != time.shape:
        raise MeasurementError(
            f"bending beam: {len(time)} loading times, but stiffness of shape {stiffness.shape}"
        )
    x, y = np.log10(time), np.log10(stiffness)
    # Centred powers keep the least squares well conditioned; they are put back afterwards.
    middle = float(x.mean())
    basis = np.stack((np.ones_like(x), x - middle, (x - middle) ** 2), axis=-1)
    centred = y @ np.linalg.pinv(basis).T
    a, b, c = np.moveaxis(centred, -1, 0)
    coefficients = np.stack((a - b * middle + c * middle**2, b - 2.0 * c * middle, c), axis=-1)
    along = centred @ basis.T
    total = np.sum((y - y.mean(axis=-1, keepdims=True)) ** 2, axis=-1)
    left = np.sum((y - along) ** 2, axis=-1)
    with np.errstate(divide="ignore", invalid="ignore"):
        r_squared = np.where(total > 1e-24, 1.0 - left / total, np.nan)
    return StiffnessFit(np.asarray(coefficients), np.asarray(10.0**along), np.asarray(r_squared))


def fitted_stiffness_mpa(coefficients: ArrayLike, loading_time_s: ArrayLike) -> Floats:
    """Give the stiffness on a fitted curve.

    Parameters
    ----------
    coefficients : array_like of float, shape (..., 3)
        As `StiffnessFit` gives them.
    loading_time_s : array_like of float, shape that broadcasts with the leading indices
        Loading time, positive [s].

    Returns
    -------
    ndarray of float
        Stiffness [MPa].

    Raises
    ------
    MeasurementError
        Where a time is not above zero.

    References
    ----------
    AASHTO T 313, section 14, from memory (high).
    """
    a, b, c = np.moveaxis(np.asarray(coefficients, dtype=float), -1, 0)
    x = np.log10(above_zero("bending beam", "loading time", loading_time_s))
    return np.asarray(10.0 ** (a + b * x + c * x**2))


def m_value(coefficients: ArrayLike, loading_time_s: ArrayLike = GRADE_TIME_S) -> Floats:
    """Give the size of the slope of log stiffness on log time.

    Parameters
    ----------
    coefficients : array_like of float, shape (..., 3)
        As `StiffnessFit` gives them.
    loading_time_s : array_like of float, shape that broadcasts with the leading indices
        Loading time, positive [s].

    Returns
    -------
    ndarray of float
        ``|B + 2 C log10 t|``.

    Raises
    ------
    MeasurementError
        Where a time is not above zero.

    References
    ----------
    AASHTO T 313, section 14, from memory (high).

    Examples
    --------
    >>> round(float(m_value((2.80, -0.20, -0.03))), 5)
    0.30669
    """
    _, b, c = np.moveaxis(np.asarray(coefficients, dtype=float), -1, 0)
    return np.asarray(
        np.abs(b + 2.0 * c * np.log10(above_zero("bending beam", "loading time", loading_time_s)))
    )
