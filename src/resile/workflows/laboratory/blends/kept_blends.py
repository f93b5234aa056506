"""Blend books in the laboratory's record: files that were given, or drawn up in the browser."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from typing import Any

from resile.readers.blends.book import read_blend_book
from resile.records.blending.book import BlendBook
from resile.records.reading import HeldFile
from resile.records.register import Actor, BlendBookRecord, Kept, SiteRecord
from resile.storage.laboratory_record import LaboratoryRecord
from resile.workflows.handed_in import from_outside
from resile.workflows.laboratory.access.permissions import require
from resile.workflows.laboratory.offer.named_files import file_by_name, file_with_tables


@dataclass(frozen=True, slots=True)
class KeptBlend:
    """A blend book as the record holds it.

    Attributes
    ----------
    kept : Kept of BlendBookRecord
        With key and revision.
    book : BlendBook
        Read from the files that are kept.
    file : HeldFile
        The book itself, with its tables beside it.
    road : Kept of SiteRecord or None
        The road it is for, as it is kept now.
    """

    kept: Kept[BlendBookRecord]
    book: BlendBook
    file: HeldFile
    road: Kept[SiteRecord] | None = None

    @property
    def road_changed(self) -> bool:
        """True where the road needs another grade by now than the book aims at."""
        return self.road is not None and self.road.value.grade != self.kept.value.grade


def keep_blend_book(
    record: LaboratoryRecord,
    actor: Actor,
    at: str,
    file: HeldFile,
    *,
    site: str = "",
    note: str = "",
    key: str = "",
    reason: str = "",
    seen: int | None = None,
) -> Kept[BlendBookRecord]:
    """Keep a blend book with the tables it names.

    Parameters
    ----------
    record : LaboratoryRecord
        The laboratory's record.
    actor : Actor
        Who keeps it.
    at : str
        When, ISO 8601 in UTC.
    file : HeldFile
        The book (.toml), with the tables it names beside it.
    site : str
        Key of the road of the record it is for; empty for none.
    note : str
        What else is to be known.
    key, reason, seen
        Where it is the next revision of a book that is kept, as in `resile.storage.book.Book.keep`.

    Returns
    -------
    Kept of BlendBookRecord
        The book.

    Raises
    ------
    PermissionRefusedError, ResileError
        Who may not; what cannot be read, or names a table that was not given.
    """
    require(actor, "offer.write")
    with from_outside():
        book = read_blend_book(file)
    used = {source.path: source.sha256 for source in book.sources}
    used.pop(file.name, None)
    noun = BlendBookRecord(
        name=book.title,
        file=book.sources[0].sha256,
        file_name=file.name,
        beside=used,
        grade=book.aim.grade,
        site=site,
        components=tuple(component.name for component in book.components),
        trials=len(book.trials),
        note=note,
        invented=book.invented,
    )
    with record.writing(by=actor.key, at=at) as log:
        if site:
            log.get(SiteRecord, site)
        for one in (file, *(one for one in file.beside if one.name in used)):
            log.keep_file(one.content)
        return log.keep(noun, key=key, reason=reason, seen=seen)


def blend_of(record: LaboratoryRecord, actor: Actor, key: str, revision: int | None = None) -> KeptBlend:
    """Give a blend book, read from the files that are kept.

    Raises
    ------
    RecordNotFoundError, PermissionRefusedError
        No such book; not for this person.
    """
    require(actor, "offer.see")
    with record.reading() as reading:
        kept = reading.get(BlendBookRecord, key, revision)
        file = file_with_tables(reading, kept.value)
        road = reading.get(SiteRecord, kept.value.site) if kept.value.site else None
    with from_outside():
        return KeptBlend(kept, read_blend_book(file), file, road)


def revisions_of_blend(record: LaboratoryRecord, actor: Actor, key: str) -> list[Kept[BlendBookRecord]]:
    """Give every revision of a blend book, the newest first."""
    require(actor, "offer.see")
    with record.reading() as reading:
        return reading.history(BlendBookRecord, key)[::-1]


def file_of_blend(
    record: LaboratoryRecord, actor: Actor, key: str, name: str, revision: int | None = None
) -> HeldFile:
    """Give the book, or a table it names, as it came.

    Raises
    ------
    RecordNotFoundError
        Where it names no such file.
    """
    require(actor, "offer.see")
    with record.reading() as reading:
        return file_by_name(reading, reading.get(BlendBookRecord, key, revision).value, name)


def list_blends(record: LaboratoryRecord, actor: Actor) -> list[Kept[BlendBookRecord]]:
    """Give the blend books that are kept, by name."""
    require(actor, "offer.see")
    with record.reading() as reading:
        return reading.find(BlendBookRecord, order="name")


def raw_book(file: HeldFile) -> dict[str, Any]:
    """Give the keys of a book as they stand in its file."""
    return tomllib.loads(file.content.decode("utf-8-sig"))


def listed(given: object) -> list[str]:
    """Give the names under a key that takes one name or several."""
    if isinstance(given, str):
        return [given]
    return list(given) if isinstance(given, list) else []
