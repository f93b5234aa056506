"""Roads in the laboratory's record: what each asks of a binder, kept with the climate it rests on.

The demand is worked out by `resile.workflows.sites.demand_request.demand_for`, as on the command line; the
record keeps what was asked, the weather file by its hash, and the whole answer, so that a page shows what was
kept.
"""

from __future__ import annotations

from dataclasses import replace

from resile.errors import InputError
from resile.readers.source_file import given_file
from resile.records.demand_request import DemandRequest
from resile.records.reading import HeldFile
from resile.records.register import Actor, Kept, SiteRecord
from resile.storage.book import Book
from resile.storage.laboratory_record import LaboratoryRecord
from resile.storage.raw_files import PackedFile
from resile.workflows.handed_in import from_outside
from resile.workflows.laboratory.access.permissions import require
from resile.workflows.laboratory.offer.site_texts import SiteQuestion, site_record
from resile.workflows.laboratory.offer.sites_seen import KeptSite, site_of
from resile.workflows.sites.demand_request import DemandSettings, demand_for
from resile.workflows.sites.site_demand import DemandReport
from resile.workflows.sites.site_demands import SiteError, Told, site_demands


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
        noun = site_record(question, demand_for(question.request, question.settings))
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
        noun = site_record(asked, demand_for(asked.request, asked.settings))
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
            nouns.append(site_record(SiteQuestion(request, chosen, customer, invented), answer))
            if isinstance(request.weather, HeldFile):
                files[request.weather.name] = request.weather
    packed = [PackedFile.of(file.content) for file in files.values()]
    with record.writing(by=actor.key, at=at) as book:
        for file in packed:
            book.keep_file(file)
        kept = book.keep_many(nouns)
    return kept, tuple(answer for answer in answers if isinstance(answer, SiteError))


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
