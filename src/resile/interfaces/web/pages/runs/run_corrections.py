"""What is said of a kept run is corrected: its sample, residue, specimen, instrument, person and day."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from starlette.responses import Response

from resile.errors import ResileError
from resile.interfaces.web.visit import Visit, get, post
from resile.records.determination import Condition
from resile.workflows.laboratory.files.looking_at_files import conditions, instruments_in_use
from resile.workflows.laboratory.files.reattaching import correct_run, run_to_correct
from resile.workflows.laboratory.samples.sample_search import sample_named


def corrected(visit: Visit) -> Response:
    """Show the form, filled with what is said now."""
    return visit.show("run_correct.html.j2", **_parts(visit))


def correct(visit: Visit) -> Response:
    """Keep the correction with its reason."""
    key = visit.path("key")
    shown = _parts(visit)
    try:
        number = visit.text("sample")
        told = replace(
            shown["told"],
            sample=sample_named(visit.record, visit.actor, visit.at, number) if number else "",
            specimen=visit.text("specimen"),
            condition=Condition(visit.text("condition") or Condition.UNKNOWN),
            instrument=visit.text("instrument"),
            operator=visit.text("operator"),
            tested=visit.text("tested"),
            layout=None,
        )
        seen = int(visit.text("seen") or 0) or None
        reason = visit.text("reason")
        correct_run(visit.record, visit.actor, visit.at, key, told, reason=reason, seen=seen)
    except ResileError as error:
        return visit.again("run_correct.html.j2", error, **shown)
    return visit.go(f"/runs/{key}", said="Corrected; the earlier revision is kept.")


def _parts(visit: Visit) -> dict[str, Any]:
    kept, number, told = run_to_correct(visit.record, visit.actor, visit.path("key"))
    return {
        "kept": kept,
        "number": number,
        "told": told,
        "instruments": [("", "not said"), *instruments_in_use(visit.record, visit.actor)],
        "conditions": conditions(),
    }


routes = [get("/runs/{key}/correct", corrected), post("/runs/{key}/correct", correct)]
