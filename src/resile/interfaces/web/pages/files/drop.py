"""Record files go in: dropped or chosen, told what was made of them, attached, read another way."""

from __future__ import annotations

from functools import partial
from typing import Any

from starlette.responses import Response

from resile.errors import InputError, ResileError, answer_for
from resile.interfaces.web.jobs import Progress, jobs_of
from resile.interfaces.web.visit import Upload, Visit, get, post
from resile.records.determination import Condition
from resile.records.register import TYPED_RESULTS
from resile.workflows.laboratory.files.ingesting import KeptRecord, RecordTold, keep_record
from resile.workflows.laboratory.files.looking_at_files import (
    conditions,
    instruments_in_use,
    newest_runs,
    see_file,
    title_of_test,
)
from resile.workflows.laboratory.files.naming_columns import (
    QUESTIONS,
    SEPARATOR_WORDS,
    ColumnsOfFile,
    column_words,
    columns_of_file,
    for_a_page,
    proposed_layout,
)
from resile.workflows.laboratory.files.reading_files import check_file
from resile.workflows.laboratory.files.reattaching import attach_file, read_again
from resile.workflows.laboratory.files.remembering import remember_layout
from resile.workflows.laboratory.runs.run_view import CONDITION_WORDS
from resile.workflows.laboratory.samples.sample_search import find_samples, sample_named
from resile.workflows.laboratory.samples.sample_story import value_words

REMEMBERED = ("instrument", "operator")
"""Not the residue: carried over in silence it would put the next run under the wrong one."""
_LONG_BYTES = 4_000_000
_FEW = 8
"""Numbers that are told at once beside a file on its way; a sweep has more, and a page of its own."""
_A_MONTH_S = 2_592_000


def drop(visit: Visit) -> Response:
    """Show the place for files."""
    return visit.show("drop/drop.html.j2", **_offered(visit))


def keep(visit: Visit) -> Response:
    """Keep the files of a form: one at once, many or long ones in the background."""
    script = "application/json" in visit.request.headers.get("accept", "")
    try:
        told, files = _told(visit), visit.uploads("files") or [visit.upload("files")]
        if len(files) == 1:
            check_file(files[0].content, files[0].name)
        if len(files) > 1 or len(files[0].content) > _LONG_BYTES:
            address = _keep_in_background(visit, files, told)
            response = visit.json({"job": address}) if script else visit.go(address)
        else:
            kept = keep_record(visit.record, visit.actor, visit.at, files[0].content, files[0].name, told)
            response = visit.json(_in_short(kept)) if script else _lead(visit, kept)
    except ResileError as error:
        if script:
            return visit.json({"refused": str(error)}, status=answer_for(error).http_status)
        return visit.again("drop/drop.html.j2", error, **_offered(visit))
    return _remember(visit, response)


def file(visit: Visit) -> Response:
    """Show what was made of a file."""
    return visit.show("drop/file.html.j2", **_seen(visit))


def attach(visit: Visit) -> Response:
    """Say which sample a file belongs to."""
    sha256 = visit.path("file")
    try:
        attach_file(visit.record, visit.actor, visit.at, sha256, _told(visit, new=True))
    except ResileError as error:
        return visit.again("drop/file.html.j2", error, **_seen(visit))
    return _remember(visit, visit.go(f"/drop/{sha256}", said="Attached."))


def columns(visit: Visit) -> Response:
    """Show the top of a file, to be told what its columns are."""
    found = columns_of_file(visit.record, visit.actor, visit.path("file"))
    return visit.show("drop/columns.html.j2", **_columns(found))


def read_another_way(visit: Visit) -> Response:
    """Preview a file read another way, or keep it so."""
    sha256 = visit.path("file")
    found = columns_of_file(visit.record, visit.actor, sha256)
    typed = {name: value for name, value in visit.form.items() if isinstance(value, str)}
    try:
        layout = proposed_layout(found.layout, typed)
        found = columns_of_file(visit.record, visit.actor, sha256, layout)
        if visit.text("do") != "keep":
            return visit.show("drop/columns.html.j2", **_columns(found, previewed=True))
        reason = visit.text("reason", "columns named by hand")
        read_again(visit.record, visit.actor, visit.at, sha256, layout, reason=reason)
        if visit.text("name"):
            remember_layout(
                visit.record, visit.actor, visit.at, visit.text("name"), layout, example=found.example
            )
    except ResileError as error:
        return visit.again("drop/columns.html.j2", error, **_columns(found))
    return visit.go(f"/drop/{sha256}", said="Read and kept.")


def samples_found(visit: Visit) -> Response:
    """Give samples for a search box."""
    rows = find_samples(visit.record, visit.actor, visit.text("sample"))
    return visit.show("drop/found.html.j2", rows=rows)


