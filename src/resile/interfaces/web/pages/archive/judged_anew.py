"""The whole record judged by another edition or decision rule, in the background where that takes long."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any
from urllib.parse import urlencode

from starlette.responses import Response

from resile.errors import PermissionRefusedError, RecordNotFoundError, ResileError
from resile.interfaces.web.jobs import Progress, jobs_of
from resile.interfaces.web.own_folder import answers_of
from resile.interfaces.web.pages.archive.asked import folder_asked, wanted_of
from resile.interfaces.web.spoken import spoken
from resile.interfaces.web.visit import Visit, get, post, saved_file
from resile.workflows.archive.of_record import (
    JudgedAnewBy,
    ResultsWanted,
    as_bytes,
    from_bytes,
    is_near,
    judged_anew,
    mark_of,
    takes_long,
)
from resile.workflows.archive.shown import (
    answer_bytes,
    page_of_rejudging,
    pdf_of_rejudging,
    table_of,
)
from resile.workflows.laboratory.statements.grade_sheet import rules_offered

_BASES = (
    ("reproducibility", "published reproducibility"),
    ("repeatability", "published repeatability"),
    ("replicates,reproducibility", "own replicates, else published reproducibility"),
    ("own,reproducibility", "own precision, else published reproducibility"),
    ("own", "own precision alone"),
)


def judged(visit: Visit) -> Response:
    """Show what was worked out for what the address asks, or the form alone."""
    is_near(visit.record, visit.actor, folder_asked(visit))
    content = answers_of(visit.request.app).recall(_mark(visit)) if visit.text("before") else None
    return _show(visit, content)


def judge(visit: Visit) -> Response:
    """Judge the record anew; in the background where it holds much."""
    record, actor, app, folder = visit.record, visit.actor, visit.request.app, folder_asked(visit)
    by, wanted = _by(visit), wanted_of(visit)
    address = f"/archive-judged?{urlencode(_question(by, wanted))}"

    def work(progress: Progress | None) -> str:
        told = None if progress is None else lambda done, of: progress.step(done, of, "judging anew")
        found = judged_anew(record, actor, folder, by, wanted, progress=told)
        answers_of(app).remember(mark_of(record, by, wanted), as_bytes(found))
        return address

    try:
        if not takes_long(record, actor, folder):
            return visit.go(work(None))
    except PermissionRefusedError:
        raise
    except ResileError as error:
        return _show(visit, None, error)
    return visit.go(jobs_of(app).start(actor, "Judge the record anew", work, back=address))


def given_out(visit: Visit) -> Response:
    """Give what was worked out as a report on paper, or the samples that change as a table."""
    is_near(visit.record, visit.actor, folder_asked(visit))
    content = answers_of(visit.request.app).recall(_mark(visit))
    form = visit.path("form")
    if content is None or form not in ("pdf", "csv", "xlsx", "parquet"):
        raise RecordNotFoundError("this was not worked out, or the record has changed since; judge it anew")
    found = from_bytes(content)
    if form == "pdf":
        return saved_file(pdf_of_rejudging(found, date=visit.at[:10]), "judged-anew.pdf", "application/pdf")
    return saved_file(answer_bytes(table_of(found), f".{form}", date=visit.at[:10]), f"judged-anew.{form}")


def _show(visit: Visit, content: bytes | None, error: ResileError | None = None) -> Response:
    offered = rules_offered()
    found = from_bytes(content) if content is not None else None
    given: dict[str, Any] = {
        "found": found,
        "page": page_of_rejudging(found, date=visit.at[:10]) if found else None,
        "specifications": [(one, one) for one in offered.specifications],
        "rules": [(one, one) for one in offered.decision_rules],
        "bases": _BASES,
        "retests": [(one, one) for one in offered.retest_rules],
        "asked": urlencode(_question(_by(visit), wanted_of(visit))),
        "waiting": bool(visit.text("before")) and found is None,
    }
    if error is not None:
        return visit.again("archive/judged.html.j2", spoken(error), **given)
    return visit.show("archive/judged.html.j2", **given)


def _by(visit: Visit) -> JudgedAnewBy:
    return JudgedAnewBy(
        before=visit.text("before", "m332-2014"),
        after=visit.text("after", "m332-2020"),
        rule=visit.text("rule", "simple"),
        rule_after=visit.text("rule_after", "simple"),
        basis=visit.text("basis", _BASES[0][0]),
        retest_rule=visit.text("retest_rule", "mean-of-all"),
    )


def _mark(visit: Visit) -> str:
    return mark_of(visit.record, _by(visit), wanted_of(visit))


def _question(by: JudgedAnewBy, wanted: ResultsWanted) -> dict[str, str]:
    parts = {**asdict(by), "product": wanted.product, "lot": wanted.lot}
    return {
        name: text for name, text in {**parts, "since": wanted.since, "until": wanted.until}.items() if text
    }


routes = [
    get("/archive-judged", judged),
    post("/archive-judged", judge),
    get("/archive-judged/report.{form}", given_out),
]
