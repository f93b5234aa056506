"""A sample is split, poured into cans and changes hands: what happened to it before it was tested."""

from __future__ import annotations

from dataclasses import replace

from resile.errors import ConflictError, InputError
from resile.records.register import Actor, Can, Custody, Kept, Sample
from resile.storage.book import Book
from resile.storage.laboratory_record import LaboratoryRecord
from resile.workflows.laboratory.access.permissions import require, require_sight

HALVES = (("A", "A, tested"), ("B", "B, retained"))
"""What is put behind the number of the sample, and what the half is for."""

EVENTS = ("received", "moved", "split", "seal broken", "sent")
"""What can happen to a sample in custody."""


def split_sample(
    record: LaboratoryRecord, actor: Actor, at: str, key: str, *, place: str = "", seal: str = ""
) -> tuple[Kept[Sample], Kept[Sample]]:
    """Split a sample into the half that is tested and the half that is retained.

    Parameters
    ----------
    record : LaboratoryRecord
        Where it is kept.
    actor : Actor
        Who splits it.
    at : str
        When, ISO 8601 in UTC.
    key : str
        Key of the sample.
    place, seal : str
        Where the retained half stands, and its seal.

    Returns
    -------
    tuple of (Kept of Sample, Kept of Sample)
        Tested and retained half, each with the number of the sample and a letter, linked to it.

    Raises
    ------
    PermissionRefusedError, ConflictError, RecordNotFoundError
        Where it may not be split, is a half or split already, or is not there.
    """
    require(actor, "samples.write")
    with record.writing(by=actor.key, at=at) as book:
        whole = _seen(book, actor, key)
        if whole.value.parent:
            raise ConflictError(f"sample {whole.value.number} is a half already; a half is not split again")
        if book.count(Sample, parent=key):
            raise ConflictError(f"sample {whole.value.number} is split already")
        halves = [
            replace(
                whole.value, number=f"{whole.value.number}-{letter}", parent=key, half=half, quantity_g=None
            )
            for letter, half in HALVES
        ]
        tested, retained = book.keep_many(halves)
        event = Custody(sample=key, happened=at, event="split", from_whom=actor.name, to_whom=actor.name)
        kept_away = replace(event, sample=retained.key, place=place, seal=seal)
        book.keep_many([event, replace(event, sample=tested.key), kept_away])
    return tested, retained


def log_custody(record: LaboratoryRecord, actor: Actor, at: str, event: Custody) -> Kept[Custody]:
    """Log that a sample changed hands, was moved, sent, or its seal was broken.

    Parameters
    ----------
    record, actor, at
        As in `split_sample`.
    event : Custody
        What happened; without a time it happened now.

    Raises
    ------
    PermissionRefusedError, InputError, RecordNotFoundError
        Where it may not be logged, says no event, or is of no sample.
    """
    require(actor, "samples.write")
    if event.event not in EVENTS:
        raise InputError(f"custody: '{event.event}' is no event; known are {', '.join(EVENTS)}")
    happened = event.happened or at
    if happened[:10] > at[:10]:
        raise InputError(f"custody: {happened[:10]} is a day that is still to come")
    with record.writing(by=actor.key, at=at) as book:
        _seen(book, actor, event.sample)
        return book.keep(replace(event, happened=happened))


def keep_can(
    record: LaboratoryRecord,
    actor: Actor,
    at: str,
    can: Can,
    *,
    key: str = "",
    seen: int | None = None,
    reason: str = "",
) -> Kept[Can]:
    """Keep a can of a sample, or correct one.

    Parameters
    ----------
    record, actor, at
        As in `split_sample`.
    can : Can
        As it should stand.
    key, seen, reason
        As in `Book.keep`.

    Raises
    ------
    PermissionRefusedError, InputError, ConflictError, RecordNotFoundError
        Where it may not be kept, has no name or an impossible mass, its name is taken, or there is no
        such sample.
    """
    require(actor, "samples.write")
    name = " ".join(can.name.split())
    if not name:
        raise InputError("can: what is written on it is needed, for example A1")
    if can.mass_g is not None and not 0 < can.mass_g < 1e6:
        raise InputError(f"can {name}: a mass of {can.mass_g:g} g was found; one above zero is needed")
    with record.writing(by=actor.key, at=at) as book:
        _seen(book, actor, can.sample)
        return book.keep(replace(can, name=name), key=key, seen=seen, reason=reason)


def _seen(book: Book, actor: Actor, key: str) -> Kept[Sample]:
    kept = book.get(Sample, key)
    require_sight(actor, kept.value.customer)
    return kept
