"""A real scheduler and two workers: the bytes of one process, and nothing is lost with a worker."""

import os
import signal
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

pytest.importorskip("duckdb")
pytest.importorskip("distributed")

from benchmarks.mixed_records import PATTERN, write_archive_folder

import resile
from resile.errors import InputError
from resile.workflows.archive.batch import Batch, BatchProgress, run_batch
from resile.workflows.archive.batch_machines import Machines
from resile.workflows.judging.agreement import agree

pytestmark = [
    pytest.mark.skipif(os.name != "posix", reason="there is no such signal elsewhere"),
    pytest.mark.filterwarnings("ignore::DeprecationWarning", "ignore::ResourceWarning"),
]


@contextmanager
def machines(folder: Path) -> Iterator[tuple[str, list[subprocess.Popen[bytes]]]]:
    """Start a scheduler and two workers as a person does, each a process of its own."""
    from distributed import Client

    meeting = folder / "scheduler.json"
    environment = {
        **os.environ,
        "PYTHONPATH": str(Path(resile.__file__).parents[1]),
        "OPENBLAS_NUM_THREADS": "1",
    }
    log = (folder / "log").open("wb")
    dask = [sys.executable, "-m"]
    scheduler = [
        *dask,
        "distributed.cli.dask_scheduler",
        *("--host", "127.0.0.1", "--port", "0", "--no-dashboard", "--scheduler-file", str(meeting)),
    ]
    worker = [
        *dask,
        "distributed.cli.dask_worker",
        *("--scheduler-file", str(meeting), "--nthreads", "1", "--no-nanny", "--no-dashboard"),
        *("--local-directory", str(folder)),
    ]
    started = [
        subprocess.Popen(command, env=environment, stdout=log, stderr=log)
        for command in (scheduler, worker, worker)
    ]
    try:
        with Client(scheduler_file=str(meeting), timeout=180, set_as_default=False) as client:
            client.wait_for_workers(2, timeout=180)
            address = client.scheduler.address
        yield address, started[1:]
    finally:
        for process in reversed(started):
            process.kill()
            process.wait()
        log.close()


def test_two_workers_give_the_bytes_of_one_process_though_one_is_killed(tmp_path: Path) -> None:
    folder = write_archive_folder(tmp_path / "records", 32)
    yardstick = agree("m332-2014")
    run_batch(Batch((str(folder),), tmp_path / "one", yardstick, named=PATTERN))
    with machines(tmp_path) as (address, workers):
        killed: list[int] = []

        def kill_one(progress: BatchProgress) -> None:
            if progress.stage == "files" and progress.done and not killed:
                killed.append(workers[0].pid)
                workers[0].send_signal(signal.SIGKILL)
                workers[0].wait()

        batch = Batch((str(folder),), tmp_path / "several", yardstick, named=PATTERN)
        run_batch(batch, machines=address, tell=kill_one)
        assert killed
        assert workers[1].poll() is None
        sent = Batch((str(folder / "product-000"),), tmp_path / "sent", yardstick, send=True)
        assert run_batch(sent, machines=address).refused < 32
    for file in ("archive.json", "files.parquet", "results.parquet", "verdicts.parquet", "refused.csv"):
        assert (tmp_path / "one" / file).read_bytes() == (tmp_path / "several" / file).read_bytes(), file


def test_an_address_where_nobody_answers_is_said_with_how_to_start_one() -> None:
    with pytest.raises(InputError, match=r"no scheduler answers there .*dask scheduler"):
        Machines("tcp://127.0.0.1:9", patience_s=0.2)
