"""People: who works with the record, their roles and invitations; choosing a password by invitation."""

from __future__ import annotations

from typing import Any

from starlette.responses import Response

from resile.errors import RecordNotFoundError, ResileError
from resile.interfaces.web.pages.access.accounts import refuse_mistyped
from resile.interfaces.web.visit import Visit, get, post
from resile.records.register import Person
from resile.workflows.laboratory.access.inviting import (
    accept_invitation,
    customers_to_choose,
    invite,
    invited,
    list_people,
    person_line,
)
from resile.workflows.laboratory.access.passwords import sign_in_rule
from resile.workflows.laboratory.access.people import change_person, make_person, see_person
from resile.workflows.laboratory.access.permissions import permissions, roles
from resile.workflows.laboratory.bench.hand_numbers import revision_seen


def people(visit: Visit, refusal: ResileError | None = None) -> Response:
    """List everybody; a laboratory of one person is told how to begin with accounts."""
    lines = list_people(visit.record, visit.actor, visit.at)
    values = {"lines": lines, **_choices(visit)}
    if refusal is not None:
        return visit.again("people/people.html.j2", refusal, **values)
    return visit.show("people/people.html.j2", **values)


def add(visit: Visit) -> Response:
    """Add a person and show their invitation once."""
    _refuse_without_accounts(visit)
    try:
        kept = make_person(
            visit.record,
            visit.actor,
            visit.at,
            name=visit.text("name"),
            account=visit.text("account"),
            roles=visit.texts("roles"),
            customer=visit.text("customer"),
            external=visit.text("external"),
        )
    except ResileError as error:
        return people(visit, error)
    return _invitation(visit, kept.key)


def person(visit: Visit, refusal: ResileError | None = None) -> Response:
    """Show one person."""
    key = visit.path("key")
    line = person_line(visit.record, visit.actor, visit.at, key)
    values = {"line": line, "changes": see_person(visit.record, visit.actor, key), **_choices(visit)}
    if refusal is not None:
        return visit.again("people/person.html.j2", refusal, **values)
    return visit.show("people/person.html.j2", **values)


def change(visit: Visit) -> Response:
    """Change name, roles or customer."""
    key = visit.path("key")
    try:
        kept = change_person(
            visit.record,
            visit.actor,
            visit.at,
            key,
            seen=revision_seen(visit.text("seen")),
            reason=visit.text("reason"),
            name=visit.text("name"),
            roles=visit.texts("roles"),
            customer=visit.text("customer"),
            external=visit.text("external"),
        )
    except ResileError as error:
        return person(visit, error)
    return visit.go(f"/people/{key}", said=f"{kept.value.name}: the change is kept, and holds at once.")


def access(visit: Visit) -> Response:
    """End a person's access, or give it back."""
    key, active = visit.path("key"), visit.text("active") == "yes"
    now: Person = person_line(visit.record, visit.actor, visit.at, key).kept.value
    try:
        change_person(
            visit.record,
            visit.actor,
            visit.at,
            key,
            seen=revision_seen(visit.text("seen")),
            reason=visit.text("access_reason"),
            name=now.name,
            roles=now.roles,
            customer=now.customer,
            active=active,
        )
    except ResileError as error:
        return person(visit, error)
    said = "may come in again; make an invitation" if active else "is out, with every program of theirs"
    return visit.go(f"/people/{key}", said=f"{now.name} {said}.")


def make_invitation(visit: Visit) -> Response:
    """Invite a person to choose a new password."""
    _refuse_without_accounts(visit)
    try:
        return _invitation(visit, visit.path("key"))
    except ResileError as error:
        return person(visit, error)


def show_invited(visit: Visit) -> Response:
    """Ask the invited person for a password of their own."""
    _refuse_without_accounts(visit)
    found = invited(visit.record, visit.at, visit.path("secret"))
    return visit.show("people/invited.html.j2", person=found.value, rule=sign_in_rule())


def accept(visit: Visit) -> Response:
    """Keep the password that was chosen."""
    _refuse_without_accounts(visit)
    secret = visit.path("secret")
    found = invited(visit.record, visit.at, secret)
    try:
        refuse_mistyped(visit.secret_text("password"), visit.secret_text("again"))
        accept_invitation(visit.record, visit.at, secret, visit.secret_text("password"))
    except ResileError as error:
        return visit.again("people/invited.html.j2", error, person=found.value, rule=sign_in_rule())
    said = f"Your password is kept. Sign in as {found.value.account}."
    return visit.go("/sign-in", said=said)


def _invitation(visit: Visit, key: str) -> Response:
    made = invite(visit.record, visit.actor, visit.at, key)
    base = visit.settings.address or str(visit.request.base_url)
    link = f"{base.rstrip('/')}/invitation/{made.secret}"
    return visit.show("people/invitation.html.j2", made=made, link=link)


def _choices(visit: Visit) -> dict[str, Any]:
    customers = customers_to_choose(visit.record, visit.actor)
    return {"roles": roles(), "permissions": permissions(), "customers": customers}


def _refuse_without_accounts(visit: Visit) -> None:
    if not visit.settings.signs_in:
        raise RecordNotFoundError(
            "this workbench was started for one person, without accounts; "
            "start it with: resile serve --sign-in"
        )


routes = [
    get("/people", people),
    post("/people", add),
    get("/people/{key}", person),
    post("/people/{key}", change),
    post("/people/{key}/access", access),
    post("/people/{key}/invitation", make_invitation),
    get("/invitation/{secret}", show_invited, open_to_all=True),
    post("/invitation/{secret}", accept, open_to_all=True),
]
