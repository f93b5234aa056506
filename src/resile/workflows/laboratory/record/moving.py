"""Keeping the record safe and moving it: backup, restore, export to open formats, import."""

from __future__ import annotations

import csv
import shutil
from collections.abc import Callable
from dataclasses import dataclass
from importlib.util import find_spec
from pathlib import Path
from typing import Any

from resile.errors import ConflictError, InputError, RecordDamagedError
from resile.records.register import Actor, Result
from resile.records.register.audit import Audit
from resile.report.machine.record_tables import RESULT_LINES, TableColumns, cell, result_lines, write_table
from resile.storage.auditing import verify
from resile.storage.book import Book
from resile.storage.laboratory_record import LaboratoryRecord
from resile.storage.moving.copying import back_up, backup_opened, copy_record, count_of, fill
from resile.storage.moving.open_form import (
    NAMES,
    TABLES,
    NamedFile,
    read_files,
    read_log,
    read_manifest,
    write_files,
    write_log,
    write_manifest,
)
from resile.storage.reading import Reading
from resile.storage.shelves import SHELVES
from resile.version import __version__
from resile.workflows.laboratory.access.permissions import require

Progress = Callable[[int, int], None]


@dataclass(frozen=True, slots=True)
class Exported:
    """What was exported.

    Attributes
    ----------
    folder : Path
        Where it is.
    entries, files : int
        How many entries of the log and raw files.
    head : str
        Last entry and its hash.
    tables : dict of str to int
        Rows of each table.
    parquet : bool
        Whether Parquet tables were written too.
    """

    folder: Path
    entries: int
    files: int
    head: str
    tables: dict[str, int]
    parquet: bool


def back_up_record(
    record: LaboratoryRecord, actor: Actor, file: Path, at: str, *, progress: Progress | None = None
) -> Audit:
    """Back up the record, while others work with it, into one file that is verified before it is called done.

    Parameters
    ----------
    record : LaboratoryRecord
        On SQLite or PostgreSQL; the backup is a SQLite file either way.
    actor : Actor
        Who asks.
    file : Path
        A file that does not exist yet.
    at : str
        When.
    progress : callable or None
        Told of steps done and of how many.

    Raises
    ------
    PermissionRefusedError, InputError, ConflictError, StorageError
        Where the person may not, or the file cannot be made.
    """
    require(actor, "record.move")
    return back_up(record, file, at=at, progress=progress)


def restore_record(
    record: LaboratoryRecord, actor: Actor, file: Path, at: str, *, progress: Progress | None = None
) -> Audit:
    """Restore a backup into an empty record and verify it.

    Raises
    ------
    PermissionRefusedError, InputError, ConflictError, RecordDamagedError
        Where the person may not, the record is not empty, or the backup is not whole: nothing is kept then.
    """
    require(actor, "record.move")
    with (
        backup_opened(file) as backup,
        backup.reading() as source,
        record.writing(by=actor.key, at=at) as book,
    ):
        copy_record(source, book, progress=progress)
        return _verified(book, progress)


def _verified(book: Book, progress: Progress | None) -> Audit:
    """Verify what was written before it is kept: where it does not stand, nothing is."""
    found = verify(book, progress=progress)
    if found.faults:
        raise RecordDamagedError(f"{found.faults[0].where} {found.faults[0].said}; nothing was kept of it")
    return found


def export_record(
    record: LaboratoryRecord, actor: Actor, folder: Path, at: str, *, progress: Progress | None = None
) -> Exported:
    """Export everything to open formats: log, tables, raw files, and what explains and verifies them.

    Raises
    ------
    PermissionRefusedError, InputError, ConflictError, RecordDamagedError
        Where the person may not, the folder exists already, or the record is damaged.
    """
    require(actor, "record.move")
    if folder.exists():
        raise ConflictError(f"{folder}: this exists already; an export overwrites nothing, name a new folder")
    if not folder.absolute().parent.is_dir():
        raise InputError(f"{folder}: the folder {folder.absolute().parent} does not exist")
    part = folder.with_name(f"{folder.name}.unfinished")
    shutil.rmtree(part, ignore_errors=True)
    part.mkdir()
    try:
        with record.reading() as reading:
            done = _write(reading, part, at, progress)
        part.rename(folder)
    finally:
        shutil.rmtree(part, ignore_errors=True)
    return Exported(folder, *done)


def _write(
    reading: Reading, folder: Path, at: str, progress: Progress | None
) -> tuple[int, int, str, dict[str, int], bool]:
    head, named = write_log(reading, folder, progress)
    _write_names(folder / NAMES, named)
    files = write_files(reading, folder, progress)
    parquet = find_spec("pyarrow") is not None
    tables = _write_tables(reading, folder / TABLES, parquet=parquet)
    entries = count_of(reading)[0]
    facts: dict[str, Any] = {"made_by": f"resile {__version__}", "made": at, "head": head}
    write_manifest(folder, facts | {"entries": entries, "files": files, "tables": tables})
    return entries, files, head, tables, parquet


def _write_names(target: Path, named: list[NamedFile]) -> None:
    with target.open("w", encoding="utf-8", newline="") as file:
        writer = csv.writer(file)
        writer.writerow(("sha256", "name", "key", "revision"))
        writer.writerows((one.sha256, cell(one.name), one.key, one.revision) for one in named)


def _write_tables(reading: Reading, folder: Path, *, parquet: bool) -> dict[str, int]:
    folder.mkdir()
    rows = {}
    for shelf in SHELVES:
        noun: type[Any] = shelf.noun
        columns = TableColumns.of(noun)
        every = (columns.row(kept) for kept in reading.every(noun))
        rows[shelf.kind] = write_table(folder / shelf.kind, columns.types, every, parquet=parquet)
    lines = result_lines(reading.every(Result))
    rows["result_lines"] = write_table(folder / "result_lines", RESULT_LINES, lines, parquet=parquet)
    return rows


def import_record(
    record: LaboratoryRecord, actor: Actor, folder: Path, at: str, *, progress: Progress | None = None
) -> Audit:
    """Import an export into an empty record, with the same hashes, and verify it.

    Raises
    ------
    PermissionRefusedError, InputError, ConflictError, RecordDamagedError
        Where the person may not, the record is not empty, or the export is not whole: nothing is kept then.
    """
    require(actor, "record.move")
    manifest = read_manifest(folder)
    total = manifest.get("entries", 0) + manifest.get("files", 0)
    with record.writing(by=actor.key, at=at) as book:
        fill(book, read_log(folder), read_files(folder), progress=progress, total=total)
        found = _verified(book, progress)
        if found.head != manifest.get("head"):
            raise RecordDamagedError(
                f"{folder}: the log ends at {found.head}, and the manifest says {manifest.get('head')}; "
                "nothing was kept of it"
            )
    return found
