"""How well the numbers of an oscillation run belong together, as plain numbers.

One `Measure` a question; the thresholds are data and stand elsewhere. A measure that cannot be taken (no
torque, one frequency only) is left out, not set to zero.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping

import numpy as np
from numpy.typing import ArrayLike, NDArray

from resile.compute.rheology.damage.amplitude_sweep import part_amplitude_sweep
from resile.compute.rheology.oscillation.linear_range import linearity_measures, nearest_target_strain
from resile.errors import MeasurementError
from resile.records.finding import Measure

Floats = NDArray[np.float64]
# Christensen and Anderson (1992), from memory (high): |G*| = Gg (1 - delta/90)^(R/log10 2). Binders have an R
# of 1.2 to 3 and more, so R = 1 bounds the modulus; near 90° the angle is too coarse to bound it.
_GLASSY_MODULUS_KPA = 1.0e6
_LEAST_RHEOLOGICAL_INDEX = 1.0
_STEEPEST_DEG = 85.0


def implied_diameter_mm(torque_nm: ArrayLike, stress_kpa: ArrayLike) -> Floats:
    """Give the plate diameter at which a torque makes a stress at the rim.

    Parameters
    ----------
    torque_nm : array_like of float, shape (n,) or scalar
        Torque, positive [N·m].
    stress_kpa : array_like of float, shape that broadcasts
        Stress, positive [kPa].

    Returns
    -------
    ndarray of float
        Diameter [mm].

    Raises
    ------
    MeasurementError
        Where a number is not finite or not above zero.

    Notes
    -----
    ``d = 2 (2 M/(pi tau))^(1/3)``. Against the true diameter: 1.145 times means that the stress is stated
    at two thirds of the radius, 10 or 0.1 times that the torque is off by a factor of 1000.

    References
    ----------
    ``tau = 2 M/(pi R^3)`` solved for R.

    Examples
    --------
    >>> round(float(implied_diameter_mm(0.000383, 3.80)), 2)
    8.01
    """
    torque, stress = np.asarray(torque_nm, dtype=float), np.asarray(stress_kpa, dtype=float)
    for values in (torque, stress):
        if not (np.isfinite(values).all() and np.all(values > 0.0)):
            raise MeasurementError("implied diameter: torque and stress must be finite numbers above zero")
    return np.asarray(2000.0 * np.cbrt(2.0 * torque / (math.pi * 1000.0 * stress)))


def slope_phase_misfit_deg(
    angular_frequency_rad_s: ArrayLike, complex_modulus: ArrayLike, phase_angle_deg: ArrayLike
) -> Floats:
    """Give how far the phase angle departs from the slope of the modulus at one temperature.

    Parameters
    ----------
    angular_frequency_rad_s : array_like of float, shape (n,), n at least 3
        Rising or falling, positive [rad/s].
    complex_modulus : array_like of float, shape (n,)
        Positive, any unit.
    phase_angle_deg : array_like of float, shape (n,)
        Phase angle [°].

    Returns
    -------
    ndarray of float, shape (n,)
        ``90 d ln|G*|/d ln(omega) - delta`` [°].

    Raises
    ------
    MeasurementError
        Where there are fewer than three points, or a number is not finite or not above zero.

    Notes
    -----
    Slopes are second-order differences in the logarithms. The rule is a local approximation; in 65 published
    sweeps of bitumen the mean was -0.3 to +0.7° and the scatter about 1°.

    References
    ----------
    Booij and Thoone, from memory (high); figures from FHWA Turner-Fairbank sweeps, 2025.
    """
    columns = [
        np.asarray(a, dtype=float) for a in (angular_frequency_rad_s, complex_modulus, phase_angle_deg)
    ]
    frequency, modulus, angle = columns
    if frequency.ndim != 1 or len(frequency) < 3 or any(a.shape != frequency.shape for a in columns):
        raise MeasurementError("slope of the modulus: needed are at least three points in a row")
    if not all(np.isfinite(a).all() for a in columns) or np.any(frequency <= 0) or np.any(modulus <= 0):
        raise MeasurementError("slope of the modulus: numbers must be finite, frequency and modulus positive")
    if np.any(np.diff(frequency) == 0.0):
        raise MeasurementError("slope of the modulus: a frequency stands twice")
    slope = np.gradient(np.log(modulus), np.log(frequency), edge_order=2)
    return np.asarray(90.0 * slope - angle)


def sweep_slope_misfits_deg(
    angular_frequency_rad_s: ArrayLike, complex_modulus: ArrayLike, phase_angle_deg: ArrayLike
) -> Floats:
    """Give the departures of the phase angle from the slope of the modulus within one sweep.

    Parameters
    ----------
    angular_frequency_rad_s, complex_modulus, phase_angle_deg : array_like of float, shape (n,)
        As in `slope_phase_misfit_deg`, in any order; of rows at one frequency the first counts.

    Returns
    -------
    ndarray of float, shape (m,)
        Departures [°] by rising frequency, without the two ends, whose slopes are one-sided; empty where
        there are fewer than five frequencies or one is not a number.

    Raises
    ------
    MeasurementError
        Where a modulus or a frequency is not above zero.
    """
    w, g, d = (
        np.asarray(a, dtype=float) for a in (angular_frequency_rad_s, complex_modulus, phase_angle_deg)
    )
    order = np.argsort(w, kind="stable")
    order = order[np.concatenate(([True], np.diff(w[order]) > 0.0))]
    if len(order) < 5 or not np.isfinite(w).all():
        return np.empty(0)
    return slope_phase_misfit_deg(w[order], g[order], d[order])[1:-1]


def oscillation_measures(
    temperature_c: ArrayLike,
    complex_modulus: ArrayLike,
    phase_angle_deg: ArrayLike,
    *,
    columns: Mapping[str, Floats],
    plate_diameter_mm: float | None = None,
    gap_mm: float | None = None,
) -> tuple[Measure, ...]:
    """Measure how well the numbers of one run belong together.

    Parameters
    ----------
    temperature_c, complex_modulus, phase_angle_deg : array_like of float, shape (n,)
        Temperature [°C], modulus [kPa], phase angle [°].
    columns : mapping of str to ndarray of float, shape (n,)
        Any of ``angular_frequency_rad_s``, ``strain``, ``stress_kpa``, ``torque_nm``, ``angle_rad``,
        ``reported_rutting_parameter``; not-a-number where a cell is empty.
    plate_diameter_mm, gap_mm : float or None
        Plates [mm].

    Returns
    -------
    tuple of Measure
        Each at its worst point.

    Notes
    -----
    See the table in ``docs/methods/oscillation.md``.
    """
    t, g, d = (np.asarray(a, dtype=float) for a in (temperature_c, complex_modulus, phase_angle_deg))
    found = [
        Measure("points", float(len(t))),
        Measure("modulus_lowest_kpa", float(g.min()), "kPa", _place(t, int(g.argmin()))),
        Measure("modulus_highest_kpa", float(g.max()), "kPa", _place(t, int(g.argmax()))),
        Measure("phase_angle_lowest_deg", float(d.min()), "°", _place(t, int(d.argmin()))),
        Measure("phase_angle_highest_deg", float(d.max()), "°", _place(t, int(d.argmax()))),
    ]
    steady = _outside_amplitude_sweep(len(t), columns)
    found += _belonging(t, g, d, columns, linear=len(steady) == len(t))
    found += _plates(t, columns, plate_diameter_mm, gap_mm)
    if len(steady):
        among = {name: values[steady] for name, values in columns.items()}
        found += _order(t[steady], g[steady], d[steady], among)
    found += _stiffest(t, g, d)
    return tuple(found)


def _outside_amplitude_sweep(points: int, columns: Mapping[str, Floats]) -> NDArray[np.int64]:
    """Give the rows that are to follow the order of a linear material: not those of a rising strain."""
    frequency, strain = columns.get("angular_frequency_rad_s"), columns.get("strain")
    if frequency is None or strain is None or not (np.isfinite(frequency) & np.isfinite(strain)).all():
        return np.arange(points)
    return part_amplitude_sweep(frequency, strain)[0]


def _belonging(
    t: Floats, g: Floats, d: Floats, columns: Mapping[str, Floats], *, linear: bool
) -> Iterator[Measure]:
    sine = np.sin(np.radians(d))
    if "reported_rutting_parameter" in columns:
        ratio = columns["reported_rutting_parameter"] * sine / g
        yield from _worst("rutting_parameter_misfit_percent", ratio, t)
    if "strain" in columns:
        strain = columns["strain"]
        if "stress_kpa" in columns:
            yield from _worst("modulus_stress_misfit_percent", columns["stress_kpa"] / (g * strain), t)
        w = columns.get("angular_frequency_rad_s", np.full(len(t), np.nan))
        if linear:
            tested = nearest_target_strain(t, w, g, strain)
            off = np.where(tested, strain * g**0.29 / 0.12, np.nan)
            yield from _worst("strain_off_target_percent", off, t)
        yield from linearity_measures(t, w, g, strain)
        known = strain[np.isfinite(strain)]
        if len(known):
            yield Measure("strain_lowest_percent", 100.0 * float(known.min()), "%")
            yield Measure("strain_highest_percent", 100.0 * float(known.max()), "%")


def _plates(
    t: Floats, columns: Mapping[str, Floats], diameter: float | None, gap: float | None
) -> Iterator[Measure]:
    if diameter is None:
        return
    if "torque_nm" in columns and "stress_kpa" in columns:
        torque, stress = columns["torque_nm"], columns["stress_kpa"]
        known = np.flatnonzero((torque > 0.0) & (stress > 0.0))
        if len(known):
            ratios = np.full(len(t), np.nan)
            ratios[known] = implied_diameter_mm(torque[known], stress[known]) / diameter
            yield Measure("implied_diameter_ratio", float(np.nanmedian(ratios)), "", "middle of the points")
            yield from _worst("torque_stress_misfit_percent", ratios**3, t)
    if gap is not None and "angle_rad" in columns and "strain" in columns:
        rim = columns["angle_rad"] * diameter / (2.0 * gap)
        yield from _worst("angle_strain_misfit_percent", rim / columns["strain"], t)


def _stiffest(t: Floats, g: Floats, d: Floats) -> Iterator[Measure]:
    """Modulus over the most that a binder has at its phase angle, where that is largest."""
    share = 1.0 - np.minimum(d, _STEEPEST_DEG) / 90.0
    ratio = g / (_GLASSY_MODULUS_KPA * share ** (_LEAST_RHEOLOGICAL_INDEX / math.log10(2.0)))
    worst = int(ratio.argmax())
    where = f"{t[worst]:g} °C, point {worst + 1}"
    yield Measure("modulus_over_phase_bound", float(ratio[worst]), "", where)
    yield Measure("modulus_at_phase_bound_kpa", float(g[worst]), "kPa", where)
    yield Measure("phase_angle_at_phase_bound_deg", float(d[worst]), "°", where)


def _order(t: Floats, g: Floats, d: Floats, columns: Mapping[str, Floats]) -> Iterator[Measure]:
    frequency = columns.get("angular_frequency_rad_s")
    strain = columns.get("strain", np.full(len(t), np.nan))
    w = np.full(len(t), np.nan) if frequency is None else frequency
    rows = np.column_stack((t, np.nan_to_num(w, nan=0.0), g, d, np.nan_to_num(strain, nan=0.0)))
    yield Measure("repeated_points", float(len(rows) - len(np.unique(rows, axis=0))))
    steps = [
        (_rise(t[same], g[same]), f"{w[same][0]:g} rad/s" if math.isfinite(w[same][0]) else "")
        for same in _groups(np.nan_to_num(w, nan=0.0))
    ]
    yield from _largest("modulus_rise_with_temperature_percent", steps)
    if frequency is None:
        return
    sweeps = [same for same in _groups(np.round(t)) if len(np.unique(w[same])) > 1]
    yield from _largest(
        "modulus_fall_with_frequency_percent", [(_rise(-w[s], g[s]), f"{t[s][0]:g} °C") for s in sweeps]
    )
    found = [(np.abs(sweep_slope_misfits_deg(w[s], g[s], d[s])), f"{t[s][0]:g} °C") for s in sweeps]
    misfits = [(float(off.max()) if len(off) else None, where) for off, where in found]
    yield from _largest("slope_phase_misfit_deg", misfits, "°")


def _rise(place: Floats, g: Floats) -> float | None:
    """Largest rise of the modulus between neighbours in `place`, where it should fall [%]; 0 for none."""
    order = np.argsort(place, kind="stable")
    apart = np.diff(place[order]) > 0.0
    if not apart.any():
        return None
    return float(max(0.0, 100.0 * (np.exp(np.diff(np.log(g[order]))[apart].max()) - 1.0)))


def _groups(keys: Floats) -> list[NDArray[np.int64]]:
    return [np.flatnonzero(keys == key) for key in np.unique(keys)]


def _largest(name: str, found: list[tuple[float | None, str]], unit: str = "%") -> Iterator[Measure]:
    known = [(value, where) for value, where in found if value is not None]
    if known:
        value, where = max(known)
        yield Measure(name, value, unit, where)


def _worst(name: str, ratio: Floats, t: Floats) -> Iterator[Measure]:
    """Give the largest departure of a ratio from one [%]; nothing where no point has it."""
    off = 100.0 * np.abs(ratio - 1.0)
    known = np.flatnonzero(np.isfinite(off))
    if len(known):
        worst = known[int(off[known].argmax())]
        yield Measure(name, float(off[worst]), "%", _place(t, int(worst)))


def _place(t: Floats, point: int) -> str:
    return f"{t[point]:g} °C, point {point + 1}"
