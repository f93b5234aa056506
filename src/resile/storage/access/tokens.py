"""Tokens by which programs sign in: only their digest is kept."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass

from sqlalchemy import Connection, delete, insert, select, update

from resile.storage.tables import TOKEN


@dataclass(frozen=True, slots=True)
class KeptToken:
    """A token as the record holds it.

    Attributes
    ----------
    digest : str
        SHA-256 of the secret; names the token without giving it away.
    person : str
        Key of the person on whose behalf it acts.
    name : str
        What it is for, in that person's words.
    made, expires, used : str
        When it was made, until when it holds, when it was last used (empty: never); ISO 8601 in UTC.
    """

    digest: str
    person: str
    name: str
    made: str
    expires: str
    used: str


def digest_of(secret: str) -> str:
    """Give the digest a secret is kept under."""
    return hashlib.sha256(secret.encode()).hexdigest()


def keep_token(connection: Connection, token: KeptToken) -> None:
    """Keep a token."""
    connection.execute(
        insert(TOKEN),
        {
            "digest": token.digest, "person": token.person, "name": token.name,
            "made": token.made, "expires": token.expires, "used": token.used,
        },
    )  # fmt: skip


def find_token(connection: Connection, digest: str) -> KeptToken | None:
    """Give a token by its digest."""
    row = connection.execute(select(TOKEN).where(TOKEN.c.digest == digest)).one_or_none()
    return KeptToken(**row._mapping) if row else None


def tokens_of(connection: Connection, person: str) -> list[KeptToken]:
    """Give the tokens of a person, the newest first."""
    query = select(TOKEN).where(TOKEN.c.person == person).order_by(TOKEN.c.made.desc(), TOKEN.c.digest)
    return [KeptToken(**row._mapping) for row in connection.execute(query)]


def mark_used(connection: Connection, digest: str, at: str) -> None:
    """Note when a token was last used."""
    connection.execute(update(TOKEN).where(TOKEN.c.digest == digest).values(used=at))


def drop_token(connection: Connection, person: str, digest: str) -> bool:
    """End a token of a person; False where they have none such."""
    gone = connection.execute(delete(TOKEN).where(TOKEN.c.person == person, TOKEN.c.digest == digest))
    return bool(gone.rowcount)


def drop_tokens_of(connection: Connection, person: str) -> None:
    """End every token of a person."""
    connection.execute(delete(TOKEN).where(TOKEN.c.person == person))
