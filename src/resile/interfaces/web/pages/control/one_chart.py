"""One control chart: its page, leaving out, answering, changing how the property is watched, exports."""

from __future__ import annotations

from typing import Any

from starlette.responses import Response

from resile.errors import InputError, ResileError
from resile.interfaces.web.pages.control.charts import settings_form, typed_watch
from resile.interfaces.web.spoken import spoken
from resile.interfaces.web.visit import Visit, get, post, saved_file
from resile.workflows.laboratory.bench.hand_numbers import revision_seen
from resile.workflows.laboratory.control.exports import chart_as_csv, chart_as_picture
from resile.workflows.laboratory.control.pictures import chart_pictures
from resile.workflows.laboratory.control.products import chart_controlled
from resile.workflows.laboratory.control.shown import said_of, see_chart
from resile.workflows.laboratory.control.watches import (
    BOUND_WORDS,
    CHART_WORDS,
    answer_signals,
    change_watch,
    leave_out,
    take_back,
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


def chart_csv(visit: Visit) -> Response:
    """Give the points of a chart as a table."""
    seen = see_chart(visit.record, visit.actor, visit.path("key"))
    return saved_file(chart_as_csv(seen), f"{seen.kept.key}.csv", "text/csv")


def chart_picture(visit: Visit) -> Response:
    """Give the picture of a chart."""
    form = visit.path("form")
    if form not in ("svg", "png"):
        raise InputError(f"'{form}' is no form of picture; there are svg and png")
    seen = see_chart(visit.record, visit.actor, visit.path("key"))
    kinds = {"svg": "image/svg+xml", "png": "image/png"}
    return saved_file(chart_as_picture(seen, form), f"{seen.kept.key}.{form}", kinds[form])


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
        "pictures": chart_pictures(seen),
        "history": watch_history(visit.record, visit.actor, key),
        "names": {one.key: f"lot {one.lot}, {one.taken[:10]}" for one in seen.results.results},
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
    get("/control/{key}/points.csv", chart_csv),
    get("/control/{key}/chart.{form}", chart_picture),
]
