"""The first page."""

from __future__ import annotations

from starlette.responses import Response

from resile.interfaces.web.visit import Visit, get


def today(visit: Visit) -> Response:
    """Show what waits."""
    return visit.show("today.html.j2")


routes = [get("/", today)]
