"""Loads that left, with the certificates they name."""

from __future__ import annotations

from dataclasses import dataclass

import orjson
from sqlalchemy import ColumnElement, func, select

from resile.storage.reading import Reading
from resile.storage.shelves import BY_KIND
from resile.storage.tables import ENTRY

_DELIVERY = BY_KIND["delivery"].table
_PRODUCT = BY_KIND["product"].table
_TANK = BY_KIND["tank"].table
_CUSTOMER = BY_KIND["customer"].table
_STATEMENT = BY_KIND["statement"].table
_SAMPLE = BY_KIND["sample"].table


@dataclass(frozen=True, slots=True, kw_only=True)
class DeliveryRow:
    """One load in the list.

    Attributes
    ----------
    key, number : str
        Key and number of the load paper.
    product, product_name, tank, tank_name, customer_name : str
        Keys and names.
    lot, sent, certificate : str
        As kept with the load.
    grade, plant, note : str
        As kept with the load.
    quantity_t : float or None
        Mass [t].
    product_grade : str
        Grade under which the product is sold.
    tank_product : str
        Key of the product that the tank holds.
    invented : bool
        True for a load of the demonstration.
    """

    key: str
    number: str
    product: str
    product_name: str
    tank: str
    tank_name: str
    customer_name: str
    lot: str
    sent: str
    certificate: str
    grade: str
    plant: str
    note: str
    quantity_t: float | None
    product_grade: str
    tank_product: str
    invented: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class CertificateOfLot:
    """A statement as a load paper can name it.

    Attributes
    ----------
    number, state, issued : str
        Number, state and day of issue.
    sample, product, lot, tank, claimed_grade : str
        Key of the sample, and what the sample says of itself.
    """

    number: str
    state: str
    issued: str
    sample: str
    product: str
    lot: str
    tank: str
    claimed_grade: str


def list_deliveries(
    reading: Reading,
    *,
    product: str = "",
    since: str = "",
    until: str = "",
    limit: int | None = None,
    offset: int = 0,
) -> list[DeliveryRow]:
    """List loads, the newest first.

    Parameters
    ----------
    reading : Reading
        The record, inside a transaction.
    product : str
        Key of the product; empty for all.
    since, until : str
        First and last day of loading, both included; empty without a bound.
    limit, offset : int
        Part of the list.
    """
    part = (
        select(_DELIVERY)
        .where(*_conditions(product, since, until))
        .order_by(_DELIVERY.c.sent.desc(), _DELIVERY.c.key.desc())
        .offset(offset or None)
        .limit(limit)
        .subquery()
    )
    joined = (
        part.join(ENTRY, ENTRY.c.seq == part.c.seq)
        .outerjoin(_PRODUCT, _PRODUCT.c.key == part.c.product)
        .outerjoin(_TANK, _TANK.c.key == part.c.tank)
        .outerjoin(_CUSTOMER, _CUSTOMER.c.key == part.c.customer)
    )
    query = (
        select(
            part,
            ENTRY.c.body,
            func.coalesce(_PRODUCT.c.name, "").label("product_name"),
            func.coalesce(_PRODUCT.c.grade, "").label("product_grade"),
            func.coalesce(_TANK.c.name, "").label("tank_name"),
            func.coalesce(_TANK.c.product, "").label("tank_product"),
            func.coalesce(_CUSTOMER.c.name, "").label("customer_name"),
        )
        .select_from(joined)
        .order_by(part.c.sent.desc(), part.c.key.desc())
    )
    rows = []
    for row in reading.rows(query):
        body = orjson.loads(row.body)
        rows.append(
            DeliveryRow(
                key=row.key,
                number=row.number,
                product=row.product,
                product_name=row.product_name,
                tank=row.tank,
                tank_name=row.tank_name,
                customer_name=row.customer_name,
                lot=row.lot,
                sent=row.sent,
                certificate=row.certificate,
                grade=body["grade"],
                plant=body["plant"],
                note=body["note"],
                quantity_t=body["quantity_t"],
                product_grade=row.product_grade,
                tank_product=row.tank_product,
                invented=body["invented"],
            )
        )
    return rows


def count_deliveries(reading: Reading, *, product: str = "", since: str = "", until: str = "") -> int:
    """Count the loads of the list.

    Parameters
    ----------
    reading, product, since, until
        As in `list_deliveries`.
    """
    query = select(func.count()).select_from(_DELIVERY).where(*_conditions(product, since, until))
    return int(reading.rows(query)[0][0])


def certificates_by_number(reading: Reading, numbers: list[str]) -> dict[str, CertificateOfLot]:
    """Give the statements of these numbers that the record holds, by number; drafts count as none.

    Parameters
    ----------
    reading : Reading
        The record, inside a transaction.
    numbers : list of str
        As load papers name them.
    """
    found: dict[str, CertificateOfLot] = {}
    wanted = sorted(set(numbers) - {""})
    query = (
        select(
            _STATEMENT.c.number,
            _STATEMENT.c.state,
            _STATEMENT.c.issued,
            _SAMPLE.c.key.label("sample"),
            _SAMPLE.c.product,
            _SAMPLE.c.lot,
            _SAMPLE.c.tank,
            _SAMPLE.c.claimed_grade,
        )
        .join_from(_STATEMENT, _SAMPLE, _SAMPLE.c.key == _STATEMENT.c.sample)
        .where(_STATEMENT.c.state != "draft")
    )
    for start in range(0, len(wanted), 500):  # both databases bound the number of parameters
        part = query.where(_STATEMENT.c.number.in_(wanted[start : start + 500]))
        found |= {row.number: CertificateOfLot(**row._mapping) for row in reading.rows(part)}
    return found


def _conditions(product: str, since: str, until: str) -> list[ColumnElement[bool]]:
    chosen: list[ColumnElement[bool]] = []
    if product:
        chosen.append(_DELIVERY.c.product == product)
    if since:
        chosen.append(_DELIVERY.c.sent >= since)
    if until:
        chosen.append(_DELIVERY.c.sent < f"{until[:10]}~")  # a time of that day sorts before it
    return chosen
