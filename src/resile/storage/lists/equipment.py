"""Lists of instruments, of their verifications, and of what was measured with them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from sqlalchemy import Select, func, select

from resile.storage.reading import Reading
from resile.storage.shelves import BY_KIND

_INSTRUMENT = BY_KIND["instrument"].table
_VERIFICATION = BY_KIND["verification"].table
_RUN = BY_KIND["run"].table
_CONDITIONING = BY_KIND["conditioning"].table


@dataclass(frozen=True, slots=True)
class VerificationRow:
    """One verification, without its numbers.

    Attributes
    ----------
    instrument : str
        Key of the instrument.
    what, done, due : str
        What was verified, on which day, until when it stands.
    passed : bool
        Whether it was within its tolerance.
    """

    instrument: str
    what: str
    done: str
    due: str
    passed: bool


@dataclass(frozen=True, slots=True)
class MeasuredRow:
    """One run or ageing that was measured with an instrument.

    Attributes
    ----------
    key, test, sample, tested, name : str
        Key; kind of test; key of the sample; when; name of the file.
    """

    key: str
    test: str
    sample: str
    tested: str
    name: str


def verifications_until(reading: Reading, day: str, instruments: Sequence[str] = ()) -> list[VerificationRow]:
    """Give the newest verification of each thing verified until a day, the oldest first.

    Parameters
    ----------
    reading : Reading
        Where to look.
    day : str
        ISO 8601; the day itself counts.
    instruments : sequence of str
        Keys of instruments; empty for all that are in use.
    """
    table = _VERIFICATION
    place = func.row_number().over(
        partition_by=(table.c.instrument, table.c.what), order_by=(table.c.done.desc(), table.c.seq.desc())
    )
    columns = (table.c.instrument, table.c.what, table.c.done, table.c.due, table.c.passed, table.c.seq)
    query = select(*columns, place.label("place")).where(table.c.done < _after(day))
    if instruments:
        query = query.where(table.c.instrument.in_(instruments))
    else:
        query = query.join(_INSTRUMENT, _INSTRUMENT.c.key == table.c.instrument)
        query = query.where(_INSTRUMENT.c.retired.is_(False))
    found = query.subquery()
    newest = select(found.c.instrument, found.c.what, found.c.done, found.c.due, found.c.passed)
    newest = newest.where(found.c.place == 1).order_by(found.c.done, found.c.seq)
    return [VerificationRow(**row._mapping) for row in reading.rows(newest)]


def failed_next(reading: Reading, instrument: str, day: str) -> list[VerificationRow]:
    """Give what failed the first time that it was verified from a day on: a test of that day is in doubt.

    Parameters
    ----------
    reading : Reading
        Where to look.
    instrument : str
        Key of the instrument.
    day : str
        Day or time of a test, ISO 8601. Of several verifications on one day the last one counts.
    """
    table = _VERIFICATION
    place = func.row_number().over(
        partition_by=table.c.what, order_by=(func.substr(table.c.done, 1, 10), table.c.seq.desc())
    )
    columns = (table.c.instrument, table.c.what, table.c.done, table.c.due, table.c.passed)
    found = select(*columns, place.label("place"))
    found = found.where(table.c.instrument == instrument, table.c.done >= day[:10])
    rows = found.subquery()
    query = select(*(rows.c[column.name] for column in columns)).where(rows.c.place == 1)
    query = query.where(rows.c.passed.is_(False)).order_by(rows.c.done, rows.c.what)
    return [VerificationRow(**row._mapping) for row in reading.rows(query)]


def instrument_keys(reading: Reading) -> list[str]:
    """Give the keys of the instruments in use, by name."""
    query = select(_INSTRUMENT.c.key).where(_INSTRUMENT.c.retired.is_(False)).order_by(_INSTRUMENT.c.name)
    return [row.key for row in reading.rows(query)]


def measured_between(
    reading: Reading, instrument: str, after: str, until: str, *, limit: int
) -> tuple[list[MeasuredRow], int]:
    """Give what was measured with an instrument from one day to another, and how much there is of it.

    Parameters
    ----------
    reading : Reading
        Where to look.
    instrument : str
        Its key.
    after, until : str
        Days, both included; an empty `after` is the beginning.
    limit : int
        How many runs, and how many ageings, are listed.
    """
    runs = select(_RUN.c.key, _RUN.c.test, _RUN.c.sample, _RUN.c.tested, _RUN.c.file_name.label("name"))
    runs = runs.where(_RUN.c.instrument == instrument, _RUN.c.tested >= after, _RUN.c.tested < _after(until))
    table = _CONDITIONING
    ageings = select(
        table.c.key, table.c.condition.label("test"), table.c.sample, table.c.happened.label("tested")
    ).where(table.c.instrument == instrument, table.c.happened >= after, table.c.happened < _after(until))
    found = [MeasuredRow(**row._mapping) for row in reading.rows(runs.order_by(_RUN.c.tested).limit(limit))]
    found += [
        MeasuredRow(**row._mapping, name="")
        for row in reading.rows(ageings.order_by(table.c.happened).limit(limit))
    ]
    return found, _count(reading, runs) + _count(reading, ageings)


def _count(reading: Reading, query: Select[tuple[object, ...]]) -> int:
    return int(reading.rows(select(func.count()).select_from(query.subquery()))[0][0])


def _after(day: str) -> str:
    """Give what every time of a day sorts before: days and times stand in one column."""
    return f"{day[:10]}~"
