"""What if: what a road would need, were climate, traffic, depth or reliability other. Nothing is kept."""

from __future__ import annotations

from dataclasses import dataclass, replace

from resile.errors import InputError
from resile.records.register import Actor
from resile.records.site import Site, SiteDemand, Traffic
from resile.report.paper.choosing.demand_words import change_words
from resile.storage.laboratory_record import LaboratoryRecord
from resile.workflows.laboratory.offer.sites_seen import KeptSite, site_of
from resile.workflows.sites.demand_request import FREE_FLOW_KMH, DemandSettings
from resile.workflows.sites.demand_sensitivity import shifted_climate
from resile.workflows.sites.in_words import demand_in_words
from resile.workflows.sites.site_demand import site_demand

WARMEST_C = 15.0
"""Furthest that the air is moved [°C]: beyond it the road would lie in another climate. Own rule."""


@dataclass(frozen=True, slots=True)
class RoadSupposition:
    """What is supposed of a road; None leaves a thing as it is.

    Attributes
    ----------
    warmer_c : float
        What is added to the air, summer and winter [°C].
    million_axle_loads, speed_kmh : float or None
        Traffic; speed of heavy vehicles [km/h].
    reliability_percent : float or None
        Of both ends [%].
    depth_mm : float or None
        Depth of the top of the layer [mm].
    """

    warmer_c: float = 0.0
    million_axle_loads: float | None = None
    speed_kmh: float | None = None
    reliability_percent: float | None = None
    depth_mm: float | None = None


@dataclass(frozen=True, slots=True)
class SupposedDemand:
    """What the road would need then, beside what it needs.

    Attributes
    ----------
    before, then : SiteDemand
        As kept; as supposed.
    words : tuple of str
        Whether the grade stays or changes, and why.
    """

    before: SiteDemand
    then: SiteDemand
    words: tuple[str, ...]

    @property
    def differs(self) -> bool:
        """Whether the grade is another one."""
        return self.before.grade != self.then.grade


def suppose_site(
    record: LaboratoryRecord, actor: Actor, key: str, supposed: RoadSupposition
) -> SupposedDemand:
    """Say what a road would need, were it otherwise.

    Parameters
    ----------
    record : LaboratoryRecord
        The laboratory's record.
    actor : Actor
        Who asks.
    key : str
        Key of the road.
    supposed : RoadSupposition
        What is otherwise.

    Returns
    -------
    SupposedDemand
        From the climate that is kept; nothing is written.

    Raises
    ------
    InputError
        Where something supposed cannot be.
    """
    return suppose(site_of(record, actor, key), supposed)


def suppose(site: KeptSite, supposed: RoadSupposition) -> SupposedDemand:
    """Say what a road in hand would need, as `suppose_site`."""
    if abs(supposed.warmer_c) > WARMEST_C:
        raise InputError(f"air {supposed.warmer_c:+g} °C: needed is a change of {WARMEST_C:g} °C at most")
    before = site.demand
    climate = shifted_climate(before.climate, supposed.warmer_c, supposed.warmer_c)
    settings: DemandSettings = site.question.settings
    then = site_demand(
        _supposed_site(before.site, supposed),
        climate=climate,
        specification=settings.specification,
        model=settings.model,
        low_model=settings.low_model,
        traffic_rule=settings.traffic_rule,
        what_if=False,
    ).demand
    return SupposedDemand(before, then, change_words(before, demand_in_words(then)))


def _supposed_site(site: Site, supposed: RoadSupposition) -> Site:
    changed = replace(site, traffic=_traffic(site, supposed))
    if supposed.depth_mm is not None:
        if not 0.0 <= supposed.depth_mm <= 2000.0:
            raise InputError(f"depth {supposed.depth_mm:g} mm: needed is 0 to 2000 mm below the surface")
        changed = replace(changed, depth_mm=supposed.depth_mm)
    if supposed.reliability_percent is not None:
        changed = replace(
            changed,
            reliability_percent=supposed.reliability_percent,
            high_reliability_percent=None,
            low_reliability_percent=None,
        )
    return changed


def _traffic(site: Site, supposed: RoadSupposition) -> Traffic | None:
    million, speed, given = supposed.million_axle_loads, supposed.speed_kmh, site.traffic
    if million is None and given is None:
        return None
    loads = given.axle_loads if million is None and given is not None else 1e6 * (million or 0.0)
    if not 0.0 <= loads <= 1e10:
        raise InputError(f"{loads / 1e6:g} million axle loads: needed is 0 to 10 000 million over 20 years")
    if speed is not None and not 0.0 <= speed <= 200.0:
        raise InputError(f"speed {speed:g} km/h: needed is 0 (standing) to 200 km/h")
    if speed is None and given is not None:
        return replace(given, axle_loads=loads)
    return Traffic(loads, FREE_FLOW_KMH if speed is None else speed, speed_assumed=speed is None)
