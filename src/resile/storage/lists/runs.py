"""Lists of runs: a page at a time, whatever their number."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from sqlalchemy import Select, or_, select, tuple_

from resile.storage.reading import Reading
from resile.storage.shelves import BY_KIND

_RUN = BY_KIND["run"].table
_SAMPLE = BY_KIND["sample"].table
_INSTRUMENT = BY_KIND["instrument"].table
_EQUAL = ("test", "worst", "instrument", "sample", "specimen", "file")


@dataclass(frozen=True, slots=True)
class RunsWanted:
    """Which runs a list shows, and from where.

    Attributes
    ----------
    test, worst, instrument, sample, specimen, file : str
        What they must be of; empty for any; a sample by key or number. ``none`` as the worst means without
        a finding.
    customer : str
        Key of the customer whose samples alone are shown; empty for all.
    since, until : str
        Days of the test, both included; empty for no bound.
    order : str
        ``key`` (as they were kept) or ``tested``.
    rising : bool
        Oldest first.
    after : tuple of str
        Value of the order and key of the last run seen; empty for the beginning.
    """

    test: str = ""
    worst: str = ""
    instrument: str = ""
    sample: str = ""
    specimen: str = ""
    file: str = ""
    customer: str = ""
    since: str = ""
    until: str = ""
    order: str = "key"
    rising: bool = False
    after: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class RunRow:
    """One run in a list.

    Attributes
    ----------
    key, test, file_name, part, condition, tested, operator : str
        As kept.
    sample, sample_number, instrument, instrument_name, specimen : str
        Keys and names of what it belongs to.
    temperature_c : float or None
        Test temperature given with it [°C].
    worst, reduced : str
        Worst severity of its findings; when it was reduced, empty for not yet.
    """

    key: str
    test: str
    file_name: str
    part: str
    condition: str
    tested: str
    operator: str
    sample: str
    sample_number: str
    instrument: str
    instrument_name: str
    specimen: str
    temperature_c: float | None
    worst: str
    reduced: str


def runs_listed(reading: Reading, wanted: RunsWanted, *, limit: int) -> list[RunRow]:
    """Give one page of runs.

    Parameters
    ----------
    reading : Reading
        Where to look.
    wanted : RunsWanted
        Which ones. A place in the list is a value and a key: a later page costs no more than the first.
    limit : int
        Runs on a page.

    Returns
    -------
    list of RunRow
        In the order wanted.
    """
    names = ("key", "test", "file_name", "part", "condition", "tested", "operator", "sample", "instrument")
    query: Select[Any] = select(
        *(_RUN.c[name] for name in (*names, "specimen", "temperature_c", "worst", "reduced")),
        _SAMPLE.c.number.label("sample_number"),
        _INSTRUMENT.c.name.label("instrument_name"),
    )
    query = query.select_from(
        _RUN.outerjoin(_SAMPLE, _SAMPLE.c.key == _RUN.c.sample).outerjoin(
            _INSTRUMENT, _INSTRUMENT.c.key == _RUN.c.instrument
        )
    )
    query = _placed(_narrowed(query, wanted), wanted).limit(limit)
    return [
        RunRow(
            **{
                **row._mapping,
                "sample_number": row.sample_number or "",
                "instrument_name": row.instrument_name or "",
            }
        )
        for row in reading.rows(query)
    ]


def _narrowed(query: Select[Any], wanted: RunsWanted) -> Select[Any]:
    for name in _EQUAL:
        value = getattr(wanted, name)
        if name == "worst" and value == "none":
            query = query.where(_RUN.c.worst == "", _RUN.c.reduced != "")
        elif name == "sample" and value:
            named = or_(_SAMPLE.c.key == value, _SAMPLE.c.number == value)
            query = query.where(_RUN.c.sample.in_(select(_SAMPLE.c.key).where(named)))
        elif value:
            query = query.where(_RUN.c[name] == value)
    if wanted.customer:
        query = query.where(_SAMPLE.c.customer == wanted.customer)
    if wanted.since:
        query = query.where(_RUN.c.tested >= wanted.since)
    if wanted.until:
        query = query.where(_RUN.c.tested < f"{wanted.until[:10]}~")  # a time of that day sorts before it
    return query


def _placed(query: Select[Any], wanted: RunsWanted) -> Select[Any]:
    columns = [_RUN.c.tested, _RUN.c.key] if wanted.order == "tested" else [_RUN.c.key]
    if len(wanted.after) == len(columns):
        here, last = tuple_(*columns), tuple_(*wanted.after)
        query = query.where(here > last if wanted.rising else here < last)
    return query.order_by(*(column.asc() if wanted.rising else column.desc() for column in columns))
