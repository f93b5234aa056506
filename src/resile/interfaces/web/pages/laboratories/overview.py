"""The laboratory at a glance."""

from __future__ import annotations

from starlette.responses import Response

from resile.interfaces.web.visit import Visit, get
from resile.workflows.laboratory.comparisons.comparison_pictures import (
    budget_pictures,
    check_pictures,
    precision_picture,
    score_pictures,
)
from resile.workflows.laboratory.comparisons.overview import laboratory_overview


def laboratory(visit: Visit) -> Response:
    """Show what the laboratory knows about its own doubt."""
    seen = laboratory_overview(visit.record, visit.actor, visit.at)
    return visit.show(
        "laboratories/overview.html.j2",
        seen=seen,
        precision=precision_picture(seen.beside),
        budgets=budget_pictures(seen.beside),
        scores=score_pictures(seen.rounds.scores.scores),
        checks=check_pictures(seen.materials, seen.instruments),
    )


routes = [get("/laboratory", laboratory)]
