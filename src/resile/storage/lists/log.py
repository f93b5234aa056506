"""The log of the record as a list: who kept what, when and why."""

from __future__ import annotations

from dataclasses import dataclass

from sqlalchemy import and_, exists, select

from resile.errors import RecordNotFoundError
from resile.records.register import Entry
from resile.storage.reading import Reading
from resile.storage.shelves import BY_KIND
from resile.storage.tables import ENTRY


@dataclass(frozen=True, slots=True)
class LogFilter:
    """Which entries of the log are wanted; empty for all.

    Attributes
    ----------
    key, kind, by : str
        Key of a noun, kind of nouns, key of the person.
    day : str
        Day (UTC) on which it was kept, ``YYYY-MM-DD``.
    only_corrections : bool
        True for revisions after the first alone.
    """

    key: str = ""
    kind: str = ""
    by: str = ""
    day: str = ""
    only_corrections: bool = False


def log_entries(reading: Reading, wanted: LogFilter, *, before: int = 0, limit: int = 100) -> list[Entry]:
    """Give entries of the log, the newest first, from before a place."""
    query = select(ENTRY)
    for name in ("key", "kind", "by"):
        if value := getattr(wanted, name):
            query = query.where(ENTRY.c[name] == value)
    if wanted.day:
        query = query.where(and_(ENTRY.c.at >= wanted.day, ENTRY.c.at < wanted.day + "~"))
    if wanted.only_corrections:
        query = query.where(ENTRY.c.revision > 1)
    if before:
        query = query.where(ENTRY.c.seq < before)
    rows = reading.rows(query.order_by(ENTRY.c.seq.desc()).limit(limit))
    return [Entry(**row._mapping) for row in rows]


def last_entry(reading: Reading) -> Entry:
    """Give the newest entry of the log.

    Raises
    ------
    RecordNotFoundError
        Where nothing was kept yet.
    """
    rows = reading.rows(select(ENTRY).order_by(ENTRY.c.seq.desc()).limit(1))
    if not rows:
        raise RecordNotFoundError("the record is empty")
    return Entry(**rows[0]._mapping)


def entry_at(reading: Reading, seq: int) -> Entry | None:
    """Give the entry at a place of the log; None where there is none."""
    rows = reading.rows(select(ENTRY).where(ENTRY.c.seq == seq))
    return Entry(**rows[0]._mapping) if rows else None


def entry_of(reading: Reading, key: str, revision: int) -> Entry | None:
    """Give the entry of one revision; None where there is none."""
    rows = reading.rows(select(ENTRY).where(ENTRY.c.key == key, ENTRY.c.revision == revision))
    return Entry(**rows[0]._mapping) if rows else None


def kinds_in_log(reading: Reading) -> list[str]:
    """Give the kinds of which the record holds something."""
    return [
        kind
        for kind, shelf in BY_KIND.items()
        if reading.rows(select(exists(select(shelf.table.c.key))))[0][0]
    ]


def names_of_persons(reading: Reading) -> dict[str, str]:
    """Give the name of every person, by key."""
    table = BY_KIND["person"].table
    return {
        row.key: row.name for row in reading.rows(select(table.c.key, table.c.name).order_by(table.c.key))
    }
