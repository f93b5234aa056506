"""Fits of creep models: against plain least squares with numerical derivatives, and many at once.

    python -m benchmarks.creep_models                 three sizes on one core, then 1,000 fits on all cores
    python -m benchmarks.creep_models --files 100     a smaller batch

The plain fit is given the same columns, the same weights, one good start, and bounds; it searches all
parameters together with derivatives by differences, and is stopped after 60 steps. Ours tries four starts,
finds the weights itself and gives intervals. Both with one thread of linear algebra. Only ratios of one run
are to be quoted.
"""

import argparse
import os
import sys
import tempfile
import time
from pathlib import Path

import numpy as np
from scipy.optimize import least_squares

from benchmarks.__main__ import one_core
from benchmarks.records import write_folder
from resile.compute.rheology.creep.creep_recovery import reduce_creep_recovery
from resile.compute.rheology.models.creep_columns import CreepColumns
from resile.compute.rheology.models.creep_model_fit import fit_creep_model
from resile.compute.rheology.models.creep_record import CreepRecord
from resile.compute.rheology.models.simulation import Imperfections, Sampling, simulate_creep_recovery
from resile.compute.rheology.models.viscoelastic_models import BurgersModel, KelvinElement
from resile.specifications.creep_recovery import load_programme
from resile.workflows.modelling.creep_model import model_creep_records

TIMES, COMPLIANCES = (0.05, 0.3, 1.5, 8.0, 60.0), (0.1, 0.15, 0.2, 0.2, 0.3)
MOST_STEPS = 60
THREADS = ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS", "MKL_NUM_THREADS")
INTERVALS_S = (0.5, 0.1, 0.025)
"""Of the rows: 30 cycles then have some 600, 3,000 and 12,000."""


def plain_fit(record, starts):
    """Fit all parameters together by differences; give the sum of squares."""
    columns = CreepColumns.of(record, np.ones(len(record.time_s), dtype=bool), fractional=False)
    fixed, weights = columns.fixed(), 1.0 / record.scales[record.level]
    count = len(starts)

    def residuals(values):
        delayed, _ = columns.curved(values[:count])
        design = np.hstack((fixed, delayed.reshape(len(fixed), -1)))
        return weights * (design @ values[count:] - record.strain)

    amplitudes = np.full(fixed.shape[1] + 2 * count, 0.2)
    amplitudes[fixed.shape[1] - 1] = 0.0
    lower = np.concatenate((np.full(count, np.log(0.01)), np.zeros(len(amplitudes))))
    lower[count + fixed.shape[1] - 1] = -1.0
    upper = np.concatenate((np.full(count, np.log(1000.0)), np.full(len(amplitudes), np.inf)))
    found = least_squares(
        residuals,
        np.concatenate((starts, amplitudes)),
        bounds=(lower, upper),
        x_scale="jac",
        max_nfev=MOST_STEPS,
    )
    return 2.0 * found.cost


def best_of(task, repeat=3):
    best = float("inf")
    for _ in range(repeat):
        begin = time.perf_counter()
        result = task()
        best = min(best, time.perf_counter() - begin)
    return best, result


def sizes():
    print("rows   ours (s)  plain (s)  plain/ours  sum of squares plain/ours")
    elements = tuple(KelvinElement(1 / j, r / j) for j, r in zip(COMPLIANCES, TIMES, strict=True))
    for interval in INTERVALS_S:
        made = simulate_creep_recovery(
            BurgersModel(1.0, 50.0, elements),
            load_programme(),
            sampling=Sampling(creep_interval_s=min(interval, 0.1), recovery_interval_s=interval),
            imperfections=Imperfections(strain_noise=1e-4),
            generator=np.random.default_rng(1),
        )
        rows = (made["time_s"], made["stress_kpa"], made["strain"])
        run = reduce_creep_recovery(*rows, programme=load_programme())[0]
        record = CreepRecord.of(run, *rows)
        ours, fit = best_of(lambda run=run, rows=rows: fit_creep_model(run, *rows, kind="kelvin", elements=5))
        starts = np.log(np.geomspace(0.1, 30.0, 11)[1::2])
        plain, total = best_of(lambda record=record, starts=starts: plain_fit(record, starts), repeat=1)
        own = float(
            np.sum(((fit.series.strain - fit.series.fitted_strain) / record.scales[record.level]) ** 2)
        )
        print(
            f"{len(record.time_s):6d}  {ours:7.3f}  {plain:9.2f}  {plain / ours:10.1f}  {total / own:12.3f}"
        )


def batch(files, jobs):
    with tempfile.TemporaryDirectory() as place:
        folder = write_folder(Path(place) / "all", files, 3000)
        paths = sorted(folder.iterdir())
        some = paths[: max(files // 10, 1)]
        begin = time.perf_counter()
        list(model_creep_records(some, kind="kelvin", elements=2, keep_rows=False))
        alone = (time.perf_counter() - begin) * len(paths) / len(some)
        begin = time.perf_counter()
        done = list(model_creep_records(paths, kind="kelvin", elements=2, keep_rows=False, jobs=jobs))
        together = time.perf_counter() - begin
    refused = sum(one.error is not None for one in done)
    print(f"\n{files} files of 3000 rows read, reduced and fitted with two elements, {refused} refused")
    print(f"one process (from a tenth)  {alone:8.1f} s")
    print(f"{jobs} processes                 {together:8.1f} s, {1000.0 * together / files:.0f} ms a file")
    print(f"  that is {alone / together:.2f} times as fast")


def main() -> None:
    if "OPENBLAS_NUM_THREADS" not in os.environ:  # read once, when numpy is loaded: begin again with it
        words = [sys.executable, "-m", "benchmarks.creep_models", *sys.argv[1:]]
        os.execve(sys.executable, words, {**os.environ, **dict.fromkeys(THREADS, "1")})
    options = argparse.ArgumentParser(prog="python -m benchmarks.creep_models")
    options.add_argument("--files", type=int, default=1000)
    options.add_argument("--jobs", type=int, default=os.cpu_count() or 1)
    chosen = options.parse_args()
    every = os.sched_getaffinity(0) if hasattr(os, "sched_getaffinity") else None
    one_core()
    sizes()
    if every is not None:
        os.sched_setaffinity(0, every)
    batch(chosen.files, chosen.jobs)


if __name__ == "__main__":
    main()
