"""Binders of a kept range under the traffic of a kept road: an index, never a depth."""

from __future__ import annotations

from resile.errors import InputError
from resile.readers.weather_record import read_weather_record
from resile.records.register import Actor
from resile.storage.laboratory_record import LaboratoryRecord
from resile.workflows.handed_in import from_outside
from resile.workflows.laboratory.access.permissions import require
from resile.workflows.laboratory.offer.ranges import range_of
from resile.workflows.laboratory.offer.sites import site_of, weather_of_site
from resile.workflows.modelling.traffic import TrafficQuestion, TrafficReport, traffic_on_site
from resile.workflows.sites.site_climate import chosen_station


def traffic_on_road(
    record: LaboratoryRecord, actor: Actor, range_key: str, site_key: str, question: TrafficQuestion
) -> TrafficReport:
    """Compare the binders of a kept range under the traffic of a kept road.

    Parameters
    ----------
    record : LaboratoryRecord
        The laboratory's record.
    actor : Actor
        Who asks.
    range_key, site_key : str
        Keys of range and road.
    question : TrafficQuestion
        Load and reference.

    Returns
    -------
    TrafficReport
        As `resile.workflows.modelling.traffic.traffic_on_site` gives it.

    Raises
    ------
    InputError
        Where the climate of the road was typed, or a number is out of range; says what is needed.
    PermissionRefusedError, RecordNotFoundError
        Who may not; no such range or road.
    """
    require(actor, "offer.see")
    offered = range_of(record, actor, range_key).binders
    site = site_of(record, actor, site_key)
    if not site.kept.value.file:
        raise InputError(
            f"{site.demand.site.name}: its climate was typed, and typed means give no hours; "
            "revise the road with a "
            "daily weather record"
        )
    settings, request = site.question.settings, site.question.request
    with from_outside():
        file = weather_of_site(record, actor, site_key)
        stations = read_weather_record(
            file, layout=settings.layout, unit=settings.temperature_unit, date_order=settings.date_order
        )
        weather = chosen_station(stations, request.station, file.name)
        return traffic_on_site(site.demand.site, weather, offered, question)
