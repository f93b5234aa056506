"""Master curves: of one stored frequency sweep, and of all sweeps of a sample."""

from __future__ import annotations

from starlette.responses import Response

from resile.interfaces.web.paper_tables import every_row, page_columns
from resile.interfaces.web.visit import Visit, get
from resile.workflows.laboratory.runs.run_curve import (
    SHAPE_CHOICES,
    SHIFT_CHOICES,
    curve_of_run,
    curves_of_sample,
)

_TYPED = ("shape", "shift", "reference")


def run_curve(visit: Visit) -> Response:
    """Show the master curve of a run; shape and shift stand in the address."""
    found = curve_of_run(
        visit.record, visit.path("key"), actor=visit.actor, typed=_typed(visit), day=visit.at[:10]
    )
    return _show(visit, "models/run_curve.html.j2", found, refused=bool(found.refusal))


def sample_curves(visit: Visit) -> Response:
    """Show the master curves of a sample, one a residue."""
    found = curves_of_sample(
        visit.record, visit.path("key"), actor=visit.actor, typed=_typed(visit), day=visit.at[:10]
    )
    refused = bool(found.curves) and all(refusal for _, _, refusal in found.curves)
    return _show(visit, "models/sample_curves.html.j2", found, refused=refused)


def _show(visit: Visit, template: str, found: object, *, refused: bool) -> Response:
    return visit.show(
        template,
        status=422 if refused else 200,
        found=found,
        shapes=SHAPE_CHOICES,
        shifts=SHIFT_CHOICES,
        page_columns=page_columns,
        every_row=every_row,
    )


def _typed(visit: Visit) -> dict[str, str]:
    return {name: visit.text(name) for name in _TYPED}


routes = [get("/runs/{key}/master-curve", run_curve), get("/samples/{key}/models", sample_curves)]
