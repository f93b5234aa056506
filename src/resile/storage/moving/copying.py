"""Copying a record whole: into a backup, out of one, from one database to the other."""

from __future__ import annotations

import os
import sqlite3
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from itertools import islice
from pathlib import Path
from typing import Any, TypeVar

from sqlalchemy import Table, create_engine, func, insert, select

from resile.errors import ConflictError, InputError, RecordDamagedError, RecordNotFoundError, StorageError
from resile.records.register import Entry
from resile.records.register.audit import Audit
from resile.storage.auditing import Progress, verify
from resile.storage.book import Book
from resile.storage.chain import ChainWalk
from resile.storage.laboratory_record import LaboratoryRecord, translated
from resile.storage.moving.replaying import Replay
from resile.storage.raw_files import PackedFile
from resile.storage.reading import Reading
from resile.storage.tables import ATTEMPT, CREDENTIAL, ENTRY, RAW_FILE, SESSION, TOKEN

Item = TypeVar("Item")

ACCOUNTS: tuple[Table, ...] = (CREDENTIAL, TOKEN)
"""What stands beside the log and goes into a backup: without it nobody could sign in after a restore."""

_MAGIC = b"SQLite format 3\0"


def packed_files(reading: Reading) -> Iterator[PackedFile]:
    """Give every file of the record, one at a time, by hash."""
    after = ""
    while True:
        query = select(RAW_FILE).where(RAW_FILE.c.sha256 > after).order_by(RAW_FILE.c.sha256).limit(1)
        row = reading.connection.execute(query).first()
        if row is None:
            return
        yield PackedFile(row.sha256, row.size, row.packed)
        after = row.sha256


def count_of(reading: Reading) -> tuple[int, int]:
    """Count the entries and the files of the record."""
    entries, files = (
        reading.connection.execute(select(func.count()).select_from(table)).scalar_one()
        for table in (ENTRY, RAW_FILE)
    )
    return int(entries), int(files)


def fill(
    book: Book,
    entries: Iterable[Entry],
    files: Iterable[PackedFile],
    *,
    progress: Progress | None = None,
    total: int = 0,
) -> int:
    """Write a log and its files into an empty record; the current tables follow from them.

    Returns
    -------
    int
        How many entries were written.

    Raises
    ------
    ConflictError
        Where the record is not empty.
    RecordDamagedError
        Where an entry or a file is not what was kept: nothing is written then.
    """
    if any(count_of(book)):
        raise ConflictError(
            "the record that this would be written into is not empty; nothing was changed. "
            "Name a new one with --record"
        )
    done = 0
    for file in files:
        file.open()
        book.keep_file(file)
        done += 1
        if progress and done % 100 == 0:
            progress(done, total)
    walk, replay, played = ChainWalk(), Replay(book.connection), 0
    for some in _in_lots(entries, 500):
        book.connection.execute(insert(ENTRY), [_row(entry) for entry in walk.along_some(some)])
        played += sum(1 for _ in replay.play(some))
        if progress:
            progress(done + played, total)
    replay.end()
    faults = [*walk.faults, *replay.faults]
    if faults:
        raise RecordDamagedError(f"{faults[0].where} {faults[0].said}; nothing was written")
    return played


def copy_record(source: Reading, book: Book, *, progress: Progress | None = None) -> int:
    """Copy a record with its accounts into an empty one, and give how many entries it has."""
    played = fill(book, source.log(), packed_files(source), progress=progress, total=sum(count_of(source)))
    for table in ACCOUNTS:
        for rows in _in_lots(source.connection.execute(select(table)).mappings(), 500):
            book.connection.execute(insert(table), [dict(row) for row in rows])
    return played


