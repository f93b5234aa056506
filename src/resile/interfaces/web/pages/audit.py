"""The log of the record: who kept what, when, what changed and why; and whether it stands."""

from __future__ import annotations

from urllib.parse import urlencode

from starlette.responses import Response

from resile.errors import InputError, RecordNotFoundError
from resile.interfaces.web.visit import Visit, get, post
from resile.workflows.laboratory.record.auditing import (
    LogFilter,
    show_entry,
    show_key,
    show_log,
    verify_record,
)

_FIELDS = ("key", "kind", "by", "day")


def log(visit: Visit) -> Response:
    """Show the log, the newest entry first."""
    given = {name: visit.text(name) for name in _FIELDS}
    wanted = LogFilter(key=given["key"], kind=given["kind"], by=given["by"], day=given["day"])
    before = visit.text("before")
    start = int(before) if before.isdecimal() else 0
    page = show_log(visit.record, visit.actor, wanted, before=start)
    older = urlencode({name: text for name, text in given.items() if text} | {"before": page.older})
    return visit.show("audit/log.html.j2", page=page, older=older if page.older else "", found=None)


def entry(visit: Visit) -> Response:
    """Show one entry with what it changed."""
    place = visit.path("seq")
    if not place.isdecimal():
        raise RecordNotFoundError(f"the log has no entry '{place}'")
    shown = show_entry(visit.record, visit.actor, int(place))
    history = show_key(visit.record, visit.actor, shown.entry.key)
    return visit.show("audit/entry.html.j2", shown=shown, history=history)


def verify(visit: Visit) -> Response:
    """Go through the whole record and show what was found."""
    page = show_log(visit.record, visit.actor, LogFilter())
    try:
        found = verify_record(visit.record, visit.actor, head=visit.text("head"))
    except InputError as error:
        return visit.again(
            "audit/log.html.j2", error, errors={"head": str(error)}, page=page, older="", found=None
        )
    return visit.show("audit/log.html.j2", page=page, older="", found=found)


routes = [get("/audit", log), post("/audit/verify", verify), get("/audit/{seq}", entry)]
