"""Lists of what is left of samples: due for disposal, and disposed of."""

from __future__ import annotations

from dataclasses import dataclass

from sqlalchemy import func, select

from resile.records.register import Disposal
from resile.storage.reading import Reading
from resile.storage.shelves import BY_KIND

_RETENTION = BY_KIND["retention"].table
_DISPOSAL = BY_KIND["disposal"].table
_SAMPLE = BY_KIND["sample"].table
MOST_COUNTED = 1000
"""Counts on pages stop here: more is "many"."""


@dataclass(frozen=True, slots=True)
class RetentionRow:
    """What is left of a sample.

    Attributes
    ----------
    key, sample, number, grade : str
        Keys of the retention and the sample; number and grade of the sample.
    due : str
        Day from which it may be disposed of.
    """

    key: str
    sample: str
    number: str
    grade: str
    due: str


@dataclass(frozen=True, slots=True)
class DisposedRow:
    """What was disposed of.

    Attributes
    ----------
    key, sample, number : str
        Keys of the disposal and the sample; number of the sample.
    disposed, way, note, by : str
        When, how, who agreed to an early one and why, key of the person who logged it.
    """

    key: str
    sample: str
    number: str
    disposed: str
    way: str
    note: str
    by: str


def retentions_until(
    reading: Reading, until: str, *, limit: int, offset: int = 0
) -> tuple[list[RetentionRow], int]:
    """List what runs and is due until a day, the earliest first, and count it as far as `MOST_COUNTED`.

    Parameters
    ----------
    reading : Reading
        Where to look.
    until : str
        Day, included.
    limit, offset : int
        Part of the list.
    """
    table = _RETENTION
    due = select(table.c.key).where(table.c.ended.is_(False), table.c.due <= until)
    query = (
        select(
            table.c.key,
            table.c.sample,
            _SAMPLE.c.number,
            _SAMPLE.c.claimed_grade.label("grade"),
            table.c.due,
        )
        .join(_SAMPLE, _SAMPLE.c.key == table.c.sample)
        .where(table.c.ended.is_(False), table.c.due <= until)
        .order_by(table.c.due, table.c.key)
        .limit(limit)
        .offset(offset)
    )
    count = select(func.count()).select_from(due.limit(MOST_COUNTED).subquery())
    return [RetentionRow(**row._mapping) for row in reading.rows(query)], int(reading.rows(count)[0][0])


def disposal_log(reading: Reading, *, limit: int) -> list[DisposedRow]:
    """Give the newest disposals.

    Parameters
    ----------
    reading : Reading
        Where to look.
    limit : int
        How many.
    """
    kept = reading.find(Disposal, order="key", falling=True, limit=limit)
    samples = {one.value.sample for one in kept}
    query = select(_SAMPLE.c.key, _SAMPLE.c.number).where(_SAMPLE.c.key.in_(samples))
    numbers = {row.key: row.number for row in reading.rows(query)}
    return [
        DisposedRow(
            one.key,
            one.value.sample,
            numbers.get(one.value.sample, ""),
            one.value.disposed,
            one.value.way,
            one.value.note,
            one.by,
        )
        for one in kept
    ]
