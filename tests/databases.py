"""Databases for tests: a SQLite file each, and a private PostgreSQL cluster, started once and stopped."""

import os
import shutil
import socket
import subprocess
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from itertools import count
from pathlib import Path

import pytest

REQUIRED = os.environ.get("RESILE_REQUIRE_POSTGRESQL") == "1"
_SOUGHT = [*sorted(Path("/usr/lib/postgresql").glob("*/bin"), reverse=True), *map(Path, os.get_exec_path())]
_numbers = count(1)


def binaries() -> Path | None:
    """Where initdb and pg_ctl are; Debian does not put them on the path."""
    return next((folder for folder in _SOUGHT if (folder / "initdb").exists()), None)


def free_port() -> int:
    with socket.socket() as held:
        held.bind(("127.0.0.1", 0))
        return int(held.getsockname()[1])


def _as_unprivileged(folder: Path) -> list[str]:
    """PostgreSQL refuses to run as root: give the words that make it run as another user."""
    if os.geteuid() != 0:
        return []
    user = "postgres"
    shutil.chown(folder, user)
    return ["runuser", "-u", user, "--"]


@pytest.fixture(scope="session")
def postgresql_cluster() -> Iterator[str]:
    """URL of a private cluster on the loopback interface, without a database name."""
    if binaries() is None:
        if REQUIRED:
            pytest.fail("PostgreSQL is required here and its initdb was not found")
        pytest.skip("PostgreSQL is not installed (on Debian: apt install postgresql)")
    with private_cluster() as url:
        yield url


@contextmanager
def private_cluster(*, safe: bool = False) -> Iterator[str]:
    """Start a cluster of one's own and stop it; `safe` waits for the disk as a real one does."""
    where = binaries()
    assert where is not None
    folder = Path(tempfile.mkdtemp(prefix="resile-postgresql-"))
    port = free_port()
    prefix = _as_unprivileged(folder)
    data, log = folder / "data", folder / "log"
    try:
        made = [*prefix, where / "initdb", "-D", data, "-U", "resile", "-A", "trust", "-E", "UTF8", "-N"]
        subprocess.run(made, check=True, capture_output=True, cwd=folder)
        options = f"-p {port} -h 127.0.0.1 -k {folder} -c max_connections=200"
        options += "" if safe else " -c fsync=off"
        started = [*prefix, where / "pg_ctl", "-D", data, "-l", log, "-o", options, "-w", "start"]
        # Its own output would keep the pipe open for as long as the server runs.
        quiet = {"stdout": subprocess.DEVNULL, "stderr": subprocess.DEVNULL}
        subprocess.run(started, check=True, cwd=folder, **quiet)
        yield f"postgresql+psycopg://resile@127.0.0.1:{port}"
    finally:
        if data.exists():
            stop = [*prefix, where / "pg_ctl", "-D", data, "-m", "immediate", "stop"]
            subprocess.run(stop, check=False, capture_output=True, cwd=folder)
        shutil.rmtree(folder, ignore_errors=True)


def new_database(cluster: str) -> str:
    """Make an empty database in a cluster and give its URL."""
    import psycopg

    name = f"record_{os.getpid()}_{next(_numbers)}"
    plain = cluster.replace("+psycopg", "")
    with psycopg.connect(f"{plain}/postgres", autocommit=True) as connection:
        connection.execute(f"CREATE DATABASE {name}")  # type: ignore[arg-type]
    return f"{cluster}/{name}"


@pytest.fixture(params=["sqlite", "postgresql"])
def record_url(request: pytest.FixtureRequest, tmp_path: Path) -> str:
    """Where a new record may be: each test that asks runs on both databases."""
    if request.param == "sqlite":
        return str(tmp_path / "record.db")
    return new_database(request.getfixturevalue("postgresql_cluster"))
