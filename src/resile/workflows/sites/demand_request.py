"""From what a person gives (options, or a row of a table of sites) to a site, its climate and its traffic."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path

from resile.errors import InputError
from resile.readers.layout import Layout
from resile.readers.vehicle_counts import read_vehicle_counts
from resile.readers.weather_record import read_weather_record
from resile.records.climate import ENOUGH_DAYS, Climate, DailyWeather
from resile.records.demand_request import DemandRequest
from resile.records.site import Site, Traffic
from resile.workflows.sites.site_climate import (
    TypedExtreme,
    chosen_station,
    climate_of,
    typed_climate,
    with_typed,
)
from resile.workflows.sites.site_demand import DEFAULT_MODEL, DEFAULT_SPECIFICATION, DemandReport, site_demand
from resile.workflows.sites.traffic_loads import traffic_of_counts

Stations = Callable[..., tuple[DailyWeather, ...]]
"""Reads a weather file: `resile.readers.weather_record.read_weather_record`, or one that remembers."""
FREE_FLOW_KMH = 100.0
"""Speed that stands for free flow where none is given: above the bounds of every rule."""


@dataclass(frozen=True, slots=True)
class DemandSettings:
    """What holds for every site of one task.

    Attributes
    ----------
    specification, model, low_model, traffic_rule, layers, life_years
        As in `resile.workflows.sites.site_demand.site_demand`.
    layout, temperature_unit, date_order, enough_days
        How the weather files are read, as in `resile.workflows.sites.site_climate.read_climate`.
    """

    specification: str | Path = DEFAULT_SPECIFICATION
    model: str = DEFAULT_MODEL
    low_model: str = ""
    traffic_rule: str | Path = ""
    layers: Sequence[tuple[str, float]] = ()
    life_years: float = 20.0
    layout: Layout | None = None
    temperature_unit: str = ""
    date_order: str = ""
    enough_days: int = ENOUGH_DAYS


def demand_for(
    request: DemandRequest,
    settings: DemandSettings,
    *,
    stations: Stations = read_weather_record,
    what_if: bool = True,
) -> DemandReport:
    """Give the demand of one request.

    Parameters
    ----------
    request : DemandRequest
        Of one site.
    settings : DemandSettings
        Specification, models, layers.
    stations : callable
        Reads a weather file; many sites may share one that remembers.
    what_if : bool
        Work out what would change the grade as well.

    Returns
    -------
    DemandReport
        As `resile.workflows.sites.site_demand.site_demand`.

    Raises
    ------
    InputError
        Where something needed is missing; says what.
    """
    site = site_of(request)
    return site_demand(
        site,
        climate=_climate(request, site, settings, stations),
        specification=settings.specification,
        model=settings.model,
        low_model=settings.low_model,
        traffic_rule=settings.traffic_rule,
        layers=settings.layers,
        life_years=settings.life_years,
        what_if=what_if,
    )


def _climate(
    request: DemandRequest, site: Site, settings: DemandSettings, stations: Stations
) -> Climate | None:
    typed = climate_of_request(request, site)
    if request.weather is None:
        return typed
    weather = chosen_station(
        stations(
            request.weather,
            layout=settings.layout,
            unit=settings.temperature_unit,
            date_order=settings.date_order,
        ),
        request.station,
        str(request.weather),
    )
    read = climate_of(
        weather,
        latitude_deg=site.latitude_deg,
        longitude_deg=site.longitude_deg,
        name=site.name,
        enough_days=settings.enough_days,
    )
    return read if typed is None else with_typed(read, typed)


def site_of(request: DemandRequest) -> Site:
    """Give the site of a request.

    Parameters
    ----------
    request : DemandRequest
        Of one site.

    Returns
    -------
    Site
        With its traffic.
    """
    name = request.name or (request.weather.stem if request.weather else "This site")
    if request.latitude_deg is None:
        raise InputError(f"{name}: the latitude is needed, in degrees, south negative (--latitude)")
    if not 0.0 <= request.depth_mm <= 2000.0:
        raise InputError(f"{name}: depth {request.depth_mm:g} mm: needed is 0 to 2000 mm below the surface")
    return Site(
        name=name,
        latitude_deg=request.latitude_deg,
        longitude_deg=request.longitude_deg,
        depth_mm=request.depth_mm,
        reliability_percent=request.reliability_percent,
        high_reliability_percent=request.high_reliability_percent,
        low_reliability_percent=request.low_reliability_percent,
        traffic=traffic_of(request, name),
        weather=request.weather,
        layer=request.layer,
        remark=request.remark,
    )


def traffic_of(request: DemandRequest, name: str) -> Traffic | None:
    """Give the traffic of a request; None where none was given.

    Parameters
    ----------
    request : DemandRequest
        Of one site.
    name : str
        Named in a refusal.

    Returns
    -------
    Traffic or None
        Free flow is supposed, and marked, where no speed was given.
    """
    million, speed = request.million_axle_loads, request.speed_kmh
    if request.vehicles is not None:
        if million is not None:
            raise InputError(
                f"{name}: axle loads and counts of vehicles were both given; one of them is needed"
            )
        counted = traffic_of_counts(read_vehicle_counts(request.vehicles))
        million, speed = counted.axle_loads / 1e6, counted.speed_kmh if speed is None else speed
        if counted.speed_assumed and request.speed_kmh is None:
            speed = None
    if million is None:
        if speed is not None:
            raise InputError(
                f"{name}: a speed was given without axle loads; both are needed (--traffic-million-esal)"
            )
        return None
    if not 0.0 <= million <= 10_000.0:
        raise InputError(
            f"{name}: {million:g} million axle loads: needed is 0 to 10 000 million over 20 years"
        )
    if speed is not None and not 0.0 <= speed <= 200.0:
        raise InputError(f"{name}: speed {speed:g} km/h: needed is 0 (standing) to 200 km/h")
    return Traffic(million * 1e6, FREE_FLOW_KMH if speed is None else speed, speed_assumed=speed is None)


def climate_of_request(request: DemandRequest, site: Site) -> Climate | None:
    """Give the climate that was typed; None where none was.

    Parameters
    ----------
    request : DemandRequest
        Of one site.
    site : Site
        Its place.

    Returns
    -------
    Climate or None
        One end, or both.
    """
    high = _typed(request.high_mean_c, request.high_sd_c, request.n_years, "--air-high-", site.name)
    low = _typed(request.low_mean_c, request.low_sd_c, request.n_years, "--air-low-", site.name)
    if high is None and low is None:
        if request.weather is None:
            raise InputError(
                f"{site.name}: needed is a daily weather record (--weather), or mean and standard "
                "deviation of "
                "the hottest week and the coldest day of a year (--air-high-mean-c, --air-high-sd-c, "
                "--air-low-mean-c, --air-low-sd-c)"
            )
        return None
    return typed_climate(
        name=site.name,
        latitude_deg=site.latitude_deg,
        longitude_deg=site.longitude_deg,
        high=high,
        low=low,
    )


def _typed(mean: float | None, sd: float | None, n_years: int, option: str, name: str) -> TypedExtreme | None:
    if mean is None and sd is None:
        return None
    if mean is None or sd is None:
        raise InputError(
            f"{name}: mean and standard deviation are needed together ({option}mean-c, {option}sd-c)"
        )
    return TypedExtreme(mean, sd, n_years)


def layers_of(texts: Iterable[str]) -> tuple[tuple[str, float], ...]:
    """Read layers as a person types them, ``NAME=DEPTH_MM``.

    Parameters
    ----------
    texts : iterable of str
        For example ``binder course=50``.

    Returns
    -------
    tuple of (str, float)
        Name and depth [mm].
    """
    found = []
    for text in texts:
        name, _, depth = text.rpartition("=")
        try:
            value = float(depth)
        except ValueError:
            value = -1.0
        if not name.strip() or not 0.0 <= value <= 2000.0:
            raise InputError(f"layer '{text}': needed is NAME=DEPTH_MM, for example 'binder course=50'")
        found.append((name.strip(), value))
    return tuple(found)
