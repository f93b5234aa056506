"""Numbers that follow from a master curve: crossover, and the rheological index in its three definitions."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike, NDArray

from resile.compute.rheology.master_curve.fitting.sweep_rows import SweepRows
from resile.compute.rheology.master_curve.forms.fitted_shift import with_interval
from resile.compute.rheology.master_curve.forms.shape_slopes import shape_slopes
from resile.errors import MeasurementError
from resile.records.finding import Measure
from resile.records.models.master_curve import CurveShape
from resile.records.models.parameter import ModelParameter

Floats = NDArray[np.float64]

_LOG2 = math.log10(2.0)
_CROSSOVER_DEG = 45.0
_MOST_STEPS, _NEAR_ENOUGH = 60, 1e-14  # the second in decades
_SEARCHED_DECADES = 4.0


def rheological_index_from_point(
    complex_modulus: ArrayLike, phase_angle_deg: ArrayLike, *, glassy_modulus: float
) -> Floats:
    """Give the rheological index from one modulus and phase angle.

    Parameters
    ----------
    complex_modulus : array_like of float, shape (n,) or scalar
        Size of the complex modulus, above zero and below the glassy modulus, in its unit.
    phase_angle_deg : array_like of float, shape that broadcasts
        Phase angle, between 0 and 90 [°].
    glassy_modulus : float
        Glassy modulus, 1 GPa by convention.

    Returns
    -------
    ndarray of float
        Rheological index, R.

    Raises
    ------
    MeasurementError
        Where a modulus or an angle lies outside that.

    Notes
    -----
    ``R = log10(2) log10(G*/Gg)/log10(1 - delta/90)``; exact for the shape of Christensen and Anderson.

    References
    ----------
    Christensen and Anderson 1992, as printed in lecture notes (Eq. 7).

    Examples
    --------
    >>> round(float(rheological_index_from_point(10_000.0, 45.0, glassy_modulus=1e6)), 6)
    2.0
    """
    modulus, angle = np.asarray(complex_modulus, dtype=float), np.asarray(phase_angle_deg, dtype=float)
    if not np.all((modulus > 0.0) & (modulus < glassy_modulus)):
        raise MeasurementError(
            f"rheological index: every modulus must lie between 0 and the glassy modulus, {glassy_modulus:g}"
        )
    if not np.all((angle > 0.0) & (angle < 90.0)):
        raise MeasurementError("rheological index: every phase angle must lie between 0 and 90°")
    return np.asarray(_LOG2 * np.log10(modulus / glassy_modulus) / np.log10(1.0 - angle / 90.0))


def rheological_index_from_crossover(crossover_modulus: ArrayLike, *, glassy_modulus: float) -> Floats:
    """Give the rheological index from the modulus at 45°.

    Parameters
    ----------
    crossover_modulus : array_like of float, shape (n,) or scalar
        Size of the complex modulus where the phase angle is 45°, above zero.
    glassy_modulus : float
        Glassy modulus in the same unit.

    Returns
    -------
    ndarray of float
        Rheological index, R.

    Raises
    ------
    MeasurementError
        Where a modulus is not above zero.

    Notes
    -----
    ``R = log10(Gg/G*(45°))``; the same as the index of the fit where the shape is that of Christensen and
    Anderson.

    References
    ----------
    SHRP-A-369, from memory (high).
    """
    modulus = np.asarray(crossover_modulus, dtype=float)
    if not np.all(modulus > 0.0):
        raise MeasurementError("rheological index: the modulus at 45° must be above zero")
    return np.asarray(np.log10(glassy_modulus / modulus))


def log_crossover_frequency(
    shape: CurveShape | str, parameters: ArrayLike, *, lowest: float, highest: float
) -> float | None:
    """Give the highest frequency at which a shape has a phase angle of 45°.

    Parameters
    ----------
    shape : CurveShape or str
        Name of the shape.
    parameters : array_like of float, shape (p,)
        In the order of `SHAPES`.
    lowest, highest : float
        Range that is searched, ``log10`` of the reduced frequency [rad/s].

    Returns
    -------
    float or None
        ``log10`` of the frequency [rad/s]; None where the angle does not pass 45° within the range.

    Notes
    -----
    A search in steps of 0.1 decades from above, and Newton's steps within the step, halving where one leaves
    it: a modified binder can pass 45° more than once, and the index belongs to the highest.
    """
    grid = np.arange(highest, lowest - 0.1, -0.1)
    above = shape_slopes(shape, grid, parameters).phase_deg >= _CROSSOVER_DEG
    passes = np.flatnonzero(above[1:] & ~above[:-1])
    if not len(passes):
        return None
    bracket = (float(grid[passes[0] + 1]), float(grid[passes[0]]))
    return _newton_at_crossover(shape, parameters, *bracket)


def derived_numbers(
    shape: CurveShape,
    parameters: ArrayLike,
    covariance: ArrayLike,
    rows: SweepRows,
    reduced_range: tuple[float, float],
    *,
    factor: float,
) -> tuple[ModelParameter, ...]:
    """Give the crossover of a fitted shape and the indices, with intervals.

    Parameters
    ----------
    shape : CurveShape
        Name of the shape.
    parameters : array_like of float, shape (p,)
        Fitted, in the order of `SHAPES`.
    covariance : array_like of float, shape (p, p)
        Their covariance; zero for one that was given.
    rows : SweepRows
        The sweeps.
    reduced_range : tuple of float
        Lowest and highest ``log10`` of the reduced frequency measured [rad/s].
    factor : float
        Half width of an interval, in standard errors.

    Returns
    -------
    tuple of ModelParameter
        ``crossover_frequency_rad_s``, ``crossover_modulus`` [kPa], ``crossover_index`` (not for CA, where
        the index is a parameter), and ``one_point_index`` of the measured point nearest to 45°. What
        does not exist is left out.

    Notes
    -----
    Intervals by the slopes of ``log wc`` and ``log G*c`` with the parameters; their ends are powers of ten,
    so that they are not symmetric. The crossover is searched within four decades of what was measured.
    """
    values, spread = np.asarray(parameters, dtype=float), np.asarray(covariance, dtype=float)
    lowest, highest = reduced_range[0] - _SEARCHED_DECADES, reduced_range[1] + _SEARCHED_DECADES

    at = log_crossover_frequency(shape, values, lowest=lowest, highest=highest)
    found: list[ModelParameter] = []
    if at is not None:
        centre, slopes = _crossing(shape, values, at)
        half = factor * np.sqrt(np.maximum(np.einsum("ij,jk,ik->i", slopes, spread, slopes), 0.0))
        found += [
            _power_of_ten("crossover_frequency_rad_s", float(centre[0]), float(half[0]), "rad/s"),
            _power_of_ten("crossover_modulus", float(centre[1]), float(half[1]), "kPa"),
        ]
        if shape is not CurveShape.CA:  # there it is a parameter of the fit
            found.append(with_interval("crossover_index", float(centre[2]), "", float(half[2])))
    return (*found, *_one_point(rows, 10.0 ** float(values[0])))


def crossover_measures(
    derived: tuple[ModelParameter, ...], reduced_range: tuple[float, float]
) -> tuple[Measure, ...]:
    """Tell how far outside the measured frequencies the crossover lies.

    Parameters
    ----------
    derived : tuple of ModelParameter
        As `derived_numbers` gives them.
    reduced_range : tuple of float
        Lowest and highest ``log10`` of the reduced frequency measured [rad/s].

    Returns
    -------
    tuple of Measure
        ``crossover_found``, and ``crossover_outside_decades``: 0 for a crossover within.
    """
    known = [parameter.value for parameter in derived if parameter.name == "crossover_frequency_rad_s"]
    if not known:
        return (Measure("crossover_found", 0.0),)
    place = math.log10(known[0])
    outside = max(reduced_range[0] - place, place - reduced_range[1], 0.0)
    return (Measure("crossover_found", 1.0), Measure("crossover_outside_decades", outside, "decades"))


def _newton_at_crossover(shape: CurveShape | str, parameters: ArrayLike, low: float, high: float) -> float:
    """Find 45° between a frequency at or above it in angle, and one below."""
    place = 0.5 * (low + high)
    for _ in range(_MOST_STEPS):
        seen = shape_slopes(shape, [place], parameters)
        over, along = float(seen.phase_deg[0]) - _CROSSOVER_DEG, float(seen.phase_along[0])
        low, high = (place, high) if over >= 0.0 else (low, place)
        tried = place - over / along if along < 0.0 else math.nan
        after = tried if low <= tried <= high else 0.5 * (low + high)
        if abs(after - place) <= _NEAR_ENOUGH:
            return after
        place = after
    return place


def _crossing(shape: CurveShape, values: Floats, at: float) -> tuple[Floats, Floats]:
    """Give ``log wc``, ``log G*c`` and the index there, with their derivatives by the parameters.

    The angle stays at 45° while a parameter moves, which moves the frequency by the ratio of two slopes.
    """
    seen = shape_slopes(shape, [at], values)
    log_modulus = float(seen.log_modulus[0])
    with np.errstate(divide="ignore", invalid="ignore"):
        place_by = -seen.phase_by[0] / seen.phase_along[0]
    modulus_by = seen.log_modulus_by[0] + seen.log_modulus_along[0] * place_by
    index_by = -modulus_by
    index_by[0] += 1.0
    return np.array([at, log_modulus, values[0] - log_modulus]), np.stack((place_by, modulus_by, index_by))


def _power_of_ten(name: str, log_value: float, half: float, unit: str) -> ModelParameter:
    if not math.isfinite(half) or half > 30.0:
        return ModelParameter(name, 10.0**log_value, unit)
    return ModelParameter(name, 10.0**log_value, unit, 10.0 ** (log_value - half), 10.0 ** (log_value + half))


def _one_point(rows: SweepRows, glassy_kpa: float) -> tuple[ModelParameter, ...]:
    usable = (rows.phase_angle > 0.0) & (rows.phase_angle < 90.0) & (rows.complex_modulus < glassy_kpa)
    if not usable.any():
        return ()
    place = int(np.argmin(np.where(usable, np.abs(rows.phase_angle - _CROSSOVER_DEG), math.inf)))
    index = rheological_index_from_point(
        rows.complex_modulus[place], rows.phase_angle[place], glassy_modulus=glassy_kpa
    )
    where = (
        f"{rows.temperature_c[place]:.1f} °C, {rows.angular_frequency_rad_s[place]:.3g} rad/s, "
        f"{rows.phase_angle[place]:.1f}°"
    )
    return (ModelParameter("one_point_index", float(index), fitted=False, where=where),)
