"""The list of samples as a person may see it, and the sample that somebody names."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from resile.records.register import Actor
from resile.storage.laboratory_record import LaboratoryRecord
from resile.storage.lists.samples import (
    SORTS,
    SampleFilter,
    SampleRow,
    count_samples,
    every_sample,
    list_samples,
    names_of,
    samples_by_number,
)
from resile.workflows.laboratory.access.permissions import require
from resile.workflows.laboratory.samples.named import sample_key
from resile.workflows.laboratory.samples.receiving import Arrival, receive_sample

PAGE = 50
"""Samples on a page of the list."""

__all__ = ["PAGE", "SORTS", "SampleFilter", "SampleRow"]


@dataclass(frozen=True, slots=True)
class SampleList:
    """One page of the list of samples.

    Attributes
    ----------
    rows : tuple of SampleRow
        In the order wanted.
    count : int
        How many the filter lets through.
    page, pages : int
        Which page this is, counted from 1, and how many there are.
    """

    rows: tuple[SampleRow, ...]
    count: int
    page: int
    pages: int


def page_of_samples(
    record: LaboratoryRecord,
    actor: Actor,
    wanted: SampleFilter,
    *,
    page: int = 1,
    order: str = "received",
    falling: bool = True,
) -> SampleList:
    """Give one page of the list.

    Parameters
    ----------
    record : LaboratoryRecord
        Where they are kept.
    actor : Actor
        Who asks; a customer sees their own samples alone.
    wanted : SampleFilter
        Which ones.
    page : int
        Counted from 1.
    order, falling
        As in `list_samples`.
    """
    wanted = _allowed(actor, wanted)
    with record.reading() as reading:
        count = count_samples(reading, wanted)
        pages = max(1, -(-count // PAGE))
        page = min(max(page, 1), pages)
        rows = list_samples(
            reading,
            wanted,
            order=order if order in SORTS else "received",
            falling=falling,
            limit=PAGE,
            offset=(page - 1) * PAGE,
        )
    return SampleList(tuple(rows), count, page, pages)


def samples_as_csv(record: LaboratoryRecord, actor: Actor, wanted: SampleFilter) -> Iterator[str]:
    """Give all samples that the filter lets through as CSV, line by line.

    A text that a spreadsheet would take for a formula is led by an apostrophe.
    """
    wanted = _allowed(actor, wanted)
    yield "key,number,product,lot,customer,tank,claimed_grade,received,stage\r\n"
    with record.reading() as reading:
        for row in every_sample(reading, wanted):
            cells = (
                row.key, row.number, row.product, row.lot, row.customer, row.tank, row.claimed_grade,
                row.received, row.stage,
            )  # fmt: skip
            yield ",".join(map(csv_cell, cells)) + "\r\n"


def find_samples(record: LaboratoryRecord, actor: Actor, typed: str) -> list[SampleRow]:
    """Give samples that fit what was typed into a search box; the newest where nothing was."""
    wanted = _allowed(actor, SampleFilter())
    with record.reading() as reading:
        if not typed.strip():
            return list_samples(reading, wanted, limit=8)
        return samples_by_number(reading, typed.strip(), customer=wanted.customer)


def sample_named(record: LaboratoryRecord, actor: Actor, at: str, number: str, *, make: bool = False) -> str:
    """Give the key of the sample that a person names.

    Parameters
    ----------
    record, actor, at
        As in `receive_sample`.
    number : str
        Its number, or its key.
    make : bool
        Receive a new sample of this number, or of the next free one.

    Raises
    ------
    RecordNotFoundError, ConflictError
        There is none; or there is one, and a new one was wanted.
    """
    if make:
        return receive_sample(record, actor, at, Arrival(number=number)).key
    require(actor, "samples.see")
    with record.reading() as reading:
        return sample_key(reading, number)


def names_for_filter(record: LaboratoryRecord, actor: Actor, kind: str) -> list[tuple[str, str]]:
    """Give keys and names of products or customers to choose from; none to a customer."""
    require(actor, "samples.see")
    if actor.customer:
        return []
    with record.reading() as reading:
        return names_of(reading, kind)


def _allowed(actor: Actor, wanted: SampleFilter) -> SampleFilter:
    require(actor, "samples.see")
    return replace(wanted, customer=actor.customer) if actor.customer else wanted


def csv_cell(text: str) -> str:
    led = f"'{text}" if text[:1] in ("=", "+", "-", "@", "\t", "\r") else text
    return '"' + led.replace('"', '""') + '"' if any(sign in led for sign in ',"\r\n') else led
