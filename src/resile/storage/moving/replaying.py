"""Making the current tables from the log: into themselves, or into a scratch database to compare with."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from sqlalchemy import Connection, Table, create_engine, event, insert, select

from resile.errors import ConflictError, RecordDamagedError
from resile.records.register import Entry, Kept
from resile.records.register.audit import Fault
from resile.storage.bodies import noun_of
from resile.storage.consequences import stand_on_shelf
from resile.storage.shelves import BY_KIND, SHELVES
from resile.storage.tables import COUNTER, METADATA

_AT_ONCE = 500
"""First revisions of one kind that are written together."""

CURRENT: tuple[Table, ...] = (*(shelf.table for shelf in SHELVES), COUNTER)


class Replay:
    """The log played into current tables, which are empty at first.

    Parameters
    ----------
    connection : Connection
        Inside a transaction that writes.
    """

    def __init__(self, connection: Connection) -> None:
        self.connection = connection
        self.faults: list[Fault] = []
        self._waiting: list[Kept[Any]] = []
        self._kind = ""
        self._last: dict[str, int] = {}

    def play(self, entries: Iterable[Entry]) -> Iterator[Entry]:
        """Pass entries on, each after it was played; `end` follows the last."""
        for entry in entries:
            self._play(entry)
            yield entry
        self._write()

    def end(self) -> None:
        """Write what is known when the whole log was played: the last number of each kind."""
        rows = [{"kind": kind, "last": last} for kind, last in self._last.items()]
        if rows:
            self.connection.execute(insert(COUNTER), rows)

    def _play(self, entry: Entry) -> None:
        if entry.kind not in BY_KIND:
            self._say(entry, f"is of the kind '{entry.kind}', which this version of resile does not know")
            return
        try:
            noun = noun_of(entry.kind, entry.body)
        except RecordDamagedError as error:
            self._say(entry, f"cannot be read: {error}")
            return
        kept = Kept(noun, entry.key, entry.revision, entry.seq, entry.at, entry.by, entry.reason)
        if entry.revision > 1:
            self._write()
            self._revise(entry, kept)
            return
        self._count(entry)
        if entry.kind != self._kind or len(self._waiting) >= _AT_ONCE:
            self._write()
        self._kind = entry.kind
        self._waiting.append(kept)

    def _revise(self, entry: Entry, kept: Kept[Any]) -> None:
        table = BY_KIND[entry.kind].table
        before = self.connection.execute(select(table.c.revision).where(table.c.key == entry.key)).scalar()
        if before != entry.revision - 1:
            stood = f"revision {before}" if before else "nothing"
            self._say(entry, f"is revision {entry.revision} of {entry.key}, and before it stood {stood}")
        if before is not None:
            self._kind, self._waiting = entry.kind, [kept]
            self._write()

    def _count(self, entry: Entry) -> None:
        """Keys of a kind are numbered in the order of the log, without a gap."""
        prefix, _, number = entry.key.partition("-")
        last = self._last.get(entry.kind, 0)
        if prefix != BY_KIND[entry.kind].prefix or not number.isdigit():
            self._say(entry, f"has a key that no {entry.kind} can have: '{entry.key}'")
            return
        if int(number) != last + 1:
            self._say(
                entry, f"has the key {entry.key}, and the next was {prefix}-{last + 1:06d}: keys have a gap"
            )
        self._last[entry.kind] = max(last, int(number))

    def _write(self) -> None:
        waiting, self._waiting = self._waiting, []
        if not waiting:
            return
        try:
            with self.connection.begin_nested():
                stand_on_shelf(self.connection, BY_KIND[self._kind], waiting)
        except ConflictError as error:
            if len(waiting) > 1:
                for one in waiting:
                    self._waiting = [one]
                    self._write()
            else:
                fault = Fault(f"entry {waiting[0].seq}", f"cannot stand: {error}", waiting[0].seq)
                self.faults.append(fault)

    def _say(self, entry: Entry, said: str) -> None:
        self.faults.append(Fault(f"entry {entry.seq}", said, entry.seq))


@contextmanager
def scratch() -> Iterator[Connection]:
    """Give a database of current tables beside the record, gone afterwards."""
    with TemporaryDirectory(prefix="resile-audit-") as folder:
        engine = create_engine(f"sqlite:///{Path(folder) / 'scratch.db'}")
        event.listen(engine, "connect", _careless)
        event.listen(engine, "begin", lambda connection: connection.exec_driver_sql("BEGIN"))
        try:
            with engine.connect() as connection, connection.begin():
                METADATA.create_all(connection, tables=[*CURRENT])
                yield connection
        finally:
            engine.dispose()


def _careless(connection: Any, _: Any) -> None:
    connection.isolation_level = None
    for pragma in ("journal_mode = MEMORY", "synchronous = OFF", "cache_size = -65536"):
        connection.execute(f"PRAGMA {pragma}").close()


def differences(one: Connection, other: Connection) -> Iterator[Fault]:
    """Compare the current tables of a record with those that were made from its log."""
    for table in CURRENT:
        yield from _of_table(table, one, other)


def _of_table(table: Table, one: Connection, other: Connection) -> Iterator[Fault]:
    order = table.c.seq if "seq" in table.c else table.c.kind
    rows, made = (_ordered(connection, table, order.name) for connection in (one, other))
    here, there = next(rows, None), next(made, None)
    while here is not None or there is not None:
        if there is None or (here is not None and here[0] < there[0]):
            assert here is not None
            yield Fault(f"table {table.name}", f"holds {here[1]}, which the log does not give")
            here = next(rows, None)
        elif here is None or there[0] < here[0]:
            yield Fault(f"table {table.name}", f"lacks {there[1]}, which the log gives")
            there = next(made, None)
        else:
            if here[2] != there[2]:
                yield Fault(f"table {table.name}", _unlike(here[1], here[2], there[2]))
            here, there = next(rows, None), next(made, None)


def _unlike(name: str, here: dict[str, Any], there: dict[str, Any]) -> str:
    column = next(column for column in there if here[column] != there[column])
    return f"holds {name} with {column} = {here[column]!r}, and the log gives {there[column]!r}"


def _ordered(connection: Connection, table: Table, order: str) -> Iterator[tuple[Any, str, dict[str, Any]]]:
    name = "key" if "key" in table.c else "kind"
    query = select(table).order_by(table.c[order]).execution_options(stream_results=True, yield_per=1000)
    for row in connection.execute(query):
        found = dict(row._mapping)
        yield found[order], str(found[name]), found
