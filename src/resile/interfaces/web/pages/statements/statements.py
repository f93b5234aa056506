"""Statements: the list, one with its pages, and what may be done with it."""

from __future__ import annotations

from starlette.responses import Response

from resile.errors import InputError, ResileError
from resile.interfaces.web.sample_cells import listed_cells, options
from resile.interfaces.web.visit import Visit, get, post, whole
from resile.workflows.laboratory.files.kept_files import file_by_hash
from resile.workflows.laboratory.statements.issuing import (
    draft_statement,
    release_statement,
    withdraw_statement,
)
from resile.workflows.laboratory.statements.statements_seen import (
    STATES,
    ToldStatement,
    list_statements,
    standing_page,
    statement_file,
    statement_table,
    tell_statement,
)
from resile.workflows.laboratory.statements.tracing import trace_statement
from resile.workflows.orders.pages import Seal
from resile.workflows.orders.signing import seal_of_key

_SHUT_OFF = "sandbox; default-src 'none'; style-src 'unsafe-inline'; img-src data:; frame-ancestors 'none'"
"""A kept page carries its own style inside; it runs nothing and fetches nothing."""
_TYPES = {
    "html": "text/html; charset=utf-8",
    "pdf": "application/pdf",
    "json": "application/json",
    "svg": "image/svg+xml",
    "xlsx": "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
}


def statement_list(visit: Visit) -> Response:
    """Show the statements."""
    listed = list_statements(visit.record, visit.actor, **_chosen(visit), page=_page(visit))
    cells = listed_cells(listed)
    return visit.show("statements/list.html.j2", listed=listed, cells=cells, states=STATES, options=options)


def statement_csv(visit: Visit) -> Response:
    """Give the list as CSV."""
    table = statement_table(visit.record, visit.actor, **_chosen(visit))
    return attachment(table.encode("utf-8-sig"), "statements.csv", "text/csv; charset=utf-8")


def statement_page(visit: Visit) -> Response:
    """Show one statement."""
    return visit.show("statements/one.html.j2", told=_told(visit))


def statement_trace(visit: Visit) -> Response:
    """Show everything a statement rests on, down to the bytes, each hash checked."""
    return visit.show(
        "statements/trace.html.j2", trace=trace_statement(visit.record, visit.actor, visit.path("key"))
    )


def statement_download(visit: Visit) -> Response:
    """Give a page of a statement as it was kept; one that no longer stands says so in its name."""
    give = statement_file if visit.text("as") == "issued" else standing_page
    kept, content = give(visit.record, visit.actor, visit.path("key"), visit.path("name"))
    name = visit.path("name")
    state = kept.value.state.value
    named = name if state == "issued" else f"{state.upper()}-{name}"
    return attachment(content, named, _type_of(name))


def statement_view(visit: Visit) -> Response:
    """Show the page of a statement as it was kept, shut off from the workbench."""
    told = _told(visit)
    name = next(one for one in told.kept.value.files if one.endswith(".html"))
    _, content = standing_page(visit.record, visit.actor, visit.path("key"), name)
    return Response(content, media_type=_TYPES["html"], headers={"Content-Security-Policy": _SHUT_OFF})


def statement_draft(visit: Visit) -> Response:
    """Write a draft on a sample."""
    sample = visit.path("key")
    try:
        kept = draft_statement(visit.record, visit.actor, visit.at, sample, reason=visit.text("why"))
    except ResileError as error:
        return visit.go(f"/samples/{sample}/grade", said=str(error), kind="refused")
    return visit.go(f"/statements/{kept.key}", said="Draft written; read it before it is released.")


def statement_release(visit: Visit) -> Response:
    """Release a draft."""
    key = visit.path("key")
    try:
        release_statement(visit.record, visit.actor, visit.at, key, seen=_seen(visit), seal=_seal(visit))
    except ResileError as error:
        return visit.again("statements/one.html.j2", error, told=_told(visit))
    return visit.go(f"/statements/{key}", said="Issued. Its pages will not change again.")


def statement_withdraw(visit: Visit) -> Response:
    """Withdraw a statement, or give up a draft."""
    key, reason = visit.path("key"), visit.text("reason")
    try:
        withdraw_statement(visit.record, visit.actor, visit.at, key, reason=reason, seen=_seen(visit))
    except ResileError as error:
        return visit.again("statements/one.html.j2", error, told=_told(visit))
    return visit.go(f"/statements/{key}", said="Withdrawn; it stays in the record with its reason.")


def kept_file(visit: Visit) -> Response:
    """Give a file of the record by its hash."""
    name, content = file_by_hash(visit.record, visit.actor, visit.path("sha256"))
    return attachment(content, name, "application/octet-stream", sha256=visit.path("sha256"))


def attachment(content: bytes, name: str, media: str, *, sha256: str = "") -> Response:
    """Give bytes to be saved under a name, never to be opened as a page of ours."""
    from urllib.parse import quote

    plain = "".join(sign if sign.isascii() and (sign.isalnum() or sign in "-_. ") else "_" for sign in name)
    disposition = f"attachment; filename=\"{plain}\"; filename*=UTF-8''{quote(name, safe='')}"
    headers = {"Content-Disposition": disposition, "X-Content-Type-Options": "nosniff"}
    if sha256:
        headers["X-SHA256"] = sha256
    return Response(content, media_type=media, headers=headers)


def _told(visit: Visit) -> ToldStatement:
    return tell_statement(visit.record, visit.actor, visit.path("key"))


def _seal(visit: Visit) -> Seal | None:
    """Open the key that came with the form: it signs this page, and is kept nowhere."""
    key = next(iter(visit.uploads("key")), None)
    if key is None:
        if visit.secret_text("key_password"):
            raise InputError("a password was typed and no key file chosen; choose it, or leave both empty")
        return None
    return seal_of_key(key.content, visit.secret_text("key_password"), name=key.name)


def _seen(visit: Visit) -> int | None:
    return whole(visit.text("seen"))


def _page(visit: Visit) -> int:
    return whole(visit.text("page")) or 1


def _chosen(visit: Visit) -> dict[str, str]:
    return {name: visit.text(name) for name in ("state", "words", "order")}


def _type_of(name: str) -> str:
    return _TYPES.get(name.rpartition(".")[2], "application/octet-stream")


routes = [
    get("/statements", statement_list),
    get("/statements.csv", statement_csv),
    get("/statements/{key}", statement_page),
    get("/statements/{key}/trace", statement_trace),
    get("/statements/{key}/view", statement_view),
    get("/statements/{key}/pages/{name}", statement_download),
    post("/samples/{key}/statements", statement_draft),
    post("/statements/{key}/release", statement_release),
    post("/statements/{key}/withdraw", statement_withdraw),
    get("/files/{sha256}", kept_file),
]
