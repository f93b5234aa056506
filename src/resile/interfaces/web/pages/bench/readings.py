"""Readings typed by hand: flash point, viscosity, and whatever else has no raw record."""

from __future__ import annotations

from typing import Any

from starlette.responses import Response

from resile.errors import ResileError
from resile.interfaces.web.visit import Visit, get, post
from resile.workflows.laboratory.files.hand_readings import (
    MOST_READINGS,
    TypedReading,
    keep_readings,
    reading_choices,
)

_FIELDS = ("quantity", "value", "unit", "condition", "temperature")


def readings(visit: Visit) -> Response:
    """Show the form."""
    if not visit.text("sample"):
        return visit.go("/bench", said="Choose the sample that was measured.", kind="note")
    return visit.show("bench/readings.html.j2", **_offered(visit))


def keep(visit: Visit) -> Response:
    """Keep the readings, or bring the form back with what is wrong."""
    typed = [
        TypedReading(*(visit.text(f"{name}-{row}") for name in _FIELDS))
        for row in range(1, MOST_READINGS + 1)
    ]
    told = {name: visit.text(name) for name in ("instrument", "operator", "tested", "note")}
    try:
        kept = keep_readings(visit.record, visit.actor, visit.at, visit.text("sample"), typed, **told)
    except ResileError as error:
        return visit.again("bench/readings.html.j2", error, **_offered(visit))
    if kept.already:
        return visit.go(f"/drop/{kept.file}", said="These readings are kept already; nothing was doubled.")
    return visit.go(f"/drop/{kept.file}", said="Kept.")


def _offered(visit: Visit) -> dict[str, Any]:
    choices = reading_choices(visit.record, visit.actor, visit.text("sample"))
    words = [(one.name, f"{one.title} ({one.unit or 'ratio'})") for one in choices.quantities]
    return {
        "choices": choices,
        "quantities": [("", "nothing"), *words],
        "conditions": [("", "choose"), *choices.conditions],
        "instruments": [("", "not said"), *((one.key, one.value.name) for one in choices.instruments)],
        "most": MOST_READINGS,
    }


routes = [get("/bench/readings", readings), post("/bench/readings", keep)]
