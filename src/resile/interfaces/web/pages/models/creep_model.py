"""The model of a creep-recovery run: springs, dashpots, and what its Jnr consists of."""

from __future__ import annotations

from starlette.responses import Response

from resile.interfaces.web.paper_tables import every_row, page_columns
from resile.interfaces.web.visit import Visit, get
from resile.workflows.laboratory.runs.run_model import MODEL_CHOICES, model_of_run


def model(visit: Visit) -> Response:
    """Show the model of a run; which kind is asked for stands in the address."""
    found = model_of_run(
        visit.record,
        visit.path("key"),
        actor=visit.actor,
        kind=visit.text("kind"),
        elements=visit.text("elements"),
        steps=visit.text("steps"),
        slope=visit.text("slope"),
        day=visit.at[:10],
    )
    visit.errors = found.wrong
    return visit.show(
        "models/creep.html.j2",
        status=422 if found.refusal or found.wrong else 200,
        found=found,
        choices=MODEL_CHOICES,
        page_columns=page_columns,
        every_row=every_row,
    )


routes = [get("/runs/{key}/model", model)]
