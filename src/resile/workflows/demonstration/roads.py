"""The weather of the invented roads: daily maxima and minima from a seeded generator, as files."""

from __future__ import annotations

import datetime
from dataclasses import dataclass

import numpy as np

FIRST_YEAR = 2001
YEARS = 20
_SUMMER_NORTH = 200
"""Day of the year with the warmest mean north of the equator; half a year later south of it."""


@dataclass(frozen=True, slots=True)
class Station:
    """A weather station that does not exist.

    Attributes
    ----------
    name : str
        Name of its file.
    south : bool
        South of the equator.
    mean_c, swing_c : float
        Mean of the daily mean over the year, and half the difference of summer and winter [°C].
    daily_c : float
        Half the difference of a day's maximum and minimum [°C].
    noise_c : float
        Standard deviation of the weather of a day [°C].
    seed : int
        Of its noise.
    """

    name: str
    south: bool
    mean_c: float
    swing_c: float
    daily_c: float
    noise_c: float
    seed: int


STATIONS = (
    Station("ambelund", False, 9.5, 9.0, 4.8, 3.2, 11),
    Station("tarn-high", False, 3.0, 12.0, 5.0, 4.2, 12),
    Station("sandmark", False, 16.0, 10.5, 7.0, 2.9, 13),
    Station("far-north", False, -2.0, 14.5, 5.0, 5.0, 14),
    Station("southmoor", True, 13.0, 6.5, 5.5, 3.0, 15),
    Station("red-plain", True, 21.0, 8.0, 8.0, 2.8, 16),
)
_MEMORY = 0.7
"""Share of a day's weather that is left the next day."""


def weather_files(invented: str) -> dict[str, bytes]:
    """Give the daily weather records of the invented stations.

    Parameters
    ----------
    invented : str
        Words that say so; they stand above the headings.

    Returns
    -------
    dict of str to bytes
        Separated text by the path below the demonstration; the same bytes each time.
    """
    return {f"roads/weather/{station.name}.csv": _file(station, invented) for station in STATIONS}


def _file(station: Station, invented: str) -> bytes:
    first = datetime.date(FIRST_YEAR, 1, 1)
    days = (datetime.date(FIRST_YEAR + YEARS, 1, 1) - first).days
    dates = [first + datetime.timedelta(days=day) for day in range(days)]
    place = np.array([date.timetuple().tm_yday for date in dates], dtype=float)
    summer = _SUMMER_NORTH + (182.0 if station.south else 0.0)
    season = station.swing_c * np.cos(2.0 * np.pi * (place - summer) / 365.25)
    rng = np.random.default_rng(station.seed)
    fresh = rng.normal(0.0, station.noise_c * (1.0 - _MEMORY**2) ** 0.5, days)
    weather = np.empty(days)
    left = 0.0
    for day in range(days):
        left = _MEMORY * left + fresh[day]
        weather[day] = left
    middle = station.mean_c + season + weather
    reach = station.daily_c + rng.uniform(-1.5, 1.5, days)
    lines = [f"# {station.name}: {invented}; nothing was measured", "date,maximum (°C),minimum (°C)"]
    lines += [
        f"{date.isoformat()},{high:.1f},{low:.1f}"
        for date, high, low in zip(dates, middle + reach, middle - reach, strict=True)
    ]
    return ("\n".join(lines) + "\n").encode()
