"""Fill a record, serve it, let people work on it, and print what they waited for.

    python -m benchmarks.load                               SQLite, 100,000 samples, 50 people, 2 minutes
    python -m benchmarks.load --postgresql                  the same on a private PostgreSQL cluster
    python -m benchmarks.load --url postgresql://...        on a record of yours, filled where empty
    python -m benchmarks.load --samples 1000 --minutes 0.5  a small one, to try it

Server, database and people share the machine. At the end every record file said to be kept is counted
in the record, and the chain of its log is verified.
"""

from __future__ import annotations

import argparse
import asyncio
import os
import subprocess
import sys
import tempfile
import time
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import numpy as np
from tests.databases import free_port, new_database, private_cluster

from benchmarks.load.filling import fill
from benchmarks.load.people import Day, work
from benchmarks.records import record as made_record
from resile.records.register import Run, Sample
from resile.storage.laboratory_record import LaboratoryRecord

ROWS = 3000
SHARED_FILES = 200


def main() -> None:
    """Run it."""
    asked = _asked()
    with tempfile.TemporaryDirectory() as folder, _database(asked, Path(folder)) as url:
        record = LaboratoryRecord.open(url)
        rng = np.random.default_rng(7)
        files = [(f"run-{i}.csv", made_record(ROWS, rng).encode()) for i in range(SHARED_FILES)]
        if not _held(record, Sample):
            seconds = fill(record, samples=asked.samples, runs_per_sample=3, files=files)
            print(f"filled in {seconds:.0f} s")
        samples, held = _held(record, Sample), _held(record, Run)
        print(f"{record.engine.dialect.name}: {samples:,} samples, {held:,} runs")
        with _served(url, asked.workers) as address:
            day = Day(address, samples, held, made_record(ROWS, rng).encode())
            asyncio.run(
                work(day, people=asked.people, seconds=60 * asked.minutes, drops_a_minute=asked.drops)
            )
        _tell(day, asked)
        kept = _held(record, Run) - held
        print(f"  record files said to be kept: {day.dropped}; runs found of them: {kept}")
        record.close()
        verified = subprocess.run(
            [sys.executable, "-m", "resile", "audit", "verify", "--record", url], check=False, text=True
        )
        if verified.returncode or day.faults or kept != day.dropped:
            raise SystemExit(1)


def _asked() -> argparse.Namespace:
    parser = argparse.ArgumentParser(prog="python -m benchmarks.load")
    parser.add_argument("--samples", type=int, default=100_000)
    parser.add_argument("--people", type=int, default=50)
    parser.add_argument("--minutes", type=float, default=2.0)
    parser.add_argument("--drops", type=float, default=20.0, help="record files a minute, of all people")
    parser.add_argument("--workers", type=int, default=2, help="processes of the server")
    parser.add_argument("--postgresql", action="store_true")
    parser.add_argument("--url", default="")
    return parser.parse_args()


@contextmanager
def _database(asked: argparse.Namespace, folder: Path) -> Iterator[str]:
    if asked.url:
        yield asked.url
    elif asked.postgresql:
        with private_cluster(safe=True) as cluster:
            yield new_database(cluster)
    else:
        yield str(folder / "laboratory.db")


@contextmanager
def _served(url: str, workers: int) -> Iterator[str]:
    port = free_port()
    words = ["serve", "--record", url, "--port", str(port), "--workers", str(workers)]
    environment = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
    server = subprocess.Popen([sys.executable, "-m", "resile", *words], env=environment)
    try:
        address = f"http://127.0.0.1:{port}"
        for _ in range(300):
            time.sleep(0.2)
            try:
                urllib.request.urlopen(f"{address}/explain", timeout=5)
                break
            except OSError:
                if server.poll() is not None:
                    raise SystemExit("the workbench did not start") from None
        yield address
    finally:
        server.terminate()
        server.wait(30)


def _held(record: LaboratoryRecord, kind: type) -> int:
    with record.reading() as reading:
        return reading.count(kind)


def _tell(day: Day, asked: argparse.Namespace) -> None:
    asks = sum(len(waits) for waits in day.waited.values())
    rate = asks / (60 * asked.minutes)
    print(f"  {asked.people} people, {asked.minutes:g} min: {asks} answers, {rate:.1f} a second")
    print(f"  {'':30} {'n':>6} {'median':>8} {'p95':>8} {'p99':>8} {'longest':>8}   [ms]")
    pages = [w for name, waits in day.waited.items() if not name.startswith("keep") for w in waits]
    for name, waits in [*sorted(day.waited.items()), ("all pages", pages)]:
        marks = [1000 * float(np.quantile(waits, q)) for q in (0.5, 0.95, 0.99, 1.0)] if waits else []
        print(f"  {name:30} {len(waits):6} " + " ".join(f"{mark:8.0f}" for mark in marks))
    for fault in sorted(set(day.faults))[:20]:
        print(f"  fault: {fault}")
    print(f"  faults: {len(day.faults)}")


if __name__ == "__main__":
    main()
