"""One control chart: its page, leaving out, answering, changing how the property is watched, exports."""

from __future__ import annotations

from typing import Any

from starlette.responses import Response

from resile.errors import InputError, ResileError
from resile.interfaces.web.given_out import given_picture, given_table
from resile.interfaces.web.pages.control.charts import settings_form, typed_watch
from resile.interfaces.web.spoken import spoken
from resile.interfaces.web.visit import Visit, get, post
from resile.workflows.laboratory.bench.hand_numbers import revision_seen
from resile.workflows.laboratory.control.exports import points_table, signals_table
from resile.workflows.laboratory.control.left_out import leave_out, left_out_by_reason, take_back
from resile.workflows.laboratory.control.pictures import chart_pictures, numbered_signals, small_pictures
from resile.workflows.laboratory.control.products import chart_controlled
from resile.workflows.laboratory.control.shown import said_of, see_chart
from resile.workflows.laboratory.control.watches import (
    BOUND_WORDS,
    CHART_WORDS,
    answer_signals,
    change_watch,
    typed_of,
    watch_history,
)


def chart(visit: Visit) -> Response:
    """Show a chart with its signals, its set-up, and what to do."""
    return _page(visit)


def leave_out_results(visit: Visit) -> Response:
    """Leave results out of the set-up, with the cause."""
    return _changed(
        visit,
        lambda key, seen: leave_out(
            visit.record,
            visit.actor,
            visit.at,
            key,
            visit.texts("result"),
            seen=seen,
            reason=visit.text("reason"),
        ),
        "Left out of the set-up; the result stays in the record and on this page.",
    )


def take_result_back(visit: Visit) -> Response:
    """Let a result count again."""
    return _changed(
        visit,
        lambda key, seen: take_back(
            visit.record,
            visit.actor,
            visit.at,
            key,
            visit.text("result"),
            seen=seen,
            reason=visit.text("back_reason"),
        ),
        "The result counts again.",
    )


def answer(visit: Visit) -> Response:
    """Keep what was found when signals were looked into."""
    return _changed(
        visit,
        lambda key, seen: answer_signals(
            visit.record, visit.actor, visit.at, key, visit.text("lot"), seen=seen, found=visit.text("found")
        ),
        "Kept. Signals up to this lot count as looked into.",
    )


def settings(visit: Visit) -> Response:
    """Show the form by which it is watched."""
    kept = see_chart(visit.record, visit.actor, visit.path("key")).kept
    return settings_form(visit, typed_of(kept.value), kept=kept)


def change_settings(visit: Visit) -> Response:
    """Change how the property is watched."""
    key, typed = visit.path("key"), typed_watch(visit)
    try:
        change_watch(
            visit.record,
            visit.actor,
            visit.at,
            key,
            typed,
            seen=revision_seen(visit.text("seen")),
            reason=visit.text("reason"),
            ended=visit.text("ended") == "yes",
        )
    except ResileError as error:
        kept = see_chart(visit.record, visit.actor, key).kept
        return settings_form(visit, typed, kept=kept, refusal=spoken(error))
    return visit.go(f"/control/{key}", said="Kept: the page shows the chart as it is watched now.")


def points(visit: Visit) -> Response:
    """Give the points of a chart as a file."""
    seen = see_chart(visit.record, visit.actor, visit.path("key"))
    if seen.chart is None:
        raise InputError(seen.refusal)
    return given_table(visit, points_table(seen.chart), seen.kept.key)


def signals(visit: Visit) -> Response:
    """Give the signals of a chart as a file."""
    seen = see_chart(visit.record, visit.actor, visit.path("key"))
    return given_table(visit, signals_table(seen), f"{seen.kept.key}-signals")


def chart_picture(visit: Visit) -> Response:
    """Give a picture of a chart as a file: the chart, or the values themselves."""
    found = chart_controlled(visit.record, visit.actor, visit.path("key"), visit.at)
    pictures, picture = chart_pictures(found.seen, found.changes), visit.path("picture")
    return given_picture(visit, pictures, picture, f"{found.seen.kept.key}-{picture}")


def small(visit: Visit) -> Response:
    """Give the small picture of a chart, as lists show it."""
    seen = see_chart(visit.record, visit.actor, visit.path("key"))
    return given_picture(visit, small_pictures(seen), "small", f"{seen.kept.key}-small")


def _changed(visit: Visit, change: Any, said: str) -> Response:
    key = visit.path("key")
    try:
        change(key, revision_seen(visit.text("seen")))
    except ResileError as error:
        return _page(visit, spoken(error))
    return visit.go(f"/control/{key}", said=said)


def _page(visit: Visit, refusal: ResileError | None = None) -> Response:
    key = visit.path("key")
    found = chart_controlled(visit.record, visit.actor, key, visit.at)
    seen = found.seen
    values: dict[str, Any] = {
        "seen": seen,
        "margin": found.margin,
        "changes": found.changes,
        "said_of": said_of,
        "pictures": chart_pictures(seen, found.changes),
        "signals": numbered_signals(seen.chart),
        "left_out": left_out_by_reason(seen),
        "history": watch_history(visit.record, visit.actor, key),
        "charts_words": CHART_WORDS,
        "bounds": BOUND_WORDS,
    }
    if refusal is not None:
        return visit.again("control/chart.html.j2", refusal, **values)
    return visit.show("control/chart.html.j2", **values)


routes = [
    get("/control/{key}", chart),
    get("/control/{key}/settings", settings),
    post("/control/{key}/settings", change_settings),
    post("/control/{key}/left-out", leave_out_results),
    post("/control/{key}/taken-back", take_result_back),
    post("/control/{key}/answers", answer),
    get("/control/{key}/points.{form}", points),
    get("/control/{key}/signals.{form}", signals),
    get("/control/{key}/small.{form}", small),
    get("/control/{key}/{picture}.{form}", chart_picture),
]
