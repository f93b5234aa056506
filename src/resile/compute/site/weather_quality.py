"""What daily weather and its yearly extremes look like before anyone judges them: measures, no thresholds.

Use `weather_measures` for the days, `extreme_measures` for the numbers of the years. The thresholds stand in
``specifications/findings/climate.toml``.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike, NDArray

from resile.records.climate import ClimateYear, YearlyExtreme
from resile.records.finding import Measure

Floats = NDArray[np.float64]

_WINTER = {True: (11, 12, 1, 2), False: (5, 6, 7, 8)}
"""Months in which the hottest days of a year cannot lie, north and south; from the definition of "
"the seasons."""
_TROPIC_DEG = 23.44
"""Between the tropics the hottest month is a matter of rain: nothing is told there. Axial tilt of "
"the Earth."""
_YEARS_FOR_OUTLIER = 10
_DAYS_FOR_SHIFT = 300


def weather_measures(days: ArrayLike, maximum_c: ArrayLike, minimum_c: ArrayLike) -> tuple[Measure, ...]:
    """Give what single days and whole years look like beside their neighbours.

    Parameters
    ----------
    days : array_like of datetime64[D], shape (n,)
        Days, each once, rising.
    maximum_c, minimum_c : array_like of float, shape (n,)
        Daily maximum and minimum; not-a-number where missing [°C].

    Returns
    -------
    tuple of Measure
        ``peak_above_neighbours_c`` and ``dip_below_neighbours_c`` (a maximum above, a minimum below the days
        before and after), ``days_alike`` (longest run of one and the same maximum) and ``year_shift_c`` (a
        calendar year whose middle maximum lies furthest from the middle of all years).

    Examples
    --------
    >>> days = np.arange("2001-01-01", "2001-01-04", dtype="datetime64[D]")
    >>> weather_measures(days, [10.0, 35.0, 12.0], [0.0, 1.0, 2.0])[0].value
    23.0
    """
    day = np.asarray(days, dtype="datetime64[D]")
    high, low = np.asarray(maximum_c, dtype=float), np.asarray(minimum_c, dtype=float)
    found = [
        _sticking_out(day, high, "peak_above_neighbours_c"),
        _sticking_out(day, -low, "dip_below_neighbours_c"),
        _alike(day, high),
        _year_shift(day, high),
    ]
    return tuple(measure for measure in found if measure is not None)


def extreme_measures(
    years: Sequence[ClimateYear], high: YearlyExtreme | None, low: YearlyExtreme | None, latitude_deg: float
) -> tuple[Measure, ...]:
    """Give what the yearly extremes look like: how many, which stick out, whether they drift, and the season.

    Parameters
    ----------
    years : sequence of ClimateYear
        Every year of the record; empty where values were typed.
    high, low : YearlyExtreme or None
        Their summaries.
    latitude_deg : float
        Latitude, south negative [°].

    Returns
    -------
    tuple of Measure
        ``years_left_out``, ``hottest_in_winter_percent``, and for each end ``years_…``, ``trend_…`` (slope
        in multiples of half its 95 % interval) and ``outlier_…`` (distance of the furthest year from the
        mean of the others, in their standard deviations).
    """
    found = [] if years else [Measure("means_typed", 1.0)]
    out = [year for year in years if not (year.high_counts and year.low_counts)]
    if years:
        found.append(Measure("years_left_out", float(len(out)), "", _named(out)))
        found += _winter(years, latitude_deg)
    for end, extreme in (("high", high), ("low", low)):
        if extreme is None or not years:
            continue
        counted = [y for y in years if (y.high_counts if end == "high" else y.low_counts)]
        values = np.array([y.high_c if end == "high" else y.low_c for y in counted], dtype=float)
        found.append(Measure(f"years_{end}", float(extreme.n_years)))
        found += _trend(end, extreme)
        if values.size >= _YEARS_FOR_OUTLIER:
            found.append(_outlier(end, counted, values))
    return tuple(found)


def _sticking_out(day: NDArray[np.datetime64], value: Floats, name: str) -> Measure | None:
    if day.size < 3:
        return None
    beside = np.maximum(value[:-2], value[2:])
    together = (day[2:] - day[:-2]).astype(np.int64) == 2
    above = np.where(together & np.isfinite(beside) & np.isfinite(value[1:-1]), value[1:-1] - beside, -np.inf)
    place = int(np.argmax(above))
    if not np.isfinite(above[place]):
        return None
    return Measure(name, float(above[place]), "°C", str(day[place + 1]))


def _alike(day: NDArray[np.datetime64], high: Floats) -> Measure | None:
    if day.size < 2:
        return None
    same = np.concatenate(([False], np.diff(high) == 0.0))
    starts = np.flatnonzero(~same)
    lengths = np.diff(np.append(starts, day.size))
    place = int(np.argmax(lengths))
    return Measure("days_alike", float(lengths[place]), "d", f"from {day[starts[place]]}")


def _year_shift(day: NDArray[np.datetime64], high: Floats) -> Measure | None:
    year = day.astype("datetime64[Y]").astype(np.int64) + 1970
    middles = {
        int(one): float(np.median(own))
        for one in np.unique(year)
        if (own := high[(year == one) & np.isfinite(high)]).size >= _DAYS_FOR_SHIFT
    }
    if len(middles) < 3:
        return None
    centre = float(np.median(list(middles.values())))
    worst = max(middles, key=lambda one: abs(middles[one] - centre))
    return Measure("year_shift_c", abs(middles[worst] - centre), "°C", str(worst))


def _winter(years: Sequence[ClimateYear], latitude_deg: float) -> list[Measure]:
    starts = [int(y.high_from[5:7]) for y in years if y.high_counts and y.high_from]
    if not starts or abs(latitude_deg) <= _TROPIC_DEG:
        return []
    months = _WINTER[latitude_deg > 0.0]
    share = 100.0 * sum(month in months for month in starts) / len(starts)
    side = "north" if latitude_deg > 0.0 else "south"
    return [Measure("hottest_in_winter_percent", share, "%", side)]


def _trend(end: str, extreme: YearlyExtreme) -> list[Measure]:
    slope, span = extreme.trend_c_per_decade, extreme.trend_confidence
    if slope is None or span is None or span[1] <= span[0]:
        return []
    return [
        Measure(f"trend_{end}", abs(slope) / ((span[1] - span[0]) / 2.0)),
        Measure(f"trend_{end}_slope", slope, "°C per 10 years"),
    ]


def _outlier(end: str, years: Sequence[ClimateYear], values: Floats) -> Measure:
    count, total, squares = values.size, values.sum(), (values**2).sum()
    mean = (total - values) / (count - 1)
    variance = (squares - values**2 - (count - 1) * mean**2) / (count - 2)
    with np.errstate(divide="ignore", invalid="ignore"):
        distance = np.abs(values - mean) / np.sqrt(np.maximum(variance, 0.0))
    distance = np.where(np.isnan(distance), 0.0, distance)
    place = int(np.argmax(distance))
    return Measure(f"outlier_{end}", float(distance[place]), "deviations", years[place].label)


def _named(years: Sequence[ClimateYear]) -> str:
    words = [
        f"{y.label} ({min(y.days_with_maximum, y.days_with_minimum)} of {y.days} days)" for y in years[:6]
    ]
    more = f" and {len(years) - 6} more" if len(years) > 6 else ""
    return ", ".join(words) + more
