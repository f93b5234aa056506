"""Stored results recomputed: of one run, or all of them in the background."""

from __future__ import annotations

from starlette.responses import Response

from resile.errors import ResileError
from resile.interfaces.web.jobs import Progress, jobs_of
from resile.interfaces.web.visit import Visit, get, post
from resile.workflows.laboratory.record.outcomes import keep_outcome, last_outcome
from resile.workflows.laboratory.record.recomputing import Recomputation, recompute


def of_run(visit: Visit) -> Response:
    """Set what today's program gives beside the stored result of a run."""
    key = visit.path("key")
    found = recompute(visit.record, visit.actor, visit.at, [key])
    return visit.show("recompute/run.html.j2", run=key, whole=found)


def keep_of_run(visit: Visit) -> Response:
    """Keep today's result of a run as a new revision."""
    key = visit.path("key")
    try:
        found = recompute(visit.record, visit.actor, visit.at, [key], keep=True)
    except ResileError as error:
        seen = recompute(visit.record, visit.actor, visit.at, [key])
        return visit.again("recompute/run.html.j2", error, run=key, whole=seen)
    kept = [f"{one.result} is kept as revision {one.kept}" for one in found.found if one.kept]
    told = "; ".join(kept) + ". What was there stays." if kept else "Nothing differs; nothing was kept."
    return visit.go(f"/runs/{key}/recompute", said=told)


def recompute_all(visit: Visit) -> Response:
    """Recompute every stored result in the background."""
    record, actor, at = visit.record, visit.actor, visit.at

    def work(progress: Progress) -> str:
        keep_outcome(record.url, actor, at, recompute(record, actor, at, progress=progress.step))
        return "/audit/recomputed"

    return visit.go(jobs_of(visit.request.app).start(actor, "Recompute every result", work))


def outcome(visit: Visit) -> Response:
    """Show what recomputing every result came to, last time."""
    last = last_outcome(visit.record.url, visit.actor, Recomputation)
    return visit.show("recompute/all.html.j2", last=last)


routes = [
    get("/runs/{key}/recompute", of_run),
    post("/runs/{key}/recompute", keep_of_run),
    post("/audit/recompute", recompute_all),
    get("/audit/recomputed", outcome),
]