def _told(visit: Visit, *, new: bool = False) -> RecordTold:
    number = visit.text("sample")
    sample = (
        sample_named(visit.record, visit.actor, visit.at, number, make=new and bool(visit.text("new")))
        if number or visit.text("new")
        else ""
    )
    return RecordTold(
        sample=sample,
        specimen=visit.text("specimen"),
        condition=Condition(visit.text("condition") or Condition.UNKNOWN),
        instrument=visit.text("instrument"),
        operator=visit.text("operator"),
        tested=visit.text("tested"),
        note=visit.text("note"),
    )


def _lead(visit: Visit, kept: KeptRecord) -> Response:
    return visit.go(f"/drop/{kept.file}", said=_said(kept))


def _seen(visit: Visit) -> dict[str, Any]:
    seen = see_file(visit.record, visit.actor, visit.path("file"))
    question = QUESTIONS.get(seen.question)
    return {"seen": seen, "question": question, "residues": CONDITION_WORDS, **_offered(visit)}


def _offered(visit: Visit) -> dict[str, Any]:
    return {
        "instruments": [("", "not said"), *instruments_in_use(visit.record, visit.actor)],
        "conditions": conditions(),
        "newest": newest_runs(visit.record, visit.actor),
        "title_of_test": title_of_test,
        "before": {name: visit.request.cookies.get(f"resile-{name}", "") for name in REMEMBERED},
    }


def _columns(found: ColumnsOfFile, *, previewed: bool = False) -> dict[str, Any]:
    return {
        "found": found,
        "previewed": previewed,
        "refusal": for_a_page(str(found.read.refusal or "")),
        "words": column_words(),
        "separators": [("", "find out"), *((one, one) for one in SEPARATOR_WORDS)],
        "sheets": [("", "all"), *((one, one) for one in found.rows.sheets)],
    }


def _keep_in_background(visit: Visit, files: list[Upload], told: RecordTold) -> str:
    record, actor, at = visit.record, visit.actor, visit.at

    def work(progress: Progress) -> str:
        kept, refused = [], []
        for place, one in enumerate(files):
            progress.step(place, len(files), f"reading {one.name}")
            try:
                done = keep_record(
                    record,
                    actor,
                    at,
                    one.content,
                    one.name,
                    told,
                    before_writing=partial(progress.step, place, len(files), f"keeping {one.name}"),
                )
                kept.append(done.file)
            except ResileError as error:
                refused.append(str(error))
        progress.step(len(files), len(files))
        if refused:
            raise InputError(f"{len(kept)} of {len(files)} files are kept. Not kept: {' '.join(refused)}")
        if len(files) == 1:
            return f"/drop/{kept[0]}"
        return f"/samples/{told.sample}" if told.sample else "/drop"

    title = f"Keep {len(files)} files" if len(files) > 1 else f"Keep {files[0].name}"
    back = f"/samples/{told.sample}" if told.sample else "/drop"
    return jobs_of(visit.request.app).start(actor, title, work, back=back)


def _in_short(kept: KeptRecord) -> dict[str, object]:
    results = [run.result.value for run in kept.runs if run.result]
    few = [one for one in results if len(one.lines) <= _FEW]
    return {
        "address": f"/drop/{kept.file}",
        "said": _said(kept),
        "worst": next((w for w in ("invalid", "caution", "note") if any(r.worst == w for r in results)), ""),
        "messages": [message for result in results for message in result.messages][:6],
        "numbers": [words for one in few for words in map(value_words, one.lines) if words],
        "sample": _sample_address(kept),
    }


def _sample_address(kept: KeptRecord) -> str:
    held = [run.run.value.sample for run in kept.runs] + [one.value.sample for one in kept.ageings]
    key = next(filter(None, held), "")
    return f"/samples/{key}" if key else ""


def _said(kept: KeptRecord) -> str:
    if kept.already:
        return f"{kept.name} is kept already; nothing was doubled."
    if kept.refusal is not None:
        return f"{kept.name} is kept, but could not be read yet."
    by = f", read by the layout '{kept.layout}'" if kept.layout else ""
    word, count = "run", len(kept.runs)
    if kept.ageings:
        word, count = "ageing record", len(kept.ageings)
    elif kept.runs and kept.runs[0].run.value.test == TYPED_RESULTS:
        result = kept.runs[0].result
        word, count = "result", len(result.value.lines) if result else 0
    return f"{kept.name} is kept: {count} {word if count == 1 else word + 's'}{by}."


def _remember(visit: Visit, response: Response) -> Response:
    """Remember in the browser what the next file is likely to share with this one."""
    for name in REMEMBERED:
        if name in visit.form:
            response.set_cookie(
                f"resile-{name}",
                visit.text(name),
                max_age=_A_MONTH_S,
                samesite="lax",
                httponly=True,
                secure=visit.settings.secure,
            )
    return response


routes = [
    get("/drop", drop),
    post("/drop", keep),
    get("/drop/samples", samples_found),
    get("/drop/{file:str}", file),
    post("/drop/{file:str}/attach", attach),
    get("/drop/{file:str}/columns", columns),
    post("/drop/{file:str}/columns", read_another_way),
]
