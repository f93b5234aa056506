"""The fit of a master curve: modulus and phase angle of all isotherms at once.

`fit_master_curve` is the one to call. Shapes are in `shape_slopes`, shifts in `shifts`; what a fitted curve
says at any temperature and frequency is in `fitted_curve`.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike, NDArray

from resile.compute.rheology.master_curve.fitting.curve_quality import curve_measures, isotherm_misfits
from resile.compute.rheology.master_curve.fitting.fit_doubt import curve_fit_of_correlated_rows
from resile.compute.rheology.master_curve.fitting.joint_problem import JointProblem
from resile.compute.rheology.master_curve.fitting.smooth_curve import smooth_curve
from resile.compute.rheology.master_curve.fitting.sweep_rows import SweepRows, arrange_sweeps
from resile.compute.rheology.master_curve.forms.fitted_shift import FittedShift, with_interval
from resile.compute.rheology.master_curve.forms.shape_slopes import SHAPES, shape_slopes
from resile.compute.rheology.master_curve.forms.shapes import GLASSY_MODULUS_KPA
from resile.compute.rheology.master_curve.readings.derived_numbers import crossover_measures, derived_numbers
from resile.compute.statistics.fits.least_squares import confidence_bounds
from resile.errors import InputError
from resile.records.fit import LeastSquaresFit
from resile.records.models.master_curve import CurvePoint, CurveShape, CurveShift, MasterCurve
from resile.records.models.parameter import ModelParameter

Floats = NDArray[np.float64]


def fit_master_curve(
    temperature_c: ArrayLike,
    angular_frequency_rad_s: ArrayLike,
    complex_modulus: ArrayLike,
    phase_angle: ArrayLike,
    *,
    shape: CurveShape | str = CurveShape.CA,
    shift: CurveShift | str = CurveShift.WLF,
    reference_c: float | None = None,
    glassy_modulus_kpa: float | None = GLASSY_MODULUS_KPA,
    modulus_weight_decades: float = 0.02,
    phase_weight_deg: float = 1.0,
    series: ArrayLike | None = None,
    series_labels: tuple[str, ...] = ("",),
    isotherm_gap_c: float = 1.0,
) -> MasterCurve:
    """Fit a master curve to frequency sweeps at several temperatures.

    Parameters
    ----------
    temperature_c, angular_frequency_rad_s, complex_modulus, phase_angle : array_like of float, shape (n,)
        Temperature as logged for each row [°C], angular frequency [rad/s], modulus [kPa], phase angle [°]; in
        any order.
    shape : CurveShape or str
        ``"CA"``, ``"CAM"`` or ``"2S2P1D"``; see `SHAPES`.
    shift : CurveShift or str
        ``"free"``, ``"WLF"``, ``"Arrhenius"`` or ``"Kaelble"``; see `SHIFTS`.
    reference_c : float or None
        Temperature of shift zero [°C]; None for the middle isotherm, in whole degrees.
    glassy_modulus_kpa : float or None
        Glassy modulus in shear [kPa]; None to fit it.
    modulus_weight_decades, phase_weight_deg : float
        Misfit that counts as one: of ``log10 |G*|`` [decades] and of the phase angle [°].
    series : array_like of int, shape (n,), or None
        Which sweep each row is of, counted from 0, where several are joined.
    series_labels : tuple of str
        What the sweeps are called.
    isotherm_gap_c : float
        Gap between sorted temperatures that parts two isotherms [°C].

    Returns
    -------
    MasterCurve
        With 95 % intervals, residuals by row and isotherm, and measures; findings are judged elsewhere.

    Raises
    ------
    MeasurementError
        Where rows are impossible or too few, or temperatures too few for the shift.
    InputError
        Where a weight or the glassy modulus is not above zero.

    Notes
    -----
    Least is the sum over rows of ``((log|G*| - model)/0.02)^2 + ((delta - model)/1°)^2``. Derivatives are
    exact for every shape and shift; shifts begin where isotherms lie side by side, shapes at the one-point
    relations.
    Each row stands at its own temperature. Intervals take the scatter of moduli and of angles from the fit,
    and are wider where neighbouring residuals of an isotherm hang together (`curve_fit_of_correlated_rows`).
    That makes up for noise that drifts; a shape that misses in a pattern is more than noise, and told.

    References
    ----------
    Weights as in the trade notes, oscillation and beam, section 4.3 [derived]; common practice, no source.
    """
    _refuse_settings(modulus_weight_decades, phase_weight_deg, glassy_modulus_kpa)
    rows = arrange_sweeps(
        temperature_c,
        angular_frequency_rad_s,
        complex_modulus,
        phase_angle,
        series=series,
        isotherm_gap_c=isotherm_gap_c,
    )
    reference = middle_temperature_c(rows) if reference_c is None else float(reference_c)
    moving = FittedShift.of(CurveShift(shift), rows, reference)
    weights = (modulus_weight_decades, phase_weight_deg)
    problem = JointProblem(rows, CurveShape(shape), moving, glassy_modulus_kpa, weights)
    fit, correlations = curve_fit_of_correlated_rows(problem, problem.solve())
    return _described(problem, fit, correlations, series_labels)


def middle_temperature_c(rows: SweepRows) -> float:
    """Give the temperature of the middle isotherm, in whole degrees: the reference where none is stated.

    Parameters
    ----------
    rows : SweepRows
        The sweeps.

    Returns
    -------
    float
        Temperature [°C].
    """
    return float(np.round(rows.nodes_c[(len(rows.nodes_c) - 1) // 2]))


def _described(
    problem: JointProblem,
    fit: LeastSquaresFit,
    correlations: tuple[float, float],
    labels: tuple[str, ...],
) -> MasterCurve:
    rows, moving, values = problem.rows, problem.moving, np.asarray(fit.values)
    covariance = np.asarray(fit.covariance)
    half = confidence_bounds(fit)[1] - values
    with np.errstate(invalid="ignore", divide="ignore"):
        factors = half / np.asarray(fit.standards)
    factor = float(np.nanmedian(factors)) if np.isfinite(factors).any() else math.nan
    log_shift = moving.at_rows(values[problem.count :])[0]
    place = problem.x + log_shift
    seen = shape_slopes(problem.shape, place, problem.shape_parameters(values))
    off = (problem.y - seen.log_modulus, problem.d - seen.phase_deg)
    isotherms = isotherm_misfits(rows, log_shift, *off, labels=labels)
    smooth = smooth_curve(rows, reference_c=moving.reference_c)
    measured = (float(place.min()), float(place.max()))
    derived = derived_numbers(
        problem.shape,
        problem.shape_parameters(values),
        _covariance_of_shape(problem, covariance),
        rows,
        measured,
        factor=factor,
    )
    return MasterCurve(
        shape=problem.shape,
        shift=moving.shift,
        reference_c=moving.reference_c,
        parameters=_shape_parameters(problem, values, half),
        shift_parameters=moving.parameters(
            values[problem.count :], covariance[problem.count :, problem.count :], factor
        ),
        nodes_c=moving.nodes_c,
        derived=derived,
        isotherms=isotherms,
        points=_points(rows, log_shift, *off),
        smooth=smooth,
        fit=fit,
        modulus_weight_decades=problem.weights[0],
        phase_weight_deg=problem.weights[1],
        modulus_rms_decades=float(np.sqrt(np.mean(off[0] ** 2))),
        modulus_worst_decades=float(np.max(np.abs(off[0]))),
        phase_rms_deg=float(np.sqrt(np.mean(off[1] ** 2))),
        phase_worst_deg=float(np.max(np.abs(off[1]))),
        repeated_rows=rows.repeated_rows,
        residual_correlations=correlations,
        measures=(
            *curve_measures(rows, isotherms, smooth, fit, place, *off),
            *crossover_measures(derived, measured),
        ),
    )


def _shape_parameters(problem: JointProblem, values: Floats, half: Floats) -> tuple[ModelParameter, ...]:
    form = SHAPES[problem.shape]
    fitted = tuple(
        with_interval(name, value, unit, wide)
        for name, unit, value, wide in zip(
            form.parameters[problem.skipped :],
            form.units[problem.skipped :],
            values[: problem.count].tolist(),
            half[: problem.count].tolist(),
            strict=True,
        )
    )
    if problem.log_glassy is None:
        return fitted
    given = ModelParameter(form.parameters[0], problem.log_glassy, form.units[0], fitted=False)
    return (given, *fitted)


def _covariance_of_shape(problem: JointProblem, covariance: Floats) -> Floats:
    """Give the covariance of all parameters of the shape: nothing for one given or on a bound."""
    own = np.nan_to_num(covariance[: problem.count, : problem.count], nan=0.0)
    return np.pad(own, ((problem.skipped, 0), (problem.skipped, 0)))


def _points(
    rows: SweepRows, log_shift: Floats, modulus_off: Floats, phase_off: Floats
) -> tuple[CurvePoint, ...]:
    place = np.empty(len(log_shift), dtype=np.int64)
    for number, inside in enumerate(rows.isotherms()):
        place[inside] = number
    columns = zip(
        place.tolist(),
        rows.temperature_c.tolist(),
        rows.angular_frequency_rad_s.tolist(),
        rows.complex_modulus.tolist(),
        rows.phase_angle.tolist(),
        log_shift.tolist(),
        modulus_off.tolist(),
        phase_off.tolist(),
        strict=True,
    )
    return tuple(CurvePoint(*row) for row in columns)


def _refuse_settings(modulus_weight: float, phase_weight: float, glassy_modulus_kpa: float | None) -> None:
    for words, value, unit in (
        ("weight of the modulus", modulus_weight, "decades"),
        ("weight of the phase angle", phase_weight, "°"),
        ("glassy modulus", 1.0 if glassy_modulus_kpa is None else glassy_modulus_kpa, "kPa"),
    ):
        if not (math.isfinite(value) and value > 0.0):
            raise InputError(f"master curve: {words} is {value:g}; a number above 0 ({unit}) is needed")
