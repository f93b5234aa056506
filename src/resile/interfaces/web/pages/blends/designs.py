"""Designing with a blend book: the page of the book, recipes that are tried out, the next trial."""

from __future__ import annotations

from typing import Any

from starlette.responses import Response

from resile.errors import ResileError
from resile.interfaces.web.jobs import Progress, jobs_of
from resile.interfaces.web.own_folder import answers_of
from resile.interfaces.web.pages.blends.of_book import values_of_book, worked_out
from resile.interfaces.web.spoken import spoken
from resile.interfaces.web.visit import Visit, get, post, whole
from resile.workflows.laboratory.blends.blend_choices import OBJECTIVE_WORDS
from resile.workflows.laboratory.blends.designing import (
    first_shares,
    mark_of_work,
    try_recipe,
    work_as_bytes,
    work_out,
)
from resile.workflows.laboratory.blends.kept_blends import KeptBlend, blend_of
from resile.workflows.laboratory.blends.on_paper import batch_on_paper, design_on_paper
from resile.workflows.laboratory.blends.shown_recipe import shown_recipe

_MOST_SHARES = 60


def blend(visit: Visit) -> Response:
    """Show the recipe of a blend book, and what another would keep."""
    values = values_of_book(visit, "")
    kept, work = values["kept"], values["work"]
    tried = _tried(visit, kept)
    values |= {
        "shares": tried or first_shares(kept, work),
        "objective": OBJECTIVE_WORDS[kept.book.aim.objective],
        "recipe": work.best if work else None,
        "told": None,
    }
    try:
        if tried:
            values["recipe"] = try_recipe(visit.record, visit.actor, kept.kept.key, tried)
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
    kept = blend_of(visit.record, visit.actor, visit.path("key"), whole(visit.text("revision")))
    asked: dict[str, Any] = {"work": worked_out(visit, kept), "typed": _tried(visit, kept)}
    asked["revision"] = kept.kept.revision
    pdf = batch_on_paper(visit.record, visit.actor, visit.at, kept.kept.key, **asked)
    headers = {"content-disposition": 'inline; filename="batch-sheet.pdf"'}
    return Response(pdf, media_type="application/pdf", headers=headers)


def design_sheet(visit: Visit) -> Response:
    """Give everything that was worked out, on paper."""
    kept = blend_of(visit.record, visit.actor, visit.path("key"), whole(visit.text("revision")))
    pdf = design_on_paper(kept, worked_out(visit, kept))
    headers = {"content-disposition": 'inline; filename="recipe.pdf"'}
    return Response(pdf, media_type="application/pdf", headers=headers)


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
    get("/blends/{key}/design.pdf", design_sheet),
]
