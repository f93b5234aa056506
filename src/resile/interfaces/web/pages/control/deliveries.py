"""Loads delivered: the list, adding one or a table of them, correcting one, and what does not fit."""

from __future__ import annotations

from dataclasses import fields
from typing import Any
from urllib.parse import urlencode

from starlette.responses import Response

from resile.errors import ResileError
from resile.interfaces.web.given_out import given_table
from resile.interfaces.web.spoken import spoken
from resile.interfaces.web.visit import Visit, get, post, whole
from resile.records.reading import HeldFile
from resile.workflows.laboratory.bench.hand_numbers import revision_seen
from resile.workflows.laboratory.control.deliveries import (
    TypedDelivery,
    deliveries_page,
    delivery_choices,
    delivery_of,
    every_load,
    keep_delivery,
    keep_load_table,
    typed_of,
)
from resile.workflows.laboratory.control.exports import loads_table, misfits_table
from resile.workflows.laboratory.control.reconciliation import WEIGHTS, gathered, reconcile_deliveries

_ROWS = 100
_FIELDS = tuple(one.name for one in fields(TypedDelivery))


def deliveries(visit: Visit) -> Response:
    """Show the loads, the newest first."""
    product, page = visit.text("product"), max(whole(visit.text("page")) or 1, 1)
    rows, count = deliveries_page(visit.record, visit.actor, product=product, page=page, rows=_ROWS)
    found = reconcile_deliveries(visit.record, visit.actor, product=product, since=_year_before(visit.at))
    return visit.show(
        "control/deliveries.html.j2",
        rows=rows,
        count=count,
        page=page,
        pages=-(-count // _ROWS),
        product=product,
        found=found,
        choices=delivery_choices(visit.record, visit.actor),
    )


def loads_file(visit: Visit) -> Response:
    """Give the loads as a file, those of one product where one is chosen."""
    loads = every_load(visit.record, visit.actor, product=visit.text("product"))
    return given_table(visit, loads_table(loads), "loads")


def misfits_file(visit: Visit) -> Response:
    """Give what does not fit as a file."""
    found = reconcile_deliveries(visit.record, visit.actor, **_asked(visit))
    return given_table(visit, misfits_table(found.misfits), "loads-and-certificates")


def _asked(visit: Visit) -> dict[str, str]:
    since = visit.text("since") or _year_before(visit.at)
    return {"product": visit.text("product"), "since": since, "until": visit.text("until")}


def reconciliation(visit: Visit) -> Response:
    """Show which loads, lots and certificates do not fit one another."""
    asked: dict[str, Any] = _asked(visit)
    found = reconcile_deliveries(visit.record, visit.actor, **asked)
    return visit.show(
        "control/reconciliation.html.j2",
        found=found,
        gathered=gathered(found.misfits),
        query=urlencode({name: value for name, value in asked.items() if value}),
        weights=WEIGHTS,
        choices=delivery_choices(visit.record, visit.actor),
        **asked,
    )


def new_delivery(visit: Visit) -> Response:
    """Show the form of a load."""
    return _form(visit, TypedDelivery(sent=visit.at[:10]))


def add_delivery(visit: Visit) -> Response:
    """Keep a load that was typed."""
    typed = _typed(visit)
    try:
        kept = keep_delivery(visit.record, visit.actor, visit.at, typed)
    except ResileError as error:
        return _form(visit, typed, refusal=spoken(error))
    return visit.go("/deliveries", said=f"Load {kept.value.number} is kept.")


def add_table(visit: Visit) -> Response:
    """Keep every load of a table."""
    try:
        file = visit.upload("table")
        taken = keep_load_table(visit.record, visit.actor, visit.at, HeldFile(file.name, file.content))
    except ResileError as error:
        return _form(visit, TypedDelivery(sent=visit.at[:10]), refusal=spoken(error))
    beside = f" {taken.known} were kept before." if taken.known else ""
    unused = f" Not used: {', '.join(taken.unused)}." if taken.unused else ""
    return visit.go("/deliveries", said=f"{taken.kept} loads are kept.{beside}{unused}")


def delivery(visit: Visit) -> Response:
    """Show a load, to be corrected."""
    kept = delivery_of(visit.record, visit.actor, visit.path("key"))
    return _form(visit, typed_of(kept.value), kept=kept)


def correct_delivery(visit: Visit) -> Response:
    """Keep a correction of a load."""
    key, typed = visit.path("key"), _typed(visit)
    before = delivery_of(visit.record, visit.actor, key)
    try:
        seen, reason = revision_seen(visit.text("seen")), visit.text("reason")
        kept = keep_delivery(visit.record, visit.actor, visit.at, typed, key=key, seen=seen, reason=reason)
    except ResileError as error:
        return _form(visit, typed, kept=before, refusal=spoken(error))
    return visit.go("/deliveries", said=f"Load {kept.value.number} is corrected.")


def _form(
    visit: Visit, typed: TypedDelivery, *, kept: Any = None, refusal: ResileError | None = None
) -> Response:
    values: dict[str, Any] = {
        "typed": typed,
        "kept": kept,
        "choices": delivery_choices(visit.record, visit.actor),
    }
    if refusal is not None:
        return visit.again("control/delivery.html.j2", refusal, **values)
    return visit.show("control/delivery.html.j2", **values)


def _typed(visit: Visit) -> TypedDelivery:
    return TypedDelivery(**{name: visit.text(name) for name in _FIELDS})


def _year_before(at: str) -> str:
    return f"{int(at[:4]) - 1}{at[4:10]}"


routes = [
    get("/deliveries", deliveries),
    get("/deliveries/new", new_delivery),
    get("/deliveries/loads.{form}", loads_file),
    get("/deliveries/reconciliation.{form}", misfits_file),
    get("/deliveries/reconciliation", reconciliation),
    post("/deliveries", add_delivery),
    post("/deliveries/table", add_table),
    get("/deliveries/{key}", delivery),
    post("/deliveries/{key}", correct_delivery),
]
