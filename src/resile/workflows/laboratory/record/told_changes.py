"""What became of one thing in the record: who revised it, when, why, and what changed."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from resile.records.register.audit import FieldChange
from resile.storage.bodies import body_of
from resile.storage.lists.log import names_of_persons
from resile.storage.reading import Reading
from resile.workflows.laboratory.access.permissions import ONE_PERSON, one_person
from resile.workflows.laboratory.record.auditing import changes_between


@dataclass(frozen=True, slots=True)
class ToldChange:
    """One revision.

    Attributes
    ----------
    revision : int
        1 for the first.
    at, by, reason : str
        When (ISO 8601 in UTC), name of the person, why.
    changes : tuple of FieldChange
        What differs from the revision before; empty for the first.
    """

    revision: int
    at: str
    by: str
    reason: str
    changes: tuple[FieldChange, ...]


def told_changes(reading: Reading, kind: type[Any], key: str) -> tuple[ToldChange, ...]:
    """Give the revisions of a noun, the newest first.

    Raises
    ------
    RecordNotFoundError
        Where the record holds none of this key.
    """
    reading.revision_of(kind, key)
    history = reading.history(kind, key)
    names = {ONE_PERSON: one_person().name, **names_of_persons(reading)}
    told = []
    for before, now in zip([None, *history], history, strict=False):
        changed = () if before is None else tuple(changes_between(body_of(before.value), body_of(now.value)))
        told.append(ToldChange(now.revision, now.at, names.get(now.by, now.by), now.reason, changed))
    return tuple(reversed(told))
