"""Ageing records typed at the bench."""

from __future__ import annotations

from typing import Any

from starlette.responses import Response

from resile.errors import InputError, ResileError
from resile.interfaces.web.visit import Visit, get, post
from resile.workflows.laboratory.bench.ageing_entry import (
    KINDS,
    MOST_ROWS,
    ROWS,
    AgeingCheck,
    AgeingDraft,
    ageing_methods,
    entry_sheet,
)
from resile.workflows.laboratory.files.ageing_keeping import ageing_choices, check_with_kept, keep_ageing

_USUAL = {"short-term": "t240", "long-term": "r28"}


def ageing(visit: Visit) -> Response:
    """Show the form, empty or as far as it was typed."""
    if not visit.text("sample"):
        return visit.go("/bench", said="Choose the sample that is aged.", kind="note")
    return _show(visit, None, None)


def check(visit: Visit) -> Response:
    """Give what can be said so far, to be put beside the form."""
    return visit.show("bench/ageing_so_far.html.j2", check=_check(visit), kind=_kind(visit))


def keep(visit: Visit) -> Response:
    """Keep the record, or bring the form back with what is wrong."""
    found = _check(visit)
    if visit.text("only_check"):
        return _show(visit, found, None)
    try:
        choices = ageing_choices(visit.record, visit.actor, visit.text("sample"), _kind(visit))
        kept = keep_ageing(
            visit.record,
            visit.actor,
            visit.at,
            _draft(visit),
            sample=choices.sample.key,
            can=visit.text("can"),
            instrument=visit.text("instrument"),
        )
    except InputError as error:
        return _show(visit, found, error)
    return visit.show("bench/ageing_kept.html.j2", kept=kept, sample=choices.sample, check=found)


def _show(visit: Visit, found: AgeingCheck | None, refusal: ResileError | None) -> Response:
    kind = _kind(visit)
    row, keys = ROWS[kind]
    choices = ageing_choices(visit.record, visit.actor, visit.text("sample"), kind)
    nothing = [("", "not said")]
    values: dict[str, Any] = {
        "kind": kind,
        "can_options": nothing + [(one.key, one.value.name) for one in choices.cans],
        "instrument_options": nothing + [(one.key, one.value.name) for one in choices.instruments],
        "record_options": nothing + [(name, name) for name in choices.short_term_records],
        "kinds": KINDS,
        "sheet": entry_sheet(kind, _method(visit)),
        "methods": ageing_methods(kind),
        "choices": choices,
        "row": row,
        "keys": keys,
        "most": MOST_ROWS[kind],
        "check": found or _check(visit),
    }
    if refusal is not None:
        return visit.again("bench/ageing.html.j2", refusal, errors=values["check"].faults, **values)
    visit.errors = values["check"].faults
    return visit.show("bench/ageing.html.j2", **values)


def _kind(visit: Visit) -> str:
    kind = visit.text("kind", "short-term")
    if kind not in KINDS:
        raise InputError(f"ageing is {' or '.join(KINDS)}, not '{kind}'")
    return kind


def _method(visit: Visit) -> str:
    return visit.text("method") or _USUAL[_kind(visit)]


def _draft(visit: Visit) -> AgeingDraft:
    kind = _kind(visit)
    row, keys = ROWS[kind]
    sheet = entry_sheet(kind, _method(visit))
    names = ["aged_on", "short_term_record", *(field.name for field in sheet.fields)]
    choices = ageing_choices(visit.record, visit.actor, visit.text("sample"), kind)
    return AgeingDraft(
        kind=kind,
        sample=choices.sample.value.number,
        values={"method": _method(visit), **{name: visit.text(name) for name in names}},
        rows=tuple(
            {key: visit.text(f"{row}-{number}-{key}") for key in keys}
            for number in range(1, MOST_ROWS[kind] + 1)
        ),
    )


def _check(visit: Visit) -> AgeingCheck:
    draft = _draft(visit)
    choices = ageing_choices(visit.record, visit.actor, visit.text("sample"), _kind(visit))
    return check_with_kept(visit.record, visit.actor, draft, choices.sample.key)


routes = [
    get("/bench/ageing", ageing),
    post("/bench/ageing", keep),
    post("/bench/ageing/check", check),
]
