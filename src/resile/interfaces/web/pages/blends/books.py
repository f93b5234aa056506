"""Blend books: the list, beginning one by a form or from files, revising it, its files."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import fields, replace
from typing import Any

from starlette.responses import Response

from resile.errors import ResileError
from resile.interfaces.web.spoken import spoken
from resile.interfaces.web.visit import Visit, get, post, saved_file, whole
from resile.records.reading import HeldFile
from resile.workflows.laboratory.bench.hand_numbers import revision_seen
from resile.workflows.laboratory.blends.blend_choices import blend_choices
from resile.workflows.laboratory.blends.blend_files import as_typed, book_file
from resile.workflows.laboratory.blends.kept_blends import (
    KeptBlend,
    blend_of,
    file_of_blend,
    keep_blend_book,
    list_blends,
)
from resile.workflows.laboratory.blends.typed_blends import (
    TypedBlend,
    TypedComponent,
    TypedLimit,
    has_remarks,
    typed_of,
)

_MOST_ROWS = 40
_TEXTS = tuple(
    one.name
    for one in fields(TypedBlend)
    if isinstance(one.default, str) and one.name not in ("trials", "results")
)


def blends(visit: Visit) -> Response:
    """Show the blend books."""
    return visit.show("blends/list.html.j2", blends=list_blends(visit.record, visit.actor))


def new_blend(visit: Visit) -> Response:
    """Show the form of a new book."""
    return _form(visit, TypedBlend(site=visit.text("site")))


def add_blend(visit: Visit) -> Response:
    """Keep a book that was typed."""
    typed = _typed(visit)
    if visit.text("more"):
        return _form(visit, typed)
    try:
        file = book_file(visit.record, visit.actor, typed)
        kept = keep_blend_book(visit.record, visit.actor, visit.at, file, site=typed.site, note=typed.note)
    except ResileError as error:
        return _form(visit, typed, refusal=as_typed(spoken(error)))
    return visit.go(f"/blends/{kept.key}", said=f"{kept.value.name} is kept.")


def add_files(visit: Visit) -> Response:
    """Keep a book that came as files, newly or as the next revision of one."""
    key = visit.text("key")
    try:
        first = visit.upload("book")
        beside = tuple(HeldFile(one.name, one.content) for one in visit.uploads("tables"))
        file = HeldFile(first.name, first.content, beside)
        revised: dict[str, Any] = (
            {"key": key, "reason": visit.text("reason"), "seen": revision_seen(visit.text("seen"))}
            if key
            else {}
        )
        told: dict[str, Any] = {"site": visit.text("site"), "note": visit.text("note")}
        kept = keep_blend_book(visit.record, visit.actor, visit.at, file, **told, **revised)
    except ResileError as error:
        before = blend_of(visit.record, visit.actor, key) if key else None
        typed = typed_of(before) if before else TypedBlend(site=visit.text("site"))
        return _form(visit, typed, before=before, refusal=as_typed(spoken(error)))
    return visit.go(f"/blends/{kept.key}", said=f"{kept.value.name} is kept.")


def revision(visit: Visit) -> Response:
    """Show the form that revises a book."""
    before = blend_of(visit.record, visit.actor, visit.path("key"))
    return _form(visit, typed_of(before), before=before)


def revise(visit: Visit) -> Response:
    """Keep what was typed as the next revision of a book."""
    before = blend_of(visit.record, visit.actor, visit.path("key"))
    typed = _typed(visit)
    if visit.text("more"):
        return _form(visit, typed, before=before)
    try:
        seen = revision_seen(visit.text("seen"))
        file = book_file(visit.record, visit.actor, typed, before)
        kept = keep_blend_book(
            visit.record,
            visit.actor,
            visit.at,
            file,
            site=typed.site,
            note=typed.note,
            key=before.kept.key,
            reason=visit.text("reason"),
            seen=seen,
        )
    except ResileError as error:
        return _form(visit, typed, before=before, refusal=as_typed(spoken(error)))
    return visit.go(
        f"/blends/{kept.key}", said=f"Revision {kept.revision} is kept; the one before stays readable."
    )


def blend_file(visit: Visit) -> Response:
    """Give a file of a book as it came."""
    number = whole(visit.text("revision"))
    file = file_of_blend(visit.record, visit.actor, visit.path("key"), visit.path("name"), number)
    return saved_file(file.content, file.name)


def _form(
    visit: Visit, typed: TypedBlend, *, before: KeptBlend | None = None, refusal: ResileError | None = None
) -> Response:
    """Show the form with a row to spare in each part; nothing that was typed is lost."""
    spare = TypedComponent(kind="base")
    components = [*typed.components, *([spare] * max(1, 3 - len(typed.components)))]
    limits = [*typed.limits, *([TypedLimit()] * max(1, 2 - len(typed.limits)))]
    values: dict[str, Any] = {
        "typed": replace(typed, components=tuple(components), limits=tuple(limits)),
        "before": before,
        "loses_remarks": before is not None and has_remarks(before.file),
        "choices": blend_choices(visit.record, visit.actor),
    }
    if refusal is not None:
        return visit.again("blends/form.html.j2", refusal, **values)
    return visit.show("blends/form.html.j2", **values)


def _typed(visit: Visit) -> TypedBlend:
    texts: dict[str, Any] = {name: visit.text(name) for name in _TEXTS}
    files: dict[str, Any] = {name: _table(visit, name) for name in ("trial_file", "result_file")}
    return TypedBlend(
        components=tuple(
            TypedComponent(**told, banned=visit.text(f"component-{row}-banned") == "yes")
            for row, told in _rows(visit, "component", TypedComponent, ("name", "price_per_tonne"))
        ),
        limits=tuple(
            TypedLimit(**told) for _, told in _rows(visit, "limit", TypedLimit, ("quantity", "value"))
        ),
        trials=_raw(visit, "trials"),
        results=_raw(visit, "results"),
        trials_hold_results=visit.text("trials_hold_results") == "yes",
        beyond_trials=visit.text("beyond_trials") == "yes",
        acceptance_test=visit.text("acceptance_test") == "yes",
        **texts,
        **files,
    )


def _rows(
    visit: Visit, what: str, kind: type[Any], telling: tuple[str, ...]
) -> Iterator[tuple[int, dict[str, str]]]:
    """Give the rows of a part that hold something; all of them where one more is asked for."""
    names = [one.name for one in fields(kind) if isinstance(one.default, str)]
    for row in range(1, min(whole(visit.text(f"{what}-rows")) or 0, _MOST_ROWS) + 1):
        told = {name: visit.text(f"{what}-{row}-{name}") for name in names}
        if visit.text("more") == what or any(told[name] for name in telling):
            yield row, told


def _raw(visit: Visit, name: str) -> str:
    """Give a pasted table with the blanks and tabs at its ends: they are empty cells."""
    found = visit.form.get(name, "")
    return found if isinstance(found, str) else ""


def _table(visit: Visit, name: str) -> HeldFile | None:
    files = visit.uploads(name)
    return HeldFile(files[0].name, files[0].content) if files else None


routes = [
    get("/blends", blends),
    get("/blends/new", new_blend),
    post("/blends", add_blend),
    post("/blends/files", add_files),
    get("/blends/{key}/revise", revision),
    post("/blends/{key}/revise", revise),
    get("/blends/{key}/files/{name}", blend_file),
]
