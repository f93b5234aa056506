"""Statements as a list."""

from __future__ import annotations

from dataclasses import dataclass

from sqlalchemy import ColumnElement, func, select

from resile.storage.reading import Reading
from resile.storage.shelves import BY_KIND

_STATEMENT = BY_KIND["statement"].table
_SAMPLE = BY_KIND["sample"].table
_CUSTOMER = BY_KIND["customer"].table
_ORDERS = {
    "number": _STATEMENT.c.number,
    "issued": _STATEMENT.c.issued,
    "state": _STATEMENT.c.state,
    "sample": _SAMPLE.c.number,
    "written": _STATEMENT.c.key,
}


@dataclass(frozen=True, slots=True)
class StatementRow:
    """One statement in the list: keys and words of it, its sample and its customer."""

    key: str
    number: str
    state: str
    issued: str
    sample: str
    sample_number: str
    customer_name: str


@dataclass(frozen=True, slots=True)
class StatementFilter:
    """Which statements are wanted; empty for all.

    Attributes
    ----------
    state, customer : str
        State; key of the customer.
    words : str
        Part of the number of the statement or its sample.
    issued_only : bool
        True to leave out drafts and those given up before issue.
    product, tank : str
        Keys of the product and the tank that the sample is of.
    """

    state: str = ""
    customer: str = ""
    words: str = ""
    issued_only: bool = False
    product: str = ""
    tank: str = ""


def statement_rows(
    reading: Reading,
    wanted: StatementFilter,
    *,
    order: str = "written",
    falling: bool = True,
    limit: int = 50,
    offset: int = 0,
) -> list[StatementRow]:
    """Give a part of the list, in order; a column that cannot be sorted by is taken as the default."""
    column = _ORDERS.get(order, _STATEMENT.c.key)
    query = (
        select(
            _STATEMENT.c.key,
            _STATEMENT.c.number,
            _STATEMENT.c.state,
            _STATEMENT.c.issued,
            _STATEMENT.c.sample,
            _SAMPLE.c.number.label("sample_number"),
            func.coalesce(_CUSTOMER.c.name, "").label("customer_name"),
        )
        .join(_SAMPLE, _SAMPLE.c.key == _STATEMENT.c.sample)
        .outerjoin(_CUSTOMER, _CUSTOMER.c.key == _STATEMENT.c.customer)
        .where(*_conditions(wanted))
        .order_by(column.desc() if falling else column, _STATEMENT.c.key.desc())
        .limit(limit)
        .offset(offset)
    )
    return [StatementRow(**row._mapping) for row in reading.rows(query)]


def count_statements(reading: Reading, wanted: StatementFilter) -> int:
    """Count the statements of the list."""
    joined = _STATEMENT.join(_SAMPLE, _SAMPLE.c.key == _STATEMENT.c.sample)
    query = select(func.count()).select_from(joined).where(*_conditions(wanted))
    return int(reading.rows(query)[0][0])


def _conditions(wanted: StatementFilter) -> list[ColumnElement[bool]]:
    found: list[ColumnElement[bool]] = []
    if wanted.state:
        found.append(_STATEMENT.c.state == wanted.state)
    if wanted.customer:
        found.append(_STATEMENT.c.customer == wanted.customer)
    found += [_SAMPLE.c[name] == key for name in ("product", "tank") if (key := getattr(wanted, name))]
    if wanted.issued_only:
        found.append(_STATEMENT.c.issued != "")
    if wanted.words:
        within = wanted.words.casefold()
        found.append(
            func.lower(_STATEMENT.c.number).contains(within, autoescape=True)
            | func.lower(_SAMPLE.c.number).contains(within, autoescape=True)
        )
    return found
