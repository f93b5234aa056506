"""The page of a job: how far it is, and stopping it."""

from __future__ import annotations

from starlette.responses import RedirectResponse, Response

from resile.interfaces.web.jobs import DONE, jobs_of
from resile.interfaces.web.visit import Visit, get, own_address, post


def job(visit: Visit) -> Response:
    """Show how far a job is; lead to its answer when it is done."""
    state = jobs_of(visit.request.app).state(visit.path("key"), visit.actor)
    if state.state == DONE and "hx-request" in visit.request.headers:
        return Response(headers={"hx-redirect": own_address(state.address)})
    if state.state == DONE:
        return RedirectResponse(own_address(state.address), status_code=303)
    part = "jobs/state.html.j2" if "hx-request" in visit.request.headers else "jobs/job.html.j2"
    return visit.show(part, job=state)


def news(visit: Visit) -> Response:
    """Tell a script how far a job is."""
    state = jobs_of(visit.request.app).state(visit.path("key"), visit.actor)
    told = ("state", "done", "of", "words", "address")
    return visit.json({name: getattr(state, name) for name in told})


def cancel(visit: Visit) -> Response:
    """Ask a job to stop."""
    jobs_of(visit.request.app).cancel(visit.path("key"), visit.actor)
    return visit.go(f"/jobs/{visit.path('key')}")


routes = [get("/jobs/{key}", job), get("/jobs/{key}/news", news), post("/jobs/{key}/cancel", cancel)]
