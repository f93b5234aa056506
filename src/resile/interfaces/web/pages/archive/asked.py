"""Questions to the archive of the record: what is in it, trends, findings, failures, spread, samples."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any, TypeVar
from urllib.parse import urlencode

from starlette.responses import Response

from resile.errors import PermissionRefusedError, RecordNotFoundError, ResileError
from resile.interfaces.web.jobs import Progress, jobs_of
from resile.interfaces.web.own_folder import folder_of, own_folder
from resile.interfaces.web.spoken import spoken
from resile.interfaces.web.visit import Visit, get, post, saved_file
from resile.workflows.archive.of_record import (
    AnswerTable,
    ArchiveContents,
    ResultsWanted,
    Trend,
    asked_of_record,
    brought_up_to_date,
    is_near,
    questions,
)
from resile.workflows.archive.shown import (
    answer_bytes,
    brief_notes,
    columns_of,
    picture_of_trend,
    property_title,
    quantities_offered,
    rows_of,
    table_of,
    titled_answer,
)
from resile.workflows.laboratory.bench.hand_numbers import hand_number_or_none

T = TypeVar("T")
_FORMS = {
    "csv": "text/csv; charset=utf-8",
    "parquet": "application/vnd.apache.parquet",
    "xlsx": "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
}
_FIELDS = (
    "product",
    "lot",
    "quantity",
    "condition",
    "temperature",
    "class",
    "since",
    "until",
    "code",
    "severity",
)


def folder_asked(visit: Visit) -> Path:
    """Give where the archive of the record stands: beside the workbench, readable by it alone."""
    return own_folder(folder_of(visit.request.app, "archive"))


def ask(visit: Visit, question: Callable[[Path], T]) -> T:
    """Ask the record."""
    return asked_of_record(visit.record, visit.actor, folder_asked(visit), question)


def wanted_of(visit: Visit) -> ResultsWanted:
    """Read which results are meant."""
    return ResultsWanted(
        product=visit.text("product"),
        lot=visit.text("lot"),
        quantity=visit.text("quantity"),
        condition=visit.text("condition"),
        temperature_c=hand_number_or_none(visit.text("temperature"), "temperature"),
        since=visit.text("since"),
        until=visit.text("until"),
    )


def contents(visit: Visit) -> Response:
    """Say what is in the archive; the way to make it ready where that takes long."""
    if not is_near(visit.record, visit.actor, folder_asked(visit)):
        return visit.show("archive/not_ready.html.j2")
    found = ask(visit, questions.archive_contents)
    return visit.show("archive/contents.html.j2", found=found, title_of=property_title)


def make_ready(visit: Visit) -> Response:
    """Bring the archive up to date in the background."""
    record, actor, folder = visit.record, visit.actor, folder_asked(visit)
    is_near(record, actor, folder)

    def work(progress: Progress) -> str:
        progress.step(0, 0, "reading the record")
        brought_up_to_date(record, actor, folder)
        return "/archive"

    return visit.go(jobs_of(visit.request.app).start(actor, "Make the archive ready", work, back="/archive"))


def _trend(visit: Visit) -> Trend | None:
    wanted = wanted_of(visit)
    if not wanted.quantity:
        return None
    return ask(visit, lambda archive: questions.archive_trend(archive, wanted, label=visit.text("class")))


def _findings(visit: Visit) -> AnswerTable:
    wanted, code, severity = wanted_of(visit), visit.text("code"), visit.text("severity")
    if code or severity:
        return ask(visit, lambda archive: questions.runs_of(archive, wanted, code=code, severity=severity))
    return ask(visit, lambda archive: questions.findings_of(archive, wanted))


def _failures(visit: Visit) -> AnswerTable:
    wanted, label, every = wanted_of(visit), visit.text("class"), visit.text("lines") == "all"
    return ask(visit, lambda archive: questions.failures_of(archive, wanted, label=label, every=every))


def _spread(visit: Visit) -> AnswerTable | None:
    wanted = wanted_of(visit)
    if not wanted.quantity:
        return None
    if visit.text("extremes"):
        return ask(visit, lambda archive: questions.extremes_of(archive, wanted))
    return ask(visit, lambda archive: questions.distribution_of(archive, wanted))


def _samples(visit: Visit) -> AnswerTable | None:
    words = visit.text("words")
    return ask(visit, lambda archive: questions.samples_named(archive, words)) if words else None


_QUESTIONS: dict[str, Callable[[Visit], AnswerTable | Trend | None]] = {
    "trend": _trend,
    "findings": _findings,
    "failures": _failures,
    "spread": _spread,
    "samples": _samples,
}


def question(visit: Visit) -> Response:
    """Show the form of a question, and its answer where one was asked."""
    name = _name(visit)
    offered = ask(visit, questions.archive_contents)
    try:
        found = _QUESTIONS[name](visit)
    except (RecordNotFoundError, PermissionRefusedError):
        raise
    except ResileError as error:
        return visit.again(f"archive/{name}.html.j2", spoken(error), **_shown(visit, name, None, offered))
    return visit.show(f"archive/{name}.html.j2", **_shown(visit, name, found, offered))


def given_out(visit: Visit) -> Response:
    """Give an answer out as a file."""
    name, form = _name(visit), visit.path("form")
    found = _QUESTIONS[name](visit) if form in _FORMS else None
    if found is None:
        raise RecordNotFoundError("there is no such answer; ask the question first")
    content = answer_bytes(table_of(found), f".{form}", date=visit.at[:10])
    return saved_file(content, f"{name}.{form}", _FORMS[form])


def _name(visit: Visit) -> str:
    name = visit.path("name")
    if name not in _QUESTIONS:
        raise RecordNotFoundError("there is no such question to the archive")
    return name


def _shown(
    visit: Visit, name: str, found: AnswerTable | Trend | None, offered: ArchiveContents
) -> dict[str, Any]:
    asked = {key: visit.text(key) for key in (*_FIELDS, "words", "extremes", "lines") if visit.text(key)}
    table = table_of(found) if found is not None else None
    return {
        "found": found,
        "table": titled_answer(table) if table else None,
        "note": brief_notes(table) if table else "",
        "columns": columns_of(table) if table else [],
        "rows": rows_of(table) if table else [],
        "spec": picture_of_trend(found) if isinstance(found, Trend) else None,
        "export": f"/archive/{name}/as" if table and table.rows else "",
        "asked": urlencode(asked),
        "forms_given": sorted(_FORMS),
        "products": [("", "any"), *((one, one) for one, _ in offered.products)],
        "quantities": [("", "choose"), *quantities_offered(offered.quantities)],
        "labels": [("", "none"), *((one, one) for one, _ in offered.labels)],
    }


routes = [
    get("/archive", contents),
    post("/archive/ready", make_ready),
    get("/archive/{name}", question),
    get("/archive/{name}/as.{form}", given_out),
]
