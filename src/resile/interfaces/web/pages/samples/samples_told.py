"""A sample as one story, and its grade sheet."""

from __future__ import annotations

from typing import Any

from starlette.responses import Response

from resile.errors import InputError, ResileError
from resile.interfaces.web.sample_cells import ageing_cells, options, statement_cells
from resile.interfaces.web.visit import Visit, get, post
from resile.records.register import Asked
from resile.workflows.laboratory.samples.sample_story import (
    nearest_words,
    number_words,
    tell_sample,
    value_words,
)
from resile.workflows.laboratory.statements.grade_sheet import grade_sheet, rules_offered, shown_lines
from resile.workflows.laboratory.statements.grading import (
    choose_rules,
    grade_as_if,
    grade_stored_sample,
    verdict_picture,
)


def sample_page(visit: Visit) -> Response:
    """Show the story of a sample."""
    story = tell_sample(visit.record, visit.actor, visit.path("key"))
    return visit.show(
        "samples/story.html.j2",
        story=story,
        ageing_cells=ageing_cells(story),
        statement_cells=statement_cells(story),
        value_words=value_words,
        number_words=number_words,
        nearest_words=nearest_words,
    )


def grade_page(visit: Visit) -> Response:
    """Show the verdict on a sample, its rules and what may be done."""
    return visit.show("samples/grade.html.j2", **_parts(visit))


def grade_now(visit: Visit) -> Response:
    """Grade the sample and show the verdict."""
    key = visit.path("key")
    try:
        grade_stored_sample(visit.record, visit.actor, visit.at, key)
    except ResileError as error:
        return visit.again("samples/grade.html.j2", error, **_parts(visit))
    return visit.go(f"/samples/{key}/grade", said="Graded; the verdict is kept.")


def rules_page(visit: Visit) -> Response:
    """Take other rules: only asked about, or fixed with a reason."""
    key = visit.path("key")
    try:
        asked = _asked(visit)
        if visit.text("do") == "fix":
            seen = int(visit.text("seen") or 0) or None
            reason = visit.text("reason")
            choose_rules(visit.record, visit.actor, visit.at, key, asked, seen=seen, reason=reason)
            return visit.go(f"/samples/{key}/grade", said="The rules are fixed; grade the sample by them.")
        supposed = grade_as_if(visit.record, visit.actor, visit.at, key, asked)
    except ResileError as error:
        return visit.again("samples/grade.html.j2", error, **_parts(visit))
    lines = shown_lines(supposed.to_json())
    return visit.show("samples/grade.html.j2", **_parts(visit, supposed=supposed, supposed_lines=lines))


def verdict_svg(visit: Visit) -> Response:
    """Give a picture of a verdict."""
    svg = verdict_picture(visit.record, visit.actor, visit.path("verdict"), visit.path("name"))
    return Response(svg, media_type="image/svg+xml")


def _parts(visit: Visit, **more: object) -> dict[str, Any]:
    sheet = grade_sheet(visit.record, visit.actor, visit.path("key"))
    return {"sheet": sheet, "offered": rules_offered(), "options": options, "supposed": None, **more}


def _asked(visit: Visit) -> Asked:
    return Asked(
        specification=visit.text("specification"),
        decision_rule=visit.text("decision_rule"),
        uncertainty_basis=visit.text("uncertainty_basis"),
        retest_rule=visit.text("retest_rule"),
        budget=visit.text("budget"),
        correlation=visit.text("correlation"),
        service_class=visit.text("service_class"),
        high_temperature_c=_number(visit, "high_temperature_c"),
        price_rules=tuple(visit.texts("price_rules")),
    )


def _number(visit: Visit, name: str) -> float | None:
    typed = visit.text(name).replace(",", ".")
    try:
        return float(typed) if typed else None
    except ValueError:
        raise InputError(f"high end asked for: '{typed}' is no number; write °C, for example 64") from None


routes = [
    get("/samples/{key}", sample_page),
    get("/samples/{key}/grade", grade_page),
    post("/samples/{key}/grade", grade_now),
    post("/samples/{key}/rules", rules_page),
    get("/verdicts/{verdict}/{name}.svg", verdict_svg),
]
