"""The bench: cans and the oven."""

from __future__ import annotations

from typing import Any

from starlette.responses import Response

from resile.errors import InputError, ResileError
from resile.interfaces.web.visit import Visit, get, post
from resile.records.register import Heating
from resile.workflows.laboratory.bench.bench_hub import bench_hub
from resile.workflows.laboratory.bench.hand_numbers import hand_number, hand_number_or_none
from resile.workflows.laboratory.bench.heat_history import can_sheet
from resile.workflows.laboratory.bench.heating import keep_heating, start_heating, stop_heating


def hub(visit: Visit) -> Response:
    """Show what is in the oven, and the ways from here."""
    found = bench_hub(visit.record, visit.actor, visit.text("sample"))
    return visit.show("bench/hub.html.j2", hub=found)


def can(visit: Visit, refusal: ResileError | None = None) -> Response:
    """Show a can with its heat history."""
    values: dict[str, Any] = {"sheet": can_sheet(visit.record, visit.actor, visit.path("key"))}
    if refusal is not None:
        return visit.again("bench/can.html.j2", refusal, **values)
    return visit.show("bench/can.html.j2", **values)


def into_oven(visit: Visit) -> Response:
    """Start the timer."""
    key = visit.path("key")
    try:
        start_heating(
            visit.record,
            visit.actor,
            visit.at,
            key,
            hand_number(visit.text("temperature_c"), "oven temperature"),
            purpose=visit.text("purpose"),
            permit=bool(visit.text("permit")),
        )
    except InputError as error:
        return can(visit, error)
    return visit.go(f"/bench/cans/{key}", said="In the oven. The time runs.")


def out_of_oven(visit: Visit) -> Response:
    """Stop the timer."""
    key = visit.path("key")
    try:
        stop_heating(
            visit.record,
            visit.actor,
            visit.at,
            visit.text("heating"),
            preparation_min=hand_number_or_none(visit.text("preparation_min"), "whole preparation"),
        )
    except InputError as error:
        return can(visit, error)
    return visit.go(f"/bench/cans/{key}", said="Taken out; the time is kept.")


def past_heating(visit: Visit) -> Response:
    """Keep a heating that is over."""
    key = visit.path("key")
    try:
        heating = Heating(
            can=key,
            sample="",
            started=visit.text("started"),
            temperature_c=hand_number(visit.text("past_temperature_c"), "oven temperature"),
            duration_min=hand_number(visit.text("duration_min"), "time in the oven"),
            purpose=visit.text("past_purpose"),
        )
        keep_heating(visit.record, visit.actor, visit.at, heating, permit=bool(visit.text("past_permit")))
    except InputError as error:
        return can(visit, error)
    return visit.go(f"/bench/cans/{key}", said="The heating is kept.")


routes = [
    get("/bench", hub),
    get("/bench/cans/{key}", can),
    post("/bench/cans/{key}/in", into_oven),
    post("/bench/cans/{key}/out", out_of_oven),
    post("/bench/cans/{key}/heatings", past_heating),
]
