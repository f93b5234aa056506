"""A mixed archive: time a file by kind, one process against two, two workers of which one is killed, memory.

    python -m benchmarks.archive                             2,000 generated records (a few minutes)
    python -m benchmarks.archive --files 100000 --at FOLDER  the long run; records and archives stay in FOLDER

Records are those of `benchmarks.mixed_records`: 14 kB each on average, 1.4 GB for 100,000. Every run is a
process of its own, as a person starts it; archives are compared byte by byte. On a machine that does other
work as well, only ratios of one run are to be quoted.
"""

import argparse
import hashlib
import os
import signal
import statistics
import subprocess
import sys
import tempfile
import time
from collections import defaultdict
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from benchmarks.mixed_records import PATTERN, write_archive_folder
from benchmarks.records import write_folder

HERE = Path(__file__).parent
TABLES = (
    "files.parquet",
    "results.parquet",
    "verdicts.parquet",
    "paths.parquet",
    "refused.csv",
    "summary.json",
)


def environment() -> dict[str, str]:
    kept = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
    return {**kept, "OPENBLAS_NUM_THREADS": "1"}


def records(at: Path, files: int) -> Path:
    """Write the records, or take those that an earlier run left."""
    folder = at / f"records-{files}"
    whole = folder / ".whole"  # a hidden file is no record
    if not whole.exists():
        write_archive_folder(folder, files)
        whole.touch()
    return folder


def batch(folder: Path, archive: Path, *more: str, named: str = PATTERN, judged: bool = True) -> list[str]:
    words = [sys.executable, "-m", "resile", "batch", str(folder), "--into", str(archive), "--json", *more]
    return [*words, "--named", named] + (["-s", "m332-2014"] if judged else [])


def timed(words: list[str]) -> tuple[float, float, float]:
    """Wall time [s], processor time of the process and all it waited for [s], and its peak memory [MiB]."""
    begin = time.perf_counter()
    process = subprocess.Popen(words, env=environment(), stdout=subprocess.DEVNULL)
    _, status, usage = os.wait4(process.pid, 0)
    process.returncode = os.waitstatus_to_exitcode(status)
    if process.returncode:
        raise SystemExit(f"{words} ended with exit code {process.returncode}")
    spent = usage.ru_utime + usage.ru_stime
    return (
        time.perf_counter() - begin,
        spent,
        usage.ru_maxrss / (1024.0 if sys.platform != "darwin" else 1024.0**2),
    )


def fingerprint(archive: Path) -> list[str]:
    return [hashlib.sha256((archive / name).read_bytes()).hexdigest() for name in TABLES]


def by_kind(folder: Path) -> None:
    """Processor time of reading, reducing and preparing the rows of one file, by its kind."""
    from resile.readers.batches.places import found_files
    from resile.readers.layout import Layout
    from resile.records.batch import FileTold
    from resile.version import __version__
    from resile.workflows.archive.batch_reducing import FileToDo, HowToReduce, reduce_files

    how, spent = HowToReduce(Layout(), __version__), defaultdict(list)
    some = [
        file.path for _, file in zip(range(1200), found_files(str(folder), frozenset({".csv"})), strict=False)
    ]
    for turn in range(2):  # the first turn loads what is loaded once
        for path in some[: 50 if turn == 0 else None]:
            begin = time.process_time()
            reduce_files(how, [FileToDo(path, FileTold())])
            if turn:
                spent[Path(path).name.split("-")[1]].append(1e3 * (time.process_time() - begin))
    for kind, times in sorted(spent.items()):
        print(
            f"  {kind:12s}{statistics.median(times):6.2f} ms a file (median of {len(times)}, each by itself)"
        )


@contextmanager
def machines(at: Path) -> Iterator[tuple[str, list[subprocess.Popen[bytes]]]]:
    """Start a scheduler and two workers of one thread, as a person does."""
    meeting = at / "scheduler.json"
    meeting.unlink(missing_ok=True)
    dask = [sys.executable, "-m", "distributed.cli.dask_scheduler", "--host", "127.0.0.1", "--port", "0"]
    dask += ["--no-dashboard", "--scheduler-file", str(meeting)]
    worker = [sys.executable, "-m", "distributed.cli.dask_worker", "--scheduler-file", str(meeting)]
    worker += ["--nthreads", "1", "--no-nanny", "--no-dashboard", "--local-directory", str(at)]
    with (at / "dask.log").open("wb") as log:
        started = [
            subprocess.Popen(words, env=environment(), stdout=log, stderr=log)
            for words in (dask, worker, worker)
        ]
        try:
            from distributed import Client

            with Client(scheduler_file=str(meeting), timeout=60, set_as_default=False) as client:
                client.wait_for_workers(2, timeout=60)
                address = client.scheduler.address
            yield address, started[1:]
        finally:
            for process in reversed(started):
                process.kill()
                process.wait()


