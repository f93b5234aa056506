"""People: adding them, their roles, their passwords, ending their access."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace

from resile.errors import ConflictError, InputError, PermissionRefusedError
from resile.records.register import Actor, Kept, Person
from resile.storage.access.accounts import (
    any_credential,
    credential_of,
    drop_credential,
    drop_invitation,
    drop_sessions_of,
    keep_credential,
    people_with_credentials,
)
from resile.storage.access.tokens import digest_of, drop_tokens_of
from resile.storage.book import Book
from resile.storage.laboratory_record import LaboratoryRecord
from resile.workflows.laboratory.access.passwords import fits, password_secret
from resile.workflows.laboratory.access.permissions import ONE_PERSON, require, roles
from resile.workflows.laboratory.record.told_changes import ToldChange, told_changes

_ACCOUNT = re.compile(r"[a-z0-9][a-z0-9._@+-]{0,79}")
_OF_THE_FIRST = tuple(name for name in ("administrator", "manager", "specialist", "releaser", "technician"))


def has_accounts(record: LaboratoryRecord) -> bool:
    """Tell whether anybody can sign in."""
    with record.reading() as reading:
        return any_credential(reading.connection)


def make_first_person(
    record: LaboratoryRecord, at: str, *, name: str, account: str, password: str
) -> Kept[Person]:
    """Make the first account of a laboratory; it may do everything and can give the others their roles.

    Raises
    ------
    ConflictError
        Where there is an account already.
    InputError
        Where name, account or password cannot be used.
    """
    person = Person(name=_name(name), account=account_name(account), roles=_OF_THE_FIRST)
    secret = password_secret(password, account=person.account)
    with record.writing(by=ONE_PERSON, at=at) as book:
        if any_credential(book.connection):
            raise ConflictError("there is an account already; sign in, or ask the administrator for one")
        kept = book.keep(person)
        keep_credential(book.connection, kept.key, secret, at)
    return kept


def make_person(
    record: LaboratoryRecord,
    actor: Actor,
    at: str,
    *,
    name: str,
    account: str,
    roles: Sequence[str],
    customer: str = "",
    password: str = "",
    external: str = "",
) -> Kept[Person]:
    """Add a person.

    Parameters
    ----------
    record, actor, at
        The record, who asks and when.
    name, account : str
        As on statements, and to sign in with.
    roles : sequence of str
        Names of roles.
    customer : str
        Key of the customer whose samples alone they may see, for a role that asks for it.
    password : str
        To begin with; empty for a person who signs in elsewhere, or not at all.
    external : str
        Issuer and subject of a single sign-on account.

    Raises
    ------
    PermissionRefusedError, InputError, ConflictError
        Where the actor may not, something cannot be used, or the account is taken.
    """
    require(actor, "people.write")
    known = _roles(roles, customer)
    customer = customer if _of_one_customer(known) else ""
    person = Person(
        name=_name(name), account=account_name(account), roles=known, customer=customer, external=external
    )
    secret = password_secret(password, account=person.account) if password else ""
    with record.writing(by=actor.key, at=at) as book:
        kept = book.keep(person)
        if secret:
            keep_credential(book.connection, kept.key, secret, at)
    return kept


def change_person(
    record: LaboratoryRecord,
    actor: Actor,
    at: str,
    key: str,
    *,
    seen: int,
    reason: str,
    name: str,
    roles: Sequence[str],
    customer: str = "",
    active: bool = True,
    external: str | None = None,
) -> Kept[Person]:
    """Give a person another name, other roles, or end their access; the reason stays in the log.

    Whoever's access has ended is out at once, with every program of theirs; given back, it takes a new
    invitation.

    Parameters
    ----------
    record, actor, at
        The record, who asks and when.
    key : str
        Key of the person.
    seen : int
        Revision that the actor saw.
    reason : str
        Why.
    name, roles, customer
        As in `make_person`.
    active : bool
        False ends their access; a person is never deleted.
    external : str or None
        Issuer and subject of a single sign-on account; None leaves it as it is.

    Raises
    ------
    PermissionRefusedError
        Where the actor may not, or nobody would be left who may look after people and can sign in.
    InputError, ConflictError
        Where something cannot be used, or somebody else changed the person in between.
    """
    require(actor, "people.write")
    known = _roles(roles, customer)
    customer = customer if _of_one_customer(known) else ""
    with record.writing(by=actor.key, at=at) as book:
        person = book.get(Person, key).value
        signs_on = person.external if external is None else external.strip()
        changed = replace(
            person, name=_name(name), roles=known, customer=customer, active=active, external=signs_on
        )
        _refuse_last(book, key, person, changed)
        kept = book.keep(changed, key=key, seen=seen, reason=reason)
        if not active:
            _shut_out(book, key)
    return kept


def change_own_password(
    record: LaboratoryRecord, actor: Actor, at: str, *, old: str, new: str, secret: str = ""
) -> None:
    """Change the password of the person who asks; all their sessions end but the one with this secret.

    Raises
    ------
    PermissionRefusedError
        Where the old password is not the right one.
    InputError
        Where the new one cannot be used.
    """
    with record.reading() as reading:
        account = reading.get(Person, actor.key).value.account
        held = credential_of(reading.connection, actor.key)
    if not fits(held, old):
        raise PermissionRefusedError("the old password is not the right one; nothing was changed")
    _keep_password(record, actor, at, actor.key, password_secret(new, account=account), but=digest_of(secret))


def see_person(record: LaboratoryRecord, actor: Actor, key: str) -> tuple[ToldChange, ...]:
    """Give what became of a person, revision by revision, the newest first.

    Raises
    ------
    PermissionRefusedError, RecordNotFoundError
        Where the actor may not, or there is none such.
    """
    require(actor, "people.write")
    with record.reading() as reading:
        return told_changes(reading, Person, key)


def account_name(text: str) -> str:
    """Give the name of an account as it is kept: in small letters.

    Raises
    ------
    InputError
        Where it holds other signs than letters, digits and . _ @ + -
    """
    name = text.strip().lower()
    if not _ACCOUNT.fullmatch(name):
        raise InputError(
            f"account '{text.strip()[:40]}': a name to sign in with has letters a to z, digits "
            "and . _ @ + -, for example an e-mail address"
        )
    return name


def _keep_password(
    record: LaboratoryRecord, actor: Actor, at: str, key: str, secret: str, *, but: str = ""
) -> None:
    with record.writing(by=actor.key, at=at) as book:
        keep_credential(book.connection, key, secret, at)
        drop_sessions_of(book.connection, key, but=but)


def _name(text: str) -> str:
    name = " ".join(text.split())
    if not name or len(name) > 120:
        raise InputError("a person needs a name of up to 120 characters, as it stands on statements")
    return name


def _looks_after_people(person: Person) -> bool:
    return person.active and any("people.write" in roles()[name].may for name in person.roles)


def _refuse_last(book: Book, key: str, before: Person, after: Person) -> None:
    """Refuse to take from the last person who can what lets people be looked after."""
    if not _looks_after_people(before) or _looks_after_people(after):
        return
    able = people_with_credentials(book.connection)
    others = (kept for kept in book.find(Person, active=True) if kept.key != key)
    if any(_looks_after_people(kept.value) and (kept.key in able or kept.value.external) for kept in others):
        return
    raise PermissionRefusedError(
        f"{before.name} is the last person who can look after people here; let another person with the role "
        f"{_titles_that_may('people.write')} sign in first, then change this one; nothing was changed"
    )


def _titles_that_may(permission: str) -> str:
    return " or ".join(role.title for role in roles().values() if permission in role.may)


def _shut_out(book: Book, key: str) -> None:
    """End at once all by which a person or their programs come in; their password is forgotten."""
    drop_sessions_of(book.connection, key)
    drop_tokens_of(book.connection, key)
    drop_invitation(book.connection, key)
    drop_credential(book.connection, key)


def _of_one_customer(names: Sequence[str]) -> bool:
    return any(roles()[name].of_one_customer for name in names)


def _roles(names: Sequence[str], customer: str) -> tuple[str, ...]:
    unknown = [name for name in names if name not in roles()]
    if unknown or not names:
        raise InputError(
            f"{'role ' + repr(unknown[0]) + ' is not known' if unknown else 'a person needs a role'}; "
            f"there are: {', '.join(roles())}"
        )
    if _of_one_customer(names) and not customer:
        raise InputError("say which customer's samples this person may see")
    return tuple(dict.fromkeys(names))
