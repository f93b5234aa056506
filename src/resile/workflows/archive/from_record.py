"""The results and verdicts of the laboratory's record as an archive, brought up to date by what is new.

The archive says how far in the log it goes. Bringing it up to date takes the samples and files that entries
behind that place are about, leaves their old rows out and writes them anew: the same bytes as an archive
made at once.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from resile.errors import ConflictError, RecordNotFoundError
from resile.records.register import Actor
from resile.storage.archive.parquet import arrow, read_rows, write_rows
from resile.storage.archive.schema import (
    FILES,
    RESULTS,
    VERDICTS,
    ArchiveStatement,
    Table,
    read_archive_statement,
    write_archive_statement,
)
from resile.storage.laboratory_record import LaboratoryRecord
from resile.storage.lists.log import entry_at, last_entry
from resile.storage.reading import Reading
from resile.version import __version__
from resile.workflows.archive.record_rows import (
    About,
    Row,
    file_rows,
    result_rows,
    touched_since,
    verdict_rows,
)
from resile.workflows.laboratory.access.permissions import require

MADE_FROM = "laboratory record"


@dataclass(frozen=True, slots=True)
class ArchivedRecord:
    """What an archive of the record holds.

    Attributes
    ----------
    archive : Path
        Its folder.
    seq : int
        Last entry of the log that is in it.
    results, verdicts, files : int
        Rows.
    samples_written : int
        Samples and files written anew.
    unchanged : bool
        True where nothing was new.
    """

    archive: Path
    seq: int
    results: int
    verdicts: int
    files: int
    samples_written: int
    unchanged: bool


def archive_record(record: LaboratoryRecord, actor: Actor, folder: str | Path) -> ArchivedRecord:
    """Write the record as an archive, or bring one up to date.

    Parameters
    ----------
    record : LaboratoryRecord
        On SQLite or PostgreSQL.
    actor : Actor
        Who asks.
    folder : str or Path
        A new folder, or an archive made of this record before.

    Returns
    -------
    ArchivedRecord
        What stands in it now.

    Raises
    ------
    PermissionRefusedError
        Where the person may not see runs, or those of one customer alone.
    ConflictError
        Where the folder holds an archive of record files, or one of another record.
    """
    require_whole_sight(actor)
    archive = Path(folder)
    with record.reading() as reading:
        start = _first_hash(reading)
        before = _stands(archive, start)
        newest = last_entry(reading)
        last = newest.seq
        if before == last:
            return _counted(archive, last, 0, unchanged=True)
        touched = touched_since(reading, before)
        archive.mkdir(parents=True, exist_ok=True)
        about = About.of(reading)
        found: tuple[tuple[Table, Iterator[Row], Callable[[Row], bool]], ...] = (
            (RESULTS, result_rows(reading, about, touched), lambda row: touched.has(row[2], row[0])),
            (VERDICTS, verdict_rows(reading, about, touched), lambda row: touched.has(row[0], "")),
            (FILES, file_rows(reading, touched), lambda row: touched.all or row[0] in touched.files),
        )
        for table, fresh, goes in found:
            kept = (
                [] if touched.all else [row for row in read_rows(table.path(archive), table) if not goes(row)]
            )
            write_rows(table.path(archive), table, sorted([*kept, *fresh], key=_order_of(table)))
        options = {"seq": last, "head": newest.hash, "record": start}
        write_archive_statement(archive, ArchiveStatement(__version__, MADE_FROM, options))
    return _counted(archive, last, len(touched.samples) + len(touched.files), unchanged=False)


def require_whole_sight(actor: Actor) -> None:
    """Refuse who may not see runs, or sees those of one customer alone: an archive holds them all.

    Raises
    ------
    PermissionRefusedError
        Says what is missing.
    """
    require(actor, "runs.see")
    if actor.customer:
        require(actor, "record.move")


def _stands(archive: Path, start: str) -> int:
    """Give how far in the log the archive goes; 0 where there is none yet."""
    try:
        statement = read_archive_statement(archive)
    except RecordNotFoundError:
        return 0
    if statement.made_from != MADE_FROM or statement.options.get("record") != start:
        raise ConflictError(
            f"{archive}: an archive of something else stands here ({statement.made_from}); name another "
            "folder"
        )
    same = statement.software == __version__ and all(
        t.path(archive).is_file() for t in (FILES, RESULTS, VERDICTS)
    )
    return int(statement.options.get("seq", 0)) if same else 0


def _first_hash(reading: Reading) -> str:
    """Give the hash of the first entry: it tells one record from another."""
    first = entry_at(reading, 1)
    return first.hash if first is not None else ""


def _order_of(table: Table) -> Any:
    places = [table.names.index(name) for name in table.order]

    def key(row: Row) -> tuple[Any, ...]:
        """Empty cells before numbers; a list by its words."""
        return tuple(
            (row[place] is not None, row[place] if row[place] is not None else 0) for place in places
        )

    return lambda row: (key(row), repr(row))


def _counted(archive: Path, last: int, written: int, *, unchanged: bool) -> ArchivedRecord:
    parquet = arrow().parquet
    results, verdicts, files = (
        int(parquet.read_metadata(table.path(archive)).num_rows) for table in (RESULTS, VERDICTS, FILES)
    )
    return ArchivedRecord(archive, last, results, verdicts, files, written, unchanged)
