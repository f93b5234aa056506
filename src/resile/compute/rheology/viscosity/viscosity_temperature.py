"""Viscosity and temperature: the line through rotational viscosities, and the temperatures read off it.

Use `reduce_viscosity` for a whole set; `fit_viscosity_line`, `viscosity_at` and `temperature_at_viscosity`
for the line itself. Penetration, softening point and their index are in `penetration`.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike, NDArray

from resile.errors import MeasurementError
from resile.records.determination import Condition
from resile.records.finding import Measure
from resile.records.viscosity import ViscosityLine, ViscosityPoint, ViscosityRun, WorkingTemperatures

Floats = NDArray[np.float64]

MIXING_PA_S = (0.15, 0.19)
"""Viscosity range for mixing, 0.17 ± 0.02 Pa·s. Asphalt Institute MS-2, section 4.2.1."""
COMPACTION_PA_S = (0.25, 0.31)
"""Viscosity range for compaction, 0.28 ± 0.03 Pa·s. Asphalt Institute technical bulletin; Yildirim 2006."""
RANKINE_PER_KELVIN = 1.8
ZERO_CELSIUS_K = 273.15
MILLIPASCAL = 1000.0
"""mPa·s (the old centipoise) in one Pa·s."""
FREQUENCY_EXPONENT = 4.8628
"""Exponent of 1/sin(delta) in `viscosity_from_oscillation`. NCHRP 1-37A, from memory (high)."""


def fit_viscosity_line(temperature_c: ArrayLike, viscosity_pa_s: ArrayLike) -> ViscosityLine:
    """Fit the straight line of the viscosity-temperature chart.

    Parameters
    ----------
    temperature_c : array_like of float, shape (n,), at least two of them different
        Temperatures [°C].
    viscosity_pa_s : array_like of float, shape (n,)
        Viscosities, above 0.001 Pa·s [Pa·s].

    Returns
    -------
    ViscosityLine
        With the temperatures it was measured between and the largest residual in viscosity.

    Raises
    ------
    MeasurementError
        Where there are not two temperatures, or a viscosity is too small for the chart.

    Notes
    -----
    ``log10 log10 eta = A + VTS log10 T``, eta in mPa·s (centipoise), T in degrees Rankine; least squares.
    ASTM D2493: two points and a straight line above 60 °C, at least three where the range goes below it;
    extrapolation may be unreliable.

    References
    ----------
    NCHRP 1-37A, part 2, chapter 2, from memory (high); ASTM D2493, section 5.2.
    """
    temperature, viscosity = np.asarray(temperature_c, dtype=float), np.asarray(viscosity_pa_s, dtype=float)
    if temperature.ndim != 1 or temperature.shape != viscosity.shape:
        raise MeasurementError("viscosity line: needed is one viscosity a temperature")
    x, y = _log_rankine(temperature), _double_log(viscosity)
    if len(np.unique(temperature)) < 2:
        raise MeasurementError(
            "viscosity line: needed are viscosities at two temperatures or more, found one temperature"
        )
    from_middle = x - x.mean()
    slope = float(from_middle @ y / (from_middle @ from_middle))
    intercept = float(y.mean() - slope * x.mean())
    residual = 100.0 * np.abs(viscosity / viscosity_at(temperature, intercept=intercept, slope=slope) - 1.0)
    return ViscosityLine(
        intercept, slope, float(temperature.min()), float(temperature.max()), float(residual.max())
    )


def viscosity_at(temperature_c: ArrayLike, *, intercept: ArrayLike, slope: ArrayLike) -> Floats:
    """Give the viscosity on a line of the viscosity-temperature chart.

    Parameters
    ----------
    temperature_c : array_like of float
        Temperature [°C].
    intercept, slope : array_like of float, shapes that broadcast
        A and VTS, see `fit_viscosity_line`.

    Returns
    -------
    ndarray of float
        Viscosity [Pa·s].

    Raises
    ------
    MeasurementError
        Where a temperature is below absolute zero.

    References
    ----------
    As in `fit_viscosity_line`.

    Examples
    --------
    >>> round(float(viscosity_at(135.0, intercept=10.980, slope=-3.680)), 4)  # PG 64-22
    0.5115
    """
    a, vts = np.asarray(intercept, dtype=float), np.asarray(slope, dtype=float)
    return np.asarray(10.0 ** (10.0 ** (a + vts * _log_rankine(temperature_c))) / MILLIPASCAL)


def temperature_at_viscosity(viscosity_pa_s: ArrayLike, *, intercept: ArrayLike, slope: ArrayLike) -> Floats:
    """Give the temperature at which a line of the viscosity-temperature chart has a viscosity.

    Parameters
    ----------
    viscosity_pa_s : array_like of float
        Viscosity, above 0.001 Pa·s [Pa·s].
    intercept, slope : array_like of float, shapes that broadcast
        A and VTS, the slope negative.

    Returns
    -------
    ndarray of float
        Temperature [°C].

    Raises
    ------
    MeasurementError
        Where the slope is not negative or a viscosity is too small for the chart.

    References
    ----------
    As in `fit_viscosity_line`, solved for the temperature.
    """
    a, vts = np.asarray(intercept, dtype=float), np.asarray(slope, dtype=float)
    if not (np.isfinite(vts).all() and np.all(vts < 0.0)):
        raise MeasurementError(
            f"viscosity line: viscosity must fall with temperature, but the slope is {float(np.max(vts)):g}"
        )
    rankine = 10.0 ** ((_double_log(viscosity_pa_s) - a) / vts)
    return np.asarray(rankine / RANKINE_PER_KELVIN - ZERO_CELSIUS_K)


def working_temperatures(
    line: ViscosityLine, viscosity_range_pa_s: tuple[float, float], *, purpose: str
) -> WorkingTemperatures:
    """Give the temperatures at which a binder has a wanted viscosity.

    Parameters
    ----------
    line : ViscosityLine
        The line.
    viscosity_range_pa_s : tuple of float
        Lower and upper end of the viscosity [Pa·s], for example `MIXING_PA_S`.
    purpose : str
        Word for the range, such as ``"mixing"``.

    Returns
    -------
    WorkingTemperatures
        With how far they reach beyond the measured temperatures.

    Raises
    ------
    MeasurementError
        Where the ends are not in order, or as in `temperature_at_viscosity`.

    Notes
    -----
    The range holds for unmodified binder; modified binder can give temperatures above 177 °C at which it
    is damaged (Asphalt Institute MS-2). The record says how far the line was extended; it judges nothing.
    """
    low, high = viscosity_range_pa_s
    if not 0.0 < low < high:
        raise MeasurementError(f"working temperatures: {low:g} to {high:g} Pa·s is not a range of viscosity")
    coldest, middle, hottest = temperature_at_viscosity(
        [high, 0.5 * (low + high), low], intercept=line.intercept, slope=line.slope
    ).tolist()
    beyond = None
    if line.lowest_c is not None and line.highest_c is not None:
        beyond = max(0.0, line.lowest_c - coldest, hottest - line.highest_c)
    return WorkingTemperatures(purpose, coldest, middle, hottest, low, high, beyond)


def reduce_viscosity(
    temperature_c: ArrayLike,
    viscosity_pa_s: ArrayLike,
    *,
    torque_share_percent: ArrayLike | None = None,
    condition: Condition = Condition.UNKNOWN,
) -> ViscosityRun:
    """Reduce rotational viscosities to the line and the mixing and compaction temperatures.

    Parameters
    ----------
    temperature_c, viscosity_pa_s : array_like of float, shape (n,) or scalar
        Temperatures [°C] and viscosities [Pa·s].
    torque_share_percent : array_like of float or None, shape (n,)
        Torque in % of the largest the instrument can read, not-a-number where not given [%].
    condition : Condition
        Residue that was tested.

    Returns
    -------
    ViscosityRun
        In order of temperature; without a line where there is one temperature only.

    Raises
    ------
    MeasurementError
        Where a number is missing or impossible.
    """
    temperature, viscosity = np.broadcast_arrays(
        *(np.atleast_1d(np.asarray(a, dtype=float)) for a in (temperature_c, viscosity_pa_s))
    )
    share = np.full(len(temperature), np.nan)
    if torque_share_percent is not None:
        share = np.broadcast_to(np.asarray(torque_share_percent, dtype=float), temperature.shape)
    _log_rankine(temperature)
    _double_log(viscosity)
    order = np.argsort(temperature, kind="stable")
    points = tuple(
        ViscosityPoint(float(t), float(eta), float(s) if math.isfinite(s) else None)
        for t, eta, s in zip(temperature[order], viscosity[order], share[order], strict=True)
    )
    line = fit_viscosity_line(temperature, viscosity) if len(np.unique(temperature)) > 1 else None
    ranges: tuple[WorkingTemperatures, ...] = ()
    if line is not None and line.slope < 0.0:
        ranges = tuple(
            working_temperatures(line, ends, purpose=purpose)
            for purpose, ends in (("mixing", MIXING_PA_S), ("compaction", COMPACTION_PA_S))
        )
    return ViscosityRun(points, line, ranges, condition, _measures(points, line, ranges))


def viscosity_from_oscillation(
    complex_modulus_pa: ArrayLike, phase_angle_deg: ArrayLike, *, angular_frequency_rad_s: float = 10.0
) -> Floats:
    """Estimate the viscosity from modulus and phase angle.

    Parameters
    ----------
    complex_modulus_pa : array_like of float
        Modulus [Pa].
    phase_angle_deg : array_like of float, shape that broadcasts
        Phase angle, above 0 up to 90 [°].
    angular_frequency_rad_s : float
        Angular frequency [rad/s]; the exponent was found at 10 rad/s.

    Returns
    -------
    ndarray of float
        Viscosity [Pa·s].

    Raises
    ------
    MeasurementError
        Where a number is out of range.

    Notes
    -----
    ``eta = (|G*|/omega) (1/sin delta)^4.8628``.

    References
    ----------
    NCHRP 1-37A, from memory (high).
    """
    modulus, angle = np.asarray(complex_modulus_pa, dtype=float), np.asarray(phase_angle_deg, dtype=float)
    good = np.isfinite(modulus) & (modulus > 0.0) & (angle > 0.0) & (angle <= 90.0)
    if not np.all(good) or not angular_frequency_rad_s > 0.0:
        raise MeasurementError(
            "viscosity from oscillation: modulus and frequency must be above zero, the angle above 0 to 90°"
        )
    return np.asarray(modulus / angular_frequency_rad_s * np.sin(np.radians(angle)) ** -FREQUENCY_EXPONENT)


def _measures(
    points: tuple[ViscosityPoint, ...], line: ViscosityLine | None, ranges: tuple[WorkingTemperatures, ...]
) -> tuple[Measure, ...]:
    found = [Measure("temperatures", float(len({p.temperature_c for p in points})))]
    shares = [(p.torque_share_percent, p) for p in points if p.torque_share_percent is not None]
    for name, pick in (("torque_share_lowest_percent", min), ("torque_share_highest_percent", max)):
        if shares:
            share, point = pick(shares, key=lambda pair: pair[0])
            found.append(Measure(name, share, "%", f"{point.temperature_c:g} °C"))
    if line is not None:
        found.append(Measure("viscosity_line_slope", line.slope))
        found.append(Measure("viscosity_line_residual_percent", line.residual_percent or 0.0, "%"))
    for row in ranges:
        found.append(Measure(f"{row.purpose}_temperature_c", row.highest_c, "°C", "upper end"))
        if row.extrapolated_c is not None:
            found.append(Measure(f"{row.purpose}_extrapolated_c", row.extrapolated_c, "°C"))
    return tuple(found)


def _log_rankine(temperature_c: ArrayLike) -> Floats:
    kelvin = np.asarray(temperature_c, dtype=float) + ZERO_CELSIUS_K
    if not np.isfinite(kelvin).all() or np.any(kelvin <= 0.0):
        raise MeasurementError("viscosity line: every temperature must be a number above absolute zero")
    return np.asarray(np.log10(RANKINE_PER_KELVIN * kelvin))


def _double_log(viscosity_pa_s: ArrayLike) -> Floats:
    viscosity = np.asarray(viscosity_pa_s, dtype=float)
    if not np.isfinite(viscosity).all() or np.any(viscosity * MILLIPASCAL <= 1.0):
        raise MeasurementError(
            "viscosity line: every viscosity must be above 0.001 Pa·s; is it in another unit?"
        )
    return np.asarray(np.log10(np.log10(viscosity * MILLIPASCAL)))
