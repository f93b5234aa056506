"""Oscillation between parallel plates: from modulus and phase angle to the numbers of the grade.

Use `reduce_oscillation` for a whole run (points, measures) and the small functions for single numbers; raw
amplitudes become a modulus in `parallel_plates`. How well a run hangs together is in `oscillation_quality`.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike, NDArray

from resile.compute.rheology.oscillation.oscillation_quality import oscillation_measures
from resile.errors import MeasurementError
from resile.records.determination import Condition
from resile.records.oscillation import OscillationPoint, OscillationRun

Floats = NDArray[np.float64]


def storage_modulus(complex_modulus: ArrayLike, phase_angle_deg: ArrayLike) -> Floats:
    """Give the part of the modulus that stores energy, ``|G*| cos(delta)``.

    Parameters
    ----------
    complex_modulus : array_like of float, shape (n,) or scalar
        Size of the complex modulus, not negative, any unit.
    phase_angle_deg : array_like of float, shape that broadcasts
        Phase angle, 0 to 90 [°].

    Returns
    -------
    ndarray of float
        In the unit of the modulus.

    Raises
    ------
    MeasurementError
        Where a modulus is negative or an angle outside 0 to 90°.

    References
    ----------
    Definition; ASTM D7175.
    """
    modulus, angle = _modulus_and_angle(complex_modulus, phase_angle_deg)
    return np.asarray(modulus * np.cos(angle))


def loss_modulus(complex_modulus: ArrayLike, phase_angle_deg: ArrayLike) -> Floats:
    """Give the part of the modulus that loses energy, ``|G*| sin(delta)``.

    It is also the fatigue parameter of the grade.

    Parameters
    ----------
    complex_modulus, phase_angle_deg : array_like of float, shapes that broadcast
        As in `storage_modulus`.

    Returns
    -------
    ndarray of float
        In the unit of the modulus.

    Raises
    ------
    MeasurementError
        As in `storage_modulus`.

    References
    ----------
    Definition; AASHTO M 320, Table 1 names ``G* sin(delta)`` of the long-term-aged residue.
    """
    modulus, angle = _modulus_and_angle(complex_modulus, phase_angle_deg)
    return np.asarray(modulus * np.sin(angle))


def rutting_parameter(complex_modulus: ArrayLike, phase_angle_deg: ArrayLike) -> Floats:
    """Give the rutting parameter ``|G*|/sin(delta)``.

    Parameters
    ----------
    complex_modulus, phase_angle_deg : array_like of float, shapes that broadcast
        As in `storage_modulus`; the angle above zero.

    Returns
    -------
    ndarray of float
        In the unit of the modulus; infinite at a phase angle of zero.

    Raises
    ------
    MeasurementError
        As in `storage_modulus`.

    References
    ----------
    AASHTO M 320, Table 1.

    Examples
    --------
    >>> round(float(rutting_parameter(2.386, 76.59)), 3)
    2.453
    """
    modulus, angle = _modulus_and_angle(complex_modulus, phase_angle_deg)
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.asarray(np.where(angle > 0.0, modulus / np.sin(angle), np.inf))


def glover_rowe_parameter(complex_modulus: ArrayLike, phase_angle_deg: ArrayLike) -> Floats:
    """Give the Glover-Rowe parameter ``|G*| cos^2(delta)/sin(delta)``.

    Parameters
    ----------
    complex_modulus, phase_angle_deg : array_like of float, shapes that broadcast
        As in `storage_modulus`, both at the temperature and frequency the parameter is stated for.

    Returns
    -------
    ndarray of float
        In the unit of the modulus; infinite at a phase angle of zero.

    Raises
    ------
    MeasurementError
        As in `storage_modulus`.

    Notes
    -----
    15 °C and 0.005 rad/s, or 44.7 °C and 10 rad/s: values at the two are not interchangeable.

    References
    ----------
    Rowe 2011, from memory (high); formula as printed with the FHWA Turner-Fairbank recycling data.
    """
    modulus, angle = _modulus_and_angle(complex_modulus, phase_angle_deg)
    return np.asarray(rutting_parameter(modulus, phase_angle_deg) * np.cos(angle) ** 2)


def target_strain(complex_modulus_kpa: ArrayLike) -> Floats:
    """Give the strain amplitude that keeps a binder of this modulus in its linear range.

    Parameters
    ----------
    complex_modulus_kpa : array_like of float, shape (n,) or scalar
        Modulus, positive [kPa].

    Returns
    -------
    ndarray of float
        Strain amplitude [ratio]: 0.12 at 1 kPa.

    Raises
    ------
    MeasurementError
        Where a modulus is not positive.

    Notes
    -----
    ``gamma[%] = 12.0/|G*|^0.29``, ``|G*|`` in kPa; 9.5 % at 2.2 kPa, 1.0 % at 5000 kPa.

    References
    ----------
    AASHTO T 315 and SHRP, from memory (high).
    """
    return np.asarray(0.12 / _positive("modulus", complex_modulus_kpa) ** 0.29)


def reduce_oscillation(
    temperature_c: ArrayLike,
    complex_modulus: ArrayLike,
    phase_angle_deg: ArrayLike,
    *,
    angular_frequency_rad_s: ArrayLike | None = None,
    strain: ArrayLike | None = None,
    stress_kpa: ArrayLike | None = None,
    torque_nm: ArrayLike | None = None,
    angle_rad: ArrayLike | None = None,
    reported_rutting_parameter: ArrayLike | None = None,
    plate_diameter_mm: float | None = None,
    gap_mm: float | None = None,
    condition: Condition = Condition.UNKNOWN,
) -> OscillationRun:
    """Reduce one specimen's moduli and phase angles to the numbers of the grade, with measures.

    Parameters
    ----------
    temperature_c : array_like of float, shape (n,) or scalar
        Specimen temperature [°C].
    complex_modulus : array_like of float, shape (n,) or scalar
        Size of the complex modulus [kPa]; from torque and angle by
        `parallel_plates.complex_modulus_from_torque`.
    phase_angle_deg : array_like of float, shape (n,) or scalar
        Phase angle, 0 to 90 [°].
    angular_frequency_rad_s, strain, stress_kpa, torque_nm, angle_rad : array_like of float or None
        Shape (n,) or scalar, not-a-number where a cell is empty: frequency [rad/s] and amplitudes [ratio],
        [kPa], [N·m], [rad].
    reported_rutting_parameter : array_like of float or None, shape (n,) or scalar
        ``|G*|/sin(delta)`` as the record prints it [kPa]: compared, never used.
    plate_diameter_mm, gap_mm : float or None
        Plates [mm].
    condition : Condition
        Residue that was tested.

    Returns
    -------
    OscillationRun
        Points in the order given.

    Raises
    ------
    MeasurementError
        Where a temperature, modulus or angle is missing or impossible; says which point.

    Notes
    -----
    Nothing is taken from strain, stress or torque: they only serve to see whether the numbers belong
    together (`oscillation_measures`).
    """
    temperature, modulus, angle = np.broadcast_arrays(
        *(
            np.atleast_1d(np.asarray(a, dtype=float))
            for a in (temperature_c, complex_modulus, phase_angle_deg)
        )
    )
    if temperature.ndim != 1 or not len(temperature):
        raise MeasurementError("oscillation: needed is a row of points, found none")
    _refuse_impossible(temperature, modulus, angle)
    columns = {
        name: np.broadcast_to(np.asarray(values, dtype=float), temperature.shape)
        for name, values in (
            ("angular_frequency_rad_s", angular_frequency_rad_s),
            ("strain", strain),
            ("stress_kpa", stress_kpa),
            ("torque_nm", torque_nm),
            ("angle_rad", angle_rad),
            ("reported_rutting_parameter", reported_rutting_parameter),
        )
        if values is not None
    }
    measures = oscillation_measures(
        temperature, modulus, angle, columns=columns, plate_diameter_mm=plate_diameter_mm, gap_mm=gap_mm
    )
    points = _points(temperature, modulus, angle, columns)
    return OscillationRun(points, plate_diameter_mm, gap_mm, condition, measures)


def _points(
    temperature: Floats, modulus: Floats, angle: Floats, columns: dict[str, Floats]
) -> tuple[OscillationPoint, ...]:
    loss = loss_modulus(modulus, angle)
    rutting = rutting_parameter(modulus, angle)
    rows = zip(
        temperature.tolist(),
        _optional(columns, "angular_frequency_rad_s", len(loss)),
        modulus.tolist(),
        angle.tolist(),
        storage_modulus(modulus, angle).tolist(),
        loss.tolist(),
        [value if math.isfinite(value) else None for value in rutting.tolist()],
        loss.tolist(),
        *(_optional(columns, name, len(loss)) for name in ("strain", "stress_kpa", "torque_nm", "angle_rad")),
        strict=True,
    )
    return tuple(OscillationPoint(*row) for row in rows)


def _optional(columns: dict[str, Floats], name: str, count: int) -> list[float | None]:
    if name not in columns:
        return [None] * count
    return [value if math.isfinite(value) else None for value in columns[name].tolist()]


def _refuse_impossible(temperature: Floats, modulus: Floats, angle: Floats) -> None:
    for values, good, words in (
        (temperature, np.isfinite(temperature), "the temperature must be a number in °C"),
        (modulus, np.isfinite(modulus) & (modulus > 0.0), "the modulus must be above zero (kPa)"),
        (angle, (angle >= 0.0) & (angle <= 90.0), "the phase angle must lie between 0 and 90°"),
    ):
        bad = np.flatnonzero(~good)
        if len(bad):
            raise MeasurementError(
                f"oscillation, point {bad[0] + 1} at {temperature[bad[0]]:g} °C: {words}, "
                f"found {values[bad[0]]:g}"
            )


def _modulus_and_angle(complex_modulus: ArrayLike, phase_angle_deg: ArrayLike) -> tuple[Floats, Floats]:
    modulus, angle = _finite("modulus", complex_modulus), _finite("phase angle", phase_angle_deg)
    if np.any(modulus < 0.0):
        raise MeasurementError(f"oscillation: a modulus of {np.min(modulus):g} is below zero")
    if np.any((angle < 0.0) | (angle > 90.0)):
        raise MeasurementError("oscillation: a phase angle must lie between 0 and 90°; is it in radians?")
    return modulus, np.radians(angle)


def _finite(name: str, values: ArrayLike) -> Floats:
    numbers = np.asarray(values, dtype=float)
    if not np.isfinite(numbers).all():
        raise MeasurementError(f"oscillation: every {name} must be a finite number")
    return numbers


def _positive(name: str, values: ArrayLike) -> Floats:
    numbers = _finite(name, values)
    if np.any(numbers <= 0.0):
        raise MeasurementError(f"oscillation: the {name} must be above zero, found {np.min(numbers):g}")
    return numbers
