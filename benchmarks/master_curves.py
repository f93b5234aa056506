"""Fits of master curves: against plain least squares with numerical derivatives, and many at once.

    python -m benchmarks.master_curves                three sizes on one core, then 1,000 fits on all cores
    python -m benchmarks.master_curves --fits 100     a smaller batch

The plain fit has the same residuals, weights and bounds, the same rough shifts to begin with, and derivatives
by differences; it gives no intervals and joins nothing without a shape. Only ratios of one run count.
"""

import argparse
import os
import sys
import time

import numpy as np
from scipy.optimize import least_squares

from benchmarks.__main__ import one_core
from benchmarks.creep_models import THREADS, best_of
from resile.compute.rheology.master_curve.joint_fit import fit_master_curve
from resile.compute.rheology.master_curve.shape_slopes import SHAPES, shape_slopes
from resile.compute.rheology.master_curve.shifts import shift_slopes
from resile.records.oscillation import OscillationPoint, OscillationRun
from resile.workflows.modelling.curve_settings import curve_settings
from resile.workflows.modelling.master_curve import curves_of_runs

TRUTHS = {"CA": [6.0, 1.5, 2.1], "2S2P1D": [6.0, -4.0, 6.0, 0.28, 0.64, 2.4]}
STARTS = {"CA": [1.0, 1.5], "2S2P1D": [-3.0, 3.0, 0.2, 0.55, 2.0]}
WLF = [13.0, 140.0]
SIZES = ((5, 11), (7, 31), (11, 61))
"""Isotherms, and frequencies of each."""


def sweeps(shape, isotherms, frequencies, seed=1):
    """Rows of an invented binder, with scatter."""
    nodes, grid = np.linspace(10.0, 82.0, isotherms), np.geomspace(0.1, 100.0, frequencies)
    temperature, frequency = (a.ravel() for a in np.meshgrid(nodes, grid, indexing="ij"))
    log_shift, _ = shift_slopes("WLF", temperature, WLF, reference_c=22.0)
    seen = shape_slopes(shape, np.log10(frequency) + log_shift, TRUTHS[shape])
    draw = np.random.default_rng(seed).normal(size=(2, len(frequency)))
    modulus = 10.0 ** (seen.log_modulus + 0.005 * draw[0])
    return temperature, frequency, modulus, np.clip(seen.phase_deg + 0.3 * draw[1], 0.1, 89.9)


def plain_fit(rows, shape, shift):
    """Fit by differences; give the sum of squares."""
    temperature, frequency, modulus, phase = rows
    nodes, own = np.unique(temperature), len(STARTS[shape])
    held = int(np.argmin(np.abs(nodes - 22.0)))
    form, x, y = SHAPES[shape], np.log10(frequency), np.log10(modulus)

    def residuals(values):
        moved = values[own:]
        parameters = np.insert(moved, held, 0.0) if shift == "free" else moved
        log_shift, _ = shift_slopes(shift, temperature, parameters, reference_c=22.0, nodes_c=nodes)
        seen = shape_slopes(shape, x + log_shift, np.concatenate(([6.0], values[:own])))
        return np.concatenate(((seen.log_modulus - y) / 0.02, seen.phase_deg - phase))

    moved = np.delete(-0.1 * (nodes - 22.0), held) if shift == "free" else np.array([15.0, 130.0])
    low = np.full(len(moved), -60.0) if shift == "free" else np.array([1e-3, 13.0])
    found = least_squares(
        residuals,
        np.concatenate((STARTS[shape], moved)),
        bounds=(
            np.concatenate((form.lower[1:], low)),
            np.concatenate((form.upper[1:], np.full(len(moved), 1e4))),
        ),
        x_scale="jac",
        ftol=1e-12,
        xtol=1e-12,
        gtol=1e-12,
    )
    return 2.0 * found.cost


def sizes():
    print("shape   shift  isotherms  rows   ours (s)  plain (s)  plain/ours  sum of squares plain/ours")
    for isotherms, frequencies in SIZES:
        for shape, shift in (("CA", "WLF"), ("2S2P1D", "WLF"), ("2S2P1D", "free")):
            rows = sweeps(shape, isotherms, frequencies)
            ours, curve = best_of(
                lambda r=rows, p=shape, s=shift: fit_master_curve(*r, shape=p, shift=s, reference_c=22.0)
            )
            plain, total = best_of(lambda r=rows, p=shape, s=shift: plain_fit(r, p, s))
            print(
                f"{shape:7s} {shift:6s} {isotherms:8d} {len(rows[0]):6d}  {ours:8.4f}  {plain:8.4f}  "
                f"{plain / ours:10.2f}  {total / curve.fit.residual_sum:12.4f}"
            )


def batch(fits, jobs):
    runs = [_run(sweeps("CA", 7, 31, seed)) for seed in range(fits)]
    for shape, shift in (("CA", "WLF"), ("2S2P1D", "free")):
        settings = curve_settings(shape=shape, shift=shift, reference_c=22.0)
        begin = time.perf_counter()
        curves_of_runs(runs[: fits // 10], settings=settings)
        alone = 10.0 * (time.perf_counter() - begin)
        begin = time.perf_counter()
        done = curves_of_runs(runs, settings=settings, jobs=jobs)
        together = time.perf_counter() - begin
        print(
            f"{len(done.curves)} sweeps of 7 isotherms, {shape} with {shift} shift: one process {alone:.1f} s"
            f" (from a tenth), {jobs} processes {together:.1f} s, {alone / together:.2f} times as fast"
        )


def _run(rows):
    points = tuple(
        OscillationPoint(t, w, g, d, 0.0, 0.0, None, 0.0) for t, w, g, d in zip(*rows, strict=True)
    )
    return OscillationRun(points)


def main() -> None:
    if "OPENBLAS_NUM_THREADS" not in os.environ:  # read once, when numpy is loaded: begin again with it
        words = [sys.executable, "-m", "benchmarks.master_curves", *sys.argv[1:]]
        os.execve(sys.executable, words, {**os.environ, **dict.fromkeys(THREADS, "1")})
    options = argparse.ArgumentParser(prog="python -m benchmarks.master_curves")
    options.add_argument("--fits", type=int, default=1000)
    options.add_argument("--jobs", type=int, default=os.cpu_count() or 1)
    chosen = options.parse_args()
    every = os.sched_getaffinity(0) if hasattr(os, "sched_getaffinity") else None
    one_core()
    sizes()
    if every is not None:
        os.sched_setaffinity(0, every)
    batch(max(chosen.fits, 10), chosen.jobs)


if __name__ == "__main__":
    main()
