"""The list of samples: searched, filtered, sorted and cut into pages by columns that are indexed."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from sqlalchemy import ColumnElement, FromClause, Select, case, func, select

from resile.storage.reading import Reading
from resile.storage.shelves import BY_KIND

_SAMPLE = BY_KIND["sample"].table
_PRODUCT = BY_KIND["product"].table
_CUSTOMER = BY_KIND["customer"].table
_TANK = BY_KIND["tank"].table
_ESCAPE = "\\"

SORTS = ("received", "number", "stage")
"""Columns the list can be sorted by."""


@dataclass(frozen=True, slots=True)
class SampleRow:
    """One sample in the list.

    Attributes
    ----------
    key, number, product, customer, tank : str
        Key and number; names of product, customer and tank.
    lot, claimed_grade, received, stage : str
        As kept with the sample.
    parent : str
        Key of the sample it was split from.
    invented : bool
        True for a sample of the demonstration.
    """

    key: str
    number: str
    product: str
    customer: str
    tank: str
    lot: str
    claimed_grade: str
    received: str
    stage: str
    parent: str
    invented: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class SampleFilter:
    """Which samples are listed; what is empty does not count.

    Attributes
    ----------
    words : str
        Words that number, lot, claimed grade, label, product or customer must hold, all of them.
    stage, product, customer, tank : str
        Stage; keys of product, customer and tank.
    received_from, received_until : str
        First and last day of receipt, ISO 8601.
    """

    words: str = ""
    stage: str = ""
    product: str = ""
    customer: str = ""
    received_from: str = ""
    received_until: str = ""
    tank: str = ""


def count_samples(reading: Reading, wanted: SampleFilter) -> int:
    """Count the samples that a filter lets through."""
    query = select(func.count()).select_from(_SAMPLE).where(*_conditions(wanted))
    return int(reading.rows(query)[0][0])


def list_samples(
    reading: Reading,
    wanted: SampleFilter,
    *,
    order: str = "received",
    falling: bool = True,
    limit: int | None = None,
    offset: int = 0,
) -> list[SampleRow]:
    """List samples.

    Parameters
    ----------
    reading : Reading
        The record, inside a transaction.
    wanted : SampleFilter
        Which ones.
    order : str
        One of `SORTS`; the key decides among equals.
    falling : bool
        Largest first.
    limit, offset : int
        Part of the list.
    """
    # The part is cut before names are joined to it, so that only its rows are looked up.
    first = select(_SAMPLE).where(*_conditions(wanted))
    part = _sorted(first, _SAMPLE, order, falling).offset(offset or None).limit(limit).subquery()
    query = _sorted(_named(part), part, order, falling)
    return [SampleRow(**row._mapping) for row in reading.rows(query)]


def every_sample(reading: Reading, wanted: SampleFilter, *, chunk: int = 5000) -> Iterator[SampleRow]:
    """Give all samples that a filter lets through, by number of receipt, a chunk at a time."""
    offset = 0
    while rows := list_samples(reading, wanted, limit=chunk, offset=offset):
        yield from rows
        offset += chunk


def samples_by_number(
    reading: Reading, typed: str, *, customer: str = "", limit: int = 12
) -> list[SampleRow]:
    """Give samples whose number begins with what was typed, or whose other words hold it; newest first."""
    begins = _SAMPLE.c.number.startswith(typed, autoescape=True)
    found = _conditions(SampleFilter(words=typed, customer=customer))
    part = (
        select(_SAMPLE, case((begins, 0), else_=1).label("rank"))
        .where(*found)
        .order_by(case((begins, 0), else_=1), _SAMPLE.c.received.desc(), _SAMPLE.c.key.desc())
        .limit(limit)
        .subquery()
    )
    query = _named(part).order_by(part.c.rank, part.c.received.desc(), part.c.key.desc())
    return [SampleRow(**row._mapping) for row in reading.rows(query)]


def numbers_beginning(reading: Reading, beginning: str) -> list[str]:
    """Give the sample numbers that begin with a text."""
    begins = _SAMPLE.c.number.startswith(beginning, autoescape=True)
    return [str(row.number) for row in reading.rows(select(_SAMPLE.c.number).where(begins))]


def statement_numbers_beginning(reading: Reading, beginning: str) -> list[str]:
    """Give the numbers of statements that begin with a text."""
    table = BY_KIND["statement"].table
    begins = table.c.number.startswith(beginning, autoescape=True)
    return [str(row.number) for row in reading.rows(select(table.c.number).where(begins))]


def names_of(reading: Reading, kind: str, *, limit: int = 500) -> list[tuple[str, str]]:
    """Give key and name of the products, customers, tanks or instruments, by name."""
    table = BY_KIND[kind].table
    query = select(table.c.key, table.c.name).order_by(table.c.name, table.c.key).limit(limit)
    return [(row.key, row.name) for row in reading.rows(query)]


def _named(part: FromClause) -> Select[Any]:
    columns = part.c
    joined = (
        part.outerjoin(_PRODUCT, _PRODUCT.c.key == columns.product)
        .outerjoin(_CUSTOMER, _CUSTOMER.c.key == columns.customer)
        .outerjoin(_TANK, _TANK.c.key == columns.tank)
    )
    return select(
        columns.key,
        columns.number,
        func.coalesce(_PRODUCT.c.name, "").label("product"),
        func.coalesce(_CUSTOMER.c.name, "").label("customer"),
        func.coalesce(_TANK.c.name, "").label("tank"),
        columns.lot,
        columns.claimed_grade,
        columns.received,
        columns.stage,
        columns.parent,
        columns.invented,
    ).select_from(joined)


def _sorted(query: Select[Any], table: FromClause, order: str, falling: bool) -> Select[Any]:
    names = {"received": ("received", "key"), "number": ("number",), "stage": ("stage", "received", "key")}[
        order
    ]
    columns = [table.c[name] for name in names]
    return query.order_by(*(column.desc() if falling else column for column in columns))


def _conditions(wanted: SampleFilter) -> list[ColumnElement[bool]]:
    columns = _SAMPLE.c
    chosen = [
        columns[name] == value
        for name in ("stage", "product", "customer", "tank")
        if (value := getattr(wanted, name))
    ]
    if wanted.received_from:
        chosen.append(columns.received >= wanted.received_from)
    if wanted.received_until:
        chosen.append(columns.received <= wanted.received_until)
    return [*chosen, *(_holds(word) for word in wanted.words.casefold().split())]


def _holds(word: str) -> ColumnElement[bool]:
    """A word in the sample's own texts, or in the name of its product or customer."""
    like = f"%{_escaped(word)}%"
    return (
        _SAMPLE.c.sought.like(like, escape=_ESCAPE)
        | _SAMPLE.c.product.in_(_keys_named(_PRODUCT, like))
        | _SAMPLE.c.customer.in_(_keys_named(_CUSTOMER, like))
    )


def _keys_named(table: FromClause, like: str) -> Select[Any]:
    columns = table.c
    return select(columns.key).where(func.lower(columns.name).like(like, escape=_ESCAPE))


def _escaped(word: str) -> str:
    for sign in (_ESCAPE, "%", "_"):
        word = word.replace(sign, _ESCAPE + sign)
    return word
