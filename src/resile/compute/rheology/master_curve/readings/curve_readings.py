"""Numbers read from a master curve at a named condition: measured, interpolated or extrapolated, with
interval.

Use `read_glover_rowe` and `read_temperature_of_phase` on a fitted curve, `glover_rowe_line` for the line of
one limit in a Black diagram. What a beam would show is in `beam_from_shear`.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike, NDArray

from resile.compute.rheology.master_curve.forms.moved_curve import MovedCurve, read_with_doubt
from resile.compute.rheology.oscillation.oscillation import glover_rowe_parameter
from resile.errors import InputError
from resile.records.models.curve_reading import CurveReading, ReadingStanding
from resile.records.models.master_curve import CurvePoint, MasterCurve

Floats = NDArray[np.float64]

_DECADES = 6.0
"""Decades beyond the measured reduced frequencies in which a phase angle is sought."""


def glover_rowe_line(phase_angle_deg: ArrayLike, *, limit: float) -> Floats:
    """Give the modulus at which the Glover-Rowe parameter has a value: its line in a Black diagram.

    Parameters
    ----------
    phase_angle_deg : array_like of float, any shape
        Phase angle, above 0 and below 90 [°].
    limit : float
        Value of the parameter, above zero, any unit.

    Returns
    -------
    ndarray of float, shape of `phase_angle_deg`
        ``|G*|`` in the unit of the limit.

    Raises
    ------
    InputError
        Where an angle lies outside, or the limit is not above zero.

    Notes
    -----
    ``|G*| = limit sin(delta)/cos^2(delta)``. A limit belongs to its condition: points measured at another
    temperature or frequency do not belong beside its line.

    References
    ----------
    Definition of the parameter: Rowe 2011, from memory (high).

    Examples
    --------
    >>> round(float(glover_rowe_line(45.0, limit=180.0)), 1)
    254.6
    """
    angle = np.asarray(phase_angle_deg, dtype=float)
    if not ((angle > 0.0) & (angle < 90.0)).all():
        raise InputError("Glover-Rowe line: every phase angle must lie above 0 and below 90°")
    if not (limit > 0.0 and math.isfinite(limit)):
        raise InputError(f"Glover-Rowe line: the limit is {limit:g}; a number above 0 is needed")
    return np.asarray(limit * np.sin(np.radians(angle)) / np.cos(np.radians(angle)) ** 2)


def read_glover_rowe(
    curve: MasterCurve,
    *,
    name: str,
    temperature_c: float,
    angular_frequency_rad_s: float,
    measured_within_c: float,
    measured_within_decades: float,
) -> CurveReading:
    """Give the Glover-Rowe parameter at one of its conditions.

    Parameters
    ----------
    curve : MasterCurve
        The curve.
    name : str
        Name of the condition.
    temperature_c, angular_frequency_rad_s : float
        The condition [°C], [rad/s].
    measured_within_c, measured_within_decades : float
        A point this near counts as measured there [°C], [decades].

    Returns
    -------
    CurveReading
        In kPa. Of a measured point, the number of that point (the geometric mean of several), without an
        interval; else of the curve, with one.

    References
    ----------
    Rowe 2011, from memory (high); formula as printed with the FHWA Turner-Fairbank recycling data.
    """
    near = [
        point
        for point in curve.points
        if abs(point.temperature_c - temperature_c) <= measured_within_c
        and abs(math.log10(point.angular_frequency_rad_s / angular_frequency_rad_s))
        <= measured_within_decades
    ]
    if near:
        return CurveReading(
            name,
            math.exp(float(np.mean([np.log(_glover_rowe(point)) for point in near]))),
            "kPa",
            ReadingStanding.MEASURED,
            temperature_c=temperature_c,
            angular_frequency_rad_s=angular_frequency_rad_s,
            complex_modulus=math.exp(float(np.mean([math.log(point.complex_modulus) for point in near]))),
            phase_angle=float(np.mean([point.phase_angle for point in near])),
        )

    def logarithm(moved: MovedCurve) -> Floats:
        return np.log(np.atleast_1d(glover_rowe_parameter(*moved.at(temperature_c, angular_frequency_rad_s))))

    value, lower, upper = (float(one[0]) for one in read_with_doubt(curve, logarithm))
    fitted = MovedCurve.as_fitted(curve)
    modulus, phase = fitted.at(temperature_c, angular_frequency_rad_s)
    standing, decades, apart = fitted.standing(temperature_c, angular_frequency_rad_s)
    return CurveReading(
        name,
        math.exp(value),
        "kPa",
        standing,
        lower=_exponential(lower),
        upper=_exponential(upper),
        temperature_c=temperature_c,
        angular_frequency_rad_s=angular_frequency_rad_s,
        beyond_decades=decades,
        beyond_c=apart,
        straight_shift_value=math.exp(float(logarithm(MovedCurve.as_fitted(curve, straight=True))[0]))
        if apart
        else None,
        complex_modulus=modulus,
        phase_angle=phase,
    )


def read_temperature_of_phase(
    curve: MasterCurve, *, name: str, phase_angle_deg: float, angular_frequency_rad_s: float
) -> CurveReading:
    """Give the temperature at which the phase angle has a value at a frequency.

    Parameters
    ----------
    curve : MasterCurve
        The curve.
    name : str
        Name of the reading.
    phase_angle_deg, angular_frequency_rad_s : float
        Phase angle [°] and angular frequency [rad/s].

    Returns
    -------
    CurveReading
        In °C. Where the curve passes the angle more than once, at the highest reduced frequency, as the
        crossover is read; without a value where it does not come there.

    References
    ----------
    Definition.
    """

    def temperature(moved: MovedCurve) -> Floats:
        place = _place_of_phase(moved, phase_angle_deg)
        return moved.temperatures_of_shift([place - math.log10(angular_frequency_rad_s)])

    value, lower, upper = (float(one[0]) for one in read_with_doubt(curve, temperature))
    straight = float(temperature(MovedCurve.as_fitted(curve, straight=True))[0])
    return MovedCurve.as_fitted(curve).temperature_reading(
        name, (value, lower, upper, straight), angular_frequency_rad_s
    )


def _place_of_phase(moved: MovedCurve, phase_angle_deg: float) -> float:
    low = math.log10(moved.curve.lowest_reduced_frequency_rad_s) - _DECADES
    high = math.log10(moved.curve.highest_reduced_frequency_rad_s) + _DECADES
    for _ in range(4):  # each pass narrows the bracket two hundred times
        grid = np.linspace(low, high, 201)
        above = moved.reduced(grid)[1] >= phase_angle_deg
        passes = np.flatnonzero(above[:-1] & ~above[1:])
        if not len(passes):
            return math.nan
        low, high = float(grid[passes[-1]]), float(grid[passes[-1] + 1])
    return 0.5 * (low + high)


def _glover_rowe(point: CurvePoint) -> float:
    return float(glover_rowe_parameter(point.complex_modulus, point.phase_angle))


def _exponential(logarithm: float) -> float | None:
    return math.exp(logarithm) if abs(logarithm) < 100.0 else None
