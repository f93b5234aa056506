"""The first page."""

from __future__ import annotations

from starlette.responses import Response

from resile.interfaces.web.navigation import served
from resile.interfaces.web.visit import Visit, get
from resile.workflows.laboratory.record.today import NEXT_STEPS, today


def first_page(visit: Visit) -> Response:
    """Show what waits."""
    found = today(visit.record, visit.actor, visit.at)
    loads = served(visit.request.app.router, "/demonstration")
    return visit.show("today.html.j2", today=found, next_steps=NEXT_STEPS, loads=loads)


routes = [get("/", first_page)]
