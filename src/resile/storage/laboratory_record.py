"""Opening the record: SQLite in one file by default, PostgreSQL by its URL."""

from __future__ import annotations

import sqlite3
import threading
from collections.abc import Iterator
from contextlib import contextmanager, nullcontext
from pathlib import Path
from typing import Any

from sqlalchemy import URL, Connection, Engine, create_engine, event, make_url
from sqlalchemy.exc import ArgumentError, DBAPIError, SQLAlchemyError

from resile.errors import ConflictError, InputError, MissingDependencyError, StorageError
from resile.storage.book import Book, lock_the_log
from resile.storage.migrating import bring_up_to_date
from resile.storage.reading import Reading

_PATIENCE_S = 30
"""How long a writer waits for another, before it is told that the record is busy."""


class LaboratoryRecord:
    """The record of a laboratory.

    Parameters
    ----------
    engine : Engine
        Connections to its database; `open` makes them.
    """

    def __init__(self, engine: Engine) -> None:
        self.engine = engine
        self._pen = threading.Lock() if engine.dialect.name == "sqlite" else nullcontext()

    @classmethod
    def open(cls, where: str | Path) -> LaboratoryRecord:
        """Open a record, making it and bringing its tables up to date where need be.

        Parameters
        ----------
        where : str or Path
            A file (SQLite), or a URL such as ``postgresql+psycopg://user@host/name``.

        Raises
        ------
        InputError, StorageError
            Where it names nothing that can be opened.
        """
        url = _url(where)
        with translated(url.render_as_string()):
            engine = _engine(url)
            bring_up_to_date(engine)
        return cls(engine)

    @property
    def url(self) -> str:
        """Give where the record is, without a password."""
        return self.engine.url.render_as_string()

    def close(self) -> None:
        """Close the connections."""
        self.engine.dispose()

    @contextmanager
    def writing(self, *, by: str, at: str) -> Iterator[Book]:
        """Write in one transaction: all is kept when the block ends, nothing where it fails.

        Parameters
        ----------
        by, at : str
            Key of the person who writes, and when (ISO 8601 in UTC).
        """
        with translated(self.url), self._pen, self.engine.connect() as connection:
            connection = connection.execution_options(resile_writes=True)
            with connection.begin():
                lock_the_log(connection)
                yield Book(connection, by=by, at=at)

    @contextmanager
    def reading(self) -> Iterator[Reading]:
        """Read in one transaction: all that is read belongs together."""
        with translated(self.url), self.engine.connect() as connection:
            if connection.dialect.name == "postgresql":
                connection = connection.execution_options(
                    isolation_level="REPEATABLE READ", postgresql_readonly=True
                )
            with connection.begin():
                yield Reading(connection)


@contextmanager
def translated(where: str) -> Iterator[None]:
    """Turn the refusals of a database into ours."""
    try:
        yield
    except SQLAlchemyError as error:
        raise _refusal(error, where) from error


def _refusal(error: SQLAlchemyError, where: str) -> Exception:
    said = str(getattr(error, "orig", error)).strip().splitlines()[0]
    low = said.lower()
    if "full" in low or "no space left" in low:
        return StorageError(
            f"{where}: the disk is full ({said}); nothing of this was kept, and what was kept before "
            "is whole. Free some space and do it again"
        )
    if "locked" in low or "busy" in low:
        return ConflictError(f"{where}: another program has been writing for {_PATIENCE_S} s; do it again")
    if "malformed" in low or "not a database" in low:
        return StorageError(
            f"{where}: this is not a record, or it is damaged ({said}); restore it from a backup"
        )
    if "readonly" in low or "read-only" in low or "unable to open" in low or "permission" in low:
        return StorageError(f"{where}: the record cannot be opened for writing ({said})")
    kind = "the database refused" if isinstance(error, DBAPIError) else "the database cannot be used"
    return StorageError(f"{where}: {kind}: {said}")


def _url(where: str | Path) -> URL:
    text = str(where)
    try:
        url = make_url(text) if "://" in text else URL.create("sqlite", database=str(Path(text).absolute()))
    except ArgumentError:
        raise InputError(f"{text}: this is neither a file nor the URL of a database") from None
    if url.get_backend_name() == "postgresql" and url.drivername == "postgresql":
        url = url.set(drivername="postgresql+psycopg")
    if url.get_backend_name() not in {"sqlite", "postgresql"}:
        raise InputError(f"{url.render_as_string()}: a record is a SQLite file or a PostgreSQL database")
    return url


def _engine(url: URL) -> Engine:
    if url.get_backend_name() == "postgresql":
        try:
            return create_engine(url, pool_size=10, max_overflow=20, pool_pre_ping=True)
        except ModuleNotFoundError:
            raise MissingDependencyError(
                "a record on PostgreSQL needs psycopg; install it with: pip install 'resile[postgresql]'"
            ) from None
    if url.database:
        folder = Path(url.database).parent
        if not folder.is_dir():
            raise InputError(f"{url.database}: the folder {folder} does not exist")
    engine = create_engine(url, pool_size=10, max_overflow=20, connect_args={"timeout": _PATIENCE_S})
    event.listen(engine, "connect", _prepare)
    event.listen(engine, "begin", _begin)
    return engine


def _prepare(connection: sqlite3.Connection, _: Any) -> None:
    connection.isolation_level = None  # transactions begin where `_begin` says so
    for pragma in (
        "journal_mode = WAL",
        "synchronous = FULL",  # a power cut loses nothing that was said to be kept
        "foreign_keys = ON",
        "cache_size = -65536",
        "temp_store = MEMORY",
    ):
        connection.execute(f"PRAGMA {pragma}").close()


def _begin(connection: Connection) -> None:
    writes = connection.get_execution_options().get("resile_writes", False)
    connection.exec_driver_sql("BEGIN IMMEDIATE" if writes else "BEGIN")
