"""The first account, signing in and out, one's own password."""

from __future__ import annotations

import secrets

from starlette.responses import Response

from resile.errors import InputError, PermissionRefusedError, RecordNotFoundError, ResileError
from resile.interfaces.web.visit import Visit, get, own_address, post
from resile.interfaces.web.visitor import new_secret
from resile.workflows.laboratory.access.passwords import sign_in_rule
from resile.workflows.laboratory.access.people import change_own_password, has_accounts, make_first_person
from resile.workflows.laboratory.access.signing_in import sign_in, sign_out


def show_sign_in(visit: Visit) -> Response:
    """Ask for name and password, or lead to where the first account is made."""
    if not visit.settings.signs_in or visit.known:
        return visit.go(visit.text("to", "/"))
    if not has_accounts(visit.record):
        return visit.go("/set-up")
    return visit.show("sign-in.html.j2")


def do_sign_in(visit: Visit) -> Response:
    """Sign in and lead on."""
    fresh = new_secret()
    try:
        sign_in(
            visit.record,
            visit.at,
            account=visit.text("account"),
            password=visit.secret_text("password"),
            place=visit.place,
            secret=fresh,
        )
    except ResileError as error:
        return visit.again("sign-in.html.j2", error)
    visit.visitor.renew(fresh)
    return visit.go(own_address(visit.text("to", "/")))


def do_sign_out(visit: Visit) -> Response:
    """End the session."""
    sign_out(visit.record, visit.at, secret=visit.visitor.secret)
    visit.visitor.renew(new_secret())
    return visit.go("/sign-in", said="You are signed out.")


def show_set_up(visit: Visit) -> Response:
    """Ask for the first account."""
    _refuse_second_set_up(visit)
    return visit.show("set-up.html.j2", rule=sign_in_rule())


def do_set_up(visit: Visit) -> Response:
    """Make the first account and sign in with it."""
    _refuse_second_set_up(visit)
    code, fresh = visit.settings.set_up_code, new_secret()
    account, password = visit.text("account"), visit.secret_text("password")
    try:
        if code and not secrets.compare_digest(visit.text("code").encode(), code.encode()):
            raise PermissionRefusedError(
                "the code is not the one shown in the terminal where the workbench was started"
            )
        refuse_mistyped(password, visit.secret_text("again"))
        make_first_person(visit.record, visit.at, name=visit.text("name"), account=account, password=password)
    except ResileError as error:
        return visit.again("set-up.html.j2", error, rule=sign_in_rule())
    sign_in(visit.record, visit.at, account=account, password=password, place=visit.place, secret=fresh)
    visit.visitor.renew(fresh)
    return visit.go("/", said="The first account is made, and you are signed in.")


def show_account(visit: Visit) -> Response:
    """Show who one is and offer to change the password."""
    _refuse_without_accounts(visit)
    return visit.show("account.html.j2", rule=sign_in_rule())


def change_password(visit: Visit) -> Response:
    """Change one's own password."""
    _refuse_without_accounts(visit)
    try:
        refuse_mistyped(visit.secret_text("new"), visit.secret_text("again"))
        change_own_password(
            visit.record,
            visit.actor,
            visit.at,
            old=visit.secret_text("old"),
            new=visit.secret_text("new"),
            secret=visit.visitor.secret,
        )
    except ResileError as error:
        return visit.again("account.html.j2", error, rule=sign_in_rule())
    return visit.go("/account", said="Your password is changed; you are signed out everywhere else.")


def refuse_mistyped(password: str, again: str) -> None:
    """Refuse a new password that was not typed the same way twice."""
    if password != again:
        raise InputError("the two passwords differ; type the new one twice the same way")


def _refuse_second_set_up(visit: Visit) -> None:
    if not visit.settings.signs_in:
        raise RecordNotFoundError(
            "this workbench was started for one person, without accounts; "
            "start it with: resile serve --sign-in"
        )
    if has_accounts(visit.record):
        raise RecordNotFoundError("the first account is made already; sign in with it")


def _refuse_without_accounts(visit: Visit) -> None:
    if not visit.settings.signs_in:
        raise RecordNotFoundError("this workbench was started for one person, without accounts")


routes = [
    get("/sign-in", show_sign_in, open_to_all=True),
    post("/sign-in", do_sign_in, open_to_all=True),
    post("/sign-out", do_sign_out, open_to_all=True),
    get("/set-up", show_set_up, open_to_all=True),
    post("/set-up", do_set_up, open_to_all=True),
    get("/account", show_account),
    post("/account", change_password),
]
