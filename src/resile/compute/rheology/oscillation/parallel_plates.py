"""Torque and rotation between parallel plates: shear stress, shear strain and the modulus they make."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike, NDArray

from resile.errors import MeasurementError

Floats = NDArray[np.float64]

STRESS_SHARE = {"rim": 1.0, "two-thirds": 2.0 / 3.0}
"""Place at which stress and strain are stated, as a share of their value at the rim (linear material)."""


def plate_stress_kpa(torque_nm: ArrayLike, *, plate_diameter_mm: ArrayLike, place: str = "rim") -> Floats:
    """Give the shear stress between parallel plates from the torque.

    Parameters
    ----------
    torque_nm : array_like of float, shape (n,) or scalar
        Torque, or its amplitude [N·m].
    plate_diameter_mm : array_like of float, shape that broadcasts
        Plate diameter [mm].
    place : str
        ``"rim"``, or ``"two-thirds"`` for the stress at two thirds of the radius.

    Returns
    -------
    ndarray of float
        Stress [kPa].

    Raises
    ------
    MeasurementError
        Where a number is not finite, the diameter is not positive or the place is not known.

    Notes
    -----
    Rim: ``tau = 2 M/(pi R^3)``; two thirds: ``4 M/(3 pi R^3)``, exact for a linear material. A diameter
    worked back from a stress stated at two thirds looks ``1.5^(1/3) = 1.145`` times too large.

    References
    ----------
    Parallel plates, AASHTO T 315, from memory (high).

    Examples
    --------
    >>> round(float(plate_stress_kpa(0.0007328, plate_diameter_mm=25.0)), 4)
    0.2389
    """
    torque = _finite("torque", torque_nm)
    radius_m = _positive("plate diameter", plate_diameter_mm) / 2000.0
    return np.asarray(_share(place) * 2.0 * torque / (math.pi * radius_m**3) / 1000.0)


def plate_strain(
    angle_rad: ArrayLike, *, plate_diameter_mm: ArrayLike, gap_mm: ArrayLike, place: str = "rim"
) -> Floats:
    """Give the shear strain between parallel plates from the rotation.

    Parameters
    ----------
    angle_rad : array_like of float, shape (n,) or scalar
        Rotation, or its amplitude [rad].
    plate_diameter_mm, gap_mm : array_like of float, shapes that broadcast
        Plate diameter and gap [mm].
    place : str
        As in `plate_stress_kpa`.

    Returns
    -------
    ndarray of float
        Strain [ratio].

    Raises
    ------
    MeasurementError
        As in `plate_stress_kpa`; also where the gap is not positive.

    Notes
    -----
    ``gamma = R theta/h`` at the rim.

    References
    ----------
    Parallel plates, AASHTO T 315, from memory (high).
    """
    angle, gap = _finite("angle", angle_rad), _positive("gap", gap_mm)
    return np.asarray(_share(place) * angle * _positive("plate diameter", plate_diameter_mm) / (2.0 * gap))


def complex_modulus_from_torque(
    torque_nm: ArrayLike, angle_rad: ArrayLike, *, plate_diameter_mm: ArrayLike, gap_mm: ArrayLike
) -> Floats:
    """Give the size of the complex modulus from the amplitudes of torque and rotation.

    Parameters
    ----------
    torque_nm, angle_rad : array_like of float, shapes that broadcast
        Amplitudes of torque [N·m] and rotation [rad], the rotation not zero.
    plate_diameter_mm, gap_mm : array_like of float, shapes that broadcast
        Plate diameter and gap [mm].

    Returns
    -------
    ndarray of float
        Modulus [kPa].

    Raises
    ------
    MeasurementError
        Where a rotation is zero; otherwise as in `plate_strain`.

    Notes
    -----
    ``|G*| = 2 h M/(pi R^4 theta)``. The place (rim or two thirds) cancels as long as stress and strain are
    taken at the same one. 1 % of radius is 4 % of modulus.

    References
    ----------
    Parallel plates, AASHTO T 315, from memory (high).
    """
    strain = plate_strain(angle_rad, plate_diameter_mm=plate_diameter_mm, gap_mm=gap_mm)
    if np.any(strain == 0.0):
        raise MeasurementError("oscillation: the rotation is zero, so there is no modulus")
    return np.asarray(np.abs(plate_stress_kpa(torque_nm, plate_diameter_mm=plate_diameter_mm) / strain))


def _share(place: str) -> float:
    if place not in STRESS_SHARE:
        raise MeasurementError(f"place '{place}' is not known; needed: {' or '.join(STRESS_SHARE)}")
    return STRESS_SHARE[place]


def _finite(name: str, values: ArrayLike) -> Floats:
    numbers = np.asarray(values, dtype=float)
    if not np.isfinite(numbers).all():
        raise MeasurementError(f"parallel plates: every {name} must be a finite number")
    return numbers


def _positive(name: str, values: ArrayLike) -> Floats:
    numbers = _finite(name, values)
    if np.any(numbers <= 0.0):
        raise MeasurementError(f"parallel plates: the {name} must be above zero, found {np.min(numbers):g}")
    return numbers
