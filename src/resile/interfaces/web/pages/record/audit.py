"""The log of the record: who kept what, when, what changed and why; and whether it stands."""

from __future__ import annotations

from urllib.parse import urlencode

from starlette.responses import Response

from resile.errors import InputError, RecordNotFoundError
from resile.interfaces.web.jobs import Progress, jobs_of
from resile.interfaces.web.visit import Visit, get, post, whole
from resile.workflows.laboratory.record.auditing import (
    Audit,
    LogFilter,
    check_head,
    show_entry,
    show_key,
    show_log,
    verify_record,
)
from resile.workflows.laboratory.record.outcomes import keep_outcome, last_outcome

_FIELDS = ("key", "kind", "by", "day")


def log(visit: Visit) -> Response:
    """Show the log, the newest entry first."""
    given = {name: visit.text(name) for name in _FIELDS}
    wanted = LogFilter(key=given["key"], kind=given["kind"], by=given["by"], day=given["day"])
    start = whole(visit.text("before")) or 0
    page = show_log(visit.record, visit.actor, wanted, before=start)
    older = urlencode({name: text for name, text in given.items() if text} | {"before": page.older})
    last = last_outcome(visit.record.url, visit.actor, Audit)
    return visit.show("audit/log.html.j2", page=page, older=older if page.older else "", last=last)


def entry(visit: Visit) -> Response:
    """Show one entry with what it changed."""
    place = whole(visit.path("seq"))
    if place is None:
        raise RecordNotFoundError(f"the log has no entry '{visit.path('seq')}'")
    shown = show_entry(visit.record, visit.actor, place)
    history = show_key(visit.record, visit.actor, shown.entry.key)
    return visit.show("audit/entry.html.j2", shown=shown, history=history)


def verify(visit: Visit) -> Response:
    """Go through the whole record in the background."""
    record, actor, at, head = visit.record, visit.actor, visit.at, visit.text("head").strip()
    try:
        check_head(actor, head)
    except InputError as error:
        page = show_log(record, actor, LogFilter())
        return visit.again(
            "audit/log.html.j2", error, errors={"head": str(error)}, page=page, older="", last=None
        )

    def work(progress: Progress) -> str:
        def told(done: int, of: int) -> None:
            progress.step(done, of, f"{done} of {of} entries, values and files are verified.")

        keep_outcome(record.url, actor, at, verify_record(record, actor, head=head, progress=told))
        return "/audit#verified"

    return visit.go(jobs_of(visit.request.app).start(actor, "Verify the whole record", work))


routes = [get("/audit", log), post("/audit/verify", verify), get("/audit/{seq:int}", entry)]
