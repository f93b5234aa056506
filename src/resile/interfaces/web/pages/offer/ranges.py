"""Ranges of binders, roads matched with them, and what a binder does on a road."""

from __future__ import annotations

from typing import Any

from starlette.responses import Response

from resile.errors import MeasurementError, ResileError
from resile.interfaces.web.spoken import spoken
from resile.interfaces.web.visit import Visit, get, post, saved_file, whole
from resile.records.reading import HeldFile
from resile.workflows.laboratory.bench.hand_numbers import hand_number, hand_number_or_none, revision_seen
from resile.workflows.laboratory.offer.matching import MatchQuestion, match_kept, predict_on_road
from resile.workflows.laboratory.offer.ranges import (
    OfferedSample,
    file_of_range,
    keep_range,
    keep_range_of_samples,
    list_ranges,
    range_of,
    revisions_of_range,
)
from resile.workflows.laboratory.offer.sites_seen import list_sites, site_choices

_PRICE = "price:"


def ranges(visit: Visit) -> Response:
    """Show the ranges."""
    return visit.show("ranges/list.html.j2", ranges=list_ranges(visit.record, visit.actor))


def new_range(visit: Visit) -> Response:
    """Show the form of a new range."""
    return visit.show("ranges/new.html.j2")


def add_range(visit: Visit) -> Response:
    """Keep a table of binders, or draw one up from graded samples."""
    try:
        kept = _of_samples(visit) if visit.text("samples") else _of_table(visit)
    except ResileError as error:
        return visit.again("ranges/new.html.j2", spoken(error))
    return visit.go(f"/range/{kept.key}", said=f"{kept.value.name} is kept.")


def new_table(visit: Visit) -> Response:
    """Show the form that takes a new table for a range that is kept."""
    return visit.show(
        "ranges/revise.html.j2", kept=range_of(visit.record, visit.actor, visit.path("key")).kept
    )


def replace_table(visit: Visit) -> Response:
    """Keep a new table as the next revision of a range."""
    key = visit.path("key")
    before = range_of(visit.record, visit.actor, key).kept
    try:
        seen = revision_seen(visit.text("seen"))
        kept = _of_table(visit, key=key, reason=visit.text("reason"), seen=seen)
    except ResileError as error:
        return visit.again("ranges/revise.html.j2", spoken(error), kept=before)
    return visit.go(f"/range/{key}", said=f"Revision {kept.revision} is kept; the one before stays readable.")


def one_range(visit: Visit) -> Response:
    """Show a range: its binders, and the roads each would serve."""
    key = visit.path("key")
    found = range_of(visit.record, visit.actor, key, _revision(visit))
    revisions = revisions_of_range(visit.record, visit.actor, key)
    matched, refusal = None, None
    try:
        if found.kept.revision == revisions[0].revision and list_sites(visit.record, visit.actor):
            matched = match_kept(visit.record, visit.actor, MatchQuestion(visit.path("key")))
    except ResileError as error:
        refusal = str(spoken(error))
    return visit.show(
        "ranges/range.html.j2", range=found, matched=matched, refusal=refusal, revisions=revisions
    )


def range_file(visit: Visit) -> Response:
    """Give a file of a range as it came."""
    file = file_of_range(visit.record, visit.actor, visit.path("key"), visit.path("name"), _revision(visit))
    return saved_file(file.content, file.name)


def match(visit: Visit) -> Response:
    """Show which binder serves which road."""
    offered = list_ranges(visit.record, visit.actor)
    wanted = visit.text("range") or (offered[0].key if offered else "")
    values: dict[str, Any] = {"ranges": offered, "wanted": wanted, "choices": site_choices()}
    values |= {"matched": None, "page": None, "range": None, "roads": list_sites(visit.record, visit.actor)}
    if not wanted or not values["roads"]:
        return visit.show("ranges/match.html.j2", **values)
    try:
        values["range"] = range_of(visit.record, visit.actor, wanted)
        found = match_kept(visit.record, visit.actor, _match_question(visit, wanted))
    except ResileError as error:
        return visit.again("ranges/match.html.j2", spoken(error), **values)
    page = found.match.page(date=visit.at[:10])
    return visit.show("ranges/match.html.j2", **(values | {"matched": found, "page": page}))


def prediction(visit: Visit) -> Response:
    """Show what a binder of a range would do on a road."""
    offered = list_ranges(visit.record, visit.actor)
    wanted = visit.text("range") or (offered[0].key if offered else "")
    names = next((one.value.binders for one in offered if one.key == wanted), ())
    values: dict[str, Any] = {"ranges": offered, "wanted": wanted, "names": names}
    values |= {"roads": list_sites(visit.record, visit.actor), "told": None, "page": None, "unanswered": ""}
    if not (visit.text("binder") and visit.text("site")):
        return visit.show("ranges/predict.html.j2", **values)
    asked = (wanted, visit.text("binder"), visit.text("site"))
    try:
        told = predict_on_road(visit.record, visit.actor, *asked, kind=visit.text("kind"))
    except MeasurementError as unanswered:  # the question is a good one; there is no answer to it
        return visit.show("ranges/predict.html.j2", **(values | {"unanswered": str(spoken(unanswered))}))
    except ResileError as error:
        return visit.again("ranges/predict.html.j2", spoken(error), **values)
    page = told.prediction.page(date=visit.at[:10])
    return visit.show("ranges/predict.html.j2", **(values | {"told": told, "page": page}))


def _match_question(visit: Visit, wanted: str) -> MatchQuestion:
    typed = {
        name.removeprefix(_PRICE): visit.text(name)
        for name in visit.request.query_params
        if name.startswith(_PRICE)
    }
    sure = hand_number_or_none(visit.text("sure"), "how sure")
    return MatchQuestion(
        wanted,
        specification=visit.text("specification"),
        required_probability=0.95 if sure is None else sure / 100.0,
        without=tuple(visit.texts("without")),
        prices={name: hand_number(text, f"price of {name}") for name, text in typed.items() if text},
        with_uncertainty=visit.text("with_uncertainty") == "yes",
    )


def _revision(visit: Visit) -> int | None:
    return whole(visit.text("revision"))


def _of_table(visit: Visit, **revised: Any) -> Any:
    first = visit.upload("table")
    beside = tuple(HeldFile(one.name, one.content) for one in visit.uploads("results"))
    table = HeldFile(first.name, first.content, beside)
    named: dict[str, Any] = {
        "name": visit.text("name"),
        "valid_from": visit.text("valid_from"),
        "note": visit.text("note"),
    }
    return keep_range(visit.record, visit.actor, visit.at, table, **named, **revised)


def _of_samples(visit: Visit) -> Any:
    numbers = [one.strip() for one in visit.text("samples").replace("\n", ",").split(",") if one.strip()]
    offered = [OfferedSample(number) for number in numbers]
    named = {"name": visit.text("name"), "currency": visit.text("currency"), "note": visit.text("note")}
    return keep_range_of_samples(visit.record, visit.actor, visit.at, offered, **named)


routes = [
    get("/range", ranges),
    get("/range/new", new_range),
    post("/range", add_range),
    get("/range/{key}", one_range),
    get("/range/{key}/revise", new_table),
    post("/range/{key}/revise", replace_table),
    get("/range/{key}/files/{name}", range_file),
    get("/match", match),
    get("/predict", prediction),
]
