"""Ranges of binders in the laboratory's record: tables that were given, or drawn up from graded samples."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from resile.errors import InputError
from resile.readers.range import read_range
from resile.records.range import Binder, BinderRange
from resile.records.reading import HeldFile
from resile.records.register import Actor, Kept, Product, RangeRecord, Sample, Verdict
from resile.storage.laboratory_record import LaboratoryRecord
from resile.storage.reading import Reading
from resile.workflows.laboratory.access.permissions import require
from resile.workflows.laboratory.offer.named_files import file_by_name, file_with_tables
from resile.workflows.laboratory.samples.named import name_of, sample_key
from resile.workflows.toml_text import toml_text


@dataclass(frozen=True, slots=True)
class KeptRange:
    """A range as the record holds it.

    Attributes
    ----------
    kept : Kept of RangeRecord
        With key and revision.
    binders : BinderRange
        Read from the table that is kept.
    """

    kept: Kept[RangeRecord]
    binders: BinderRange

    def binder(self, name: str) -> Binder:
        """Give one binder of the range.

        Raises
        ------
        InputError
            Where it holds none of this name.
        """
        for one in self.binders.binders:
            if one.name.casefold() == name.casefold():
                return one
        names = ", ".join(one.name for one in self.binders.binders)
        raise InputError(f"{self.kept.value.name}: there is no binder '{name}'; there are {names}")


@dataclass(frozen=True, slots=True)
class OfferedSample:
    """A graded sample to be put into a range.

    Attributes
    ----------
    sample : str
        Number or key of the sample.
    name : str
        Name of the binder; that of the product, else the number of the sample, where empty.
    kind : str
        ``unmodified``, ``sbs-modified`` or ``unknown``; empty where not stated.
    price_per_tonne, stock_t : float or None
        As in a table of binders.
    """

    sample: str
    name: str = ""
    kind: str = ""
    price_per_tonne: float | None = None
    stock_t: float | None = None


def keep_range(
    record: LaboratoryRecord,
    actor: Actor,
    at: str,
    table: HeldFile,
    *,
    name: str = "",
    valid_from: str = "",
    note: str = "",
    invented: bool = False,
    key: str = "",
    reason: str = "",
    seen: int | None = None,
) -> Kept[RangeRecord]:
    """Keep a table of binders with the files of results it names.

    Parameters
    ----------
    record : LaboratoryRecord
        The laboratory's record.
    actor : Actor
        Who keeps it.
    at : str
        When, ISO 8601 in UTC.
    table : HeldFile
        The table (.toml, .csv, .xlsx), with the files it names beside it.
    name, valid_from, note, invented
        As in `RangeRecord`; the title of the table where no name is given.
    key, reason, seen
        Where it replaces the table of a range that is kept, as in `resile.storage.book.Book.keep`.

    Returns
    -------
    Kept of RangeRecord
        The range.

    Raises
    ------
    PermissionRefusedError, InputError
        Who may not; what cannot be read, or names a file that was not given.
    """
    require(actor, "offer.write")
    binders = read_range(table)
    used = {source.path for source in binders.sources}
    noun = RangeRecord(
        name=name.strip() or binders.title,
        file=binders.sources[0].sha256,
        file_name=table.name,
        beside={source.path: source.sha256 for source in binders.sources[1:]},
        binders=tuple(binder.name for binder in binders.binders),
        valid_from=valid_from,
        note=note,
        invented=invented,
    )
    with record.writing(by=actor.key, at=at) as book:
        for file in (table, *(one for one in table.beside if one.name in used)):
            book.keep_file(file.content)
        return book.keep(noun, key=key, reason=reason, seen=seen)


def keep_range_of_samples(
    record: LaboratoryRecord,
    actor: Actor,
    at: str,
    offered: Sequence[OfferedSample],
    *,
    name: str,
    currency: str = "",
    note: str = "",
) -> Kept[RangeRecord]:
    """Draw up a range from samples that the laboratory has graded.

    Parameters
    ----------
    record, actor, at
        As in `keep_range`.
    offered : sequence of OfferedSample
        The samples, with price and stock.
    name, currency, note : str
        Name of the range, currency of its prices, what else is to be known.

    Returns
    -------
    Kept of RangeRecord
        Its table is a list of binders (TOML) that holds the results of each sample's newest verdict.

    Raises
    ------
    InputError
        Where a sample has not been graded.
    """
    require(actor, "offer.write")
    require(actor, "samples.see")
    if not offered:
        raise InputError("choose at least one graded sample for the range")
    with record.reading() as reading:
        blocks = [_binder_of(reading, one) for one in _told_apart(reading, offered)]
        keys = [sample_key(reading, one.sample) for one in offered]
        invented = all(reading.get(Sample, key).value.invented for key in keys)
    heads = {"title": name.strip() or "Graded samples", "currency": currency}
    table = HeldFile("range.toml", toml_text({**heads, "binder": blocks}).encode())
    return keep_range(record, actor, at, table, name=name, note=note, invented=invented)


def range_of(record: LaboratoryRecord, actor: Actor, key: str, revision: int | None = None) -> KeptRange:
    """Give a range with its binders, read from the files that are kept.

    Raises
    ------
    RecordNotFoundError, PermissionRefusedError
        No such range; not for this person.
    """
    require(actor, "offer.see")
    with record.reading() as reading:
        kept = reading.get(RangeRecord, key, revision)
        table = file_with_tables(reading, kept.value)
    return KeptRange(kept, read_range(table))


def revisions_of_range(record: LaboratoryRecord, actor: Actor, key: str) -> list[Kept[RangeRecord]]:
    """Give every revision of a range, the newest first."""
    require(actor, "offer.see")
    with record.reading() as reading:
        return reading.history(RangeRecord, key)[::-1]


def file_of_range(
    record: LaboratoryRecord, actor: Actor, key: str, name: str, revision: int | None = None
) -> HeldFile:
    """Give the table of a range, or a file of results it names, as it came.

    Raises
    ------
    RecordNotFoundError
        Where it names no such file.
    """
    require(actor, "offer.see")
    with record.reading() as reading:
        return file_by_name(reading, reading.get(RangeRecord, key, revision).value, name)


def list_ranges(record: LaboratoryRecord, actor: Actor) -> list[Kept[RangeRecord]]:
    """Give the ranges that are kept, by name."""
    require(actor, "offer.see")
    with record.reading() as reading:
        return reading.find(RangeRecord, order="name")


def _told_apart(reading: Reading, offered: Sequence[OfferedSample]) -> list[OfferedSample]:
    """Name each binder: by its product, and where two samples are of one product by the number too."""
    samples = [reading.get(Sample, sample_key(reading, one.sample)).value for one in offered]
    named = [
        one.name.strip() or name_of(reading, Product, sample.product) or sample.number
        for one, sample in zip(offered, samples, strict=True)
    ]
    return [
        replace(one, name=name if named.count(name) == 1 or one.name.strip() else f"{name}, {sample.number}")
        for one, name, sample in zip(offered, named, samples, strict=True)
    ]


def _binder_of(reading: Reading, offered: OfferedSample) -> dict[str, Any]:
    """Give one binder as a table of the list, with the results its newest verdict judged."""
    sample = reading.get(Sample, sample_key(reading, offered.sample))
    number = sample.value.number
    verdicts = reading.find(Verdict, sample=sample.key, order="seq", falling=True, limit=1)
    if not verdicts or not verdicts[0].value.file:
        raise InputError(f"sample {number} has not been graded; grade it, then put it into a range")
    results = _statement(json.loads(reading.file(verdicts[0].value.file)))["results"]
    return {
        "name": offered.name,
        "kind": offered.kind,
        "price_per_tonne": offered.price_per_tonne,
        "stock_t": offered.stock_t,
        "remark": f"Sample {number}, as judged in {verdicts[0].key}"
        + (" (invented for demonstration)" if sample.value.invented else ""),
        "result": [
            {name: one[name] for name in ("quantity", "value", "condition", "temperature_c")}
            for one in results
            if one["value"] is not None and _wanted(one["quantity"])
        ],
    }


def _statement(content: Mapping[str, Any]) -> Mapping[str, Any]:
    """Give the statement in the file of a verdict, whether it stands alone or within a report."""
    inner = content.get("statement")
    return inner if isinstance(inner, Mapping) else content


def _wanted(quantity: str) -> bool:
    from resile.records.quantity import RESULT_QUANTITIES

    return quantity in RESULT_QUANTITIES and quantity != "traffic_class"
