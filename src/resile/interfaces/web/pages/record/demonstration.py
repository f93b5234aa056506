"""Loading the invented laboratory into an empty record, by one click."""

from __future__ import annotations

from starlette.responses import Response

from resile.interfaces.web.jobs import Progress, jobs_of
from resile.interfaces.web.visit import Visit, get, post
from resile.workflows.laboratory.record.demonstration import load_demonstration, refuse_filled


def offer_demonstration(visit: Visit) -> Response:
    """Lead to the first page, which offers it while the record is empty."""
    return visit.go("/")


def load(visit: Visit) -> Response:
    """Load it, and lead to the page that tells how far it is."""
    record, actor, at = visit.record, visit.actor, visit.at
    refuse_filled(record, actor)

    def work(progress: Progress) -> str:
        load_demonstration(record, actor, at, progress.step)
        return "/"

    return visit.go(jobs_of(visit.request.app).start(actor, "Load the invented laboratory", work))


routes = [get("/demonstration", offer_demonstration), post("/demonstration", load)]
