"""Samples: listed, received, corrected, split, handed on. The story of one stands elsewhere."""

from __future__ import annotations

from dataclasses import fields
from typing import Any
from urllib.parse import urlencode

from starlette.responses import Response, StreamingResponse

from resile.errors import InputError, ResileError
from resile.interfaces.web.visit import Visit, get, post, whole
from resile.records.register import Asked, Can, Custody, SampleStage
from resile.workflows.laboratory.samples.custody import EVENTS, keep_can, log_custody, split_sample
from resile.workflows.laboratory.samples.receiving import Arrival, arrival_of, correct_sample, receive_sample
from resile.workflows.laboratory.samples.sample_search import (
    SORTS,
    SampleFilter,
    names_for_filter,
    page_of_samples,
    samples_as_csv,
)

_FILTERS = ("words", "stage", "product", "customer", "received_from", "received_until", "tank")
_STAGES = [("", "any stage"), *((one.value, one.value) for one in SampleStage)]
_TEXTS = tuple(one.name for one in fields(Arrival) if one.default == "")


def samples(visit: Visit) -> Response:
    """List samples."""
    order, falling = visit.text("order", "received"), visit.text("up") == ""
    page = page_of_samples(
        visit.record,
        visit.actor,
        _filter(visit),
        page=whole(visit.text("page")) or 1,
        order=order,
        falling=falling,
    )
    given = {name: visit.text(name) for name in _FILTERS if visit.text(name)}
    sorts = {
        name: "/samples?"
        + urlencode({**given, "order": name, **({"up": "1"} if name == order and falling else {})})
        for name in SORTS
    }
    sorted_so = {"order": order, **({} if falling else {"up": "1"})}
    return visit.show(
        "samples/samples.html.j2",
        page=page,
        order=order,
        falling=falling,
        sorts=sorts,
        here="/samples?" + urlencode({**given, **sorted_so}),
        csv="/samples.csv?" + urlencode(given),
        **_choices(visit),
    )


def samples_csv(visit: Visit) -> Response:
    """Send all samples that the filter lets through."""
    lines = samples_as_csv(visit.record, visit.actor, _filter(visit))
    headers = {"content-disposition": 'attachment; filename="samples.csv"'}
    return StreamingResponse(lines, media_type="text/csv; charset=utf-8", headers=headers)


def new_sample(visit: Visit) -> Response:
    """Show the form for a sample that comes in."""
    return visit.show("samples/new.html.j2", arrival=Arrival(received=visit.at[:10]), **_choices(visit))


def receive(visit: Visit) -> Response:
    """Receive a sample."""
    try:
        kept = receive_sample(visit.record, visit.actor, visit.at, _arrival(visit))
        if visit.text("split"):
            split_sample(visit.record, visit.actor, visit.at, kept.key)
    except ResileError as error:
        return visit.again("samples/new.html.j2", error, arrival=Arrival(), **_choices(visit))
    said = f"Sample {kept.value.number} is received."
    return visit.go(f"/samples/{kept.key}", said=said)


def corrected(visit: Visit) -> Response:
    """Show the form that corrects a sample."""
    kept, arrival = arrival_of(visit.record, visit.actor, visit.path("key"))
    return visit.show("samples/correct.html.j2", kept=kept, arrival=arrival, **_choices(visit))


def correct(visit: Visit) -> Response:
    """Correct a sample, with the reason."""
    key = visit.path("key")
    kept, arrival = arrival_of(visit.record, visit.actor, key)
    try:
        seen = int(visit.text("seen") or 0)
        new = _arrival(visit)
        correct_sample(visit.record, visit.actor, visit.at, key, new, reason=visit.text("reason"), seen=seen)
    except ResileError as error:
        return visit.again("samples/correct.html.j2", error, kept=kept, arrival=arrival, **_choices(visit))
    return visit.go(f"/samples/{key}", said="Corrected; the earlier revision is kept.")


def hand_on(visit: Visit) -> Response:
    """Show the forms for custody, cans and splitting."""
    kept, arrival = arrival_of(visit.record, visit.actor, visit.path("key"))
    return visit.show("samples/custody.html.j2", kept=kept, arrival=arrival, events=EVENTS)


def split(visit: Visit) -> Response:
    """Split a sample."""
    return _done(
        visit,
        "Split into A (tested) and B (retained).",
        lambda key: split_sample(
            visit.record, visit.actor, visit.at, key, place=visit.text("place"), seal=visit.text("seal")
        ),
    )


def log_event(visit: Visit) -> Response:
    """Log that a sample changed hands."""
    texts = {
        name: visit.text(name)
        for name in ("happened", "event", "from_whom", "to_whom", "place", "seal", "note")
    }
    return _done(
        visit,
        "Logged.",
        lambda key: log_custody(visit.record, visit.actor, visit.at, Custody(sample=key, **texts)),
    )


def add_can(visit: Visit) -> Response:
    """Keep a can."""
    return _done(
        visit,
        "The can is kept.",
        lambda key: keep_can(
            visit.record,
            visit.actor,
            visit.at,
            Can(
                sample=key,
                name=visit.text("name"),
                mass_g=_number(visit, "mass_g"),
                modified=bool(visit.text("modified")),
                place=visit.text("place"),
            ),
        ),
    )


def _done(visit: Visit, said: str, task: Any) -> Response:
    key = visit.path("key")
    try:
        task(key)
    except ResileError as error:
        kept, arrival = arrival_of(visit.record, visit.actor, key)
        return visit.again("samples/custody.html.j2", error, kept=kept, arrival=arrival, events=EVENTS)
    return visit.go(f"/samples/{key}", said=said)


def _filter(visit: Visit) -> SampleFilter:
    return SampleFilter(**{name: visit.text(name) for name in _FILTERS})


def _choices(visit: Visit) -> dict[str, Any]:
    return {
        "stages": _STAGES,
        "products": names_for_filter(visit.record, visit.actor, "product"),
        "customers": names_for_filter(visit.record, visit.actor, "customer"),
        "tanks": names_for_filter(visit.record, visit.actor, "tank"),
    }


def _arrival(visit: Visit) -> Arrival:
    texts: dict[str, Any] = {name: visit.text(name) for name in _TEXTS}
    return Arrival(
        **texts,
        quantity_g=_number(visit, "quantity_g"),
        represents_t=_number(visit, "represents_t"),
        cans=tuple(visit.text("cans").replace(",", " ").split()),
        modified=bool(visit.text("modified")),
        asked=Asked(
            specification=visit.text("specification"),
            service_class=visit.text("service_class"),
            high_temperature_c=_number(visit, "high_temperature_c"),
        ),
    )


def _number(visit: Visit, name: str) -> float | None:
    typed = visit.text(name)
    try:
        return float(typed.replace(",", ".")) if typed else None
    except ValueError:
        raise InputError(f"'{typed}' is no number; a number is needed, or nothing") from None


routes = [
    get("/samples", samples),
    get("/samples.csv", samples_csv),
    get("/samples/new", new_sample),
    post("/samples/new", receive),
    get("/samples/{key}/correct", corrected),
    post("/samples/{key}/correct", correct),
    get("/samples/{key}/custody", hand_on),
    post("/samples/{key}/custody", log_event),
    post("/samples/{key}/split", split),
    post("/samples/{key}/cans", add_can),
]