def back_up(record: LaboratoryRecord, file: Path, *, at: str, progress: Progress | None = None) -> Audit:
    """Copy a record, as it is at this moment, into a new SQLite file; others go on writing meanwhile.

    Returns
    -------
    Audit
        What going through the whole copy found: nothing wrong.

    Raises
    ------
    InputError, ConflictError, StorageError
        Where the folder is missing, the file exists already, or there is no room for it.
    RecordDamagedError
        Where the copy does not stand: it is not kept then.
    """
    if file.exists():
        raise ConflictError(
            f"{file}: this file exists already; a backup overwrites nothing, choose another name"
        )
    if not file.absolute().parent.is_dir():
        raise InputError(f"{file}: the folder {file.absolute().parent} does not exist")
    part = file.with_name(f"{file.name}.unfinished")
    for name in (part, Path(f"{part}-wal"), Path(f"{part}-shm"), Path(f"{part}-journal")):
        name.unlink(missing_ok=True)
    try:
        if record.engine.dialect.name == "sqlite":
            _copy_pages(record, part)
        else:
            _copy_rows(record, part, at, progress)
        _make_one_file(part)
        with backup_opened(part) as copy, copy.reading() as reading:
            found = verify(reading, progress=progress)
        if found.faults:
            raise RecordDamagedError(
                f"{found.faults[0].where} {found.faults[0].said}; no backup was made of a record that "
                "does not stand: see resile audit verify, and restore an earlier backup"
            )
        part.replace(file)
        _settle(file.absolute().parent)
    except sqlite3.Error as error:
        raise StorageError(f"{file}: the backup cannot be written ({error}); it was not made") from error
    finally:
        part.unlink(missing_ok=True)
    return found


def _settle(folder: Path) -> None:
    """Have the new name of a file on the disk, where the system knows how."""
    if os.name == "posix":
        held = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(held)
        finally:
            os.close(held)


def _copy_pages(record: LaboratoryRecord, part: Path) -> None:
    target = sqlite3.connect(part)
    try:
        part.chmod(0o600)
        with translated(record.url), record.engine.connect() as connection:
            held = connection.connection.driver_connection
            assert isinstance(held, sqlite3.Connection)
            held.backup(target)  # all pages in one step: one state of the record, and no writer waits for it
        for table in (SESSION, ATTEMPT):
            target.execute(f"DELETE FROM {table.name}")
        target.commit()
    finally:
        target.close()


def _copy_rows(record: LaboratoryRecord, part: Path, at: str, progress: Progress | None) -> None:
    part.touch(0o600)
    copy = LaboratoryRecord.open(part)
    try:
        with record.reading() as reading, copy.writing(by="", at=at) as book:
            copy_record(reading, book, progress=progress)
    finally:
        copy.close()


def _make_one_file(part: Path) -> None:
    """Leave one file that is on the disk: no log beside it, nothing in a cache."""
    closing = sqlite3.connect(part)
    closing.execute("PRAGMA journal_mode = DELETE").close()
    closing.close()
    with part.open("rb+") as written:
        os.fsync(written.fileno())


@contextmanager
def backup_opened(file: Path) -> Iterator[LaboratoryRecord]:
    """Open a backup without changing a byte of it.

    Raises
    ------
    RecordNotFoundError, InputError
        Where there is no such file, or it is no backup.
    """
    if not file.is_file():
        raise RecordNotFoundError(f"{file}: there is no such file")
    with file.open("rb") as first:
        if first.read(len(_MAGIC)) != _MAGIC:
            raise InputError(f"{file}: this is no backup of a record, or its beginning is damaged")

    def connect() -> Any:
        opened = sqlite3.connect(f"{file.absolute().as_uri()}?mode=ro", uri=True, check_same_thread=False)
        opened.isolation_level = None
        return opened

    engine = create_engine("sqlite://", creator=connect)
    try:
        with translated(str(file)):
            yield LaboratoryRecord(engine)
    finally:
        engine.dispose()


def _row(entry: Entry) -> dict[str, Any]:
    return {name: getattr(entry, name) for name in ENTRY.c.keys()}  # noqa: SIM118 - a collection of columns


def _in_lots(items: Iterable[Item], size: int) -> Iterator[list[Item]]:
    going = iter(items)
    while some := list(islice(going, size)):
        yield some
