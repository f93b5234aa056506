"""Reading from the record."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, TypeVar

from sqlalchemy import ColumnElement, Connection, Row, Select, and_, func, select

from resile.errors import RecordNotFoundError
from resile.records.register import Entry, Kept
from resile.storage.bodies import noun_of
from resile.storage.raw_files import read_file
from resile.storage.shelves import BY_NOUN, BY_PREFIX
from resile.storage.shelves.shelf import Shelf
from resile.storage.tables import ENTRY

Noun = TypeVar("Noun")


class Reading:
    """What can be asked of the record within one transaction.

    Parameters
    ----------
    connection : Connection
        Inside a transaction: all that is read belongs together.
    """

    def __init__(self, connection: Connection) -> None:
        self.connection = connection

    def get(self, kind: type[Noun], key: str, revision: int | None = None) -> Kept[Noun]:
        """Give a noun, at its newest revision or an earlier one.

        Raises
        ------
        RecordNotFoundError
            Where the record holds none of this key, or no such revision.
        """
        shelf = BY_NOUN[kind]
        query = select(ENTRY).where(ENTRY.c.kind == shelf.kind, ENTRY.c.key == key)
        if revision is not None:
            query = query.where(ENTRY.c.revision == revision)
        row = self.connection.execute(query.order_by(ENTRY.c.revision.desc()).limit(1)).first()
        if row is None:
            of = "" if revision is None else f", revision {revision}"
            raise RecordNotFoundError(f"the record holds no {shelf.said} {key}{of}")
        return _kept(row)

    def revision_of(self, kind: type[Any], key: str) -> int:
        """Give the newest revision of a noun."""
        shelf = BY_NOUN[kind]
        found = self.connection.execute(
            select(shelf.table.c.revision).where(shelf.table.c.key == key)
        ).scalar()
        if found is None:
            raise RecordNotFoundError(f"the record holds no {shelf.said} {key}")
        return int(found)

    def history(self, kind: type[Noun], key: str) -> list[Kept[Noun]]:
        """Give every revision of a noun, the first one first."""
        query = select(ENTRY).where(ENTRY.c.kind == BY_NOUN[kind].kind, ENTRY.c.key == key)
        return [_kept(row) for row in self.connection.execute(query.order_by(ENTRY.c.revision))]

    def find(
        self,
        kind: type[Noun],
        *conditions: ColumnElement[bool],
        order: str = "key",
        falling: bool = False,
        limit: int | None = None,
        offset: int = 0,
        **equal: object,
    ) -> list[Kept[Noun]]:
        """Give the nouns of a kind whose current columns fit.

        Parameters
        ----------
        kind : type
            Class of the noun.
        *conditions
            Conditions on columns of its current table (`resile.storage.shelves`).
        order : str
            Column to sort by; the key decides among equals.
        falling : bool
            Largest first.
        limit, offset : int
            Part of the list.
        **equal
            Columns and the value each must have; a list or tuple means one of its values.
        """
        shelf = BY_NOUN[kind]
        query = _ordered(shelf, select(shelf.table.c.seq), order, falling)
        query = query.where(*conditions, *_equal(shelf, equal)).offset(offset or None).limit(limit)
        places = [row.seq for row in self.connection.execute(query)]
        found = {row.seq: row for row in self._entries(places)}
        return [_kept(found[seq]) for seq in places]

    def count(self, kind: type[Any], *conditions: ColumnElement[bool], **equal: object) -> int:
        """Count the nouns whose current columns fit, as in `find`."""
        shelf = BY_NOUN[kind]
        query = select(func.count()).select_from(shelf.table).where(*conditions, *_equal(shelf, equal))
        return int(self.connection.execute(query).scalar_one())

    def rows(self, query: Select[Any]) -> list[Row[Any]]:
        """Give the rows of a query on current tables: the lists of pages, which need no bodies."""
        return list(self.connection.execute(query))

    def file(self, sha256: str) -> bytes:
        """Give a file byte for byte, checked against its hash."""
        return read_file(self.connection, sha256)

    def log(self, *, after: int = 0, chunk: int = 2000) -> Iterator[Entry]:
        """Give the entries of the log in order, a chunk at a time."""
        while True:
            query = select(ENTRY).where(ENTRY.c.seq > after).order_by(ENTRY.c.seq).limit(chunk)
            rows = self.connection.execute(query).all()
            if not rows:
                return
            yield from (Entry(**row._mapping) for row in rows)
            after = rows[-1].seq

    def every(self, kind: type[Noun], *, chunk: int = 2000) -> Iterator[Kept[Noun]]:
        """Give every noun of a kind at its newest revision, a chunk at a time, in the order of the log."""
        table, after = BY_NOUN[kind].table, 0
        while True:
            query = select(ENTRY).join(table, table.c.seq == ENTRY.c.seq).where(table.c.seq > after)
            rows = self.connection.execute(query.order_by(table.c.seq).limit(chunk)).all()
            if not rows:
                return
            yield from (_kept(row) for row in rows)
            after = rows[-1].seq

    def _entries(self, places: list[int]) -> Iterator[Row[Any]]:
        for start in range(0, len(places), 500):  # SQLite and PostgreSQL both bound the number of parameters
            yield from self.connection.execute(
                select(ENTRY).where(ENTRY.c.seq.in_(places[start : start + 500]))
            )


def kind_of_key(key: str) -> type[Any]:
    """Give the class of the noun a key belongs to.

    Raises
    ------
    RecordNotFoundError
        Where it is no key of the record.
    """
    shelf = BY_PREFIX.get(key.partition("-")[0])
    if shelf is None:
        raise RecordNotFoundError(f"'{key}' is no key of the record")
    return shelf.noun


def _kept(row: Row[Any]) -> Kept[Any]:
    noun = noun_of(row.kind, row.body)
    return Kept(noun, row.key, row.revision, row.seq, row.at, row.by, row.reason)


def _ordered(shelf: Shelf, query: Select[Any], order: str, falling: bool) -> Select[Any]:
    columns = [shelf.table.c[order], *([] if order == "key" else [shelf.table.c.key])]
    return query.order_by(*(column.desc() if falling else column for column in columns))


def _equal(shelf: Shelf, equal: dict[str, object]) -> list[ColumnElement[bool]]:
    chosen = [
        shelf.table.c[name].in_(value) if isinstance(value, list | tuple) else shelf.table.c[name] == value
        for name, value in equal.items()
    ]
    return [and_(*chosen)] if chosen else []