def killed_on_the_way(words: list[str], archive: Path, worker: subprocess.Popen[bytes], files: int) -> float:
    """Run a batch and kill a worker when about a third of the pieces are there."""
    begin = time.perf_counter()
    process = subprocess.Popen(words, env=environment(), stdout=subprocess.DEVNULL)
    pieces = archive / "pieces"
    while process.poll() is None and worker.poll() is None:
        if pieces.is_dir() and sum(1 for _ in pieces.glob("*.paths.parquet")) * 64 > files / 3:
            worker.send_signal(signal.SIGKILL)
            worker.wait()
        time.sleep(0.05)
    if process.wait() or worker.poll() is None:
        raise SystemExit("the batch failed, or ended before a worker could be killed")
    return time.perf_counter() - begin


def told(what: str, files: int, seconds: float, same: bool) -> None:
    print(f"{what:26s} {seconds:8.1f} s  {files / seconds:6.0f} files/s  same bytes: {same}")


def several_machines(at: Path, folder: Path, files: int, expected: list[str]) -> None:
    with machines(at) as (address, workers):
        seconds, _, _ = timed(batch(folder, at / "two-workers", "--machines", address, "--again"))
        same = fingerprint(at / "two-workers") == expected
        told("two Dask workers", files, seconds, same)
        words = batch(folder, at / "one-killed", "--machines", address, "--again")
        seconds = killed_on_the_way(words, at / "one-killed", workers[0], files)
        same = fingerprint(at / "one-killed") == expected
        told("  one of them killed", files, seconds, same)


def against_pandas(at: Path, files: int) -> None:
    folder = write_folder(at / f"creep-{files}", files, 900)
    ours, theirs = float("inf"), float("inf")
    for _ in range(3):
        ours = min(ours, timed(batch(folder, at / "creep", "--again", named="{sample}", judged=False))[0])
        theirs = min(
            theirs,
            timed([sys.executable, str(HERE / "pandas_script.py"), str(folder), str(at / "p.json")])[0],
        )
    print(
        f"\n{files} creep-recovery records of 900 rows, one process: resile batch {ours:.2f} s, careful "
        f"pandas script {theirs:.2f} s: {theirs / ours:.2f} times resile"
    )


def main() -> None:
    options = argparse.ArgumentParser(prog="python -m benchmarks.archive")
    options.add_argument("--files", type=int, default=2000)
    options.add_argument(
        "--at", type=Path, help="folder for records and archives, kept; a temporary one otherwise"
    )
    options.add_argument(
        "--pandas", type=int, default=1000, help="records for the pandas script; 0 to leave it out"
    )
    chosen = options.parse_args()
    with tempfile.TemporaryDirectory() as place:
        at = chosen.at or Path(place)
        at.mkdir(parents=True, exist_ok=True)
        measure(at, chosen.files)
        if chosen.pandas:
            against_pandas(at, chosen.pandas)


def measure(at: Path, files: int) -> None:
    folder = records(at, files)
    size = sum(path.stat().st_size for path in folder.rglob("*.csv"))
    print(f"{files} mixed records, {size / 1e6:.0f} MB")
    by_kind(folder)
    print("\nfiles      one process [s]   processor [ms a file]   peak memory [MiB]")
    for count in (files // 4, files // 2, files):
        part = records(at, count)
        seconds, spent, peak = timed(batch(part, at / f"one-{count}", "--again"))
        print(f"{count:7d}  {seconds:14.1f}  {1e3 * spent / count:20.2f}  {peak:20.0f}")
    expected = fingerprint(at / f"one-{files}")
    again, _, _ = timed(batch(folder, at / f"one-{files}"))
    print(f"\nthe same again, all done   {again:8.1f} s  {files / again:6.0f} files/s")
    two, _, peak = timed(batch(folder, at / "two", "--jobs", "2", "--again"))
    same = fingerprint(at / "two") == expected
    print(
        f"two processes              {two:8.1f} s  {files / two:6.0f} files/s  same bytes: {same}; "
        f"{seconds / two:.2f} times one; peak of the writing one {peak:.0f} MiB"
    )
    several_machines(at, folder, files, expected)


if __name__ == "__main__":
    main()
