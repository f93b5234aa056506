"""The pages of a blend book beside its recipe: doses, cost, trial blends, components and files."""

from __future__ import annotations

from typing import Any

from starlette.responses import Response

from resile.interfaces.web.own_folder import answers_of
from resile.interfaces.web.visit import Visit, get, whole
from resile.workflows.laboratory.blends.designing import WorkedOut, mark_of_work, work_of_bytes
from resile.workflows.laboratory.blends.foreseen import foreseen_trials
from resile.workflows.laboratory.blends.kept_blends import KeptBlend, blend_of, revisions_of_blend
from resile.workflows.laboratory.blends.shown_book import shown_book
from resile.workflows.laboratory.blends.trials import samples_of_trials

_PAGES = {
    "": "Recipe",
    "doses": "Doses",
    "cost": "Cost",
    "trials": "Trial blends",
    "book": "Components and files",
}
_WORKED_OUT = ("doses", "cost")


def doses(visit: Visit) -> Response:
    """Show how far each dose may move."""
    return visit.show("blends/worked.html.j2", **values_of_book(visit, "doses"))


def cost(visit: Visit) -> Response:
    """Show other recipes, and what more certainty costs."""
    return visit.show("blends/worked.html.j2", **values_of_book(visit, "cost"))


def trials(visit: Visit) -> Response:
    """Show the trial blends with their results, and what they tell."""
    values = values_of_book(visit, "trials")
    kept, work = values["kept"], values["work"]
    values |= {
        "shown": shown_book(kept),
        "samples": samples_of_trials(visit.record, visit.actor, kept),
        "foreseen": foreseen_trials(kept.book, work.design.surfaces) if work else None,
    }
    return visit.show("blends/trials.html.j2", **values)


def book(visit: Visit) -> Response:
    """Show the components of a book, its files and its revisions."""
    return visit.show("blends/book.html.j2", **values_of_book(visit, "book"))


def values_of_book(visit: Visit, part: str) -> dict[str, Any]:
    """Give what the frame of every page of a book needs.

    Parameters
    ----------
    visit : Visit
        With the key of the book, and perhaps a revision.
    part : str
        Which page; empty for the recipe.
    """
    key = visit.path("key")
    kept = blend_of(visit.record, visit.actor, key, whole(visit.text("revision")))
    revisions = revisions_of_blend(visit.record, visit.actor, key)
    work = worked_out(visit, kept)
    older = kept.kept.revision != revisions[0].revision
    question = f"?revision={kept.kept.revision}" if older else ""
    return {
        "kept": kept,
        "part": part,
        "parts_of_book": _PAGES,
        "work": work,
        "page": work.page(date=kept.kept.at[:10], with_next_trials=False) if work else None,
        "revisions": revisions,
        "ways": [
            (words, f"/blends/{key}{'/' if name else ''}{name}{question}", name == part)
            for name, words in _PAGES.items()
            if work or name not in _WORKED_OUT
        ],
    }


def worked_out(visit: Visit, kept: KeptBlend) -> WorkedOut | None:
    """Give what was worked out for a revision of a book; None where that has to be done yet."""
    content = answers_of(visit.request.app).recall(mark_of_work(kept.kept.value))
    return None if content is None else work_of_bytes(content, kept.book)


routes = [
    get("/blends/{key}/doses", doses),
    get("/blends/{key}/cost", cost),
    get("/blends/{key}/trials", trials),
    get("/blends/{key}/book", book),
]
