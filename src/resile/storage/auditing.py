"""Verifying the whole record: the chain, the current tables against the log, and every file."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from typing import TypeVar

from sqlalchemy import Column, Connection, Integer, MetaData, Table, delete, func, insert, select

from resile.errors import RecordDamagedError
from resile.records.register import Entry
from resile.records.register.audit import Audit, Fault
from resile.storage.bodies import noun_of
from resile.storage.book import Book
from resile.storage.chain import ChainWalk, head_of
from resile.storage.moving.replaying import CURRENT, Replay, differences, scratch
from resile.storage.raw_files import read_file
from resile.storage.reading import Reading
from resile.storage.shelves import BY_KIND
from resile.storage.tables import ENTRY, RAW_FILE, SHA256

Progress = Callable[[int, int], None]
"""Told how many steps are done, and of how many."""

_Item = TypeVar("_Item")

_NAMED = Table(
    "named_file",
    MetaData(),
    Column("sha256", SHA256, primary_key=True),
    Column("seq", Integer, nullable=False),
)


def verify(reading: Reading, *, head: str = "", progress: Progress | None = None) -> Audit:
    """Go through the whole record and say what is not as it was kept.

    Parameters
    ----------
    reading : Reading
        What is read belongs together: others may go on writing.
    head : str
        Head noted elsewhere, ``SEQ:HASH``.
    progress : callable or None
        Told of entries and files done.

    Raises
    ------
    InputError
        Where the head is none.
    """
    walk = ChainWalk(head)
    connection = reading.connection
    entries = connection.execute(select(func.count()).select_from(ENTRY)).scalar_one()
    total = entries + connection.execute(select(func.count()).select_from(RAW_FILE)).scalar_one()
    told = _Told(progress, total)
    with scratch() as made:
        _NAMED.create(made)
        replay = Replay(made)
        for _ in told.of(_naming(made, replay.play(walk.along(reading.log())))):
            pass
        replay.end()
        faults = [*walk.faults, *replay.faults, *differences(connection, made)]
        files = _Files(connection, made)
        faults += [fault for fault in told.of(files.check()) if fault is not None]
        faults += files.missing()
        unnamed = files.count - files.named
    return Audit(
        entries, files.count, files.size, unnamed, head_of(walk.seq, walk.hash), walk.last_at, tuple(faults)
    )


def rebuild(book: Book) -> int:
    """Make the current tables anew from the log.

    Returns
    -------
    int
        How many entries were played.

    Raises
    ------
    RecordDamagedError
        Where the log is damaged: nothing is changed then.
    """
    for table in reversed(CURRENT):
        book.connection.execute(delete(table))
    walk, replay = ChainWalk(), Replay(book.connection)
    played = sum(1 for _ in replay.play(walk.along(book.log())))
    replay.end()
    faults = [*walk.faults, *replay.faults]
    if faults:
        raise RecordDamagedError(
            f"{faults[0].where} {faults[0].said}; the log itself is damaged, restore the record from a backup"
        )
    return played


class _Told:
    def __init__(self, progress: Progress | None, total: int) -> None:
        self._progress, self._total, self._done = progress, total, 0

    def of(self, items: Iterable[_Item]) -> Iterator[_Item]:
        for item in items:
            self._done += 1
            if self._progress and (self._done % 500 == 0 or self._done == self._total):
                self._progress(self._done, self._total)
            yield item


def _naming(made: Connection, entries: Iterable[Entry]) -> Iterator[Entry]:
    """Note which files the entries name."""
    waiting: dict[str, int] = {}
    for entry in entries:
        if BY_KIND.get(entry.kind) and BY_KIND[entry.kind].files:
            for sha in _files_of(entry):
                waiting.setdefault(sha, entry.seq)
        if len(waiting) >= 500:
            _note(made, waiting)
        yield entry
    _note(made, waiting)


def _files_of(entry: Entry) -> set[str]:
    try:
        return BY_KIND[entry.kind].files_of(noun_of(entry.kind, entry.body))
    except RecordDamagedError:
        return set()  # said by the replay already


def _note(made: Connection, named: dict[str, int]) -> None:
    if named:
        rows = [{"sha256": sha, "seq": seq} for sha, seq in named.items()]
        made.execute(insert(_NAMED).prefix_with("OR IGNORE"), rows)
        named.clear()


class _Files:
    def __init__(self, connection: Connection, made: Connection) -> None:
        self._connection, self._made = connection, made
        self.count = self.size = self.named = 0

    def check(self) -> Iterator[Fault | None]:
        """Open every file, give what is wrong with each, and forget those that are there from the named."""
        for sha, size in self._names():
            self.count += 1
            self.size += size
            self.named += self._made.execute(delete(_NAMED).where(_NAMED.c.sha256 == sha)).rowcount
            try:
                read_file(self._connection, sha)
                yield None
            except RecordDamagedError:
                yield Fault(f"file {sha}", "does not give its SHA-256: its bytes were changed")

    def _names(self) -> Iterator[tuple[str, int]]:
        after = ""
        while True:
            query = select(RAW_FILE.c.sha256, RAW_FILE.c.size).where(RAW_FILE.c.sha256 > after)
            rows = self._connection.execute(query.order_by(RAW_FILE.c.sha256).limit(1000)).all()
            if not rows:
                return
            for row in rows:
                yield row.sha256, row.size
            after = rows[-1].sha256

    def missing(self) -> list[Fault]:
        """Give the files that entries name and the record does not hold."""
        left = self._made.execute(select(_NAMED).order_by(_NAMED.c.seq))
        return [
            Fault(f"entry {row.seq}", f"names the file {row.sha256}, which the record does not hold", row.seq)
            for row in left
        ]
