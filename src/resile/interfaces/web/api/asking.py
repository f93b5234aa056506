"""Who a program asks for, and what is the same for every task of it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Any

from fastapi import Depends, Request, Security, UploadFile
from fastapi.security import HTTPAuthorizationCredentials, HTTPBearer
from pydantic import BaseModel
from starlette.exceptions import HTTPException

from resile.interfaces.web.visit import refuse_foreign_form
from resile.records.reading import HeldFile
from resile.records.register import Actor
from resile.workflows.laboratory.access.tokens import actor_of_token

_BEARER = HTTPBearer(auto_error=False, description="A token made in the workbench.")


class Problem(BaseModel):
    """A refusal (RFC 9457)."""

    type: str
    title: str
    status: int
    detail: str


def _problem(description: str) -> dict[str, Any]:
    return {
        "description": description,
        "content": {"application/problem+json": {"schema": Problem.model_json_schema()}},
    }


PROBLEMS: dict[int | str, dict[str, Any]] = {
    400: _problem("The request cannot be read"),
    401: _problem("A token is needed"),
    403: _problem("The person of the token may not do or see this"),
    404: _problem("There is no such thing"),
    409: _problem("Somebody or something was there first"),
    413: _problem("Too large"),
    422: _problem("Something given cannot be used; the detail says what"),
}


@dataclass(frozen=True, slots=True)
class Asking:
    """One request of a program.

    Attributes
    ----------
    record : LaboratoryRecord
        The record.
    actor : Actor
        For whom it asks.
    at : str
        When, ISO 8601 in UTC.
    """

    record: Any
    actor: Actor
    at: str


def _asking(
    request: Request, token: Annotated[HTTPAuthorizationCredentials | None, Security(_BEARER)]
) -> Asking:
    owner = request.app.state.owner
    request.scope["state"]["no_cookies"] = True
    at = owner.state.clock()
    if token is not None:
        return Asking(owner.state.record, actor_of_token(owner.state.record, token.credentials, at), at)
    actor = _signed_in(request)
    if not actor.key:
        raise HTTPException(401, "send a token made in the workbench", {"www-authenticate": "Bearer"})
    accounts = owner.state.settings.signs_in
    if request.method not in ("GET", "HEAD") and (accounts or _sent_by_a_page(request)):
        refuse_foreign_form(request, {})  # a page of ours sends its form token in the header
    return Asking(owner.state.record, actor, at)


def _sent_by_a_page(request: Request) -> bool:
    """Tell whether a page is behind it: browsers say so themselves, and a page cannot tell them not to."""
    return any(name in request.headers for name in ("origin", "sec-fetch-site"))


def _signed_in(request: Request) -> Actor:
    """Give who has signed in with this browser, or the one person of a laboratory without accounts."""
    owner = request.app.state.owner
    actor: Actor = owner.state.who(Request({**request.scope, "app": owner}))
    return actor


Asked = Annotated[Asking, Depends(_asking)]
"""The argument by which a task learns who asks."""


def held(upload: UploadFile) -> HeldFile:
    """Give an uploaded file."""
    return HeldFile(upload.filename or "file", upload.file.read())
