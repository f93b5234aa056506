"""Products, tanks and customers as lists, and what hangs on one of them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from sqlalchemy import ColumnElement, Table, func, select

from resile.storage.reading import Reading
from resile.storage.shelves import BY_KIND

_PRODUCT = BY_KIND["product"].table
_TANK = BY_KIND["tank"].table
_SAMPLE = BY_KIND["sample"].table
_VERDICT = BY_KIND["verdict"].table


@dataclass(frozen=True, slots=True)
class NamedRow:
    """One product, tank or customer in its list.

    Attributes
    ----------
    key, name : str
        Key and name.
    beside : str
        Grade of a product; name of the product in a tank; empty for a customer.
    samples : int
        How many samples were received of it.
    received : str
        Day of the newest of them; empty where there is none.
    """

    key: str
    name: str
    beside: str
    samples: int
    received: str


@dataclass(frozen=True, slots=True)
class JudgedLot:
    """The newest verdict on a sample of a product.

    Attributes
    ----------
    sample, number, lot, received : str
        Key and number of the sample, its lot and day of receipt.
    verdict, grade, outcome : str
        Key of the verdict; grade and outcome in words.
    margin : float or None
        To the nearest limit, in multiples of the repeatability; negative beyond it.
    """

    sample: str
    number: str
    lot: str
    received: str
    verdict: str
    grade: str
    outcome: str
    margin: float | None


def named_rows(
    reading: Reading, kind: str, *, words: str = "", limit: int = 50, offset: int = 0
) -> list[NamedRow]:
    """List the products, tanks or customers, by name.

    Parameters
    ----------
    reading : Reading
        The record, inside a transaction.
    kind : str
        ``product``, ``tank`` or ``customer``.
    words : str
        Part of the name; empty for all.
    limit, offset : int
        Part of the list.
    """
    table = BY_KIND[kind].table
    chosen = select(table).where(*_named(table, words)).order_by(table.c.name, table.c.key)
    part = chosen.offset(offset or None).limit(limit).subquery()
    held = _SAMPLE.c[kind]
    # Counted for the rows of this page alone: the record may hold a hundred thousand samples.
    counted = (
        select(held.label("of"), func.count().label("samples"), func.max(_SAMPLE.c.received).label("last"))
        .where(held.in_(select(part.c.key)))
        .group_by(held)
        .subquery()
    )
    beside: ColumnElement[Any] = (
        func.coalesce(part.c.grade, "") if kind == "product" else func.coalesce("", "")
    )
    joined = part.outerjoin(counted, counted.c.of == part.c.key)
    if kind == "tank":
        joined = joined.outerjoin(_PRODUCT, _PRODUCT.c.key == part.c.product)
        beside = func.coalesce(_PRODUCT.c.name, "")
    query = (
        select(
            part.c.key,
            part.c.name,
            beside.label("beside"),
            func.coalesce(counted.c.samples, 0).label("samples"),
            func.coalesce(counted.c.last, "").label("received"),
        )
        .select_from(joined)
        .order_by(part.c.name, part.c.key)
    )
    return [NamedRow(**row._mapping) for row in reading.rows(query)]


def count_named(reading: Reading, kind: str, *, words: str = "") -> int:
    """Count the products, tanks or customers of the list.

    Parameters
    ----------
    reading, kind, words
        As in `named_rows`.
    """
    table = BY_KIND[kind].table
    query = select(func.count()).select_from(table).where(*_named(table, words))
    return int(reading.rows(query)[0][0])


def judged_lots(reading: Reading, product: str, *, limit: int, window: int = 200) -> list[JudgedLot]:
    """Give the newest verdict on each of the samples of a product that were judged last, the newest first.

    Parameters
    ----------
    reading : Reading
        The record, inside a transaction.
    product : str
        Key of the product.
    limit : int
        How many samples.
    window : int
        How many verdicts are looked at: a sample graded again stands once.
    """
    query = (
        select(
            _SAMPLE.c.key.label("sample"),
            _SAMPLE.c.number,
            _SAMPLE.c.lot,
            _SAMPLE.c.received,
            _VERDICT.c.key.label("verdict"),
            _VERDICT.c.grade,
            _VERDICT.c.outcome,
            _VERDICT.c.nearest_margin.label("margin"),
        )
        .join_from(_VERDICT, _SAMPLE, _SAMPLE.c.key == _VERDICT.c.sample)
        .where(_SAMPLE.c.product == product)
        .order_by(_VERDICT.c.key.desc())
        .limit(window)
    )
    newest: dict[str, JudgedLot] = {}
    for row in reading.rows(query):
        newest.setdefault(row.sample, JudgedLot(**row._mapping))
    return list(newest.values())[:limit]


def tanks_of(reading: Reading, product: str) -> list[tuple[str, str]]:
    """Give key and name of the tanks that a product is kept in."""
    query = select(_TANK.c.key, _TANK.c.name).where(_TANK.c.product == product).order_by(_TANK.c.name)
    return [(row.key, row.name) for row in reading.rows(query)]


def _named(table: Table, words: str) -> list[ColumnElement[bool]]:
    found = words.casefold().split()
    return [func.lower(table.c.name).contains(word, autoescape=True) for word in found]
