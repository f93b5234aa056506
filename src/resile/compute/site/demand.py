"""What one end of a grade must cover: from the distribution of pavement temperature to a step and "
"its odds.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from resile.compute.site.models import MODELS, pavement_distribution
from resile.compute.site.pavement_temperature import SURFACE_LAYER_MM
from resile.compute.site.reliability import enough_probability, reliability_quantile, step_needed
from resile.records.climate import Climate, ClimateYear, YearlyExtreme
from resile.records.site import EndDemand, PavementYear, StepChance

_NO_YEARS = ("latitude-offset",)
"""Models whose input is not one of a year."""
CHANCES_SHOWN = 2
"""Steps shown on either side of the one that is needed."""


def depth_of_end(depth_mm: float, end: str) -> float:
    """Give the depth at which a layer is looked at.

    Parameters
    ----------
    depth_mm : float
        Depth of the top of the layer [mm].
    end : str
        ``"high"`` or ``"low"``.

    Returns
    -------
    float
        A surface layer (top at 20 mm or less) is looked at 20 mm deep at the high end and at the surface at
        the low end; a deeper one at its top [mm].

    References
    ----------
    SHRP-A-648A and FHWA-RD-97-103, from memory (high).
    """
    if depth_mm > SURFACE_LAYER_MM:
        return depth_mm
    return SURFACE_LAYER_MM if end == "high" else 0.0


def end_demand(
    climate: Climate,
    *,
    model: str,
    end: str,
    depth_mm: float,
    reliability_percent: float,
    steps_c: Sequence[float],
    rounded_quantiles: Sequence[float] = (),
    rut_depth_mm: float = 12.5,
    with_chances: bool = True,
) -> EndDemand:
    """Give what one end of a grade must cover at a site.

    Parameters
    ----------
    climate : Climate
        Extremes of the site.
    model : str
        Key of `resile.compute.site.models.MODELS`.
    end : str
        ``"high"`` or ``"low"``.
    depth_mm : float
        Depth of the top of the layer; see `depth_of_end` [mm].
    reliability_percent : float
        50 to below 100 [%].
    steps_c : sequence of float
        Steps that the specification has at this end [°C].
    rounded_quantiles : sequence of float
        Quantiles that textbooks and standards print for this reliability.
    rut_depth_mm : float
        Accepted rut depth, for ``degree-day`` [mm].
    with_chances : bool
        Whether the probability of each step near it is worked out: not needed for a what-if.

    Returns
    -------
    EndDemand
        Design temperature ``mean + z sd`` (high) or ``mean - z sd`` (low), step and probabilities.

    Raises
    ------
    MeasurementError
        Where the model cannot be used, or the reliability is out of bounds.
    """
    depth = depth_of_end(depth_mm, end)
    if depth_mm <= SURFACE_LAYER_MM and model in MODELS and not _knows_depth(model, end):
        depth = 0.0
    found = pavement_distribution(model, end, climate, depth_mm=depth, rut_depth_mm=rut_depth_mm)
    sign = 1.0 if end == "high" else -1.0
    z = float(reliability_quantile(reliability_percent))
    step = _step(found.mean_c + sign * z * found.sd_c, steps_c, end)
    other = next(
        (
            rounded
            for value in rounded_quantiles
            if (rounded := _step(found.mean_c + sign * value * found.sd_c, steps_c, end)) != step
        ),
        None,
    )
    extreme = climate.high if end == "high" else climate.low
    return EndDemand(
        end=end,
        model=model,
        mean_c=found.mean_c,
        sd_c=found.sd_c,
        quantile=z,
        design_c=found.mean_c + sign * z * found.sd_c,
        step_c=step,
        chances=_chances(found.mean_c, found.sd_c, steps_c, step, end, extreme.n_years if extreme else 0)
        if with_chances
        else (),
        textbook_step_c=other,
        depth_mm=depth,
        weather_sd_c=found.weather_sd_c,
    )


def pavement_of_years(climate: Climate, high: EndDemand, low: EndDemand) -> tuple[PavementYear, ...]:
    """Give the pavement temperature of every year of a record, by the models of a demand.

    Parameters
    ----------
    climate : Climate
        With its years.
    high, low : EndDemand
        Models and depths.

    Returns
    -------
    tuple of PavementYear
        The air of each year in the place of the mean; model scatter is not in it.
    """
    return tuple(
        PavementYear(
            year.label,
            _of_year(climate, year, high) if year.high_counts else None,
            _of_year(climate, year, low) if year.low_counts else None,
        )
        for year in climate.years
    )


def _of_year(climate: Climate, year: ClimateYear, end: EndDemand) -> float | None:
    air = year.high_c if end.end == "high" else year.low_c
    if air is None or end.model in _NO_YEARS:
        return None
    one = YearlyExtreme(air, 0.0, 1)
    that_year = replace(
        climate,
        high=one if end.end == "high" else climate.high,
        low=one if end.end == "low" else climate.low,
        degree_days=year.degree_days,
    )
    return pavement_distribution(end.model, end.end, that_year, depth_mm=end.depth_mm).mean_c


def _knows_depth(model: str, end: str) -> bool:
    chosen = MODELS[model]
    return chosen.depth_high if end == "high" else chosen.depth_low


def _step(temperature_c: float, steps_c: Sequence[float], end: str) -> float | None:
    if not len(steps_c):
        return None
    step = float(step_needed(temperature_c, steps_c, end=end))
    return None if np.isnan(step) else step


def _chances(
    mean_c: float, sd_c: float, steps_c: Sequence[float], step: float | None, end: str, n_years: int
) -> tuple[StepChance, ...]:
    if not len(steps_c):
        return ()
    order = sorted(steps_c, reverse=end == "low")
    place = order.index(step) if step is not None else len(order) - 1
    near = order[max(0, place - CHANCES_SHOWN) : place + CHANCES_SHOWN + 1]
    normal = enough_probability(near, mean_c, sd_c, end=end)
    few = (
        enough_probability(near, mean_c, sd_c, end=end, n_years=n_years)
        if n_years >= 2
        else [None] * len(near)
    )
    return tuple(
        StepChance(one, float(chance), None if rare is None else float(rare))
        for one, chance, rare in zip(near, normal, few, strict=True)
    )
