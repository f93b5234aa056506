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
from typing import Any

import pytest

from resile.storage.laboratory_record import LaboratoryRecord

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


class Cluster:
    """A private PostgreSQL on the loopback interface."""

    def __init__(self, where: Path, *, fsync: bool) -> None:
        self.folder = Path(tempfile.mkdtemp(prefix="resile-postgresql-"))
        self.port = free_port()
        self._where, self._fsync = where, "on" if fsync else "off"
        self._prefix = _as_unprivileged(self.folder)
        words = [*self._prefix, where / "initdb", "-D", self.folder / "data", "-U", "resile"]
        subprocess.run(
            [*words, "-A", "trust", "-E", "UTF8", "-N"], check=True, capture_output=True, cwd=self.folder
        )

    @property
    def url(self) -> str:
        """Without a database name."""
        return f"postgresql+psycopg://resile@127.0.0.1:{self.port}"

    def start(self) -> None:
        options = (
            f"-p {self.port} -h 127.0.0.1 -k {self.folder} -c fsync={self._fsync} -c max_connections=200"
        )
        # Its own output would keep the pipe open for as long as the server runs.
        self._control("-l", self.folder / "log", "-o", options, "-w", "start", check=True)

    def stop(self) -> None:
        """Stop it as a power cut would: no checkpoint, no goodbye to anybody."""
        self._control("-m", "immediate", "-w", "stop", check=False)

    def remove(self) -> None:
        self.stop()
        shutil.rmtree(self.folder, ignore_errors=True)

    def _control(self, *words: str | Path, check: bool) -> None:
        subprocess.run(
            [*self._prefix, self._where / "pg_ctl", "-D", self.folder / "data", *words],
            check=check,
            cwd=self.folder,
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
        )


def new_cluster(*, fsync: bool) -> Cluster:
    """Make and start a cluster, or skip where there is no PostgreSQL."""
    where = binaries()
    if where is None:
        if REQUIRED:
            pytest.fail("PostgreSQL is required here and its initdb was not found")
        pytest.skip("PostgreSQL is not installed (on Debian: apt install postgresql)")
    cluster = Cluster(where, fsync=fsync)
    cluster.start()
    return cluster


@contextmanager
def private_cluster(*, safe: bool = False) -> Iterator[str]:
    """Start a cluster of one's own and stop it; `safe` waits for the disk as a real one does."""
    cluster = new_cluster(fsync=safe)
    try:
        yield cluster.url
    finally:
        cluster.remove()


@pytest.fixture(scope="session")
def postgresql_cluster() -> Iterator[str]:
    """URL of a private cluster on the loopback interface, without a database name."""
    with private_cluster() as url:
        yield url


@contextmanager
def connected(cluster: str) -> Iterator[Any]:
    """Speak to a cluster itself, to make and drop databases."""
    import psycopg

    plain = cluster.replace("+psycopg", "")
    with psycopg.connect(f"{plain}/postgres", autocommit=True) as connection:
        yield connection


def new_database(cluster: str, *, like: str = "template1") -> str:
    """Make a database in a cluster, empty or like another one of it, and give its URL."""
    name = f"record_{os.getpid()}_{next(_numbers)}"
    with connected(cluster) as connection:
        connection.execute(f"CREATE DATABASE {name} TEMPLATE {like}")
    return f"{cluster}/{name}"


def drop_database(url: str) -> None:
    """Drop a database, whoever is still connected: hundreds left behind would take minutes to remove."""
    cluster, _, name = url.rpartition("/")
    with connected(cluster) as connection:
        connection.execute(f"DROP DATABASE {name} WITH (FORCE)")


@pytest.fixture(scope="session")
def bare_file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A record with its tables and nothing in it: making them takes longer than most tests."""
    file = tmp_path_factory.mktemp("bare") / "record.db"
    LaboratoryRecord.open(file).close()
    return file


@pytest.fixture(scope="session")
def bare_database(postgresql_cluster: str) -> str:
    """Name of a database of the cluster with the tables of a record and nothing in it."""
    url = new_database(postgresql_cluster)
    LaboratoryRecord.open(url).close()
    return url.rpartition("/")[2]


@pytest.fixture(params=["sqlite", "postgresql"])
def record_url(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[str]:
    """Where a record is that nothing was kept in yet: each test that asks runs on both databases."""
    if request.param == "sqlite":
        yield str(shutil.copy(request.getfixturevalue("bare_file"), tmp_path / "record.db"))
        return
    cluster, like = (request.getfixturevalue(name) for name in ("postgresql_cluster", "bare_database"))
    url = new_database(cluster, like=like)
    yield url
    drop_database(url)
