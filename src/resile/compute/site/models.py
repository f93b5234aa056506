"""The pavement models by name: what each needs, where it holds, and one chooser.

`MODELS` is the table; `pavement_distribution` applies one of them to the extremes of a site. A model is
always named: none is inferred from which data are there.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from resile.compute.site.ltpp import (
    HIGH_AIR_SHARE,
    LOW_AIR_SHARE,
    ltpp_high,
    ltpp_high_standard,
    ltpp_low,
    ltpp_low_standard,
)
from resile.compute.site.pavement_temperature import (
    degree_day_high,
    latitude_offset_high,
    robertson_low,
    shrp_high,
    shrp_low,
)
from resile.errors import MeasurementError
from resile.records.climate import Climate


class PavementTemperature(NamedTuple):
    """Yearly pavement temperature at one end, as a normal distribution.

    Attributes
    ----------
    mean_c, sd_c : float
        Mean, and standard deviation of weather and model together [°C].
    weather_sd_c : float
        What the weather alone gives of it, year to year [°C].
    """

    mean_c: float
    sd_c: float
    weather_sd_c: float


@dataclass(frozen=True, slots=True)
class PavementModel:
    """One published pair of equations, and what is known of its reach.

    Attributes
    ----------
    name, title, source, evidence : str
        Name by which it is chosen, words for a person, document, evidence mark.
    validity : str
        Where it holds, in words.
    ends : tuple of str
        ``high``, ``low`` or both.
    depth_high, depth_low : bool
        Whether it knows depth at that end.
    latitude_deg : tuple of float or None
        Signed range of latitude it was published for [°]; None where not stated.
    deepest_mm : float or None
        Depth it reaches down to [mm]; None where it holds for the surface only or knows no depth.
    verified : bool
        False where an input of the model is not established: never a default.
    """

    name: str
    title: str
    source: str
    evidence: str
    validity: str
    ends: tuple[str, ...]
    depth_high: bool = True
    depth_low: bool = True
    latitude_deg: tuple[float, float] | None = None
    deepest_mm: float | None = None
    verified: bool = True


MODELS: dict[str, PavementModel] = {
    model.name: model
    for model in (
        PavementModel(
            name="shrp",
            title="SHRP: energy balance, high at 20 mm; low equal to the air",
            source="SHRP-A-648A; Superpave SP-1",
            evidence="from memory (high); checked from within by its own two forms",
            validity="high at the 20 mm of a surface layer; deeper by a polynomial of depth (some 200 mm). "
            "No model error was published: only weather varies. The low end is judged conservative.",
            ends=("high", "low"),
            deepest_mm=200.0,
        ),
        PavementModel(
            name="ltpp",
            title="LTPP: regression on monitored pavements",
            source="FHWA-RD-97-103 (1998)",
            evidence="from memory (high)",
            validity="fitted to some 30 monitored sites of North America (some 25° to 55° north, "
            "own reading), standard errors 3.0 °C (high) and 2.1 °C (low); depth to some 300 mm (own "
            "reading)",
            ends=("high", "low"),
            latitude_deg=(25.0, 55.0),
            deepest_mm=300.0,
        ),
        PavementModel(
            name="latitude-offset",
            title="Offset by bands of latitude on the hottest monthly ninth decile",
            source="AGPT04K, appendix D",
            evidence="read",
            validity="surface, Australia (some 10° to 45° south); gives a maximum, no distribution",
            ends=("high",),
            depth_high=False,
            latitude_deg=(-45.0, -10.0),
        ),
        PavementModel(
            name="robertson",
            title="Canadian regression of the low surface temperature",
            source="Robertson 1987; C-SHRP",
            evidence="from memory (medium)",
            validity="surface, Canada; the term of depth is not established",
            ends=("low",),
            depth_low=False,
            latitude_deg=(40.0, 75.0),
        ),
        PavementModel(
            name="degree-day",
            title="Rutting damage from degree-days over 10 °C",
            source="Mohseni, Carpenter, D'Angelo, AAPT 74 (2005)",
            evidence="from memory (medium), unverified options",
            validity="0 to 7292 degree-days; whether those of the daily maximum or of the mean is not "
            "established (the maximum is taken here)",
            ends=("high",),
            depth_high=False,
            verified=False,
        ),
    )
}
"""Every model by its name."""


def pavement_distribution(
    model: str, end: str, climate: Climate, *, depth_mm: float, rut_depth_mm: float = 12.5
) -> PavementTemperature:
    """Give the yearly pavement temperature of a site by one model.

    Parameters
    ----------
    model : str
        Key of `MODELS`.
    end : str
        ``"high"`` or ``"low"``.
    climate : Climate
        Extremes of the site.
    depth_mm : float
        Depth below the surface [mm].
    rut_depth_mm : float
        Accepted rut depth, for ``degree-day`` [mm].

    Returns
    -------
    PavementTemperature
        Mean and standard deviation.

    Raises
    ------
    MeasurementError
        Where the model is not known, has no such end, does not know that depth, or lacks what it needs.

    Notes
    -----
    SHRP carries the weather through its slope (0.9545 at 20 mm, 1 at the low end) and adds no model error;
    LTPP adds its own standard error. ``latitude-offset`` and ``degree-day`` give what they were published
    for: the first a single value, the second its own coefficient of variation.
    """
    chosen = MODELS.get(model)
    if chosen is None:
        raise MeasurementError(f"pavement model '{model}' is not known; known: {', '.join(MODELS)}")
    if end not in chosen.ends:
        raise MeasurementError(
            f"pavement model '{model}' gives no {end} temperature; it gives: {chosen.ends[0]}"
        )
    knows_depth = chosen.depth_high if end == "high" else chosen.depth_low
    if not knows_depth and depth_mm > 0.0 and model != "degree-day":
        raise MeasurementError(
            f"pavement model '{model}' holds for the surface only; {depth_mm:g} mm was asked: give depth 0"
        )
    return _GIVERS[model, end](climate, depth_mm, rut_depth_mm)


def _air(climate: Climate, end: str) -> tuple[float, float]:
    extreme = climate.high if end == "high" else climate.low
    if extreme is None:
        wanted = "hottest seven-day means of daily maxima" if end == "high" else "lowest daily minima"
        raise MeasurementError(
            f"{climate.site}: no year counts for the {end} temperature; needed are {wanted}"
        )
    return extreme.mean_c, extreme.sd_c


def _shrp_high(climate: Climate, depth: float, _: float) -> PavementTemperature:
    mean, sd = _air(climate, "high")
    low, high = shrp_high([mean, mean + 1.0], climate.latitude_deg, depth)
    return PavementTemperature(float(low), float(high - low) * sd, float(high - low) * sd)


def _shrp_low(climate: Climate, depth: float, _: float) -> PavementTemperature:
    mean, sd = _air(climate, "low")
    return PavementTemperature(float(shrp_low(mean, depth)), sd, sd)


def _ltpp_high(climate: Climate, depth: float, _: float) -> PavementTemperature:
    mean, sd = _air(climate, "high")
    centre = float(ltpp_high(mean, climate.latitude_deg, depth))
    return PavementTemperature(centre, float(ltpp_high_standard(sd)), float(np.sqrt(HIGH_AIR_SHARE)) * sd)


def _ltpp_low(climate: Climate, depth: float, _: float) -> PavementTemperature:
    mean, sd = _air(climate, "low")
    centre = float(ltpp_low(mean, climate.latitude_deg, depth))
    return PavementTemperature(centre, float(ltpp_low_standard(sd)), float(np.sqrt(LOW_AIR_SHARE)) * sd)


def _robertson_low(climate: Climate, _: float, __: float) -> PavementTemperature:
    mean, sd = _air(climate, "low")
    return PavementTemperature(float(robertson_low(mean)), 0.859 * sd, 0.859 * sd)


def _latitude_offset(climate: Climate, _: float, __: float) -> PavementTemperature:
    if climate.monthly_decile_nine_c is None:
        raise MeasurementError(
            f"{climate.site}: the model 'latitude-offset' needs daily maxima, "
            "or the highest monthly ninth decile"
        )
    high = float(latitude_offset_high(climate.monthly_decile_nine_c, climate.latitude_deg))
    return PavementTemperature(high, 0.0, 0.0)


def _degree_day(climate: Climate, _: float, rut_depth_mm: float) -> PavementTemperature:
    if climate.degree_days is None:
        raise MeasurementError(
            f"{climate.site}: the model 'degree-day' needs daily maxima, or degree-days over 10 °C"
        )
    mean, upper = degree_day_high(
        climate.degree_days, climate.latitude_deg, rut_depth_mm=rut_depth_mm, z=[0.0, 1.0]
    )
    return PavementTemperature(float(mean), float(upper - mean), float(upper - mean))


_GIVERS = {
    ("shrp", "high"): _shrp_high,
    ("shrp", "low"): _shrp_low,
    ("ltpp", "high"): _ltpp_high,
    ("ltpp", "low"): _ltpp_low,
    ("robertson", "low"): _robertson_low,
    ("latitude-offset", "high"): _latitude_offset,
    ("degree-day", "high"): _degree_day,
}
