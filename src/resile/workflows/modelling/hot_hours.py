"""The pavement temperatures that count under traffic: hours of the hot days of a weather record."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from resile.compute.site.ltpp import ltpp_high
from resile.compute.site.pavement_hours import hot_days, hourly_temperature
from resile.compute.site.pavement_temperature import SURFACE_LAYER_MM, shrp_high, shrp_low
from resile.errors import InputError
from resile.records.climate import DailyWeather
from resile.records.models.pulse_train import HotHours
from resile.records.site import Site
from resile.workflows.sites.site_climate import climate_of

if TYPE_CHECKING:
    from numpy.typing import NDArray

WITHIN_C = 10.0
"""Days within this of the hottest week count [°C]: convention of our own, no source."""
MODELS = {"ltpp": ltpp_high, "shrp": shrp_high}


@dataclass(frozen=True, slots=True)
class TemperatureHistory:
    """Pavement temperature hour by hour, with what it was made of.

    Attributes
    ----------
    told : HotHours
        The numbers a person is told.
    temperature_c : ndarray of float, shape (b,)
        Every hour of the days that count, in order [°C].
    """

    told: HotHours
    temperature_c: NDArray[np.float64]


def hours_of(
    site: Site, weather: DailyWeather, *, within_c: float = WITHIN_C, model: str = "ltpp"
) -> TemperatureHistory:
    """Give the pavement temperature of the hot hours of a site.

    Parameters
    ----------
    site : Site
        Place and depth.
    weather : DailyWeather
        Its daily record.
    within_c : float
        Days count whose air maximum lies within this of the mean hottest week [°C].
    model : str
        ``ltpp`` or ``shrp``.

    Returns
    -------
    TemperatureHistory
        Highest of a day from its air maximum by the model, at half reliability; lowest from its air minimum
        by SHRP; a cosine between them.

    Raises
    ------
    InputError
        Where no year of the record counts, or no day is hot enough.
    """
    climate = climate_of(weather, latitude_deg=site.latitude_deg, name=site.name)
    if climate.high is None:
        raise InputError(
            f"{site.name}: no year of the weather record has days enough for a hottest week; a "
            "longer one is needed"
        )
    days = hot_days(
        weather.maximum_c, weather.minimum_c, hottest_week_c=climate.high.mean_c, within_c=within_c
    )
    if not days.size:
        raise InputError(
            f"{site.name}: no day of the weather record has both a maximum near its hottest week "
            "and a minimum"
        )
    depth = max(site.depth_mm, SURFACE_LAYER_MM)
    high = MODELS[model](weather.maximum_c[days], site.latitude_deg, depth)
    low = np.minimum(shrp_low(weather.minimum_c[days], depth), high)
    told = HotHours(
        site=site.name,
        model=model,
        depth_mm=depth,
        within_c=within_c,
        days=int(days.size),
        days_of_record=int(np.count_nonzero(np.isfinite(weather.maximum_c) & np.isfinite(weather.minimum_c))),
        years=climate.high.n_years,
        hottest_week_c=climate.high.mean_c,
        highest_c=float(high.max()),
        mean_high_c=float(high.mean()),
        source=weather.source,
    )
    return TemperatureHistory(told, hourly_temperature(high, low).ravel())
