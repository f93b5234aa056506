"""Time and memory of judging an archive anew under another edition, at three sizes, and ratios.

    python -m benchmarks.rejudging                    10,000, 100,000 and 1,000,000 results
    python -m benchmarks.rejudging --sizes 10000,100000

Results are invented (seeded): eight of each sample, every property a multiple-stress grade asks for, values
spread about the limits. Each figure is of a process of its own on one core. Beside it stand the judge taken
sample by sample (10,000 results, extrapolated) and a plain pandas script that knows the limits by heart and
gives the letters alone: no replicates, no waivers, no rounding, no uncertainty, no reasons.
"""

import argparse
import sys
import tempfile
import time
from pathlib import Path

import numpy as np

from benchmarks.__main__ import one_core, run
from resile.storage.archive.parquet import arrow, arrow_schema
from resile.storage.archive.schema import (
    FILES,
    RESULTS,
    VERDICTS,
    ArchiveStatement,
    write_archive_statement,
)

SIZES = (10_000, 100_000, 1_000_000)
OF_A_SAMPLE = 8
BEFORE, AFTER = ("m332-2014", "simple"), ("m332-2020", "four-state")
# Quantity, residue, where it is tested, unit, middle and spread of the invented values (log-normal).
PROPERTIES = (
    ("rutting_parameter", "original", "high", "kPa", 1.4, 0.25),
    ("mass_change_percent", "short_term_aged", None, "%", 0.5, 0.4),
    ("jnr_3.2", "short_term_aged", "high", "1/kPa", 0.9, 0.7),
    ("jnr_difference_percent", "short_term_aged", "high", "%", 45.0, 0.5),
    ("fatigue_parameter", "long_term_aged", "intermediate", "kPa", 4200.0, 0.25),
    ("phase_angle", "long_term_aged", "intermediate", "°", 43.0, 0.05),
    ("creep_stiffness", "long_term_aged", "low", "MPa", 240.0, 0.2),
    ("m_value", "long_term_aged", "low", "", 0.31, 0.03),
)


def write_archive(folder: Path, results: int) -> Path:
    """Write an archive of invented results, column by column."""
    pa = arrow()
    rng = np.random.default_rng(7)
    samples = results // OF_A_SAMPLE
    high = rng.choice([58.0, 64.0, 70.0], samples)
    low = rng.choice([-16.0, -22.0, -28.0], samples)
    at = {"high": high, "low": low + 10.0, "intermediate": (high + low) / 2.0 + 4.0}
    number = np.repeat(np.arange(samples), OF_A_SAMPLE)
    values = np.column_stack([m * np.exp(rng.normal(0.0, s, samples)) for *_, m, s in PROPERTIES]).reshape(-1)
    nothing = np.full(samples, np.nan)
    temperatures = np.column_stack([at.get(where, nothing) for _, _, where, *_ in PROPERTIES]).reshape(-1)
    days = np.datetime64("2016-01-01") + rng.integers(0, 3650, samples).astype("timedelta64[D]")
    tested = np.repeat(days.astype(str), OF_A_SAMPLE)
    texts = {
        "sha256": pa.array([f"{n:064x}" for n in range(samples)]).take(pa.array(number)),
        "sample": pa.array([f"S{n:08d}" for n in range(samples)]).take(pa.array(number)),
        "lot": pa.array([f"L{n // 3:07d}" for n in range(samples)]).take(pa.array(number)),
        "product": pa.array([f"product {n % 12}" for n in range(samples)]).take(pa.array(number)),
        "tested": pa.array(tested),
    }
    for place, name in ((0, "quantity"), (1, "condition"), (3, "unit")):
        texts[name] = pa.array([one[place] for one in PROPERTIES] * samples)
    numbers = {
        "value": pa.array(values),
        "temperature_c": pa.array(temperatures, from_pandas=True),
        "stress_kpa": pa.nulls(results, pa.float64()),
    }
    folder.mkdir(parents=True)
    columns = [
        texts.get(one.name, numbers.get(one.name))
        if one.name in texts or one.name in numbers
        else pa.array(
            [[] if one.kind == "texts" else ""] * results, arrow_schema(RESULTS).field(one.name).type
        )
        for one in RESULTS.columns
    ]
    table = pa.Table.from_arrays(columns, schema=arrow_schema(RESULTS))
    pa.parquet.write_table(table, RESULTS.path(folder), row_group_size=32_768, compression="zstd")
    for other in (FILES, VERDICTS):
        pa.parquet.write_table(arrow_schema(other).empty_table(), other.path(folder))
    write_archive_statement(folder, ArchiveStatement("benchmark", "record files"))
    return folder


