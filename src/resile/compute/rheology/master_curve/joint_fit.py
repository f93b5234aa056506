"""The fit of a master curve: modulus and phase angle of all isotherms at once.

`fit_master_curve` is the one to call. Shapes are in `shape_slopes`, shifts in `shifts`; what a fitted curve
says at any temperature and frequency is in `fitted_curve`.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike, NDArray

from resile.compute.rheology.master_curve.curve_quality import curve_measures, isotherm_misfits
from resile.compute.rheology.master_curve.derived_numbers import crossover_measures, derived_numbers
from resile.compute.rheology.master_curve.fitted_shift import FittedShift, with_interval
from resile.compute.rheology.master_curve.shape_slopes import SHAPES, ShapeSlopes, shape_slopes
from resile.compute.rheology.master_curve.shapes import GLASSY_MODULUS_KPA
from resile.compute.rheology.master_curve.smooth_curve import smooth_curve
from resile.compute.rheology.master_curve.starting_values import starting_shape
from resile.compute.rheology.master_curve.sweep_rows import SweepRows, arrange_sweeps
from resile.compute.statistics.least_squares import confidence_bounds, fit_least_squares
from resile.errors import InputError, MeasurementError
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
    Each row stands at its own temperature. Intervals take the scatter from the fit and count the rows as
    independent: where a shape misses in a pattern, they are too narrow, and a measure tells it.

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
    problem = _JointProblem(rows, CurveShape(shape), moving, glassy_modulus_kpa, weights)
    fit = problem.solve()
    return _described(problem, fit, series_labels)


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


class _JointProblem:
    """Residuals and exact derivatives of one fit; numbers moved: the shape's, then the shift's."""

    def __init__(
        self,
        rows: SweepRows,
        shape: CurveShape,
        moving: FittedShift,
        glassy_modulus_kpa: float | None,
        weights: tuple[float, float],
    ) -> None:
        self.rows, self.shape, self.moving, self.weights = rows, shape, moving, weights
        self.log_glassy = None if glassy_modulus_kpa is None else math.log10(glassy_modulus_kpa)
        self.x = np.log10(rows.angular_frequency_rad_s)
        self.y, self.d = np.log10(rows.complex_modulus), rows.phase_angle
        self.skipped = 0 if self.log_glassy is None else 1
        self.count = len(SHAPES[shape].parameters) - self.skipped
        self._at: tuple[Floats, ShapeSlopes, Floats] | None = None

    def shape_parameters(self, moved: Floats) -> Floats:
        """Give all parameters of the shape, the glassy modulus with them."""
        own = moved[: self.count]
        return own if self.log_glassy is None else np.concatenate(([self.log_glassy], own))

    def _seen(self, moved: Floats) -> tuple[ShapeSlopes, Floats]:
        """Give shape and shift slopes; the search asks twice at each place, for misfit and derivatives."""
        if self._at is None or not np.array_equal(self._at[0], moved):
            shift, slopes = self.moving.at_rows(moved[self.count :])
            self._at = (
                moved.copy(),
                shape_slopes(self.shape, self.x + shift, self.shape_parameters(moved)),
                slopes,
            )
        return self._at[1], self._at[2]

    def residuals(self, moved: Floats) -> Floats:
        seen, _ = self._seen(moved)
        modulus, phase = self.weights
        return np.concatenate(((seen.log_modulus - self.y) / modulus, (seen.phase_deg - self.d) / phase))

    def jacobian(self, moved: Floats) -> Floats:
        seen, slopes = self._seen(moved)
        modulus, phase = self.weights
        upper = np.hstack((seen.log_modulus_by[:, self.skipped :], seen.log_modulus_along[:, None] * slopes))
        lower = np.hstack((seen.phase_by[:, self.skipped :], seen.phase_along[:, None] * slopes))
        return np.vstack((upper / modulus, lower / phase))

    def solve(self) -> LeastSquaresFit:
        form = SHAPES[self.shape]
        low, high = self.moving.bounds()
        lower = np.concatenate((form.lower[self.skipped :], low))
        upper = np.concatenate((form.upper[self.skipped :], high))
        needed = max(
            len(lower) // 2 + 1, len(self.rows.nodes_c) + 2
        )  # the second: to join them without a shape
        if len(self.x) < needed:
            raise MeasurementError(
                f"master curve: {len(self.x)} rows for {len(lower)} parameters; needed are at least "
                f"{needed} rows"
            )
        glassy = math.log10(GLASSY_MODULUS_KPA) if self.log_glassy is None else self.log_glassy
        starts = []
        for start in self.moving.starts():
            reduced = self.x + self.moving.at_rows(start)[0]
            own = starting_shape(self.shape, reduced, self.y, self.d, log_glassy_modulus=glassy)
            starts.append(np.concatenate((own[self.skipped :], start)))
        return fit_least_squares(
            self.residuals, np.array(starts), jacobian=self.jacobian, lower=lower, upper=upper
        )


def _described(problem: _JointProblem, fit: LeastSquaresFit, labels: tuple[str, ...]) -> MasterCurve:
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
        measures=(
            *curve_measures(rows, isotherms, smooth, fit, place, *off),
            *crossover_measures(derived, measured),
        ),
    )


def _shape_parameters(problem: _JointProblem, values: Floats, half: Floats) -> tuple[ModelParameter, ...]:
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


def _covariance_of_shape(problem: _JointProblem, covariance: Floats) -> Floats:
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
