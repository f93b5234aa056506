"""Axle loads of the design lane from counts of vehicles."""

from __future__ import annotations

from resile.compute.site.traffic import design_axle_loads
from resile.records.site import Traffic, VehicleCounts


def traffic_of_counts(counts: VehicleCounts) -> Traffic:
    """Give the axle loads that counts of vehicles come to.

    Parameters
    ----------
    counts : VehicleCounts
        Daily traffic, kinds of vehicle, growth and lanes.

    Returns
    -------
    Traffic
        Free flow is supposed, and marked, where the counts name no speed.
    """
    loads = design_axle_loads(
        counts.vehicles_per_day,
        [kind.share_percent for kind in counts.vehicles],
        [kind.axle_factor for kind in counts.vehicles],
        growth_percent=counts.growth_percent,
        years=counts.years,
        direction_share=counts.direction_share,
        lane_share=counts.lane_share,
    )
    free = counts.speed_kmh is None
    return Traffic(float(loads), 100.0 if counts.speed_kmh is None else counts.speed_kmh, speed_assumed=free)
