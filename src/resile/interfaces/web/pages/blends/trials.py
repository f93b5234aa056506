"""Trial blends of a book: added when they were made, and their results when they were tested."""

from __future__ import annotations

from typing import Any

from starlette.responses import Response

from resile.errors import ResileError
from resile.interfaces.web.spoken import spoken
from resile.interfaces.web.visit import Visit, get, post, whole
from resile.workflows.laboratory.bench.hand_numbers import revision_seen
from resile.workflows.laboratory.blends.kept_blends import blend_of
from resile.workflows.laboratory.blends.shown_book import response_title, responses_to_test
from resile.workflows.laboratory.blends.trials import TypedResult, TypedTrial, keep_trial

_MOST_RESULTS = 60


def trial(visit: Visit) -> Response:
    """Show the form of a trial blend: new, or with further results."""
    return _form(visit)


def keep(visit: Visit) -> Response:
    """Keep a trial blend with its results."""
    key = visit.path("key")
    try:
        seen = revision_seen(visit.text("seen"))
        kept = keep_trial(visit.record, visit.actor, visit.at, key, _typed(visit), seen=seen)
    except ResileError as error:
        return _form(visit, spoken(error))
    return visit.go(f"/blends/{key}", said=f"Kept: {kept.reason}.")


def _form(visit: Visit, refusal: ResileError | None = None) -> Response:
    kept = blend_of(visit.record, visit.actor, visit.path("key"))
    wanted = visit.text("trial")
    values: dict[str, Any] = {
        "kept": kept,
        "known": next((one for one in kept.book.trials if one.name == wanted), None),
        "asked": [
            (one, response_title(one, in_full=True)) for one in responses_to_test(kept)[:_MOST_RESULTS]
        ],
    }
    if refusal is not None:
        return visit.again("blends/trial.html.j2", refusal, **values)
    return visit.show("blends/trial.html.j2", **values)


def _typed(visit: Visit) -> TypedTrial:
    rows = range(1, min(whole(visit.text("result-rows")) or 0, _MOST_RESULTS) + 1)
    shares = range(1, min(whole(visit.text("share-rows")) or 0, _MOST_RESULTS) + 1)
    return TypedTrial(
        name=visit.text("trial") or visit.text("name"),
        percent={visit.text(f"component-{row}"): visit.text(f"share-{row}") for row in shares},
        sample=visit.text("sample"),
        results=tuple(
            TypedResult(
                *(visit.text(f"{name}-{row}") for name in ("quantity", "condition", "temperature", "value"))
            )
            for row in rows
        ),
        storage_h=visit.text("storage_h"),
        storage_c=visit.text("storage_c"),
    )


routes = [get("/blends/{key}/trial", trial), post("/blends/{key}/trial", keep)]
