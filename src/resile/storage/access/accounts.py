"""Passwords, invitations, sessions, attempts to sign in: beside the log, so that none is kept for good."""

from __future__ import annotations

from dataclasses import dataclass

from sqlalchemy import Connection, delete, func, insert, select, update

from resile.storage.tables import ATTEMPT, CREDENTIAL, INVITATION, LAST_SIGN_IN, SESSION


@dataclass(frozen=True, slots=True)
class KeptSession:
    """Somebody who is signed in, as the record holds it.

    Attributes
    ----------
    digest : str
        SHA-256 of the secret in the cookie.
    person : str
        Key of the person.
    made, seen, expires : str
        When they signed in, were last here, and are signed out in any case; ISO 8601 in UTC.
    body : str
        How they signed in.
    """

    digest: str
    person: str
    made: str
    seen: str
    expires: str
    body: str


def any_credential(connection: Connection) -> bool:
    """Tell whether anybody has a password."""
    return connection.execute(select(CREDENTIAL.c.person).limit(1)).first() is not None


def credential_of(connection: Connection, person: str) -> str:
    """Give what a person's password is checked against; empty where they have none."""
    return str(
        connection.execute(select(CREDENTIAL.c.secret).where(CREDENTIAL.c.person == person)).scalar() or ""
    )


def keep_credential(connection: Connection, person: str, secret: str, at: str) -> None:
    """Keep what a password is checked against, in place of an older one."""
    connection.execute(delete(CREDENTIAL).where(CREDENTIAL.c.person == person))
    connection.execute(insert(CREDENTIAL), {"person": person, "secret": secret, "changed": at})


def drop_credential(connection: Connection, person: str) -> None:
    """Forget what a person's password was checked against."""
    connection.execute(delete(CREDENTIAL).where(CREDENTIAL.c.person == person))


def people_with_credentials(connection: Connection) -> set[str]:
    """Give the keys of those who have a password."""
    return set(connection.execute(select(CREDENTIAL.c.person)).scalars())


def keep_invitation(connection: Connection, person: str, digest: str, expires: str) -> None:
    """Keep that a person may choose a password, in place of an older invitation."""
    drop_invitation(connection, person)
    connection.execute(insert(INVITATION), {"person": person, "digest": digest, "expires": expires})


def invited_person(connection: Connection, digest: str, at: str) -> str:
    """Give the key of the person an invitation is for; empty where there is none, or it is over."""
    query = select(INVITATION.c.person).where(INVITATION.c.digest == digest, INVITATION.c.expires > at)
    return str(connection.execute(query).scalar() or "")


def open_invitations(connection: Connection, at: str) -> dict[str, str]:
    """Give until when the invitation of each person holds, by their key."""
    query = select(INVITATION.c.person, INVITATION.c.expires).where(INVITATION.c.expires > at)
    return {row.person: row.expires for row in connection.execute(query)}


def drop_invitation(connection: Connection, person: str) -> None:
    """End the invitation of a person."""
    connection.execute(delete(INVITATION).where(INVITATION.c.person == person))


def last_sign_ins(connection: Connection) -> dict[str, str]:
    """Give when each person last signed in, by their key."""
    return {row.person: row.at for row in connection.execute(select(LAST_SIGN_IN))}


def keep_session(connection: Connection, session: KeptSession) -> None:
    """Keep that somebody is signed in, and forget sessions that are over."""
    connection.execute(delete(SESSION).where(SESSION.c.expires <= session.made))
    connection.execute(
        insert(SESSION),
        {
            "digest": session.digest, "person": session.person, "made": session.made,
            "seen": session.seen, "expires": session.expires, "body": session.body,
        },
    )  # fmt: skip
    connection.execute(delete(LAST_SIGN_IN).where(LAST_SIGN_IN.c.person == session.person))
    connection.execute(insert(LAST_SIGN_IN), {"person": session.person, "at": session.made})


def find_session(connection: Connection, digest: str) -> KeptSession | None:
    """Give a session by the digest of its secret."""
    row = connection.execute(select(SESSION).where(SESSION.c.digest == digest)).one_or_none()
    return KeptSession(**row._mapping) if row else None


def mark_seen(connection: Connection, digest: str, at: str) -> None:
    """Note that somebody was here."""
    connection.execute(update(SESSION).where(SESSION.c.digest == digest).values(seen=at))


def drop_session(connection: Connection, digest: str) -> None:
    """End a session."""
    connection.execute(delete(SESSION).where(SESSION.c.digest == digest))


def drop_sessions_of(connection: Connection, person: str, *, but: str = "") -> None:
    """End the sessions of a person, all but one."""
    connection.execute(delete(SESSION).where(SESSION.c.person == person, SESSION.c.digest != but))


def note_attempt(connection: Connection, names: tuple[str, ...], at: str, *, forget_before: str) -> None:
    """Note a failed attempt under each name, and forget what is too old to count."""
    connection.execute(delete(ATTEMPT).where(ATTEMPT.c.at < forget_before))
    connection.execute(insert(ATTEMPT), [{"what": name, "at": at} for name in names])


def forget_attempts(connection: Connection, name: str) -> None:
    """Forget the attempts under a name."""
    connection.execute(delete(ATTEMPT).where(ATTEMPT.c.what == name))


def attempts_since(connection: Connection, name: str, since: str) -> tuple[int, str]:
    """Give how many attempts failed under a name since a time, and when the first of them was."""
    query = select(func.count(), func.min(ATTEMPT.c.at)).where(ATTEMPT.c.what == name, ATTEMPT.c.at >= since)
    count, first = connection.execute(query).one()
    return int(count), str(first or "")
