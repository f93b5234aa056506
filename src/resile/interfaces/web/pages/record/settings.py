"""How the laboratory works: one form, its history, and how the head of a statement looks."""

from __future__ import annotations

from typing import Any

from starlette.responses import Response

from resile.errors import ResileError
from resile.interfaces.web.sample_cells import options
from resile.interfaces.web.visit import Visit, get, post
from resile.records.reading import HeldFile
from resile.records.register import LaboratorySettings
from resile.workflows.laboratory.bench.hand_numbers import revision_seen
from resile.workflows.laboratory.record.settling import SETTLED_IN_WORDS, settings_sheet, settle


def settings_page(visit: Visit) -> Response:
    """Show how the laboratory works."""
    return visit.show("settings/settings.html.j2", **_parts(visit))


def change_settings(visit: Visit) -> Response:
    """Keep how the laboratory is to work."""
    pictures = visit.uploads("logo")
    try:
        settle(
            visit.record,
            visit.actor,
            visit.at,
            _settings(visit),
            logo=HeldFile(pictures[0].name, pictures[0].content) if pictures else None,
            without_logo=bool(visit.text("without_logo")),
            seen=0 if visit.text("seen") == "0" else revision_seen(visit.text("seen")),
            reason=visit.text("reason"),
        )
    except ResileError as error:
        return visit.again("settings/settings.html.j2", error, **_parts(visit))
    return visit.go(
        "/settings", said="Kept. Statements drafted from now on carry it; issued ones stay as they are."
    )


def _parts(visit: Visit) -> dict[str, Any]:
    return {"sheet": settings_sheet(visit.record, visit.actor, visit.at), "options": options}


def _settings(visit: Visit) -> LaboratorySettings:
    texts: dict[str, Any] = {name: visit.text(name) for name in SETTLED_IN_WORDS}
    return LaboratorySettings(**texts, four_eyes=bool(visit.text("four_eyes")))


routes = [
    get("/settings", settings_page),
    post("/settings", change_settings),
]
