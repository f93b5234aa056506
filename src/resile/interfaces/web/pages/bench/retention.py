"""Samples that are kept, due and disposed of."""

from __future__ import annotations

from typing import Any

from starlette.responses import Response

from resile.errors import InputError, ResileError
from resile.interfaces.web.visit import Visit, get, post
from resile.records.register import Disposal
from resile.workflows.laboratory.samples.retention import dispose, retention_sheet


def retention(visit: Visit, refusal: ResileError | None = None) -> Response:
    """Show what is due, and the log."""
    values: dict[str, Any] = {"sheet": retention_sheet(visit.record, visit.actor, visit.at)}
    if refusal is not None:
        return visit.again("bench/retention.html.j2", refusal, **values)
    return visit.show("bench/retention.html.j2", **values)


def dispose_of(visit: Visit) -> Response:
    """Log a disposal."""
    disposal = Disposal(
        retention=visit.text("retention"),
        sample="",
        disposed=visit.text("disposed"),
        way=visit.text("way"),
        note=visit.text("note"),
    )
    try:
        dispose(visit.record, visit.actor, visit.at, disposal)
    except InputError as error:
        return retention(visit, error)
    return visit.go("/retention", said="The disposal is in the log.")


routes = [get("/retention", retention), post("/retention", dispose_of)]
