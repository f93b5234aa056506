"""Roads in the laboratory's record: what each asks of a binder, kept with the climate it rests on.

The demand is worked out by `resile.workflows.sites.demand_request.demand_for`, as on the command line; the
record keeps what was asked, the weather file by its hash, and the whole answer, so that a page shows what was
kept.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, fields, replace
from functools import cache
from typing import Any

from resile.errors import InputError, RecordNotFoundError
from resile.readers.source_file import given_file
from resile.records.demand_request import DemandRequest
from resile.records.reading import HeldFile
from resile.records.register import Actor, Customer, Kept, SiteRecord
from resile.records.site import SiteDemand
from resile.storage.book import Book
from resile.storage.laboratory_record import LaboratoryRecord
from resile.storage.lists.offer import SiteRow, site_rows
from resile.storage.lists.samples import names_of
from resile.storage.raw_files import PackedFile
from resile.version import __version__
from resile.workflows.handed_in import from_outside
from resile.workflows.laboratory.access.permissions import require, require_sight
from resile.workflows.laboratory.samples.named import name_of
from resile.workflows.sites.demand_request import DemandSettings, demand_for
from resile.workflows.sites.site_demand import DemandReport
from resile.workflows.sites.site_demands import SiteError, Told, site_demands

_FILES = ("weather", "vehicles")
_AT_ONCE = 200
_HOT_END = re.compile(r"PG \d+")
_NOT_KEPT = ("layout",)
"""A layout chosen by hand belongs to one reading; the answer keeps how the file was read."""


@dataclass(frozen=True, slots=True)
class SiteQuestion:
    """What is asked of a road.

    Attributes
    ----------
    request : DemandRequest
        Place, climate, traffic; a weather file is held in hand.
    settings : DemandSettings
        Specification, models, how the weather file is read.
    customer : str
        Key of the customer who asks.
    invented : bool
        True for a road of the demonstration.
    """

    request: DemandRequest
    settings: DemandSettings = field(default_factory=DemandSettings)
    customer: str = ""
    invented: bool = False


@dataclass(frozen=True, slots=True)
class KeptSite:
    """A road as the record holds it.

    Attributes
    ----------
    kept : Kept of SiteRecord
        With key and revision.
    question : SiteQuestion
        What was asked; the weather file is not among it.
    report : DemandReport
        What was answered.
    """

    kept: Kept[SiteRecord]
    question: SiteQuestion
    report: DemandReport

    @property
    def demand(self) -> SiteDemand:
        """What the road asks of a binder."""
        return self.report.demand


def keep_site(record: LaboratoryRecord, actor: Actor, at: str, question: SiteQuestion) -> Kept[SiteRecord]:
    """Work out what a road needs, and keep it.

    Parameters
    ----------
    record : LaboratoryRecord
        The laboratory's record.
    actor : Actor
        Who asks.
    at : str
        When, ISO 8601 in UTC.
    question : SiteQuestion
        What is asked.

    Returns
    -------
    Kept of SiteRecord
        Its first revision.

    Raises
    ------
    PermissionRefusedError, InputError
        Who may not; what is missing or cannot be read.
    """
    require(actor, "offer.write")
    if not question.request.name.strip():
        raise InputError("the road needs a name")
    with from_outside():
        noun = _noun(question, demand_for(question.request, question.settings))
    with record.writing(by=actor.key, at=at) as book:
        _keep_weather(book, question)
        return book.keep(noun)


def revise_site(
    record: LaboratoryRecord,
    actor: Actor,
    at: str,
    key: str,
    question: SiteQuestion,
    *,
    reason: str,
    seen: int | None = None,
) -> Kept[SiteRecord]:
    """Work out anew what a road needs, since something of it changed, and keep it as the next revision.

    Parameters
    ----------
    record, actor, at
        As in `keep_site`.
    key : str
        Key of the road.
    question : SiteQuestion
        What is asked now; the file that is kept is read again where neither a file nor both extremes are
        given.
    reason : str
        Why.
    seen : int or None
        Revision that the person saw.

    Returns
    -------
    Kept of SiteRecord
        The new revision.
    """
    require(actor, "offer.write")
    if not question.request.name.strip():
        raise InputError("the road needs a name")
    before = site_of(record, actor, key)
    asked = replace(question, request=_with_kept_weather(record, before, question.request))
    with from_outside():
        noun = _noun(asked, demand_for(asked.request, asked.settings))
    with record.writing(by=actor.key, at=at) as book:
        _keep_weather(book, asked)
        return book.keep(noun, key=key, seen=seen, reason=reason)


def keep_sites(
    record: LaboratoryRecord,
    actor: Actor,
    at: str,
    table: HeldFile,
    *,
    settings: DemandSettings | None = None,
    customer: str = "",
    invented: bool = False,
    told: Told | None = None,
) -> tuple[list[Kept[SiteRecord]], tuple[SiteError, ...]]:
    """Work out what every road of a table needs, and keep those that could be answered.

    Parameters
    ----------
    record, actor, at
        As in `keep_site`.
    table : HeldFile
        Table of sites, with the weather files it names beside it.
    settings : DemandSettings, optional
        What holds for every road.
    customer, invented
        As in `SiteQuestion`.
    told : callable, optional
        Is told how many are done, and of how many; what it raises stops the work before anything is kept.

    Returns
    -------
    tuple of (list of Kept, tuple of SiteError)
        The roads kept, in the order of the table, and those that were not, with the reason.
    """
    from resile.readers.sites.table import read_site_table

    require(actor, "offer.write")
    chosen = settings or DemandSettings()
    requests = read_site_table(given_file(table)).requests
    for request in requests:
        if request.grade:
            raise InputError(
                f"{table}: the row of {request.name} states a grade; here the grade is worked out from the "
                "climate and the traffic. Leave that column out"
            )
    with from_outside():
        answers = site_demands(requests, settings=chosen, told=told).answers
    nouns, files = [], {}
    for request, answer in zip(requests, answers, strict=True):
        if isinstance(answer, DemandReport):
            nouns.append(_noun(SiteQuestion(request, chosen, customer, invented), answer))
            if isinstance(request.weather, HeldFile):
                files[request.weather.name] = request.weather
    packed = [PackedFile.of(file.content) for file in files.values()]
    with record.writing(by=actor.key, at=at) as book:
        for file in packed:
            book.keep_file(file)
        kept = book.keep_many(nouns)
    return kept, tuple(answer for answer in answers if isinstance(answer, SiteError))


def site_of(record: LaboratoryRecord, actor: Actor, key: str, revision: int | None = None) -> KeptSite:
    """Give a road with what it needs, as it was kept.

    Raises
    ------
    RecordNotFoundError, PermissionRefusedError
        No such road; not one of theirs.
    """
    require(actor, "sites.see")
    with record.reading() as reading:
        kept = reading.get(SiteRecord, key, revision)
    require_sight(actor, kept.value.customer, what="road")
    return KeptSite(kept, _question(kept.value), DemandReport(_demand(kept.value)))


def sites_of(record: LaboratoryRecord, actor: Actor, keys: Sequence[str]) -> Iterator[KeptSite]:
    """Give several roads with what they need, as they were kept, in the order of their keys.

    Raises
    ------
    PermissionRefusedError
        Where one of them is not theirs.
    """
    require(actor, "sites.see")
    for start in range(0, len(keys), _AT_ONCE):
        with record.reading() as reading:
            found = reading.find(SiteRecord, key=list(keys[start : start + _AT_ONCE]))
        for kept in found:
            require_sight(actor, kept.value.customer, what="road")
            yield KeptSite(kept, _question(kept.value), DemandReport(_demand(kept.value)))


def weather_of_site(record: LaboratoryRecord, actor: Actor, key: str) -> HeldFile:
    """Give the weather record of a road as it came.

    Raises
    ------
    RecordNotFoundError
        Where its climate was typed.
    """
    noun = site_of(record, actor, key).kept.value
    if not noun.file:
        raise RecordNotFoundError(f"{noun.name}: its climate was typed; there is no weather record")
    with record.reading() as reading:
        return HeldFile(noun.file_name, reading.file(noun.file))


def revisions_of_site(record: LaboratoryRecord, actor: Actor, key: str) -> list[Kept[SiteRecord]]:
    """Give every revision of a road, the newest first."""
    require(actor, "sites.see")
    with record.reading() as reading:
        found = reading.history(SiteRecord, key)
    for kept in found:
        require_sight(actor, kept.value.customer, what="road")
    return found[::-1]


def list_sites(record: LaboratoryRecord, actor: Actor, keys: Sequence[str] | None = None) -> list[SiteRow]:
    """Give the roads that may be seen, by name: all of them, or those named.

    Raises
    ------
    PermissionRefusedError
        Who may not see roads.
    """
    require(actor, "sites.see")
    with record.reading() as reading:
        return site_rows(reading, customer=actor.customer, keys=keys)


def _noun(question: SiteQuestion, report: DemandReport) -> SiteRecord:
    demand, request = report.demand, question.request
    weather = request.weather
    source = demand.climate.source
    return SiteRecord(
        name=demand.site.name,
        customer=question.customer,
        latitude_deg=demand.site.latitude_deg,
        longitude_deg=demand.site.longitude_deg,
        amount_t=request.amount_t,
        request=_question_text(question),
        file=source.sha256 if source is not None and isinstance(weather, HeldFile) else "",
        file_name=str(weather) if isinstance(weather, HeldFile) else "",
        demand=_demand_text(demand),
        grade=demand.grade,
        specification=demand.specification,
        high_design_c=demand.high.design_c,
        low_design_c=demand.low.design_c,
        software=__version__,
        invented=question.invented,
    )


def _keep_weather(book: Book, question: SiteQuestion) -> None:
    if isinstance(question.request.weather, HeldFile):
        book.keep_file(question.request.weather.content)


def _with_kept_weather(record: LaboratoryRecord, before: KeptSite, request: DemandRequest) -> DemandRequest:
    if request.weather is not None or not before.kept.value.file:
        return request
    typed = None not in (request.high_mean_c, request.low_mean_c)
    if typed:
        return request
    with record.reading() as reading:
        content = reading.file(before.kept.value.file)
    return replace(request, weather=HeldFile(before.kept.value.file_name, content))


def _question_text(question: SiteQuestion) -> str:
    request = {
        f.name: getattr(question.request, f.name) for f in fields(DemandRequest) if f.name not in _FILES
    }
    if question.request.vehicles is not None:
        raise InputError(f"{question.request.name}: type the axle loads here, in place of counts of vehicles")
    settings = {f.name: getattr(question.settings, f.name) for f in fields(DemandSettings)}
    kept = {name: value for name, value in settings.items() if name not in _NOT_KEPT}
    named = {name: str(kept[name]) for name in ("specification", "traffic_rule")}
    return json.dumps({"request": request, "settings": kept | named}, sort_keys=True)


def _question(noun: SiteRecord) -> SiteQuestion:
    content = json.loads(noun.request)
    settings = content["settings"]
    settings["layers"] = tuple((name, depth) for name, depth in settings["layers"])
    return SiteQuestion(
        DemandRequest(**content["request"]), DemandSettings(**settings), noun.customer, noun.invented
    )


def _demand_text(demand: SiteDemand) -> str:
    """Give the whole answer as JSON; the weather file itself is kept by its hash."""
    text: str = _demands().dump_json(replace(demand, site=replace(demand.site, weather=None))).decode()
    return text


def _demand(noun: SiteRecord) -> SiteDemand:
    found: SiteDemand = _demands().validate_json(noun.demand)
    return found


@cache
def _demands() -> Any:
    from pydantic import TypeAdapter

    return TypeAdapter(SiteDemand)


def maps_of_sites(rows: Sequence[SiteRow]) -> tuple[dict[str, Any], ...]:
    """Draw where the roads of a list lie, told apart by the hot end of their grades."""
    from resile.records.choice import SiteNeed
    from resile.report.figures.site_map import figure_places

    needs = [SiteNeed(row.name, row.grade, row.latitude_deg, row.longitude_deg) for row in rows]
    ends = [_HOT_END.match(row.grade) for row in rows]
    return figure_places(needs, [end[0] if end else "" for end in ends], nothing="no grade reaches")


def site_choices() -> tuple[list[tuple[str, str]], list[tuple[str, str]]]:
    """Give the specifications and the pavement models that a road can be asked by, each with its title."""
    from resile.compute.site.models import MODELS
    from resile.specifications.load import list_specifications

    known = [one for one in list_specifications() if not one.problem]
    return (
        [(one.identifier, one.title) for one in known],
        [(name, model.title) for name, model in MODELS.items()],
    )


def customer_of_site(record: LaboratoryRecord, site: KeptSite) -> str:
    """Give the name of the customer for whom a road in hand was worked out; empty for none."""
    with record.reading() as reading:
        return name_of(reading, Customer, site.kept.value.customer)


def customers_who_ask(record: LaboratoryRecord, actor: Actor) -> list[tuple[str, str]]:
    """Give key and name of the customers for whom a road can be worked out, by name.

    Raises
    ------
    PermissionRefusedError
        Where the person may not work out roads.
    """
    require(actor, "offer.write")
    with record.reading() as reading:
        return names_of(reading, "customer", limit=5000)
