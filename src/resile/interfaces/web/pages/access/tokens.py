"""Tokens of one's own programs, and what programs can do."""

from __future__ import annotations

from typing import Any

from starlette.responses import Response

from resile.errors import ResileError
from resile.interfaces.web.described import described_tasks
from resile.interfaces.web.visit import Visit, get, post
from resile.workflows.laboratory.access.tokens import LONGEST_DAYS, end_token, list_tokens, make_token
from resile.workflows.laboratory.bench.hand_numbers import hand_number


def tokens(visit: Visit, refusal: ResileError | None = None) -> Response:
    """List one's own tokens."""
    held = list_tokens(visit.record, visit.actor)
    values: dict[str, Any] = {"tokens": held, "longest": LONGEST_DAYS}
    if refusal is not None:
        return visit.again("tokens/tokens.html.j2", refusal, **values)
    return visit.show("tokens/tokens.html.j2", **values)


def make(visit: Visit) -> Response:
    """Make a token and show its secret once."""
    try:
        days = round(hand_number(visit.text("days", "90"), "days"))
        made = make_token(visit.record, visit.actor, visit.at, name=visit.text("name"), days=days)
    except ResileError as error:
        return tokens(visit, error)
    return visit.show("tokens/token.html.j2", made=made, base=_base(visit))


def end(visit: Visit) -> Response:
    """End one of one's own tokens."""
    end_token(visit.record, visit.actor, visit.at, visit.text("digest"))
    return visit.go("/tokens", said="The token has ended; a program that sends it is refused.")


def interface(visit: Visit) -> Response:
    """Show what programs can do, from the description that programs read."""
    tasks = described_tasks(visit.request.app)
    return visit.show("tokens/interface.html.j2", groups=tasks, base=_base(visit))


def _base(visit: Visit) -> str:
    return (visit.settings.address or str(visit.request.base_url)).rstrip("/")


routes = [
    get("/tokens", tokens),
    post("/tokens", make),
    post("/tokens/end", end),
    get("/interface", interface),
]
