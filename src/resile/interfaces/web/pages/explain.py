"""The page for people outside the laboratory, and what its script computes with."""

from __future__ import annotations

from starlette.responses import Response

from resile.interfaces.web.visit import Visit, get
from resile.workflows.explaining.page import live_body
from resile.workflows.explaining.stored import explain_run
from resile.workflows.explaining.trying import model_to_json

ASKED = ("stress", "temperature", "binder", "hotter")


def explain(visit: Visit) -> Response:
    """Show the page, with a run's own result where one is named; that one needs a person who may see it."""
    key = visit.text("run")
    if key and not visit.known:
        return visit.go(f"/sign-in?to=/explain%3Frun={key}")
    told = explain_run(visit.record, visit.actor, key) if key else None
    asked = {name: visit.text(name) for name in ASKED}
    body, status = live_body(asked, explanation=told, run=key)
    return visit.show("explain.html.j2", status=status, body=body, run=key)


def model(visit: Visit) -> Response:
    """Give the invented binders to the script of the page."""
    return visit.json(model_to_json())


routes = [get("/explain", explain, open_to_all=True), get("/explain/model.json", model, open_to_all=True)]
