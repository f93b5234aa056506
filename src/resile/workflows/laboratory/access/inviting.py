"""Who works here, and the invitations by which they choose their own password."""

from __future__ import annotations

import secrets
from dataclasses import dataclass
from datetime import datetime, timedelta

from resile.errors import InputError, RecordNotFoundError
from resile.records.register import Actor, Customer, Kept, Person
from resile.storage.access.accounts import (
    drop_invitation,
    drop_sessions_of,
    invited_person,
    keep_credential,
    keep_invitation,
    last_sign_ins,
    open_invitations,
    people_with_credentials,
)
from resile.storage.access.tokens import digest_of
from resile.storage.laboratory_record import LaboratoryRecord
from resile.storage.lists.samples import names_of
from resile.storage.reading import Reading
from resile.workflows.laboratory.access.passwords import password_secret, sign_in_rule
from resile.workflows.laboratory.access.permissions import require, roles

_GONE = "this invitation is not known, was used, or is over; ask whoever looks after people for a new one"


@dataclass(frozen=True, slots=True)
class PersonLine:
    """A person in the list.

    Attributes
    ----------
    kept : Kept of Person
        As the record holds them.
    titles : tuple of str
        Their roles, in words.
    customer : str
        Name of the customer whose samples alone they see; empty for all.
    signed_in : str
        When they last signed in; empty where they never did.
    invited_until : str
        Until when an invitation waits to be used; empty where none does.
    has_password : bool
        True where they have chosen one.
    """

    kept: Kept[Person]
    titles: tuple[str, ...]
    customer: str
    signed_in: str
    invited_until: str
    has_password: bool


@dataclass(frozen=True, slots=True)
class Invitation:
    """An invitation just made; the secret is shown once and kept nowhere.

    Attributes
    ----------
    secret : str
        Part of the address at which the password is chosen.
    person : Kept of Person
        Whom it is for.
    expires : str
        Until when it holds, ISO 8601 in UTC.
    """

    secret: str
    person: Kept[Person]
    expires: str


def list_people(record: LaboratoryRecord, actor: Actor, at: str) -> list[PersonLine]:
    """Give everybody, those with access first, by name.

    Raises
    ------
    PermissionRefusedError
        Where the actor may not look after people.
    """
    require(actor, "people.write")
    with record.reading() as reading:
        found = sorted(reading.find(Person, order="name"), key=lambda kept: not kept.value.active)
        return _lines(reading, found, at)


def person_line(record: LaboratoryRecord, actor: Actor, at: str, key: str) -> PersonLine:
    """Give one person as in the list.

    Raises
    ------
    PermissionRefusedError, RecordNotFoundError
        Where the actor may not, or there is none such.
    """
    require(actor, "people.write")
    with record.reading() as reading:
        return _lines(reading, [reading.get(Person, key)], at)[0]


def customers_to_choose(record: LaboratoryRecord, actor: Actor) -> list[tuple[str, str]]:
    """Give key and name of the customers, for a person who may see the samples of one alone.

    Raises
    ------
    PermissionRefusedError
        Where the actor may not look after people.
    """
    require(actor, "people.write")
    with record.reading() as reading:
        return names_of(reading, "customer", limit=5000)


def invite(record: LaboratoryRecord, actor: Actor, at: str, key: str) -> Invitation:
    """Invite a person to choose a password: a new one, or one in place of a forgotten one.

    Parameters
    ----------
    record, actor, at
        The record, who asks and when.
    key : str
        Key of the person.

    Returns
    -------
    Invitation
        An older one for this person holds no more; the password now stands until a new one is chosen.

    Raises
    ------
    PermissionRefusedError, RecordNotFoundError
        Where the actor may not, or there is none such.
    InputError
        Where their access has ended.
    """
    require(actor, "people.write")
    secret = secrets.token_urlsafe(32)
    until = datetime.fromisoformat(at.replace("Z", "+00:00")) + timedelta(
        hours=sign_in_rule().invitation_hours
    )
    expires = until.isoformat(timespec="milliseconds").replace("+00:00", "Z")
    with record.writing(by=actor.key, at=at) as book:
        person = book.get(Person, key)
        if not person.value.active:
            raise InputError(
                f"the access of {person.value.name} has ended; give it back first, with a reason"
            )
        keep_invitation(book.connection, key, digest_of(secret), expires)
    return Invitation(secret, person, expires)


def invited(record: LaboratoryRecord, at: str, secret: str) -> Kept[Person]:
    """Give whom an invitation is for.

    Raises
    ------
    RecordNotFoundError
        Where it is not known, was used, or is over.
    """
    with record.reading() as reading:
        return _invited(reading, at, secret)


def accept_invitation(record: LaboratoryRecord, at: str, secret: str, password: str) -> Kept[Person]:
    """Keep the password a person has chosen; the invitation is used up, and all their sessions end.

    Parameters
    ----------
    record, at
        The record, and when.
    secret : str
        As it stands in the address.
    password : str
        As typed.

    Raises
    ------
    RecordNotFoundError
        Where the invitation is not known, was used, or is over.
    InputError
        Where the password cannot be used; the invitation still holds.
    """
    found = invited(record, at, secret)
    kept_secret = password_secret(password, account=found.value.account)
    with record.writing(by=found.key, at=at) as book:
        person = _invited(book, at, secret)  # of two who send it at once, the second finds it used
        drop_invitation(book.connection, person.key)
        keep_credential(book.connection, person.key, kept_secret, at)
        drop_sessions_of(book.connection, person.key)
    return person


def _invited(reading: Reading, at: str, secret: str) -> Kept[Person]:
    key = invited_person(reading.connection, digest_of(secret), at)
    person = reading.get(Person, key) if key else None
    if person is None or not person.value.active:
        raise RecordNotFoundError(_GONE)
    return person


def _lines(reading: Reading, found: list[Kept[Person]], at: str) -> list[PersonLine]:
    signed_in, waiting = last_sign_ins(reading.connection), open_invitations(reading.connection, at)
    able = people_with_credentials(reading.connection)
    wanted = [kept.value.customer for kept in found if kept.value.customer]
    names = {one.key: one.value.name for one in reading.find(Customer, key=wanted)} if wanted else {}
    return [
        PersonLine(
            kept,
            tuple(roles()[name].title if name in roles() else name for name in kept.value.roles),
            names.get(kept.value.customer, kept.value.customer),
            signed_in.get(kept.key, ""),
            waiting.get(kept.key, ""),
            kept.key in able,
        )
        for kept in found
    ]
