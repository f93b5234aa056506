"""How well sweeps make one curve, as plain numbers: residuals by isotherm, and measures for findings."""

from __future__ import annotations

import itertools
import math

import numpy as np
from numpy.typing import NDArray

from resile.compute.rheology.master_curve.fitting.fit_doubt import sweep_of_rows
from resile.compute.rheology.master_curve.fitting.sweep_rows import SweepRows
from resile.compute.rheology.oscillation.oscillation_quality import sweep_slope_misfits_deg
from resile.compute.statistics.fits.neighbours import correlation_in_groups
from resile.records.finding import Measure
from resile.records.fit import LeastSquaresFit
from resile.records.models.master_curve import Isotherm, SmoothCurve

Floats = NDArray[np.float64]

_RESOLUTION_DECADES = 0.5e-3
# Three printed digits of a modulus: below that a misfit is rounding, and a ratio of misfits says nothing.


def isotherm_misfits(
    rows: SweepRows,
    log_shift: Floats,
    modulus_residual_decades: Floats,
    phase_residual_deg: Floats,
    *,
    labels: tuple[str, ...],
) -> tuple[Isotherm, ...]:
    """Give how a curve fits each isotherm.

    Parameters
    ----------
    rows : SweepRows
        The sweeps.
    log_shift, modulus_residual_decades, phase_residual_deg : ndarray of float, shape (n,)
        Shift, and measured less fitted, of every row.
    labels : tuple of str
        What each series is called.

    Returns
    -------
    tuple of Isotherm
        The coldest first.
    """
    found = []
    for inside in rows.isotherms():
        temperature = rows.temperature_c[inside]
        modulus_off, phase_off = modulus_residual_decades[inside], phase_residual_deg[inside]
        slope_off = sweep_slope_misfits_deg(
            rows.angular_frequency_rad_s[inside], rows.complex_modulus[inside], rows.phase_angle[inside]
        )
        found.append(
            Isotherm(
                label=labels[int(rows.series[inside[0]])],
                temperature_c=float(temperature.mean()),
                lowest_temperature_c=float(temperature.min()),
                highest_temperature_c=float(temperature.max()),
                points=len(inside),
                log_shift=float(log_shift[inside].mean()),
                modulus_rms_decades=_rms(modulus_off),
                modulus_worst_decades=float(np.abs(modulus_off).max()),
                phase_rms_deg=_rms(phase_off),
                phase_worst_deg=float(np.abs(phase_off).max()),
                slope_phase_mean_deg=float(slope_off.mean()) if len(slope_off) else None,
                slope_phase_worst_deg=float(np.abs(slope_off).max()) if len(slope_off) else None,
            )
        )
    return tuple(found)


def curve_measures(
    rows: SweepRows,
    isotherms: tuple[Isotherm, ...],
    smooth: SmoothCurve,
    fit: LeastSquaresFit,
    log_reduced_frequency: Floats,
    modulus_residual_decades: Floats,
    phase_residual_deg: Floats,
) -> tuple[Measure, ...]:
    """Measure how well sweeps make one curve.

    Parameters
    ----------
    rows : SweepRows
        The sweeps.
    isotherms : tuple of Isotherm
        Misfits by isotherm.
    smooth : SmoothCurve
        The sweeps joined without a shape.
    fit : LeastSquaresFit
        The fit.
    log_reduced_frequency, modulus_residual_decades, phase_residual_deg : ndarray of float, shape (n,)
        Place on the curve, and measured less fitted, of every row.

    Returns
    -------
    tuple of Measure
        Each at its worst place.

    Notes
    -----
    See the table in ``docs/methods/master_curve.md``.
    """
    rms = _rms(modulus_residual_decades)
    slopes = [
        (abs(i.slope_phase_mean_deg), _name(i)) for i in isotherms if i.slope_phase_mean_deg is not None
    ]
    drift = max(isotherms, key=lambda i: i.highest_temperature_c - i.lowest_temperature_c)
    found = [
        Measure("curve_modulus_rms_decades", rms, "decades"),
        _worst("curve_modulus_worst_decades", modulus_residual_decades, rows, "decades"),
        Measure("curve_phase_rms_deg", _rms(phase_residual_deg), "°"),
        _worst("curve_phase_worst_deg", phase_residual_deg, rows, "°"),
        Measure("smooth_modulus_rms_decades", smooth.modulus_rms_decades, "decades"),
        Measure("shape_misfit_ratio", rms / max(smooth.modulus_rms_decades, _RESOLUTION_DECADES)),
        Measure("repeated_rows", float(rows.repeated_rows)),
        Measure(
            "isotherm_drift_c", drift.highest_temperature_c - drift.lowest_temperature_c, "°C", _name(drift)
        ),
        Measure("parameters_at_bounds", float(len(fit.at_bounds))),
        Measure("fit_converged", float(fit.converged)),
        Measure("residual_correlation", correlation_in_groups(modulus_residual_decades, sweep_of_rows(rows))),
    ]
    if slopes:
        value, where = max(slopes)
        found.append(Measure("slope_phase_mean_deg", value, "°", where))
    return (*found, *_joins(rows, log_reduced_frequency))


def _joins(rows: SweepRows, log_reduced_frequency: Floats) -> tuple[Measure, ...]:
    """Give the widest gap between neighbouring isotherms on the curve, and the order of their shifts."""
    count = len(rows.nodes_c)
    ends = [
        (float(at.min()), float(at.max()))
        for at in (log_reduced_frequency[rows.node == place] for place in range(count))
    ]
    gaps = [cold[0] - warm[1] for cold, warm in itertools.pairwise(ends)]
    widest = int(np.argmax(gaps))
    where = f"between {rows.nodes_c[widest]:.1f} and {rows.nodes_c[widest + 1]:.1f} °C"
    shifts = log_reduced_frequency - np.log10(rows.angular_frequency_rad_s)
    means = np.bincount(rows.node, weights=shifts) / np.bincount(rows.node)
    disordered = int(np.sum(np.diff(means) >= 0.0))
    return (
        Measure("isotherm_gap_decades", gaps[widest], "decades", where),
        Measure("isotherms_out_of_order", float(disordered)),
    )


def _worst(name: str, residual: Floats, rows: SweepRows, unit: str) -> Measure:
    place = int(np.abs(residual).argmax())
    where = f"{rows.temperature_c[place]:.1f} °C, {rows.angular_frequency_rad_s[place]:.3g} rad/s"
    return Measure(name, float(abs(residual[place])), unit, where)


def _name(isotherm: Isotherm) -> str:
    place = f"{isotherm.temperature_c:.1f} °C"
    return f"{isotherm.label}, {place}" if isotherm.label else place


def _rms(residual: Floats) -> float:
    return math.sqrt(float(np.mean(residual**2)))
