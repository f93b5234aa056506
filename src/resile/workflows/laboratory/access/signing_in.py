"""Signing in and out, and who a browser belongs to."""

from __future__ import annotations

import hashlib
from datetime import datetime, timedelta

from resile.errors import PermissionRefusedError, SignInNeededError, TooManyAttemptsError
from resile.records.register import Actor, Kept, Person
from resile.storage.access.accounts import (
    KeptSession,
    attempts_since,
    credential_of,
    drop_session,
    find_session,
    forget_attempts,
    keep_session,
    mark_seen,
    note_attempt,
)
from resile.storage.access.tokens import digest_of
from resile.storage.laboratory_record import LaboratoryRecord
from resile.storage.reading import Reading
from resile.workflows.laboratory.access.passwords import fits, sign_in_rule
from resile.workflows.laboratory.access.permissions import ONE_PERSON, actor_of

NOBODY = Actor("", "")
"""Who has not signed in."""
_SEEN_IS_NOTED_EVERY = timedelta(minutes=5)


def sign_in(
    record: LaboratoryRecord, at: str, *, account: str, password: str, place: str, secret: str
) -> Actor:
    """Sign a person in with account and password.

    Parameters
    ----------
    record, at
        The record, and when.
    account, password : str
        As typed.
    place : str
        Where the attempt comes from (network address); failures are counted for it too.
    secret : str
        Fresh secret of the browser's cookie.

    Raises
    ------
    TooManyAttemptsError
        Where too many attempts have failed; says how long to wait.
    SignInNeededError
        Where account and password do not belong together; does not say which of them is wrong.
    """
    account = account.strip().lower()[:80]
    names = _counted_names(account, place)
    with record.reading() as reading:
        _refuse_too_many(reading, names, at)
        found = reading.find(Person, account=account)
        held = credential_of(reading.connection, found[0].key) if found else ""
    right = fits(held, password)
    if not right or not found[0].value.active:
        with record.writing(by=ONE_PERSON, at=at) as book:
            window = timedelta(minutes=sign_in_rule().window_minutes)
            note_attempt(book.connection, tuple(names), at, forget_before=_text(_time(at) - window))
        raise SignInNeededError("name and password do not belong together; mind small and capital letters")
    actor = _begin(record, at, found[0], secret, how="password")
    with record.writing(by=actor.key, at=at) as book:
        forget_attempts(book.connection, next(iter(names)))
    return actor


def sign_in_elsewhere(record: LaboratoryRecord, at: str, *, external: str, secret: str) -> Actor:
    """Sign in a person whom a single sign-on service has recognised.

    Parameters
    ----------
    record, at
        The record, and when.
    external : str
        Issuer and subject, as kept with the person.
    secret : str
        Fresh secret of the browser's cookie.

    Raises
    ------
    PermissionRefusedError
        Where nobody of this laboratory has that account.
    """
    with record.reading() as reading:
        found = reading.find(Person, external=external) if external else []
    if not found:
        raise PermissionRefusedError(
            "you are known to the sign-on service, but nobody here has been given that account; "
            f"ask the administrator to add it: {external}"
        )
    return _begin(record, at, found[0], secret, how="sign-on")


def sign_out(record: LaboratoryRecord, at: str, *, secret: str) -> None:
    """End the session of a browser."""
    with record.writing(by=ONE_PERSON, at=at) as book:
        drop_session(book.connection, digest_of(secret))


def actor_of_session(record: LaboratoryRecord, at: str, *, secret: str, idle_minutes: int) -> Actor:
    """Give who a browser belongs to, or `NOBODY`.

    Parameters
    ----------
    record, at
        The record, and when.
    secret : str
        Secret of the browser's cookie.
    idle_minutes : int
        A session nobody used for so long has ended [min].
    """
    digest = digest_of(secret)
    with record.reading() as reading:
        session = find_session(reading.connection, digest)
        if session is None or _is_over(session, at, idle_minutes):
            return NOBODY
        try:
            actor = actor_of(reading.get(Person, session.person))
        except PermissionRefusedError:
            return NOBODY
    if _time(session.seen) + _SEEN_IS_NOTED_EVERY < _time(at):
        with record.writing(by=actor.key, at=at) as book:
            mark_seen(book.connection, digest, at)
    return actor


def _begin(record: LaboratoryRecord, at: str, person: Kept[Person], secret: str, *, how: str) -> Actor:
    actor = actor_of(person)
    expires = _text(_time(at) + timedelta(hours=sign_in_rule().session_hours))
    with record.writing(by=actor.key, at=at) as book:
        keep_session(book.connection, KeptSession(digest_of(secret), actor.key, at, at, expires, how))
    return actor


def _is_over(session: KeptSession, at: str, idle_minutes: int) -> bool:
    return session.expires <= at or _time(session.seen) + timedelta(minutes=idle_minutes) <= _time(at)


def _counted_names(account: str, place: str) -> dict[str, int]:
    """Give under which names a failed attempt is counted, and how many each may have."""
    allowed = sign_in_rule().failed_attempts
    named = {"account_from_one_place": f"{account}\n{place}", "account": account, "place": place}
    return {
        f"{kind}:{hashlib.sha256(words.encode()).hexdigest()}": allowed[kind] for kind, words in named.items()
    }


def _refuse_too_many(reading: Reading, names: dict[str, int], at: str) -> None:
    window = timedelta(minutes=sign_in_rule().window_minutes)
    for name, allowed in names.items():
        count, first = attempts_since(reading.connection, name, _text(_time(at) - window))
        if count >= allowed:
            wait_s = max(1, round((_time(first) + window - _time(at)).total_seconds()))
            raise TooManyAttemptsError(
                f"too many attempts to sign in have failed; wait {-(-wait_s // 60)} min, then try again",
                wait_s=wait_s,
            )


def _time(text: str) -> datetime:
    return datetime.fromisoformat(text.replace("Z", "+00:00"))


def _text(time: datetime) -> str:
    return time.isoformat(timespec="milliseconds").replace("+00:00", "Z")