def anew(archive: Path) -> None:
    """Judge the archive by both yardsticks, as resile does."""
    from resile.workflows.archive.rejudging import rejudge_archive
    from resile.workflows.judging.agreement import agree

    both = [agree(name, decision_rule=rule) for name, rule in (BEFORE, AFTER)]
    found = rejudge_archive(archive, *both)
    print(found.judged, found.worse, found.better)


def one_by_one(archive: Path) -> None:
    """Judge sample by sample with the judge of one."""
    from collections import defaultdict

    from resile.judge.grades.sample import judge_sample
    from resile.judge.results.results import results_from_determinations
    from resile.records.determination import Condition, Determination
    from resile.storage.archive.parquet import read_rows
    from resile.workflows.judging.agreement import agree

    both = [agree(name, decision_rule=rule) for name, rule in (BEFORE, AFTER)]
    own = defaultdict(list)
    names = ("sample", "condition", "temperature_c", "quantity", "value", "unit")
    for sample, condition, *rest in read_rows(RESULTS.path(archive), RESULTS, columns=names):
        own[sample].append(Determination(sample, Condition(condition), *rest))
    changed = 0
    for sample, determinations in own.items():
        grades = []
        for one in both:
            results = results_from_determinations(
                determinations, one.precision, one.retest_rule, basis=one.basis
            )
            grades.append(
                judge_sample(
                    sample,
                    results,
                    one.specification,
                    decision_rule=one.decision_rule,
                    retest_rule=one.retest_rule,
                ).grades
            )
        changed += grades[0] != grades[1]
    print(len(own), changed)


def with_pandas(archive: Path) -> None:
    """Give letters under both editions with the limits known by heart."""
    import pandas as pd

    frame = pd.read_parquet(RESULTS.path(archive), columns=["sample", "quantity", "value"])
    wide = frame.pivot_table(index="sample", columns="quantity", values="value")
    shared = (wide["rutting_parameter"] >= 1.0) & (wide["mass_change_percent"].abs() <= 1.0)
    difference = wide["jnr_difference_percent"] <= 75.0
    letters = []
    for waived in (False, True):
        letter = pd.Series("none", index=wide.index)
        for name, limit in (("S", 4.5), ("H", 2.0), ("V", 1.0), ("E", 0.5)):
            good = shared & (wide["jnr_3.2"] <= limit) & (difference | (waived and name == "E"))
            letter[good] = name
        letters.append(letter)
    print(pd.crosstab(*letters).to_numpy().sum())


def main() -> None:
    options = argparse.ArgumentParser(prog="python -m benchmarks.rejudging")
    options.add_argument("--sizes", default=",".join(map(str, SIZES)))
    options.add_argument("--only", choices=sorted(WAYS), help=argparse.SUPPRESS)
    options.add_argument("--archive", type=Path, help=argparse.SUPPRESS)
    options.add_argument("--write", type=int, default=0, help=argparse.SUPPRESS)
    chosen = options.parse_args()
    if chosen.write:
        write_archive(chosen.archive, chosen.write)
        return
    if chosen.only:
        WAYS[chosen.only](chosen.archive)
        return
    one_core()
    with tempfile.TemporaryDirectory() as place:
        print("results     resile s  MiB   per second   pandas s  MiB   ratio   judge one by one s   ratio")
        start = _timed("start", write_archive(Path(place) / "start", OF_A_SAMPLE))[0]
        single = None
        for size in map(int, chosen.sizes.split(",")):
            archive = _written(Path(place) / str(size), size)
            ours, theirs = _timed("anew", archive), _timed("pandas", archive)
            if single is None:
                ten = archive if size == 10_000 else _written(Path(place) / "ten", 10_000)
                single = (_timed("one", ten)[0] - start) / 10_000
            whole = start + single * size
            print(
                f"{size:>9,}  {ours[0]:8.2f}  {ours[1]:4.0f}  {size / ours[0]:>11,.0f}  {theirs[0]:8.2f}  "
                f"{theirs[1]:4.0f}  {ours[0] / theirs[0]:6.2f}  {whole:18.1f}  {whole / ours[0]:6.1f}"
            )


def _written(folder: Path, size: int) -> Path:
    """Write an archive in a process of its own: a child's peak memory counts what its parent held."""
    run("-m", "benchmarks.rejudging", "--write", str(size), "--archive", folder, repeat=1)
    return folder


def _timed(way: str, archive: Path) -> tuple[float, float]:
    begin = time.perf_counter()
    if way == "start":
        return run("-m", "benchmarks.rejudging", "--only", "anew", "--archive", archive)
    found = run("-m", "benchmarks.rejudging", "--only", way, "--archive", archive, repeat=1)
    print(f"{way}: {time.perf_counter() - begin:.1f} s", file=sys.stderr)
    return found


WAYS = {"anew": anew, "one": one_by_one, "pandas": with_pandas}

if __name__ == "__main__":
    main()
