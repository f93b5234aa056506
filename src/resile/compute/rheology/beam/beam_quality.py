"""How well a beam test was run and fitted, as plain numbers; the thresholds are data and stand elsewhere."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from resile.compute.rheology.beam.beam_stiffness import GRADE_TIME_S
from resile.records.finding import Measure

Floats = NDArray[np.float64]

SETTLING_S = 0.5
"""Time the load is given to settle before its steadiness counts [s]. AASHTO T 313, from memory (medium)."""


def fit_measures(
    loading_time_s: ArrayLike, stiffness_mpa: ArrayLike, residual_percent: ArrayLike, slopes: ArrayLike
) -> tuple[Measure, ...]:
    """Measure the range of a fitted curve and how well it fits.

    Parameters
    ----------
    loading_time_s, stiffness_mpa : array_like of float, shape (n,)
        Loading times [s] and measured stiffness [MPa].
    residual_percent : array_like of float, shape (n,)
        Measured less fitted stiffness, in % of the fitted one [%].
    slopes : array_like of float, shape (n,)
        m-values at the loading times.

    Returns
    -------
    tuple of Measure
        Each at its worst loading time.

    Notes
    -----
    The method holds from 20 MPa to 1 GPa (AASHTO T 313, section 1.1). The m-value of bitumen rises with
    time; a fall is a sign of a slipping or touching beam.
    """
    time, stiffness, residual, slope = (
        np.asarray(a, dtype=float) for a in (loading_time_s, stiffness_mpa, residual_percent, slopes)
    )
    order = np.argsort(time)
    worst = int(np.abs(residual).argmax())
    softer = np.diff(stiffness[order]) / stiffness[order][:-1]
    return (
        Measure("report_times", float(len(time))),
        grade_time_gap(time),
        Measure("stiffness_lowest_mpa", float(stiffness.min()), "MPa", _at(time, int(stiffness.argmin()))),
        Measure("stiffness_highest_mpa", float(stiffness.max()), "MPa", _at(time, int(stiffness.argmax()))),
        Measure("fit_residual_percent", float(np.abs(residual[worst])), "%", _at(time, worst)),
        Measure("stiffness_rise_percent", max(0.0, 100.0 * float(softer.max())), "%"),
        Measure("m_value_fall", max(0.0, float(-np.diff(slope[order]).min()))),
    )


def beam_measures(
    loading_time_s: ArrayLike,
    load_mn: ArrayLike,
    deflection_mm: ArrayLike,
    report_times_s: ArrayLike,
    *,
    asked: int,
) -> tuple[Measure, ...]:
    """Measure how steady the load was and how the record covers the report times.

    Parameters
    ----------
    loading_time_s : array_like of float, shape (n,)
        Time since the test load was put on; negative before it [s].
    load_mn, deflection_mm : array_like of float, shape (n,)
        Load [mN] and deflection [mm].
    report_times_s : array_like of float, shape (k,)
        Report times that were reached [s].
    asked : int
        Report times the method asks for.

    Returns
    -------
    tuple of Measure
        Contact load and deflection before the load only where the record has points there.

    Notes
    -----
    Deflections beyond 4 mm or below 0.08 mm make a test invalid (AASHTO T 313, section 1.2).
    """
    time, load, deflection, report = (
        np.asarray(a, dtype=float) for a in (loading_time_s, load_mn, deflection_mm, report_times_s)
    )
    on = (time >= SETTLING_S) & (time <= report[-1])
    held, when = load[on], time[on]
    mean = float(held.mean())
    worst = int(np.abs(held - mean).argmax())
    gaps = np.abs(time[None, :] - report[:, None]).min(axis=1)
    found = [
        Measure("report_times_missing", float(asked - len(report))),
        Measure("report_time_gap_s", float(gaps.max()), "s", _at(report, int(gaps.argmax()))),
        grade_time_gap(time),
        Measure("load_mean_mn", mean, "mN"),
        Measure("load_deviation_mn", float(abs(held[worst] - mean)), "mN", _at(when, worst)),
        Measure("load_drift_mn", float(held[-1] - held[0]), "mN", "last point less first"),
        Measure(
            "deflection_smallest_mm", float(np.interp(report[0], time, deflection)), "mm", _at(report, 0)
        ),
        Measure(
            "deflection_largest_mm", float(np.interp(report[-1], time, deflection)), "mm", _at(report, -1)
        ),
    ]
    before = np.flatnonzero(time <= 0.0)
    if len(before):
        last = int(before[-1])
        found.append(Measure("contact_load_mn", float(load[last]), "mN", "before the test load"))
        found.append(
            Measure("deflection_before_load_mm", float(deflection[last]), "mm", "before the test load")
        )
        share = 100.0 * float(deflection[last]) / float(np.interp(report[0], time, deflection))
        found.append(Measure("deflection_before_load_percent", share, "%", "before the test load"))
    return tuple(found)


def grade_time_gap(loading_time_s: ArrayLike) -> Measure:
    """Measure how far from 60 s the nearest point lies.

    Parameters
    ----------
    loading_time_s : array_like of float, shape (n,)
        Loading times that were recorded or typed [s].

    Returns
    -------
    Measure
        ``grade_time_gap_s`` [s]; zero where there is a point at 60 s.
    """
    gap = float(np.abs(np.asarray(loading_time_s, dtype=float) - GRADE_TIME_S).min())
    return Measure("grade_time_gap_s", gap, "s", f"{GRADE_TIME_S:g} s")


def _at(time: Floats, place: int) -> str:
    return f"{time[place]:g} s"
