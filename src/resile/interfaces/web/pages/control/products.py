"""Everything that is watched of a product, and how often it is sampled."""

from __future__ import annotations

from typing import Any

from starlette.responses import Response

from resile.errors import RecordNotFoundError, ResileError
from resile.interfaces.web.given_out import given_picture, given_table
from resile.interfaces.web.spoken import spoken
from resile.interfaces.web.visit import Visit, get, post
from resile.records.control.chart import ControlChart
from resile.records.control.sampling import SEVERITIES
from resile.workflows.laboratory.bench.hand_numbers import revision_seen
from resile.workflows.laboratory.control.exports import points_table
from resile.workflows.laboratory.control.pictures import joint_picture, numbered_signals, told_small
from resile.workflows.laboratory.control.products import HOW_TO_LOOK, product_control
from resile.workflows.laboratory.control.reconciliation import WEIGHTS
from resile.workflows.laboratory.control.sampled import (
    TypedSampling,
    agree_to_change,
    plan_choices,
    put_in_force,
)
from resile.workflows.laboratory.control.shown import said_of


def product(visit: Visit) -> Response:
    """Show everything that is watched of a product."""
    return _page(visit)


def sample_by(visit: Visit) -> Response:
    """Put a sampling plan in force, or change the one that is."""
    key, before = visit.path("key"), visit.text("plan_key")
    typed = _typed(visit)
    try:
        revised: dict[str, Any] = (
            {"key": before, "seen": revision_seen(visit.text("seen")), "reason": visit.text("reason")}
            if before
            else {}
        )
        ended = visit.text("ended") == "yes"
        put_in_force(visit.record, visit.actor, visit.at, typed, ended=ended, **revised)
    except ResileError as error:
        return _page(visit, spoken(error))
    return visit.go(f"/control/products/{key}", said="Kept: sampling follows it from now on.")


def agree(visit: Visit) -> Response:
    """Agree to a milder severity."""
    key = visit.path("key")
    try:
        agree_to_change(
            visit.record,
            visit.actor,
            visit.at,
            visit.text("plan_key"),
            visit.text("lot"),
            seen=revision_seen(visit.text("seen")),
            reason=visit.text("agreed_reason"),
        )
    except ResileError as error:
        return _page(visit, spoken(error))
    return visit.go(f"/control/products/{key}", said="Kept: the milder severity holds from that lot on.")


def joint_points(visit: Visit) -> Response:
    """Give the properties of a product together, lot by lot, as a file."""
    key = visit.path("key")
    return given_table(visit, points_table(_joint(visit)), f"{key}-together")


def joint_drawn(visit: Visit) -> Response:
    """Give the picture of the properties together as a file."""
    return given_picture(visit, [joint_picture(_joint(visit))], "joint", f"{visit.path('key')}-together")


def _joint(visit: Visit) -> ControlChart:
    found = product_control(visit.record, visit.actor, visit.path("key"), visit.at)
    if found.joint is None:
        raise RecordNotFoundError(f"there is no chart of the properties together: {found.joint_refusal}")
    return found.joint


def _page(visit: Visit, refusal: ResileError | None = None) -> Response:
    found = product_control(visit.record, visit.actor, visit.path("key"), visit.at)
    held = found.sampling.kept.value if found.sampling else None
    values: dict[str, Any] = {
        "found": found,
        "weights": WEIGHTS,
        "told_small": told_small,
        "how_to_look": HOW_TO_LOOK,
        "said_of": said_of,
        "joint_picture": joint_picture(found.joint) if found.joint else None,
        "joint_signals": numbered_signals(found.joint),
        "plans": plan_choices(),
        "severities": [(one, one) for one in SEVERITIES],
        "typed": TypedSampling(
            plan=held.plan if held else "",
            since=held.since if held else visit.at[:10],
            severity=held.severity if held else "normal",
            note=held.note if held else "",
        ),
    }
    if refusal is not None:
        return visit.again("control/product.html.j2", refusal, **values)
    return visit.show("control/product.html.j2", **values)


def _typed(visit: Visit) -> TypedSampling:
    texts = {name: visit.text(name) for name in ("plan", "since", "severity", "note")}
    return TypedSampling(product=visit.path("key"), **texts)


routes = [
    get("/control/products/{key}", product),
    post("/control/products/{key}/sampling", sample_by),
    get("/control/products/{key}/points.{form}", joint_points),
    get("/control/products/{key}/joint.{form}", joint_drawn),
    post("/control/products/{key}/agreed", agree),
]
