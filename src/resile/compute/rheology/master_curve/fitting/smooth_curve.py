"""Sweeps joined by shifts alone: how well they make one curve, whatever its shape.

A polynomial of ``log |G*|`` in the logarithm of the reduced frequency has no meaning outside the points; it
tells how much of a misfit is the shape's, and how much no shape could take away.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from resile.compute.rheology.master_curve.fitting.starting_values import starting_shift
from resile.compute.rheology.master_curve.fitting.sweep_rows import SweepRows
from resile.compute.rheology.master_curve.forms.fitted_shift import FittedShift, with_interval
from resile.compute.rheology.master_curve.forms.shifts import shift_slopes
from resile.compute.statistics.fits.least_squares import confidence_bounds, fit_least_squares
from resile.compute.statistics.fits.least_squares_problem import LastAnswer
from resile.records.models.master_curve import CurveShift, SmoothCurve
from resile.records.models.parameter import ModelParameter

Floats = NDArray[np.float64]

_ROUGHLY = 1e-9  # constants through four shifts and more


def smooth_curve(
    rows: SweepRows, *, shift: CurveShift | str = CurveShift.FREE, reference_c: float, degree: int = 6
) -> SmoothCurve:
    """Join sweeps under a polynomial.

    Parameters
    ----------
    rows : SweepRows
        Sweeps at two or more temperatures.
    shift : CurveShift or str
        How the frequency shifts.
    reference_c : float
        Temperature of shift zero [°C].
    degree : int
        Degree of the polynomial; less where there are few rows.

    Returns
    -------
    SmoothCurve
        Shifts, and what is left.

    Raises
    ------
    MeasurementError
        Where there are too few temperatures for the shift.

    Notes
    -----
    Least squares of ``log10 |G*|`` over shifts and coefficients at once, with exact derivatives; Chebyshev
    polynomials over the range of the start, so that the coefficients are well conditioned.
    """
    moving = FittedShift.of(CurveShift(shift), rows, reference_c)
    x, y = np.log10(rows.angular_frequency_rad_s), np.log10(rows.complex_modulus)
    starts = moving.starts()
    count, power = starts.shape[1], max(1, min(degree, (len(x) - starts.shape[1]) // 3))
    spread = x + moving.at_rows(starts[0])[0]
    middle, half = 0.5 * (spread.max() + spread.min()), max(0.5 * (spread.max() - spread.min()), 0.5)

    def parts_at(values: Floats) -> tuple[Floats, Floats, Floats]:
        log_shift, slopes = moving.at_rows(values[:count])
        place = (x + log_shift - middle) / half
        basis = np.polynomial.chebyshev.chebvander(place, power)
        along = np.polynomial.chebyshev.chebval(place, np.polynomial.chebyshev.chebder(values[count:])) / half
        return basis @ values[count:] - y, basis, along[:, None] * slopes

    parts = LastAnswer(parts_at)

    def begin(start: Floats) -> Floats:
        basis = parts(np.concatenate((start, np.zeros(power + 1))))[1]
        return np.concatenate((start, np.linalg.lstsq(basis, y, rcond=None)[0]))

    lower, upper = moving.bounds()
    bounded = CurveShift(shift) is not CurveShift.FREE
    fit = fit_least_squares(
        lambda values: parts(values)[0],
        np.array([begin(start) for start in starts]),
        jacobian=lambda values: np.hstack((parts(values)[2], parts(values)[1])),
        lower=np.concatenate((lower, np.full(power + 1, -np.inf))) if bounded else None,
        upper=np.concatenate((upper, np.full(power + 1, np.inf))) if bounded else None,
    )
    values = np.asarray(fit.values)
    misfit = parts(values)[0]
    covariance = np.asarray(fit.covariance)[:count, :count]
    widths = confidence_bounds(fit)[1] - values
    factor = float(widths[0] / fit.standards[0]) if fit.standards[0] > 0.0 else float("nan")
    shift_parameters = moving.parameters(values[:count], covariance, factor)
    through: tuple[ModelParameter, ...] = ()
    if moving.shift is CurveShift.FREE and len(rows.nodes_c) > 3:
        through = constants_through(
            rows.nodes_c, [p.value for p in shift_parameters], reference_c=reference_c
        )
    return SmoothCurve(
        degree=power,
        shift=moving.shift,
        shift_parameters=shift_parameters,
        nodes_c=moving.nodes_c,
        modulus_rms_decades=float(np.sqrt(np.mean(misfit**2))),
        modulus_worst_decades=float(np.max(np.abs(misfit))),
        wlf_parameters=through,
    )


def constants_through(
    nodes_c: NDArray[np.float64] | list[float], log_shifts: list[float], *, reference_c: float
) -> tuple[ModelParameter, ...]:
    """Give the constants of Williams, Landel and Ferry that come nearest to known shifts.

    Parameters
    ----------
    nodes_c, log_shifts : array_like of float, shape (k,), k at least 4
        Temperatures [°C] and ``log10 aT``.
    reference_c : float
        Temperature of shift zero, which the constants belong to [°C].

    Returns
    -------
    tuple of ModelParameter
        ``c1`` and ``c2`` with 95 % intervals; empty where no constants come near.

    Notes
    -----
    Least squares of the shifts, each counting alike.
    """
    nodes, shifts = np.asarray(nodes_c, dtype=float), np.asarray(log_shifts, dtype=float)
    start = starting_shift(CurveShift.WLF, nodes, shifts, reference_c=reference_c)
    pole = max(1.0, reference_c - float(nodes.min()) + 1.0)
    fit = fit_least_squares(
        lambda c: shift_slopes(CurveShift.WLF, nodes, c, reference_c=reference_c)[0] - shifts,
        start,
        jacobian=lambda c: shift_slopes(CurveShift.WLF, nodes, c, reference_c=reference_c)[1],
        lower=[_ROUGHLY, pole],
        upper=[1e4, 1e6],
    )
    if fit.at_bounds:
        return ()
    half = confidence_bounds(fit)[1] - np.asarray(fit.values)
    return tuple(
        with_interval(name, value, unit, wide)
        for name, unit, value, wide in zip(("c1", "c2"), ("", "°C"), fit.values, half.tolist(), strict=True)
    )
