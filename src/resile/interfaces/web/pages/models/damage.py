"""The amplitude sweep of a run: damage, fatigue law, cycles to failure."""

from __future__ import annotations

from starlette.responses import Response

from resile.errors import PermissionRefusedError, RecordNotFoundError, ResileError
from resile.interfaces.web.spoken import spoken
from resile.interfaces.web.visit import Visit, get
from resile.workflows.laboratory.bench.hand_numbers import hand_number, hand_number_or_none
from resile.workflows.laboratory.runs.damage_of_run import damage_of_run

_CONVENTIONS = (
    ("inverse-slope", "α = 1/m (T 391, TP 101-14)"),
    ("one-plus-inverse-slope", "α = 1 + 1/m (TP 101-12)"),
)


def damage(visit: Visit) -> Response:
    """Show damage and cycles to failure of a run, at the strains and by the convention asked for."""
    key = visit.path("key")
    try:
        strains = tuple(hand_number(one, "strain") for one in visit.text("strains").split())
        report = damage_of_run(
            visit.record,
            key,
            actor=visit.actor,
            convention=visit.text("exponent") or _CONVENTIONS[0][0],
            slope=hand_number_or_none(visit.text("slope"), "slope"),
            at_strain_percent=strains,
        )
    except (RecordNotFoundError, PermissionRefusedError):
        raise
    except ResileError as error:
        return visit.again(
            "models/damage.html.j2", spoken(error), key=key, page=None, conventions=_CONVENTIONS
        )
    page = report.page(date=visit.at[:10])
    return visit.show("models/damage.html.j2", key=key, page=page, conventions=_CONVENTIONS)


routes = [get("/runs/{key}/damage", damage)]
