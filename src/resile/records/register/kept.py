"""What the record says of a noun it keeps: key, revision, who, when, why."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Generic, TypeVar

Noun = TypeVar("Noun")


@dataclass(frozen=True, slots=True)
class Kept(Generic[Noun]):
    """A noun as the record holds it at one revision.

    Attributes
    ----------
    value : object
        The noun.
    key : str
        Its key, for example ``S-000012``; never changes, never used again.
    revision : int
        1 for the first; a correction is the next.
    seq : int
        Place of the entry in the log of the record.
    at : str
        When it was kept, ISO 8601 in UTC.
    by : str
        Key of the person who kept it.
    reason : str
        Why it was corrected; empty for a first revision.
    """

    value: Noun
    key: str
    revision: int
    seq: int
    at: str
    by: str
    reason: str = ""


@dataclass(frozen=True, slots=True)
class Entry:
    """One link of the log, as stored.

    Attributes
    ----------
    seq : int
        Place in the log, from 1, without a gap.
    at, by, reason : str
        When (UTC), by whom and why.
    kind, key, revision
        Which noun, and which revision of it.
    body : str
        The noun as canonical JSON.
    previous, hash : str
        SHA-256 of the entry before, and of this one.
    """

    seq: int
    at: str
    by: str
    kind: str
    key: str
    revision: int
    reason: str
    body: str
    previous: str
    hash: str
