"""Auditing the record: verify that nothing was changed, and show who kept what, when, and what changed."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from resile.errors import RecordNotFoundError
from resile.records.register import Actor, Entry
from resile.records.register.audit import Audit, FieldChange
from resile.storage.auditing import rebuild, verify
from resile.storage.chain import read_head
from resile.storage.laboratory_record import LaboratoryRecord
from resile.storage.lists.log import (
    LogFilter,
    entry_at,
    entry_of,
    kinds_in_log,
    log_entries,
    names_of_persons,
)
from resile.storage.reading import Reading, kind_of_key
from resile.workflows.laboratory.access.permissions import ONE_PERSON, one_person, require

__all__ = [
    "Audit",
    "LogFilter",
    "LogPage",
    "ShownEntry",
    "changes_between",
    "check_head",
    "rebuild_tables",
    "show_entry",
    "show_key",
    "show_log",
    "verify_record",
]


@dataclass(frozen=True, slots=True)
class ShownEntry:
    """An entry of the log as a person reads it.

    Attributes
    ----------
    entry : Entry
        As stored.
    by_name : str
        Who kept it.
    changes : tuple of FieldChange
        What it changed of the revision before; for a first one, all that was given.
    """

    entry: Entry
    by_name: str
    changes: tuple[FieldChange, ...]


@dataclass(frozen=True, slots=True)
class LogPage:
    """A page of the log.

    Attributes
    ----------
    entries : tuple of ShownEntry
        The newest first.
    older : int
        Place before which the next page begins; 0 at the end.
    persons : dict of str to str
        Everybody who may have written: key and name.
    kinds : tuple of str
        Kinds of which the record holds something.
    """

    entries: tuple[ShownEntry, ...]
    older: int
    persons: dict[str, str]
    kinds: tuple[str, ...]


def verify_record(
    record: LaboratoryRecord,
    actor: Actor,
    *,
    head: str = "",
    progress: Callable[[int, int], None] | None = None,
) -> Audit:
    """Go through the whole record: chain, current tables, files.

    Parameters
    ----------
    record : LaboratoryRecord
        The record; others may go on writing.
    actor : Actor
        Who asks.
    head : str
        Head of the log noted elsewhere, ``SEQ:HASH``: proves that its end was not cut off.
    progress : callable or None
        Told of steps done and of how many.

    Raises
    ------
    PermissionRefusedError, InputError
        Where the person may not, or the head is none.
    """
    require(actor, "audit.see")
    with record.reading() as reading:
        return verify(reading, head=head, progress=progress)


def check_head(actor: Actor, head: str) -> None:
    """Refuse, before long work is begun, who may not verify and what is no head.

    Raises
    ------
    PermissionRefusedError, InputError
        Where the person may not, or the head is none.
    """
    require(actor, "audit.see")
    if head:
        read_head(head)


def rebuild_tables(record: LaboratoryRecord, actor: Actor, at: str) -> int:
    """Make the current tables anew from the log, which stays as it is.

    Returns
    -------
    int
        How many entries the log holds.

    Raises
    ------
    PermissionRefusedError, RecordDamagedError
        Where the person may not, or the log itself is damaged.
    """
    require(actor, "record.move")
    with record.writing(by=actor.key, at=at) as book:
        return rebuild(book)


def show_log(
    record: LaboratoryRecord, actor: Actor, wanted: LogFilter, *, before: int = 0, limit: int = 100
) -> LogPage:
    """Give a page of the log, the newest entry first.

    Raises
    ------
    PermissionRefusedError
        Where the person may not.
    """
    require(actor, "audit.see")
    with record.reading() as reading:
        found = log_entries(reading, wanted, before=before, limit=limit + 1)
        persons = _persons(reading)
        shown = tuple(_shown(reading, entry, persons) for entry in found[:limit])
        older = shown[-1].entry.seq if len(found) > limit else 0
        return LogPage(shown, older, persons, tuple(kinds_in_log(reading)))


def show_key(record: LaboratoryRecord, actor: Actor, key: str) -> tuple[ShownEntry, ...]:
    """Give everything that was kept under one key, the first revision first.

    Raises
    ------
    PermissionRefusedError, RecordNotFoundError
        Where the person may not, or the record holds no such key.
    """
    require(actor, "audit.see")
    with record.reading() as reading:
        kind_of_key(key)
        found = log_entries(reading, LogFilter(key=key), limit=100_000)
        if not found:
            raise RecordNotFoundError(f"the record holds no {key}")
        persons = _persons(reading)
        return tuple(_shown(reading, entry, persons) for entry in reversed(found))


def show_entry(record: LaboratoryRecord, actor: Actor, seq: int) -> ShownEntry:
    """Give one entry of the log.

    Raises
    ------
    PermissionRefusedError, RecordNotFoundError
        Where the person may not, or the log has no such place.
    """
    require(actor, "audit.see")
    with record.reading() as reading:
        entry = entry_at(reading, seq)
        if entry is None:
            raise RecordNotFoundError(f"the log has no entry {seq}")
        return _shown(reading, entry, _persons(reading))


def _persons(reading: Reading) -> dict[str, str]:
    return {ONE_PERSON: one_person().name, **names_of_persons(reading)}


def _shown(reading: Reading, entry: Entry, persons: dict[str, str]) -> ShownEntry:
    before = entry_of(reading, entry.key, entry.revision - 1) if entry.revision > 1 else None
    changes = tuple(changes_between(before.body if before else "{}", entry.body))
    return ShownEntry(entry, persons.get(entry.by, entry.by), changes)


def changes_between(before: str, after: str) -> list[FieldChange]:
    """Give what differs between two bodies, value by value; what was empty and is empty is left out."""
    one, other = (dict(_leaves(json.loads(body), "")) for body in (before, after))
    names = [*other, *(name for name in one if name not in other)]
    return [
        FieldChange(name, one.get(name), other.get(name))
        for name in names
        if one.get(name) != other.get(name) and not (_is_empty(one.get(name)) and _is_empty(other.get(name)))
    ]


def _leaves(content: Any, name: str) -> list[tuple[str, Any]]:
    if isinstance(content, dict):
        parts = [(f"{name}.{key}" if name else key, value) for key, value in content.items()]
    elif isinstance(content, list) and any(isinstance(item, dict | list) for item in content):
        parts = [(f"{name} {number}", value) for number, value in enumerate(content, 1)]
    else:
        return [(name, content)]
    return [leaf for part, value in parts for leaf in _leaves(value, part)]


def _is_empty(value: Any) -> bool:
    return value is None or value == "" or value == [] or value is False
