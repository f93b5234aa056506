"""Roads: the list with its map, asking what one needs, its page of reasons, what if, and tables of roads."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from starlette.responses import Response

from resile.errors import ResileError
from resile.interfaces.web.jobs import Progress, jobs_of
from resile.interfaces.web.spoken import spoken
from resile.interfaces.web.visit import Visit, get, post, saved_file, whole
from resile.records.demand_request import DemandRequest
from resile.records.reading import HeldFile
from resile.workflows.laboratory.bench.hand_numbers import hand_number_or_none
from resile.workflows.laboratory.offer.site_texts import SiteQuestion
from resile.workflows.laboratory.offer.sites import keep_site, keep_sites, revise_site
from resile.workflows.laboratory.offer.sites_seen import (
    KeptSite,
    customer_of_site,
    customers_who_ask,
    list_sites,
    maps_of_sites,
    revisions_of_site,
    site_choices,
    site_of,
    weather_of_site,
)
from resile.workflows.laboratory.offer.suppositions import RoadSupposition, SupposedDemand, suppose
from resile.workflows.sites.demand_request import DemandSettings

NUMBERS = {
    "latitude_deg": "latitude",
    "longitude_deg": "longitude",
    "high_mean_c": "hottest week, mean",
    "high_sd_c": "hottest week, standard deviation",
    "low_mean_c": "coldest night, mean",
    "low_sd_c": "coldest night, standard deviation",
    "million_axle_loads": "axle loads",
    "speed_kmh": "speed",
    "amount_t": "binder it takes",
}
WITH_A_DEFAULT = {"depth_mm": ("depth", 0.0), "reliability_percent": ("reliability", 98.0)}
OF_ONE_END = {
    "high_reliability_percent": "reliability of the hot end",
    "low_reliability_percent": "reliability of the cold end",
}
SUPPOSED = ("warmer_c", "million_axle_loads", "speed_kmh", "reliability_percent", "depth_mm")


def sites(visit: Visit) -> Response:
    """Show the roads."""
    rows = list_sites(visit.record, visit.actor)
    return visit.show("sites/list.html.j2", rows=rows, maps=maps_of_sites(rows))


def new_site(visit: Visit) -> Response:
    """Show the form of a new road."""
    return _form(visit)


def ask_site(visit: Visit) -> Response:
    """Work out what a new road needs, and keep it."""
    try:
        kept = keep_site(visit.record, visit.actor, visit.at, _question(visit))
    except ResileError as error:
        return _form(visit, spoken(error))
    return visit.go(f"/sites/{kept.key}", said=f"{kept.value.name} is kept.")


def site(visit: Visit) -> Response:
    """Show what a road needs, with the reasons."""
    key = visit.path("key")
    found = site_of(visit.record, visit.actor, key, whole(visit.text("revision")))
    supposed, refusal = _supposed(visit, found)
    values: dict[str, Any] = {
        "site": found,
        "page": found.report.page(date=found.kept.at[:10]),
        "supposed": supposed,
        "customer": customer_of_site(visit.record, found),
        "revisions": revisions_of_site(visit.record, visit.actor, key),
    }
    if refusal is not None:
        return visit.again("sites/site.html.j2", refusal, **values)
    return visit.show("sites/site.html.j2", **values)


def supposed_site(visit: Visit) -> Response:
    """Show what a road would need, for a script that follows the sliders."""
    found = site_of(visit.record, visit.actor, visit.path("key"))
    supposed, refusal = _supposed(visit, found)
    return visit.show("sites/supposed.html.j2", site=found, supposed=supposed, refusal=refusal)


def weather(visit: Visit) -> Response:
    """Give the weather record of a road as it came."""
    file = weather_of_site(visit.record, visit.actor, visit.path("key"))
    return saved_file(file.content, file.name)


def correction(visit: Visit) -> Response:
    """Show the form that revises a road."""
    return _revision_form(visit)


def revise(visit: Visit) -> Response:
    """Work out anew what a road needs, and keep it as a revision."""
    key = visit.path("key")
    try:
        question = _question(visit, site_of(visit.record, visit.actor, key).question)
        kept = revise_site(
            visit.record,
            visit.actor,
            visit.at,
            key,
            question,
            reason=visit.text("reason"),
            seen=whole(visit.text("seen")),
        )
    except ResileError as error:
        return _revision_form(visit, spoken(error))
    return visit.go(f"/sites/{key}", said=f"Revision {kept.revision} is kept; the one before stays readable.")


def table_form(visit: Visit) -> Response:
    """Show the form for a table of roads."""
    return visit.show("sites/table.html.j2", **_offered(visit))


def ask_table(visit: Visit) -> Response:
    """Work out what every road of a table needs, in the background."""
    try:
        first = visit.upload("table")
        beside = tuple(HeldFile(one.name, one.content) for one in visit.uploads("weather"))
        table = HeldFile(first.name, first.content, beside)
    except ResileError as error:
        return visit.again("sites/table.html.j2", spoken(error), **_offered(visit))
    settings, customer = _settings(visit, DemandSettings()), visit.text("customer")
    record, actor, at = visit.record, visit.actor, visit.at

    def work(progress: Progress) -> str:
        def told(done: int, of: int) -> None:
            progress.step(
                done, of, f"{done} of {of} roads are worked out; they are kept together at the end."
            )

        try:
            _, errors = keep_sites(record, actor, at, table, settings=settings, customer=customer, told=told)
        except ResileError as error:
            raise spoken(error) from None
        return (
            f"/sites?left={len(errors)}&first={errors[0].site}: {errors[0].message}" if errors else "/sites"
        )

    return visit.go(jobs_of(visit.request.app).start(actor, f"Roads of {table.name}", work))


def _form(visit: Visit, refusal: ResileError | None = None) -> Response:
    values = _offered(visit)
    if refusal is not None:
        return visit.again("sites/new.html.j2", refusal, **values)
    return visit.show("sites/new.html.j2", **values)


def _revision_form(visit: Visit, refusal: ResileError | None = None) -> Response:
    found = site_of(visit.record, visit.actor, visit.path("key"))
    values = {"site": found, "asked": found.question.request, **_offered(visit)}
    if refusal is not None:
        return visit.again("sites/revise.html.j2", refusal, **values)
    return visit.show("sites/revise.html.j2", **values)


def _offered(visit: Visit) -> dict[str, Any]:
    return {"choices": site_choices(), "customers": customers_who_ask(visit.record, visit.actor)}


def _question(visit: Visit, before: SiteQuestion | None = None) -> SiteQuestion:
    """Read the form; what it does not ask for stays as it was kept."""
    kept = before or SiteQuestion(DemandRequest())
    numbers = {name: hand_number_or_none(visit.text(name), title) for name, title in NUMBERS.items()}
    for name, (title, usual) in WITH_A_DEFAULT.items():
        typed = hand_number_or_none(visit.text(name), title)
        numbers[name] = usual if typed is None else typed
    for name, title in OF_ONE_END.items():
        if name in visit.form:
            numbers[name] = hand_number_or_none(visit.text(name), title)
    years = hand_number_or_none(visit.text("n_years"), "years")
    files = visit.uploads("weather")
    request = replace(
        kept.request,
        name=visit.text("name"),
        weather=HeldFile(files[0].name, files[0].content) if files else None,
        station=visit.text("station"),
        remark=visit.text("remark"),
        n_years=0 if years is None else round(years),
        **numbers,  # type: ignore[arg-type]
    )
    settings = _settings(visit, kept.settings)
    return replace(kept, request=request, settings=settings, customer=visit.text("customer", kept.customer))


def _settings(visit: Visit, usual: DemandSettings) -> DemandSettings:
    return replace(
        usual,
        specification=visit.text("specification") or usual.specification,
        model=visit.text("model") or usual.model,
        temperature_unit=visit.text("temperature_unit"),
        date_order=visit.text("date_order"),
    )


def _supposed(visit: Visit, found: KeptSite) -> tuple[SupposedDemand | None, ResileError | None]:
    if not any(visit.text(name) for name in SUPPOSED):
        return None, None
    try:
        numbers = {name: hand_number_or_none(visit.text(name), name.split("_")[0]) for name in SUPPOSED}
        given = {name: number for name, number in numbers.items() if number is not None}
        return suppose(found, RoadSupposition(**given)), None
    except ResileError as error:
        return None, spoken(error)


routes = [
    get("/sites", sites),
    get("/sites/new", new_site),
    post("/sites", ask_site),
    get("/sites/table", table_form),
    post("/sites/table", ask_table),
    get("/sites/{key}", site),
    get("/sites/{key}/weather", weather),
    get("/sites/{key}/supposed", supposed_site),
    get("/sites/{key}/revise", correction),
    post("/sites/{key}/revise", revise),
]
