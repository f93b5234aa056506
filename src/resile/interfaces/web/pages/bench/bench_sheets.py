"""Test plans, labels and small questions of the bench."""

from __future__ import annotations

from starlette.responses import Response

from resile.errors import InputError
from resile.interfaces.web.visit import Visit, get, whole
from resile.records.determination import Condition
from resile.workflows.laboratory.bench.bench_plan import bench_plan, bench_plan_pdf
from resile.workflows.laboratory.bench.bench_questions import (
    check_repeat,
    next_temperature,
    repeatable_quantities,
    searched_lines,
    searched_specifications,
)
from resile.workflows.laboratory.bench.hand_numbers import hand_number
from resile.workflows.laboratory.samples.labels import label_sheet, label_style

_POINTS = range(1, 6)


def plan(visit: Visit) -> Response:
    """Show what to test for a sample's grade."""
    found = bench_plan(visit.record, visit.actor, visit.at, visit.text("sample"), grade=visit.text("grade"))
    return visit.show("bench/plan.html.j2", found=found)


def plan_on_paper(visit: Visit) -> Response:
    """Give the bench sheet as PDF."""
    pdf = bench_plan_pdf(visit.record, visit.actor, visit.at, visit.text("sample"), grade=visit.text("grade"))
    headers = {"content-disposition": 'inline; filename="test-plan.pdf"'}
    return Response(pdf, media_type="application/pdf", headers=headers)


def labels(visit: Visit) -> Response:
    """Show the labels of a sample."""
    copies = visit.text("copies", "1")
    site = visit.settings.address.rstrip("/") or str(visit.request.base_url).rstrip("/")
    sheet = label_sheet(
        visit.record,
        visit.actor,
        visit.text("sample"),
        site=site,
        stock=visit.text("stock"),
        copies=whole(copies) or 1,
    )
    return visit.show("bench/labels.html.j2", sheet=sheet)


def label_sizes(visit: Visit) -> Response:
    """Give the style sheet that prints labels of one size."""
    return Response(label_style(visit.path("stock")), media_type="text/css")


def repeat(visit: Visit) -> Response:
    """Check two values against the repeatability."""
    found = None
    if visit.text("first") and visit.text("second"):
        try:
            found = check_repeat(
                visit.text("quantity"),
                hand_number(visit.text("first"), "first result"),
                hand_number(visit.text("second"), "second result"),
                _condition(visit.text("condition", "original")),
            )
        except InputError as error:
            visit.error = str(error)
    quantities = [
        (one.name, f"{one.symbol or one.title} ({one.unit or 'ratio'}): {one.title}")
        for one in repeatable_quantities()
    ]
    return visit.show("bench/repeat.html.j2", found=found, quantities=quantities, conditions=_CONDITIONS)


def following(visit: Visit) -> Response:
    """Tell which temperature to test next."""
    specification = visit.text("specification", "m320")
    lines = searched_lines(specification)
    found = None
    if visit.text("line"):
        try:
            points = [
                (
                    hand_number(visit.text(f"at-{n}"), "temperature"),
                    hand_number(visit.text(f"value-{n}"), "value"),
                )
                for n in _POINTS
                if visit.text(f"at-{n}") and visit.text(f"value-{n}")
            ]
            found = next_temperature(specification, visit.text("line"), points)
        except InputError as error:
            visit.error = str(error)
    return visit.show(
        "bench/next.html.j2",
        found=found,
        lines=lines,
        specification=specification,
        specifications=searched_specifications(),
        points=_POINTS,
    )


_CONDITIONS = [
    (one.value, one.value.replace("_", "-"))
    for one in (Condition.ORIGINAL, Condition.SHORT_TERM_AGED, Condition.LONG_TERM_AGED)
]


def _condition(text: str) -> Condition:
    try:
        return Condition(text)
    except ValueError:
        raise InputError(f"'{text}' is no residue") from None


routes = [
    get("/bench/plan", plan),
    get("/bench/plan.pdf", plan_on_paper),
    get("/bench/labels", labels),
    get("/bench/labels/{stock}.css", label_sizes),
    get("/bench/repeat", repeat),
    get("/bench/next", following),
]
