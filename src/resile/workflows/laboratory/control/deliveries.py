"""Loads delivered: one by one from a form, or many from a table."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import date, datetime

from resile.errors import InputError
from resile.readers.deliveries.table import read_load_table
from resile.records.delivered import LoadRow
from resile.records.reading import HeldFile
from resile.records.register import Actor, Customer, Delivery, Kept, Product, Tank
from resile.storage.book import Book
from resile.storage.laboratory_record import LaboratoryRecord
from resile.storage.lists.deliveries import DeliveryRow, count_deliveries, list_deliveries
from resile.storage.lists.samples import names_of
from resile.workflows.handed_in import from_outside
from resile.workflows.laboratory.access.permissions import require
from resile.workflows.laboratory.bench.hand_numbers import hand_number_or_none


@dataclass(frozen=True, slots=True, kw_only=True)
class TypedDelivery:
    """A load as it was typed; masses and days are still text.

    Attributes
    ----------
    number, product, tank, customer, lot, sent, quantity_t, grade, certificate, plant, note : str
        As in `Delivery`; product, tank and customer are keys.
    """

    number: str = ""
    product: str = ""
    tank: str = ""
    customer: str = ""
    lot: str = ""
    sent: str = ""
    quantity_t: str = ""
    grade: str = ""
    certificate: str = ""
    plant: str = ""
    note: str = ""


@dataclass(frozen=True, slots=True)
class DeliveryChoices:
    """What a load can be of: key and name each.

    Attributes
    ----------
    products, tanks, customers : tuple of tuple of str
        Key and name.
    """

    products: tuple[tuple[str, str], ...]
    tanks: tuple[tuple[str, str], ...]
    customers: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class TakenTable:
    """What became of a table of loads.

    Attributes
    ----------
    kept, known : int
        Loads that are new, and loads that were kept before just as the table says.
    unused : tuple of str
        Headings of the table that were not known.
    """

    kept: int
    known: int
    unused: tuple[str, ...]


def delivery_choices(record: LaboratoryRecord, actor: Actor) -> DeliveryChoices:
    """Give what can be chosen in the form of a load."""
    require(actor, "runs.see")
    with record.reading() as reading:
        return DeliveryChoices(*(tuple(names_of(reading, kind)) for kind in ("product", "tank", "customer")))


def keep_delivery(
    record: LaboratoryRecord,
    actor: Actor,
    at: str,
    typed: TypedDelivery,
    *,
    key: str = "",
    seen: int | None = None,
    reason: str = "",
) -> Kept[Delivery]:
    """Keep a load that was typed, or correct one.

    Parameters
    ----------
    record, actor, at
        The record, who writes, and when.
    typed : TypedDelivery
        As it was typed.
    key, seen, reason
        Of a load that is corrected, as in `resile.storage.book.Book.keep`.

    Raises
    ------
    InputError
        Without number or day, with a mass that is none.
    ConflictError
        Where a load of this number is kept already.
    """
    require(actor, "deliveries.write")
    delivery = _delivery(typed)
    with record.writing(by=actor.key, at=at) as book:
        for kind, named in ((Product, typed.product), (Tank, typed.tank), (Customer, typed.customer)):
            if named:
                book.get(kind, named)
        if key:
            delivery = replace(delivery, invented=book.get(Delivery, key).value.invented)
        return book.keep(delivery, key=key, seen=seen, reason=reason)


def delivery_of(record: LaboratoryRecord, actor: Actor, key: str) -> Kept[Delivery]:
    """Give one load."""
    require(actor, "runs.see")
    with record.reading() as reading:
        return reading.get(Delivery, key)


def typed_of(delivery: Delivery) -> TypedDelivery:
    """Give a load as the form shows it."""
    mass = "" if delivery.quantity_t is None else f"{delivery.quantity_t:g}"
    texts = {
        name: getattr(delivery, name) for name in TypedDelivery.__dataclass_fields__ if name != "quantity_t"
    }
    return TypedDelivery(quantity_t=mass, **texts)


def deliveries_page(
    record: LaboratoryRecord, actor: Actor, *, product: str = "", page: int = 1, rows: int = 100
) -> tuple[list[DeliveryRow], int]:
    """Give a page of the list of loads, the newest first, and how many loads there are.

    Parameters
    ----------
    record, actor
        Where to look; who asks.
    product : str
        Key of a product; empty for all.
    page, rows : int
        Which page, counted from 1; how many loads it holds.
    """
    require(actor, "runs.see")
    with record.reading() as reading:
        found = list_deliveries(reading, product=product, limit=rows, offset=rows * (page - 1))
        return found, count_deliveries(reading, product=product)


def every_load(record: LaboratoryRecord, actor: Actor, *, product: str = "") -> list[DeliveryRow]:
    """Give every load, the newest first; see `deliveries_page`."""
    require(actor, "runs.see")
    with record.reading() as reading:
        return list_deliveries(reading, product=product)


def keep_load_table(record: LaboratoryRecord, actor: Actor, at: str, file: HeldFile) -> TakenTable:
    """Keep every load of a table, or none where one cannot be kept.

    Parameters
    ----------
    record, actor, at
        The record, who writes, and when.
    file : HeldFile
        Separated text or a workbook; products, tanks and customers stand in it by name.

    Returns
    -------
    TakenTable
        A table that is sent twice changes nothing the second time.

    Raises
    ------
    InputError
        Where a name is not kept in the record, or a load is kept already and says something else.
    """
    require(actor, "deliveries.write")
    with from_outside():
        table = read_load_table(file)
    kept = known = 0
    with record.writing(by=actor.key, at=at) as book:
        look_up = _Names(book, file.name)
        for row in table.rows:
            delivery = _of_row(row, look_up)
            before = book.find(Delivery, number=row.number)
            if not before:
                book.keep(delivery)
                kept += 1
            elif replace(before[0].value, invented=False) == delivery:
                known += 1
            else:
                raise InputError(
                    f"{file.name}, {row.place}: load {row.number} is kept already and says something else; "
                    "correct it on its page, or take the row out. Nothing of this table was kept"
                )
    return TakenTable(kept, known, table.unused)


class _Names:
    """Keys of what a table calls by name."""

    def __init__(self, book: Book, file: str) -> None:
        self._book, self._file = book, file
        self._known: dict[tuple[type, str], str] = {}

    def key(self, kind: type[Product] | type[Tank] | type[Customer], name: str, row: LoadRow) -> str:
        if not name:
            return ""
        if (kind, name) not in self._known:
            found = self._book.find(kind, name=name)
            if len(found) != 1:
                word = kind.__name__.lower()
                said = "is not kept in the record" if not found else f"is the name of {len(found)} of them"
                raise InputError(
                    f"{self._file}, {row.place}: the {word} '{name}' {said}; "
                    f"write it as on the list of {word}s, or add it there first. "
                    "Nothing of this table was kept"
                )
            self._known[kind, name] = found[0].key
        return self._known[kind, name]


def _of_row(row: LoadRow, names: _Names) -> Delivery:
    key: Callable[..., str] = names.key
    return Delivery(
        number=row.number,
        product=key(Product, row.product, row),
        tank=key(Tank, row.tank, row),
        customer=key(Customer, row.customer, row),
        lot=row.lot,
        sent=row.sent,
        quantity_t=row.quantity_t,
        grade=row.grade,
        certificate=row.certificate,
        plant=row.plant,
        note=row.note,
    )


def _delivery(typed: TypedDelivery) -> Delivery:
    if not typed.number:
        raise InputError("the load has no number; give the one of the load paper")
    mass = hand_number_or_none(typed.quantity_t, "mass")
    if mass is not None and mass <= 0.0:
        raise InputError(f"mass: {mass:g} t was given; needed is a number above zero")
    texts = {name: getattr(typed, name) for name in ("number", "product", "tank", "customer", "lot", "grade")}
    texts |= {name: getattr(typed, name) for name in ("certificate", "plant", "note")}
    return Delivery(sent=moment(typed.sent, "loaded"), quantity_t=mass, **texts)


def moment(text: str, title: str) -> str:
    """Read a day, or a day with a time, as a form gives it.

    Parameters
    ----------
    text, title : str
        As typed; what it is, in words.

    Raises
    ------
    InputError
        Where it is none.
    """
    try:
        if len(text) <= len("2026-03-02"):
            return date.fromisoformat(text).isoformat()
        return datetime.fromisoformat(text).isoformat(timespec="minutes")
    except ValueError:
        raise InputError(
            f"{title}: '{text}' is no day; "
            "needed: year-month-day, such as 2026-03-02, with a time where it is known"
        ) from None
