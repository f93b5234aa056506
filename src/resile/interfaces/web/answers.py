"""What a refusal looks like: a page with one sentence, or a problem document for a program (RFC 9457)."""

from __future__ import annotations

import logging
from collections.abc import Callable, Mapping
from typing import Any

from starlette.datastructures import FormData
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import HTMLResponse, JSONResponse, Response

from resile.errors import ResileError, TooManyAttemptsError, answer_for
from resile.interfaces.web.headers import protect
from resile.interfaces.web.rendering import render
from resile.interfaces.web.visit import STALE_FORM, Visit, sentence
from resile.records.register import Actor

_LOG = logging.getLogger("resile.workbench")
TITLES: dict[int, tuple[str, str]] = {
    400: ("This cannot be read", "Go back, load the page again and try once more."),
    401: ("Please sign in", "After that, send it again."),
    403: ("This is not open to you", "Someone who manages people here can change what you may do."),
    404: ("There is no such page", "It may have been typed wrongly. The menu leads to all there is."),
    405: ("This cannot be done here", "Go back, load the page again and try once more."),
    409: ("Somebody was faster", "Load the page again to see what has changed; nothing was overwritten."),
    413: ("This is too large", "Send fewer or smaller files, or a part of the record."),
    421: ("Wrong address", "Use the address that was shown when the workbench was started."),
    422: ("This cannot be used", "Put right what the sentence above names and send it again."),
    429: ("Too many attempts", "Wait, then try again; nobody is locked out for good."),
    503: (
        "The record cannot be reached",
        "Wait a moment and try again; if it stays so, tell whoever looks after the server.",
    ),
    500: (
        "A fault of the program",
        "It is not your data. Nothing was half kept. Please report it with the time.",
    ),
}
"""Title and what to do, by status."""


def answer(request: Request, status: int, said: str, headers: Mapping[str, str] | None = None) -> Response:
    """Give the page, or the problem document below /api, that says what went wrong."""
    title, advice = TITLES.get(status, TITLES[500 if status >= 500 else 400])
    if request.url.path.startswith("/api/"):
        problem = {"type": "about:blank", "title": title, "status": status, "detail": said or advice}
        return JSONResponse(problem, status, headers, media_type="application/problem+json")
    visit = Visit(request, _who(request, status), FormData())
    if said.startswith(STALE_FORM):
        advice = ""  # it says itself what to do; nobody has to permit anything
    page = render("error.html.j2", visit=visit, title=title, advice=advice, sentence=said, status=status)
    return HTMLResponse(page, status, headers)


def _who(request: Request, status: int) -> Actor:
    """Find out who asks, if that is safe: not while the record itself may be at fault."""
    if status >= 500 or status == 421:
        return Actor(key="", name="")
    who: Actor = request.app.state.who(request)
    return who


def refusal(request: Request, error: Exception) -> Response:
    """Answer a refusal of ours with the status of its class."""
    assert isinstance(error, ResileError)
    status = answer_for(error).http_status
    headers = {"retry-after": str(error.wait_s)} if isinstance(error, TooManyAttemptsError) else None
    if status >= 500:
        _LOG.error("%s %s: %s", request.method, request.url.path, error)
    return answer(request, status, sentence(str(error)), headers)


def http_refusal(request: Request, error: Exception) -> Response:
    """Answer a refusal of the server itself."""
    assert isinstance(error, HTTPException)
    said = "" if error.detail in _STOCK else sentence(error.detail)
    return answer(request, error.status_code, said, error.headers)


def fault(request: Request, error: Exception) -> Response:
    """Answer a fault of the program; the server's log has the details, the page has not."""
    response = answer(request, 500, "")
    protect(response.headers, secure=request.app.state.settings.secure)
    return response


_STOCK = {"Not Found", "Method Not Allowed", "Bad Request", "Forbidden"}


HANDLERS: dict[Any, Callable[[Request, Exception], Response]] = {
    ResileError: refusal,
    HTTPException: http_refusal,
}
"""For the workbench and for each application mounted into it."""
