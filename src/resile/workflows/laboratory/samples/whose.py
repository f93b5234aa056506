"""Products, tanks and customers: listed, looked at with what hangs on them, added and corrected."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any, TypeVar

from resile.errors import InputError, PermissionRefusedError
from resile.records.register import Actor, Customer, Kept, Product, Tank
from resile.report.figures.nearest_margins import figure_nearest_margins, nearest_margins_in_words
from resile.storage.laboratory_record import LaboratoryRecord
from resile.storage.lists.samples import SampleFilter, SampleRow, count_samples, list_samples, names_of
from resile.storage.lists.statements import StatementFilter, StatementRow, count_statements, statement_rows
from resile.storage.lists.whose import JudgedLot, NamedRow, count_named, judged_lots, named_rows, tanks_of
from resile.storage.reading import Reading
from resile.storage.shelves import BY_NOUN
from resile.workflows.laboratory.access.permissions import require
from resile.workflows.laboratory.record.told_changes import ToldChange, told_changes
from resile.workflows.laboratory.samples.named import name_of

__all__ = [
    "JudgedLot",
    "NamedList",
    "NamedSheet",
    "StatementRow",
    "keep_named",
    "list_named",
    "named_sheet",
    "products_to_choose",
]

Named = TypeVar("Named", Product, Tank, Customer)

PAGE = 50
"""Lines on a page of a list."""
NEWEST = 15
"""Samples and statements on the page of one of them."""
LOTS = 24
"""Lots in the picture of a product."""


@dataclass(frozen=True, slots=True)
class NamedList:
    """One page of a list.

    Attributes
    ----------
    rows : tuple of NamedRow
        By name.
    count, page, pages : int
        How many there are; which page this is, from 1, and how many.
    """

    rows: tuple[NamedRow, ...]
    count: int
    page: int
    pages: int


@dataclass(frozen=True, slots=True)
class NamedSheet:
    """One product, tank or customer with what hangs on it.

    Attributes
    ----------
    kept : Kept
        The noun.
    changes : tuple of ToldChange
        What became of it, the newest first.
    samples : tuple of SampleRow
        The newest.
    sample_count : int
        How many there are.
    statements : tuple of StatementRow
        The newest.
    statement_count : int
        How many there are.
    product : str
        Name of the product in a tank.
    tanks : tuple of (str, str)
        Key and name of the tanks of a product.
    lots : tuple of JudgedLot
        The samples of a product that were judged last, the newest first.
    picture : dict or None
        Their nearest margins over time; None where fewer than two are known.
    words : str
        What the picture shows.
    """

    kept: Kept[Any]
    changes: tuple[ToldChange, ...]
    samples: tuple[SampleRow, ...]
    sample_count: int
    statements: tuple[StatementRow, ...]
    statement_count: int
    product: str = ""
    tanks: tuple[tuple[str, str], ...] = ()
    lots: tuple[JudgedLot, ...] = ()
    picture: dict[str, Any] | None = None
    words: str = ""


def list_named(
    record: LaboratoryRecord, actor: Actor, kind: type[Named], *, words: str = "", page: int = 1
) -> NamedList:
    """Give one page of the list of products, tanks or customers.

    Parameters
    ----------
    record : LaboratoryRecord
        Where they are kept.
    actor : Actor
        Who asks; for people of the laboratory alone.
    kind : type
        `Product`, `Tank` or `Customer`.
    words : str
        Part of the name; empty for all.
    page : int
        From 1.

    Raises
    ------
    PermissionRefusedError
        Where the person may not see samples, or is a customer.
    """
    _require_laboratory(actor)
    name = BY_NOUN[kind].kind
    with record.reading() as reading:
        count = count_named(reading, name, words=words)
        pages = max(1, -(-count // PAGE))
        page = min(max(page, 1), pages)
        rows = named_rows(reading, name, words=words, limit=PAGE, offset=(page - 1) * PAGE)
    return NamedList(tuple(rows), count, page, pages)


def named_sheet(record: LaboratoryRecord, actor: Actor, kind: type[Named], key: str) -> NamedSheet:
    """Give a product, tank or customer with its samples and statements.

    Parameters
    ----------
    record, actor, kind
        As in `list_named`.
    key : str
        Its key.

    Raises
    ------
    PermissionRefusedError, RecordNotFoundError
        Where it is not for this person, or there is none.
    """
    _require_laboratory(actor)
    name = BY_NOUN[kind].kind
    with record.reading() as reading:
        kept = reading.get(kind, key)
        samples = SampleFilter(**{name: key})
        statements = _statements_of(name, key)
        sheet = NamedSheet(
            kept,
            told_changes(reading, kind, key),
            tuple(list_samples(reading, samples, limit=NEWEST)),
            count_samples(reading, samples),
            tuple(statement_rows(reading, statements, limit=NEWEST)),
            count_statements(reading, statements),
        )
        if isinstance(kept.value, Tank):
            return replace(sheet, product=name_of(reading, Product, kept.value.product))
        return _with_lots(reading, sheet) if kind is Product else sheet


def keep_named(
    record: LaboratoryRecord,
    actor: Actor,
    at: str,
    noun: Named,
    *,
    key: str = "",
    seen: int | None = None,
    reason: str = "",
) -> Kept[Named]:
    """Keep a product, tank or customer, or correct one.

    Parameters
    ----------
    record, actor
        As in `list_named`.
    at : str
        When, ISO 8601 in UTC.
    noun : Product, Tank or Customer
        As it is to stand; whether it is invented is taken from what stands.
    key, seen, reason
        As in `Book.keep`.

    Returns
    -------
    Kept
        The new revision; the one that stands where nothing differs.

    Raises
    ------
    PermissionRefusedError, InputError, ConflictError, RecordNotFoundError
        Where it may not be kept, its name is missing or taken, it has no reason or was corrected in between,
        or a tank holds a product that is not there.
    """
    _require_laboratory(actor)
    require(actor, "samples.write")
    noun = replace(noun, name=noun.name.strip())
    said = BY_NOUN[type(noun)].said
    if not noun.name:
        raise InputError(f"{said}: its name is needed")
    with record.writing(by=actor.key, at=at) as book:
        if isinstance(noun, Tank) and noun.product:
            book.get(Product, noun.product)
        if not key:
            return book.keep(noun)
        old = book.get(type(noun), key)
        if not isinstance(old.value, Tank):
            noun = replace(noun, invented=old.value.invented)
        if noun == old.value and seen == old.revision:
            return old
        return book.keep(noun, key=key, seen=seen, reason=reason)


def products_to_choose(record: LaboratoryRecord, actor: Actor) -> list[tuple[str, str]]:
    """Give key and name of the products that a tank can hold.

    Parameters
    ----------
    record, actor
        As in `list_named`.
    """
    _require_laboratory(actor)
    with record.reading() as reading:
        return names_of(reading, "product")


def _require_laboratory(actor: Actor) -> None:
    require(actor, "samples.see")
    if actor.customer:
        raise PermissionRefusedError(
            "products, tanks and customers are shown to people of the laboratory alone"
        )


def _statements_of(kind: str, key: str) -> StatementFilter:
    given: dict[str, Any] = {kind: key}
    return StatementFilter(**given)


def _with_lots(reading: Reading, sheet: NamedSheet) -> NamedSheet:
    lots = judged_lots(reading, sheet.kept.key, limit=LOTS)
    known = [(lot.number, lot.margin, lot.outcome) for lot in reversed(lots) if lot.margin is not None]
    return replace(
        sheet,
        tanks=tuple(tanks_of(reading, sheet.kept.key)),
        lots=tuple(lots),
        picture=figure_nearest_margins(known) if len(known) > 1 else None,
        words=nearest_margins_in_words(known) if known else "",
    )
