"""A road as the record writes it down: what was asked and what was answered, as text and back."""

from __future__ import annotations

import json
from dataclasses import dataclass, field, fields, replace
from functools import cache
from typing import Any

from resile.errors import InputError
from resile.records.demand_request import DemandRequest
from resile.records.reading import HeldFile
from resile.records.register import SiteRecord
from resile.records.site import SiteDemand
from resile.version import __version__
from resile.workflows.sites.demand_request import DemandSettings
from resile.workflows.sites.site_demand import DemandReport

_FILES = ("weather", "vehicles")

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


def site_record(question: SiteQuestion, report: DemandReport) -> SiteRecord:
    """Give what the record keeps of a road: the question, the answer, the hash of the weather file."""
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


def question_of(noun: SiteRecord) -> SiteQuestion:
    """Give what was asked; the weather file is not among it."""
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


def demand_of(noun: SiteRecord) -> SiteDemand:
    """Give what was answered."""
    found: SiteDemand = _demands().validate_json(noun.demand)
    return found


@cache
def _demands() -> Any:
    from pydantic import TypeAdapter

    return TypeAdapter(SiteDemand)
