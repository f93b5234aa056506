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

    def start_anywhere(self) -> None:
        """Start on a free port; another one where somebody took it in between."""
        for _ in range(4):
            try:
                self.start()
            except subprocess.CalledProcessError:
                self.port = free_port()
            else:
                return
        self.start()

    def start(self) -> None:
        options = (
            f"-p {self.port} -h 127.0.0.1 -k {self.folder} -c fsync={self._fsync} -c max_connections=200"
        )
        # Its own output would keep the pipe open for as long as the server runs.
        self._control("-l", self.folder / "log", "-o", options, "-w", "-t", "180", "start", check=True)

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
    cluster.start_anywhere()
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
def connected(cluster: str, database: str = "postgres") -> Iterator[Any]:
    """Speak to a cluster itself, to make and drop databases, or to one of them past the program."""
    import psycopg

    plain = cluster.replace("+psycopg", "")
    with psycopg.connect(f"{plain}/{database}", autocommit=True) as connection:
        yield connection


def new_database(cluster: str, *, like: str = "template1") -> str:
    """Make a database in a cluster, empty or like another one of it, and give its URL."""
    name = f"record_{os.getpid()}_{next(_numbers)}"
    with connected(cluster) as connection:
        connection.execute(f"CREATE DATABASE {name} TEMPLATE {like.rpartition('/')[2]}")
    return f"{cluster}/{name}"


def drop_database(url: str) -> None:
    """Drop a database, whoever is still connected: hundreds left behind would take minutes to remove."""
    cluster, _, name = url.rpartition("/")
    with connected(cluster) as connection:
        connection.execute(f"DROP DATABASE {name} WITH (FORCE)")


_SHAPE = """
    SELECT md5(string_agg(line, ';' ORDER BY line)) FROM (
        SELECT concat('table', oid, relname, relkind) AS line FROM pg_class
            WHERE relnamespace = 'public'::regnamespace
        UNION ALL SELECT concat('column', attrelid, attname, atttypid, attnotnull)
            FROM pg_attribute JOIN pg_class ON attrelid = pg_class.oid
            WHERE relnamespace = 'public'::regnamespace
        UNION ALL SELECT concat('trigger', oid, tgenabled) FROM pg_trigger
        UNION ALL SELECT concat('function', oid, prosrc) FROM pg_proc
            WHERE pronamespace = 'public'::regnamespace
        UNION ALL SELECT concat('version', version_num) FROM alembic_version
    ) AS lines
"""
_OTHERS = "FROM pg_stat_activity WHERE datname = current_database() AND pid <> pg_backend_pid()"


class BareDatabases:
    """Databases with the tables of a record and nothing in them.

    Making one takes longer than most tests, so one whose tables, columns, triggers and functions are as they
    were is emptied and used again; any other is dropped.
    """

    def __init__(self, cluster: str) -> None:
        self._cluster, self._like = cluster, new_database(cluster)
        LaboratoryRecord.open(self._like).close()
        self._empty: list[str] = []
        with self._opened(self._like) as held:
            [self._shape] = held.execute(_SHAPE).fetchone()

    def _opened(self, url: str) -> Any:
        return connected(self._cluster, url.rpartition("/")[2])

    def take(self) -> str:
        """Give the URL of one."""
        return self._empty.pop() if self._empty else new_database(self._cluster, like=self._like)

    def give_back(self, url: str) -> None:
        """Empty it for the next test, whoever is still connected, or drop it."""
        import psycopg

        try:
            with self._opened(url) as held:
                held.execute(f"SELECT pg_terminate_backend(pid) {_OTHERS}")
                while held.execute(f"SELECT 1 {_OTHERS}").fetchone():
                    pass
                [shape] = held.execute(_SHAPE).fetchone()
                if shape == self._shape:
                    self._remove_rows(held)
                    self._empty.append(url)
                    return
        except psycopg.Error:
            pass
        drop_database(url)

    def _remove_rows(self, held: Any) -> None:
        """Remove every row past the triggers that forbid it, and count keys from one again."""
        named = held.execute(
            "SELECT quote_ident(relname), relkind FROM pg_class WHERE relnamespace = 'public'::regnamespace "
            "AND relname <> 'alembic_version' AND relkind IN ('r', 'S')"
        ).fetchall()
        tables = [name for name, kind in named if kind == "r"]
        ask = " UNION ALL ".join(f"SELECT '{table}' WHERE EXISTS (SELECT FROM {table})" for table in tables)
        held.execute("SET session_replication_role = replica")
        for (table,) in held.execute(ask).fetchall():
            held.execute(f"DELETE FROM {table}")
        for name, kind in named:
            if kind == "S":
                held.execute(f"ALTER SEQUENCE {name} RESTART")


@pytest.fixture(scope="session")
def bare_file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A record with its tables and nothing in it: making them takes longer than most tests."""
    file = tmp_path_factory.mktemp("bare") / "record.db"
    LaboratoryRecord.open(file).close()
    return file


@pytest.fixture(scope="session")
def bare_databases(postgresql_cluster: str) -> BareDatabases:
    """Databases of the cluster with the tables of a record and nothing in them."""
    return BareDatabases(postgresql_cluster)


@pytest.fixture(params=["sqlite", "postgresql"])
def record_url(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[str]:
    """Where a record is that nothing was kept in yet: each test that asks runs on both databases."""
    if request.param == "sqlite":
        yield str(shutil.copy(request.getfixturevalue("bare_file"), tmp_path / "record.db"))
        return
    databases: BareDatabases = request.getfixturevalue("bare_databases")
    url = databases.take()
    yield url
    databases.give_back(url)
