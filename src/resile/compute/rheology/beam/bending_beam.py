"""Creep of a small beam in three-point bending: stiffness, the fitted curve, and its slope.

Use `reduce_beam` for a raw record of load and deflection, `reduce_stiffness` where stiffness is given at the
report times, `summarise_beams` for replicates; the equations for bare arrays are in `beam_stiffness`.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike, NDArray

from resile.compute.rheology.beam.beam_quality import beam_measures, fit_measures
from resile.compute.rheology.beam.beam_stiffness import (
    GRADE_TIME_S,
    creep_stiffness_mpa,
    fit_stiffness,
    fitted_stiffness_mpa,
    m_value,
)
from resile.errors import MeasurementError
from resile.records.bending_beam import BeamGeometry, BeamPoint, BeamRun, ReplicateBeams
from resile.records.determination import Condition
from resile.records.finding import Measure

Floats = NDArray[np.float64]

REPORT_TIMES_S = (8.0, 15.0, 30.0, 60.0, 120.0, 240.0)
"""Loading times of the report [s]. AASHTO T 313, from memory (high)."""
SHORTEST_FIT = 4
"""Fewest report times a curve of three coefficients is fitted to: one to spare. Own choice."""
NEWTONS = 1e-3


def reduce_beam(
    time_s: ArrayLike,
    load_mn: ArrayLike,
    deflection_mm: ArrayLike,
    *,
    geometry: BeamGeometry,
    temperature_c: float | None = None,
    load_start_s: float | None = None,
    load_zero_mn: float = 0.0,
    deflection_zero_mm: float = 0.0,
    condition: Condition = Condition.UNKNOWN,
) -> BeamRun:
    """Reduce a record of load and deflection to stiffness and slope.

    Parameters
    ----------
    time_s, load_mn, deflection_mm : array_like of float, shape (n,)
        Running time, rising [s]; load [mN]; deflection, downwards positive [mm].
    geometry : BeamGeometry
        Span and cross-section.
    temperature_c : float or None
        Temperature of the bath [°C].
    load_start_s : float or None
        When the test load was put on [s]; None to find it in the load.
    load_zero_mn, deflection_zero_mm : float
        What is taken off every load and deflection. Zero: both count from the unloaded beam, as recorded.
    condition : Condition
        Residue that was tested.

    Returns
    -------
    BeamRun
        At the report times that the record reaches.

    Raises
    ------
    MeasurementError
        Where the columns are not a beam test, say so; where fewer than four report times are reached, or 60 s
        is not.

    Notes
    -----
    Without `load_start_s` the test load starts where the load last rises through half of its median over the
    second half of the record; so contact load and seating load before it do no harm. Deflection and load at
    a report time are read between the neighbouring points, deflection along the logarithm of the loading
    time. The load is the one at that time, not the nominal.
    """
    time, load, deflection = _record(time_s, load_mn, deflection_mm)
    start = _load_start(time, load) if load_start_s is None else float(load_start_s)
    loading = time - start
    on = loading > 0.0
    reached = np.array([t for t in REPORT_TIMES_S if on.any() and t <= loading[-1] + 1e-9])
    if len(reached) < SHORTEST_FIT or GRADE_TIME_S not in reached:
        raise MeasurementError(
            f"bending beam: the record ends {max(0.0, float(loading[-1])):g} s after the test load; "
            f"needed are the report times up to 60 s ({', '.join(f'{t:g}' for t in REPORT_TIMES_S)} s)"
        )
    depth = np.interp(np.log(reached), np.log(loading[on]), deflection[on]) - deflection_zero_mm
    force = np.interp(reached, loading[on], load[on]) - load_zero_mn
    stiffness = creep_stiffness_mpa(
        NEWTONS * force,
        depth,
        span_mm=geometry.span_mm,
        width_mm=geometry.width_mm,
        thickness_mm=geometry.thickness_mm,
    )
    measures = beam_measures(loading, load - load_zero_mn, deflection, reached, asked=len(REPORT_TIMES_S))
    run = reduce_stiffness(reached, stiffness, temperature_c=temperature_c, condition=condition)
    points = tuple(
        BeamPoint(
            p.loading_time_s, p.creep_stiffness, p.fitted_stiffness, p.m_value, p.residual_percent, f, d
        )
        for p, f, d in zip(run.points, force.tolist(), depth.tolist(), strict=True)
    )
    return BeamRun(
        points,
        run.creep_stiffness,
        run.m_value,
        run.coefficients,
        run.r_squared,
        temperature_c,
        geometry,
        condition,
        # The gap at 60 s is that of the record: the report times of the fit always hold 60 s.
        tuple({m.name: m for m in (*run.measures, *measures, *_size(geometry))}.values()),
    )


def reduce_stiffness(
    loading_time_s: ArrayLike,
    stiffness_mpa: ArrayLike,
    *,
    temperature_c: float | None = None,
    condition: Condition = Condition.UNKNOWN,
) -> BeamRun:
    """Reduce the stiffness of one beam at the report times to stiffness and slope at 60 s.

    Parameters
    ----------
    loading_time_s : array_like of float, shape (n,), n at least 3
        Loading times, usually 8, 15, 30, 60, 120 and 240 s [s].
    stiffness_mpa : array_like of float, shape (n,)
        Stiffness [MPa].
    temperature_c : float or None
        Temperature of the bath [°C].
    condition : Condition
        Residue that was tested.

    Returns
    -------
    BeamRun
        Without load, deflection and geometry.

    Raises
    ------
    MeasurementError
        As in `fit_stiffness`; also where 60 s lies outside the times given.

    Notes
    -----
    The stiffness at 60 s is the one on the fitted curve.
    """
    time, stiffness = np.asarray(loading_time_s, dtype=float), np.asarray(stiffness_mpa, dtype=float)
    fit = fit_stiffness(time, stiffness)
    if stiffness.ndim != 1:
        raise MeasurementError("bending beam: one beam at a time; needed is one stiffness a loading time")
    if not time.min() <= GRADE_TIME_S <= time.max():
        raise MeasurementError(
            f"bending beam: 60 s lies outside the loading times given ({time.min():g} to {time.max():g} s)"
        )
    residual = 100.0 * (stiffness / fit.fitted - 1.0)
    slopes = m_value(fit.coefficients[None, :], time)
    rows = zip(*(a.tolist() for a in (time, stiffness, fit.fitted, slopes, residual)), strict=True)
    r_squared = float(fit.r_squared)
    a, b, c = fit.coefficients.tolist()
    return BeamRun(
        points=tuple(BeamPoint(*row) for row in rows),
        creep_stiffness=float(fitted_stiffness_mpa(fit.coefficients, GRADE_TIME_S)),
        m_value=float(m_value(fit.coefficients)),
        coefficients=(a, b, c),
        r_squared=r_squared if math.isfinite(r_squared) else None,
        temperature_c=temperature_c,
        condition=condition,
        measures=fit_measures(time, stiffness, residual, slopes),
    )


def summarise_beams(runs: Sequence[BeamRun]) -> ReplicateBeams:
    """Take replicate beams of one binder at one temperature together.

    Parameters
    ----------
    runs : sequence of BeamRun
        At least one, all at one temperature (or none stated).

    Returns
    -------
    ReplicateBeams
        Means and scatter; which beams count is decided elsewhere.

    Raises
    ------
    MeasurementError
        Where there is no beam, or the temperatures differ by more than 0.2 °C.
    """
    known = [run.temperature_c for run in runs if run.temperature_c is not None]
    if not runs:
        raise MeasurementError("replicate beams: needed is at least one")
    if known and max(known) - min(known) > 0.2:
        raise MeasurementError(
            f"replicate beams: temperatures from {min(known):g} to {max(known):g} °C are not one temperature"
        )
    stiffness = _scatter([run.creep_stiffness for run in runs])
    slope = _scatter([run.m_value for run in runs])
    pairs = [value for pair in zip(stiffness, slope, strict=True) for value in pair]
    return ReplicateBeams(len(runs), float(pairs[0] or 0.0), float(pairs[1] or 0.0), *pairs[2:])


def _scatter(values: list[float]) -> tuple[float | None, ...]:
    mean = float(np.mean(values))
    if len(values) < 2:
        return mean, None, None, None
    sd = float(np.std(values, ddof=1))
    return mean, sd, 100.0 * sd / mean, 100.0 * (max(values) - min(values)) / mean


def _size(geometry: BeamGeometry) -> tuple[Measure, ...]:
    return (
        Measure("beam_span_mm", geometry.span_mm, "mm"),
        Measure("beam_width_mm", geometry.width_mm, "mm"),
        Measure("beam_thickness_mm", geometry.thickness_mm, "mm"),
    )


def _record(time_s: ArrayLike, load_mn: ArrayLike, deflection_mm: ArrayLike) -> tuple[Floats, Floats, Floats]:
    time, load, deflection = (np.asarray(a, dtype=float) for a in (time_s, load_mn, deflection_mm))
    if (
        time.ndim != 1
        or time.shape != load.shape
        or time.shape != deflection.shape
        or len(time) < SHORTEST_FIT
    ):
        raise MeasurementError("bending beam: needed are time, load and deflection in columns of one length")
    if not all(np.isfinite(a).all() for a in (time, load, deflection)):
        raise MeasurementError("bending beam: time, load and deflection must be finite numbers")
    back = np.flatnonzero(np.diff(time) <= 0.0)
    if len(back):
        raise MeasurementError(f"bending beam: the time does not rise after {time[back[0]]:g} s")
    return time, load, deflection


def _load_start(time: Floats, load: Floats) -> float:
    test_load = float(np.median(load[len(load) // 2 :]))
    if test_load <= 0.0:
        raise MeasurementError(f"bending beam: the load is {test_load:g} mN in the second half of the record")
    low = np.flatnonzero(load < 0.5 * test_load)
    if not len(low):
        # The record begins with the load on: its clock is the loading time, zero at the start.
        return 0.0
    last = int(low[-1])
    if last == len(load) - 1:
        raise MeasurementError(
            "bending beam: the record ends unloaded; give the time the test load was put on"
        )
    share = (0.5 * test_load - load[last]) / (load[last + 1] - load[last])
    return float(time[last] + share * (time[last + 1] - time[last]))
