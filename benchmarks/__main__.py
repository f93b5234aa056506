"""Measure and print ratios: resile against a careful pandas script and against merely parsing the same bytes.

    python start.py bench                all of it, 1,000 records of 3,000 rows (a few minutes)
    python start.py bench --files 100    a smaller folder

Every program runs in a process of its own on one core; each figure is the best of three or five; only ratios
of one run are to be quoted.
"""

import argparse
import json
import os
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from benchmarks.records import write_folder

HERE = Path(__file__).parent


def one_core() -> None:
    if hasattr(os, "sched_setaffinity"):
        os.sched_setaffinity(0, {min(os.sched_getaffinity(0))})


def run(*words: str | Path, repeat: int = 3, output: Path | None = None) -> tuple[float, float]:
    """Best wall time [s] and peak memory [MiB] of a command."""
    best, peak = float("inf"), 0.0
    # Compiled modules are kept, as in any installed program; otherwise each start would compile ours anew.
    environment = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
    for _ in range(repeat):
        begin = time.perf_counter()
        sink = output.open("wb") if output else subprocess.DEVNULL
        process = subprocess.Popen([sys.executable, *map(str, words)], stdout=sink, env=environment)
        if hasattr(os, "wait4"):
            _, status, usage = os.wait4(process.pid, 0)
            process.returncode = os.waitstatus_to_exitcode(status)
            peak = max(peak, usage.ru_maxrss / (1024.0 if sys.platform != "darwin" else 1024.0**2))
        else:
            process.wait()
        best = min(best, time.perf_counter() - begin)
        if output:
            sink.close()
        if process.returncode:
            raise SystemExit(f"{words} ended with exit code {process.returncode}")
    return best, peak


def reduce_folder(folder: Path, output: Path, *, repeat: int = 3) -> tuple[float, float]:
    return run("-m", "resile", "reduce", folder, "--json", output=output, repeat=repeat)


def agreement(ours: Path, theirs: Path) -> float:
    """Largest relative difference of Jnr at 3.2 kPa between the two programs: both must do the same work."""
    by_file = {Path(run["source"]["path"]).name: run for run in json.loads(ours.read_text())["runs"]}
    largest = 0.0
    for row in json.loads(theirs.read_text()):
        mine = by_file[row["file"]]["levels"][1]["jnr"]
        largest = max(largest, abs(mine / row["levels"]["3.2"]["mean"] - 1.0))
    return largest


def main() -> None:
    options = argparse.ArgumentParser(prog="python start.py bench")
    options.add_argument("--files", type=int, default=1000)
    options.add_argument("--rows", type=int, default=3000)
    chosen = options.parse_args()
    one_core()
    with tempfile.TemporaryDirectory() as place:
        scratch = Path(place)
        folder = write_folder(scratch / "all", chosen.files, chosen.rows)
        size = sum(path.stat().st_size for path in folder.iterdir())
        print(f"{chosen.files} records of {chosen.rows} rows, {size / 1e6:.0f} MB, one core\n")
        # In turn, so that a machine that is slower for a while is slower for both.
        turns = [
            (
                reduce_folder(folder, scratch / "ours.json", repeat=1)[0],
                run(HERE / "pandas_script.py", folder, scratch / "theirs.json", repeat=1)[0],
            )
            for _ in range(5)
        ]
        ours, theirs = min(turn[0] for turn in turns), min(turn[1] for turn in turns)
        print(f"resile reduce --json        {ours:7.2f} s")
        print(f"careful pandas script       {theirs:7.2f} s")
        print(f"  that is {theirs / ours:.2f} times resile (wanted: 5 or more)")
        readers = ("pandas", "polars", "pyarrow")
        parses = {name: run(HERE / "parse_only.py", name, folder, repeat=5)[0] for name in readers}
        for name, seconds in parses.items():
            print(f"merely parsing with {name:8s}{seconds:7.2f} s")
        fastest = min(parses, key=lambda name: parses[name])
        print(f"resile against parsing with {fastest}: {ours / parses[fastest]:.2f} (wanted: 3 or less)")
        apart = agreement(scratch / "ours.json", scratch / "theirs.json")
        print(f"largest relative difference of Jnr at 3.2 kPa between the two: {apart:.1e}\n")
        growth(scratch, chosen.files, chosen.rows)
        startup()


def growth(scratch: Path, files: int, rows: int) -> None:
    """Time and memory at three sizes each way, less the time for a single small file."""
    single, _ = reduce_folder(write_folder(scratch / "single", 1, 300), scratch / "growth.json")
    print(f"start and one small file: {single:.2f} s; beyond that:")
    print("files   rows   time a file [ms]   time a 1,000 rows [ms]   peak memory [MiB]")
    for count, length in (
        (files // 4, rows),
        (files // 2, rows),
        (files, rows),
        (files // 4, 2 * rows),
        (files // 4, 4 * rows),
    ):
        folder = write_folder(scratch / f"{count}-{length}", count, length)
        seconds, peak = reduce_folder(folder, scratch / "growth.json")
        each = 1e3 * (seconds - single) / count
        print(f"{count:5d}  {length:5d}  {each:16.3f}  {1e3 * each / length:22.3f}  {peak:18.1f}")


def startup() -> None:
    ours, _ = run("-m", "resile", "--version", repeat=15)
    typer, _ = run("-c", "import typer", repeat=15)
    print(f"\nresile --version against importing typer alone: {ours / typer:.2f} (wanted: 1.3 or less)")


if __name__ == "__main__":
    main()
