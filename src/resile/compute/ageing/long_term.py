"""Long-term (pressure) ageing: film thickness, and the measures that tell how the vessel was run.

Use `film_thickness_mm` for a bare mass and `reduce_long_term_ageing` for a whole record.
"""

from __future__ import annotations

import math
from dataclasses import replace
from datetime import date

import numpy as np
from numpy.typing import ArrayLike, NDArray

from resile.errors import MeasurementError
from resile.records.ageing import LongTermAgeingRecord, Pan
from resile.records.finding import Measure

_MEASURED_FIELDS = (
    ("temperature_c", "°C"),
    ("pressure_mpa", "MPa"),
    ("duration_h", "h"),
    ("pan_count", ""),
    ("pan_diameter_mm", "mm"),
    ("release_min", "min"),
    ("pan_heating_temperature_c", "°C"),
    ("pan_heating_min", "min"),
    ("degassing_temperature_c", "°C"),
    ("degassing_pressure_kpa", "kPa"),
    ("degassing_min", "min"),
)


def film_thickness_mm(
    mass_g: ArrayLike, diameter_mm: ArrayLike, *, density_g_cm3: float = 1.0
) -> NDArray[np.float64]:
    """Give the thickness of the film that binder makes in a flat round pan.

    Parameters
    ----------
    mass_g : array_like of float, shape (n,) or scalar
        Mass of binder [g].
    diameter_mm : array_like of float, shape (n,) or scalar
        Inside diameter of the pan [mm].
    density_g_cm3 : float
        Density of the binder [g/cm³]; 1.0 is within some 4 % of most binders, as near as a film is known.

    Returns
    -------
    ndarray of float, shape (n,) or ()
        Thickness [mm].

    Raises
    ------
    MeasurementError
        Where a number is not finite or not positive.

    Notes
    -----
    ``h = 4 m / (pi d^2 rho)``: volume over floor; the meniscus at the rim is left out.

    References
    ----------
    Definition. AASHTO R 28, recalled (high): 50 g in a pan of 140 mm make a film of about 3.2 mm.

    Examples
    --------
    >>> round(float(film_thickness_mm(50.0, 140.0)), 1)
    3.2
    """
    mass = np.asarray(mass_g, dtype=float)
    diameter = np.asarray(diameter_mm, dtype=float)
    for values in (mass, diameter, np.asarray(density_g_cm3, dtype=float)):
        if not np.isfinite(values).all() or np.any(values <= 0.0):
            raise MeasurementError(
                "film in the pan: mass, diameter and density are needed, each a number above zero"
            )
    # g / (g/cm³) is cm³, that is 1000 mm³
    return np.asarray(4000.0 * mass / (math.pi * diameter**2 * density_g_cm3))


def reduce_long_term_ageing(record: LongTermAgeingRecord, *, feed_aged_on: str = "") -> LongTermAgeingRecord:
    """Work out the films and measures of a long-term ageing record.

    Parameters
    ----------
    record : LongTermAgeingRecord
        As read.
    feed_aged_on : str
        Date of the short-term ageing of the feed, ISO 8601; empty where not known.

    Returns
    -------
    LongTermAgeingRecord
        The same record with the film of each pan and with `measures`: what was recorded, the binder in each
        pan, and the days that the feed had stood.

    Raises
    ------
    MeasurementError
        Where a mass or diameter is impossible.

    Notes
    -----
    Where the record does not say how many pans there were, the pans that it lists are counted. Days are whole
    days between two dates; a negative number means that a date is wrong.
    """
    pans = tuple(_with_film(pan, record.pan_diameter_mm) for pan in record.pans)
    count = record.pan_count if record.pan_count is not None else float(len(pans)) or None
    counted = replace(record, pans=pans, pan_count=count)
    measures = [
        Measure(name, float(value), unit)
        for name, unit in _MEASURED_FIELDS
        if (value := getattr(counted, name)) is not None
    ]
    measures += [
        Measure("pan_mass_g", pan.mass_g, "g", f"pan {pan.name}") for pan in pans if pan.mass_g is not None
    ]
    days = _days_between(feed_aged_on, record.aged_on)
    if days is not None:
        measures.append(Measure("feed_age_days", float(days), "d"))
    return replace(counted, measures=tuple(measures))


def _with_film(pan: Pan, diameter_mm: float | None) -> Pan:
    if pan.mass_g is None or diameter_mm is None:
        return pan
    return replace(pan, film_mm=float(film_thickness_mm(pan.mass_g, diameter_mm)))


def _days_between(earlier: str, later: str) -> int | None:
    """Give whole days between two dates as a person wrote them; None where either is no ISO date."""
    try:
        return (date.fromisoformat(later[:10]) - date.fromisoformat(earlier[:10])).days
    except ValueError:
        return None
