"""Control charts: all of them, and beginning one."""

from __future__ import annotations

from typing import Any

from starlette.responses import Response

from resile.errors import ResileError
from resile.interfaces.web.given_out import given_table
from resile.interfaces.web.spoken import spoken
from resile.interfaces.web.visit import Visit, get, post, whole
from resile.workflows.control.watching import CHART_KINDS
from resile.workflows.laboratory.control.exports import charts_table
from resile.workflows.laboratory.control.pictures import told_small
from resile.workflows.laboratory.control.proposals import products_in_use, propose_watches
from resile.workflows.laboratory.control.shown import see_charts
from resile.workflows.laboratory.control.watches import (
    BOUND_WORDS,
    CHART_WORDS,
    TypedWatch,
    begin_watch,
    list_watches,
    rule_choices,
)

_TEXTS = tuple(name for name in TypedWatch.__dataclass_fields__ if name != "run_rules")


def control(visit: Visit) -> Response:
    """Show every chart: product by product, what is to be looked at first."""
    seen = see_charts(visit.record, visit.actor)
    ended = [one for one in list_watches(visit.record, visit.actor) if one.value.ended]
    products = products_in_use(visit.record, visit.actor)
    return visit.show(
        "control/list.html.j2", seen=seen, ended=ended, products=products, told_small=told_small
    )


def control_table(visit: Visit) -> Response:
    """Give the list of charts as a file."""
    return given_table(visit, charts_table(see_charts(visit.record, visit.actor)), "control-charts")


def new_watch(visit: Visit) -> Response:
    """Show what is worth watching of a product, or the form of one chart."""
    product = visit.text("product")
    products = products_in_use(visit.record, visit.actor)
    proposals = propose_watches(visit.record, visit.actor, product) if product else []
    chosen = whole(visit.text("proposal"))
    if chosen is not None and 0 < chosen <= len(proposals):
        return settings_form(visit, proposals[chosen - 1].typed, why=proposals[chosen - 1].why)
    return visit.show("control/new.html.j2", products=products, product=product, proposals=proposals)


def add_watch(visit: Visit) -> Response:
    """Begin a chart."""
    typed = typed_watch(visit)
    try:
        kept = begin_watch(visit.record, visit.actor, visit.at, typed)
    except ResileError as error:
        return settings_form(visit, typed, refusal=spoken(error))
    return visit.go(f"/control/{kept.key}", said="The chart is begun.")


def settings_form(
    visit: Visit,
    typed: TypedWatch,
    *,
    kept: Any = None,
    why: tuple[str, ...] = (),
    refusal: ResileError | None = None,
) -> Response:
    """Show the form by which a property is watched, filled.

    Parameters
    ----------
    visit : Visit
        The request.
    typed : TypedWatch
        What stands in it.
    kept : Kept of ControlWatch, optional
        The chart that is changed; a new one is begun without it.
    why : tuple of str
        Why it is proposed so.
    refusal : ResileError or None
        What was wrong with what was sent.
    """
    values: dict[str, Any] = {
        "typed": typed,
        "kept": kept,
        "why": why,
        "products": products_in_use(visit.record, visit.actor),
        "kinds": [(one, CHART_WORDS[one]) for one in CHART_KINDS],
        "bounds": list(BOUND_WORDS.items()),
        "rules": rule_choices(),
    }
    if refusal is not None:
        return visit.again("control/settings.html.j2", refusal, **values)
    return visit.show("control/settings.html.j2", **values)


def typed_watch(visit: Visit) -> TypedWatch:
    """Read the form by which a property is watched."""
    return TypedWatch(
        run_rules=tuple(filter(None, visit.texts("run_rules"))), **{name: visit.text(name) for name in _TEXTS}
    )


routes = [
    get("/control", control),
    get("/control/new", new_watch),
    get("/control/charts.{form}", control_table),
    post("/control", add_watch),
]
