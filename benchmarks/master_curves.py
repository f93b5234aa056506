"""Fits of master curves: against plain least squares with numerical derivatives, and many at once.

    python -m benchmarks.master_curves                three sizes on one core, then 1,000 fits on all cores
    python -m benchmarks.master_curves --fits 100     a smaller batch

Three things are timed on one core, in processor time. The search from our start: ours with exact derivatives,
and intervals, against `scipy.optimize.least_squares` with derivatives by differences, on the same residuals
(worked out without their derivatives) and bounds. The fit from the rows: ours with its own starts, the plain
one from usual numbers. Both must come to the same sum. Then our whole analysis: sweeps joined without a
shape, crossover, residuals by isotherm, measures. Only ratios of one run count.
"""

import argparse
import os
import sys
import time

import numpy as np
from scipy.optimize import least_squares

from benchmarks.__main__ import one_core
from benchmarks.creep_models import THREADS
from resile.compute.rheology.master_curve.fitting.joint_fit import fit_master_curve
from resile.compute.rheology.master_curve.fitting.joint_problem import JointProblem
from resile.compute.rheology.master_curve.fitting.sweep_rows import arrange_sweeps
from resile.compute.rheology.master_curve.forms.fitted_shift import FittedShift
from resile.compute.rheology.master_curve.forms.shape_slopes import shape_slopes
from resile.compute.rheology.master_curve.forms.shapes import (
    christensen_anderson_modulus,
    christensen_anderson_phase,
    olard_di_benedetto_modulus,
)
from resile.compute.rheology.master_curve.forms.shifts import shift_slopes, williams_landel_ferry_log_shift
from resile.compute.statistics.fits.least_squares import fit_least_squares
from resile.records.models.master_curve import CurveShape, CurveShift
from resile.records.oscillation import OscillationPoint, OscillationRun
from resile.workflows.modelling.curve_settings import curve_settings
from resile.workflows.modelling.master_curve import curves_of_runs

TRUTHS = {"CA": [6.0, 1.5, 2.1], "2S2P1D": [6.0, -4.0, 6.0, 0.28, 0.64, 2.4]}
WLF = [13.0, 140.0]
SIZES = ((5, 11), (7, 31), (11, 61))
"""Isotherms, and frequencies of each."""
USUAL = {"CA": [1.0, 1.5], "2S2P1D": [-3.0, 3.0, 0.2, 0.55, 2.0]}
"""What one would begin with who knows binders, and not this one: shape; shifts of 0.1 decades a °C."""


def sweeps(shape, isotherms, frequencies, seed=1):
    """Rows of an invented binder, with scatter."""
    nodes, grid = np.linspace(10.0, 82.0, isotherms), np.geomspace(0.1, 100.0, frequencies)
    temperature, frequency = (a.ravel() for a in np.meshgrid(nodes, grid, indexing="ij"))
    log_shift, _ = shift_slopes("WLF", temperature, WLF, reference_c=22.0)
    seen = shape_slopes(shape, np.log10(frequency) + log_shift, TRUTHS[shape])
    draw = np.random.default_rng(seed).normal(size=(2, len(frequency)))
    modulus = 10.0 ** (seen.log_modulus + 0.005 * draw[0])
    return temperature, frequency, modulus, np.clip(seen.phase_deg + 0.3 * draw[1], 0.1, 89.9)


def values_alone(problem):
    """Residuals of a problem without their derivatives, as one would write them for a plain search."""
    shift, rows, own = problem.moving, problem.rows, problem.count

    def log_shift(moved):
        if shift.linear is not None:
            return shift.linear @ moved
        c1, c2 = moved
        return williams_landel_ferry_log_shift(
            rows.temperature_c, reference_c=shift.reference_c, c1=c1, c2=c2
        )

    def residuals(values):
        frequency = 10.0 ** (problem.x + log_shift(values[own:]))
        if problem.shape == "CA":
            place = {"crossover_frequency_rad_s": 10.0 ** values[0], "rheological_index": values[1]}
            modulus = christensen_anderson_modulus(frequency, glassy_modulus=1e6, **place)
            phase = christensen_anderson_phase(frequency, **place)
        else:
            names = ("creep_weight", "slow_exponent", "fast_exponent")
            turned = olard_di_benedetto_modulus(
                frequency,
                glassy_modulus=1e6,
                characteristic_time_s=10.0 ** values[0],
                dashpot_ratio=10.0 ** values[4],
                **dict(zip(names, values[1:4], strict=True)),
            )
            modulus, phase = np.abs(turned), np.angle(turned, deg=True)
        return np.concatenate(((np.log10(modulus) - problem.y) / 0.02, phase - problem.d))

    return residuals


def processor_time(task, repeat=9):
    """Give the least processor time of one call [ms], and what it gave."""
    best, result = float("inf"), task()
    for _ in range(repeat):
        begin = time.process_time()
        result = task()
        best = min(best, time.process_time() - begin)
    return 1e3 * best, result


def usual_start(problem):
    nodes = problem.rows.nodes_c
    free = problem.moving.linear is not None
    moved = np.linalg.lstsq(problem.moving.spread, -0.1 * (nodes - 22.0))[0] if free else [15.0, 130.0]
    return np.concatenate((USUAL[str(problem.shape)], moved))


def compare(columns, shape, shift):
    """Time search, fit and analysis [ms]; give ours and plain of the first two, and the last."""
    rows = arrange_sweeps(*columns)
    problem = JointProblem(
        rows, CurveShape(shape), FittedShift.of(CurveShift(shift), rows, 22.0), 1e6, (0.02, 1.0)
    )
    starts, (lower, upper), plain_residuals = problem.starts(), problem.bounds(), values_alone(problem)

    def search():
        fit = fit_least_squares(
            problem.residuals, starts, jacobian=problem.jacobian, lower=lower, upper=upper
        )
        return fit.residual_sum

    def plain(start):
        found = least_squares(plain_residuals, start, bounds=(lower, upper), x_scale="jac")
        return 2.0 * found.cost

    usual = usual_start(problem)
    timed = [
        processor_time(task)
        for task in (
            search,
            lambda: plain(starts[0]),
            lambda: problem.solve().residual_sum,
            lambda: plain(usual),
        )
    ]
    sums = [total for _, total in timed]
    if max(sums) > min(sums) * (1.0 + 1e-6):
        raise SystemExit(f"{shape}, {shift}: not the same sums: {sums}")
    whole = processor_time(lambda: fit_master_curve(*columns, shape=shape, shift=shift, reference_c=22.0))
    return [best for best, _ in timed] + [whole[0]]


def sizes():
    print(
        "                               search (ms)                fit from rows (ms)          analysis (ms)"
    )
    print("shape   shift  isotherms  rows   ours  plain  plain/ours    ours  plain  plain/ours   ours")
    for isotherms, frequencies in SIZES:
        for shape, shift in (("CA", "WLF"), ("2S2P1D", "WLF"), ("2S2P1D", "free")):
            columns = sweeps(shape, isotherms, frequencies)
            search, plain, fit, usual, whole = compare(columns, shape, shift)
            print(
                f"{shape:7s} {shift:6s} {isotherms:8d} {len(columns[0]):6d} {search:6.1f} {plain:6.1f} "
                f"{plain / search:11.1f} {fit:7.1f} {usual:6.1f} {usual / fit:11.1f} {whole:6.1f}"
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
