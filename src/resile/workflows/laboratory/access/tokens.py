"""Tokens: how a program signs in on behalf of a person, with what that person may do and no more."""

from __future__ import annotations

import secrets
from dataclasses import dataclass
from datetime import datetime, timedelta

from resile.errors import InputError, PermissionRefusedError, RecordNotFoundError
from resile.records.register import Actor, Person
from resile.storage.access.tokens import (
    KeptToken,
    digest_of,
    drop_token,
    find_token,
    keep_token,
    mark_used,
    tokens_of,
)
from resile.storage.laboratory_record import LaboratoryRecord
from resile.workflows.laboratory.access.permissions import ONE_PERSON, actor_of, one_person

LONGEST_DAYS = 366
_MARK = "resile_"
"""What every token begins with, so that one that leaks can be recognised."""
_USE_IS_NOTED_EVERY = timedelta(minutes=10)


@dataclass(frozen=True, slots=True)
class NewToken:
    """A token just made; the secret is shown once and kept nowhere.

    Attributes
    ----------
    secret : str
        What the program sends.
    kept : KeptToken
        What the record holds of it.
    """

    secret: str
    kept: KeptToken


def make_token(record: LaboratoryRecord, actor: Actor, at: str, *, name: str, days: int = 90) -> NewToken:
    """Make a token for a program of the person who asks.

    Parameters
    ----------
    record, actor, at
        The record, who asks and when.
    name : str
        What it is for.
    days : int
        How long it holds, at most `LONGEST_DAYS`.

    Raises
    ------
    InputError
        Where it has no name, or would hold too long.
    """
    if not name.strip():
        raise InputError("a token needs a name that says what it is for")
    if not 1 <= days <= LONGEST_DAYS:
        raise InputError(f"a token holds for 1 to {LONGEST_DAYS} days; asked for: {days}")
    secret = _MARK + secrets.token_urlsafe(32)
    expires = _text(_time(at) + timedelta(days=days))
    kept = KeptToken(digest_of(secret), actor.key, name.strip()[:120], at, expires, "")
    with record.writing(by=actor.key, at=at) as book:
        keep_token(book.connection, kept)
    return NewToken(secret, kept)


def list_tokens(record: LaboratoryRecord, actor: Actor) -> list[KeptToken]:
    """Give the tokens of the person who asks, the newest first."""
    with record.reading() as reading:
        return tokens_of(reading.connection, actor.key)


def end_token(record: LaboratoryRecord, actor: Actor, at: str, digest: str) -> None:
    """End a token of the person who asks.

    Raises
    ------
    RecordNotFoundError
        Where they have none such.
    """
    with record.writing(by=actor.key, at=at) as book:
        if not drop_token(book.connection, actor.key, digest):
            raise RecordNotFoundError("you have no such token; it may have been ended already")


def actor_of_token(record: LaboratoryRecord, secret: str, at: str) -> Actor:
    """Give who a program acts for.

    Raises
    ------
    PermissionRefusedError
        Where the token is unknown or has expired, or its person's access has ended.
    """
    digest = digest_of(secret)
    with record.reading() as reading:
        kept = find_token(reading.connection, digest)
        if kept is None or kept.expires <= at:
            raise PermissionRefusedError(
                "this token is not known, or has expired; make a new one in the workbench"
            )
        actor = one_person() if kept.person == ONE_PERSON else actor_of(reading.get(Person, kept.person))
    if not kept.used or _time(kept.used) + _USE_IS_NOTED_EVERY < _time(at):
        with record.writing(by=actor.key, at=at) as book:
            mark_used(book.connection, digest, at)
    return actor


def _time(text: str) -> datetime:
    return datetime.fromisoformat(text.replace("Z", "+00:00"))


def _text(time: datetime) -> str:
    return time.isoformat(timespec="milliseconds").replace("+00:00", "Z")
