"""The page for people outside the laboratory, and what its script computes with."""

from __future__ import annotations

from urllib.parse import urlencode

from starlette.responses import Response

from resile.interfaces.web.visit import Visit, get
from resile.workflows.explaining.page import live_body
from resile.workflows.explaining.stored import explain_run, explain_statement
from resile.workflows.explaining.trying import model_to_json

OWN = {"statement": explain_statement, "run": explain_run}
ASKED = ("stress", "temperature", "binder", "hotter")


def explain(visit: Visit) -> Response:
    """Show the page, with the result of a statement or run where one is named, to those who may see it."""
    own = next(((name, visit.text(name)) for name in OWN if visit.text(name)), ("", ""))
    if own[1] and not visit.known:
        return visit.go(f"/sign-in?{urlencode({'to': visit.address})}")
    told = OWN[own[0]](visit.record, visit.actor, own[1]) if own[1] else None
    asked = {name: visit.text(name) for name in ASKED}
    body, status = live_body(asked, explanation=told, named=own)
    return visit.show("explain.html.j2", status=status, body=body)


def model(visit: Visit) -> Response:
    """Give the invented binders to the script of the page."""
    return visit.json(model_to_json())


routes = [get("/explain", explain, open_to_all=True), get("/explain/model.json", model, open_to_all=True)]
