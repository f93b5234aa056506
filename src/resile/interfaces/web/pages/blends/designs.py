"""Designing with a blend book: the page of the book, recipes that are tried out, the next trial."""

from __future__ import annotations

from typing import Any

from starlette.responses import Response

from resile.errors import ResileError
from resile.interfaces.web.jobs import Progress, jobs_of
from resile.interfaces.web.own_folder import answers_of
from resile.interfaces.web.spoken import spoken
from resile.interfaces.web.visit import Visit, get, post, whole
from resile.workflows.laboratory.blends.blend_choices import OBJECTIVE_WORDS
from resile.workflows.laboratory.blends.designing import (
    WorkedOut,
    batch_on_paper,
    first_shares,
    mark_of_work,
    try_recipe,
    work_as_bytes,
    work_of_bytes,
    work_out,
)
from resile.workflows.laboratory.blends.foreseen import foreseen_trials
from resile.workflows.laboratory.blends.kept_blends import KeptBlend, blend_of, revisions_of_blend
from resile.workflows.laboratory.blends.shown_book import shown_book
from resile.workflows.laboratory.blends.shown_recipe import shown_recipe
from resile.workflows.laboratory.blends.trials import samples_of_trials

_MOST_SHARES = 60


def blend(visit: Visit) -> Response:
    """Show a blend book with what was worked out for it."""
    key = visit.path("key")
    kept = blend_of(visit.record, visit.actor, key, whole(visit.text("revision")))
    work = worked_out(visit, kept)
    tried = _tried(visit, kept)
    values: dict[str, Any] = {
        "kept": kept,
        "work": work,
        "shares": tried or first_shares(kept, work),
        "shown": shown_book(kept),
        "objective": OBJECTIVE_WORDS[kept.book.aim.objective],
        "samples": samples_of_trials(visit.record, visit.actor, kept),
        "revisions": revisions_of_blend(visit.record, visit.actor, key),
        "recipe": work.best if work else None,
        "foreseen": foreseen_trials(kept.book, work.design.surfaces) if work else None,
        "page": work.page(date=kept.kept.at[:10]) if work else None,
        "told": None,
    }
    try:
        if tried:
            values["recipe"] = try_recipe(visit.record, visit.actor, key, tried)
    except ResileError as error:
        return visit.again("blends/blend.html.j2", spoken(error), **values | {"recipe": None})
    return visit.show("blends/blend.html.j2", **values | {"told": _told(kept, values["recipe"])})


def tried_recipe(visit: Visit) -> Response:
    """Show what a recipe keeps, for a script that follows the sliders."""
    kept = blend_of(visit.record, visit.actor, visit.path("key"))
    values: dict[str, Any] = {"kept": kept, "recipe": None, "told": None, "refusal": None}
    try:
        found = try_recipe(visit.record, visit.actor, kept.kept.key, _tried(visit, kept))
        values |= {"recipe": found, "told": _told(kept, found)}
    except ResileError as error:
        values["refusal"] = str(spoken(error))
    return visit.show("blends/tried.html.j2", **values)


def design(visit: Visit) -> Response:
    """Work out recipes and next trials in the background."""
    kept = blend_of(visit.record, visit.actor, visit.path("key"))
    record, actor, app = visit.record, visit.actor, visit.request.app
    place = f"/blends/{kept.kept.key}"

    def work(progress: Progress) -> str:
        try:
            found = work_out(record, actor, kept.kept.key, kept.kept.revision, told=progress.step)
        except ResileError as error:
            raise spoken(error) from None
        answers_of(app).remember(mark_of_work(kept.kept.value), work_as_bytes(found))
        return f"{place}/next" if visit.text("then") == "next" else place

    title = f"Recipes of {kept.kept.value.name}"
    return visit.go(jobs_of(app).start(actor, title, work, back=place))


def next_trial(visit: Visit) -> Response:
    """Show which blends to make and test next."""
    kept = blend_of(visit.record, visit.actor, visit.path("key"))
    return visit.show("blends/next.html.j2", kept=kept, work=worked_out(visit, kept))


def batch_sheet(visit: Visit) -> Response:
    """Give the batch sheet of the chosen recipe, or of the one in the address, on paper."""
    kept = blend_of(visit.record, visit.actor, visit.path("key"))
    asked: dict[str, Any] = {"work": worked_out(visit, kept), "typed": _tried(visit, kept)}
    pdf = batch_on_paper(visit.record, visit.actor, visit.at, kept.kept.key, **asked)
    headers = {"content-disposition": 'inline; filename="batch-sheet.pdf"'}
    return Response(pdf, media_type="application/pdf", headers=headers)


def worked_out(visit: Visit, kept: KeptBlend) -> WorkedOut | None:
    """Give what was worked out for a revision of a book; None where that has to be done yet."""
    content = answers_of(visit.request.app).recall(mark_of_work(kept.kept.value))
    return None if content is None else work_of_bytes(content, kept.book)


def _told(kept: KeptBlend, recipe: Any) -> Any:
    if recipe is None:
        return None
    return shown_recipe(recipe, required=kept.book.aim.probability, currency=kept.book.currency)


def _tried(visit: Visit, kept: KeptBlend) -> dict[str, str]:
    """Give the shares of the address, by component; empty where it holds none."""
    typed = {
        one.name: visit.text(f"share-{row}") for row, one in enumerate(kept.book.components[:_MOST_SHARES], 1)
    }
    return typed if any(typed.values()) else {}


routes = [
    get("/blends/{key}", blend),
    get("/blends/{key}/tried", tried_recipe),
    post("/blends/{key}/design", design),
    get("/blends/{key}/next", next_trial),
    get("/blends/{key}/batch.pdf", batch_sheet),
]
