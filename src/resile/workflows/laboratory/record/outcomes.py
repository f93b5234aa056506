"""What went through the whole record last, in this process: verifying it, recomputing its results.

It is not kept in the record: looking changes nothing, and after a new start it is done again.
"""

from __future__ import annotations

import threading
from dataclasses import dataclass
from typing import Generic, TypeVar

from resile.records.register import Actor
from resile.workflows.laboratory.access.permissions import require

T = TypeVar("T")
_lock = threading.Lock()
_last: dict[tuple[str, type], Outcome[object]] = {}


@dataclass(frozen=True, slots=True)
class Outcome(Generic[T]):
    """What was found, by whom and when.

    Attributes
    ----------
    by : str
        Name of the person who asked.
    at : str
        When it was asked (ISO 8601 in UTC).
    found : object
        What was found.
    """

    by: str
    at: str
    found: T


def keep_outcome(where: str, actor: Actor, at: str, found: object) -> None:
    """Remember the last outcome of its kind on a record, until this process ends."""
    with _lock:
        _last[where, type(found)] = Outcome(actor.name, at, found)


def last_outcome(where: str, actor: Actor, kind: type[T]) -> Outcome[T] | None:
    """Give the last outcome of a kind on a record; None where there is none in this process.

    Raises
    ------
    PermissionRefusedError
        Where the person may not see the log.
    """
    require(actor, "audit.see")
    with _lock:
        found = _last.get((where, kind))
    return (
        None
        if found is None or not isinstance(found.found, kind)
        else Outcome(found.by, found.at, found.found)
    )
