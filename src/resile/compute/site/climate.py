"""Yearly extremes of daily air temperature, and their mean, scatter and trend.

Use `yearly_extremes` for a daily record, `summarise_extreme` for the numbers of the years. A year begins on
1 January in the north and on 1 July in the south, so that no summer is cut in two: the caller says which.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy import stats

from resile.errors import MeasurementError
from resile.records.climate import ENOUGH_DAYS, ClimateYear, YearlyExtreme

Floats = NDArray[np.float64]
Days = NDArray[np.int64]

WINDOW_DAYS = 7
"""Length of the running mean of daily maxima [d]. SHRP-A-648A, from memory (high)."""
DEGREE_DAY_BASE_C = 10.0
CONFIDENCE = 0.95


class _Grid(NamedTuple):
    """Every day from the first to the last, gaps as not-a-number."""

    day: NDArray[np.datetime64]
    year: Days
    maximum: Floats
    minimum: Floats


def yearly_extremes(
    days: ArrayLike,
    maximum_c: ArrayLike,
    minimum_c: ArrayLike,
    *,
    first_month: int = 1,
    enough_days: int = ENOUGH_DAYS,
) -> tuple[ClimateYear, ...]:
    """Give the hottest seven-day mean and the coldest day of each year.

    Parameters
    ----------
    days : array_like of datetime64[D], shape (n,)
        Days, each once, in any order.
    maximum_c, minimum_c : array_like of float, shape (n,)
        Daily maximum and minimum; not-a-number where missing [°C].
    first_month : int
        Month a year begins with: 1 in the north, 7 in the south.
    enough_days : int
        Days with a value that a year needs to count.

    Returns
    -------
    tuple of ClimateYear
        Every year in order, partial ones included.

    Raises
    ------
    MeasurementError
        Where there is no day, a day stands twice or the lengths differ.

    Notes
    -----
    A seven-day mean needs seven days in a row, all inside the year: a missing day is never bridged.
    """
    grid = _grid(days, maximum_c, minimum_c, first_month)
    running = _running_mean(grid)
    starts = np.flatnonzero(np.diff(grid.year, prepend=grid.year[0] - 1))
    ends = np.append(starts[1:], len(grid.year))
    return tuple(
        _year(grid, running, slice(start, end), first_month, enough_days)
        for start, end in zip(starts, ends, strict=True)
    )


def summarise_extreme(years: ArrayLike, values_c: ArrayLike) -> YearlyExtreme:
    """Give mean, scatter and trend of a yearly extreme.

    Parameters
    ----------
    years : array_like of float, shape (n,)
        Years that count, for the trend.
    values_c : array_like of float, shape (n,), n at least 1
        Extreme of each year [°C].

    Returns
    -------
    YearlyExtreme
        With Student's intervals.

    Raises
    ------
    MeasurementError
        Where there is no year, or a number is not finite.

    Notes
    -----
    The years are taken as independent; a trend over few years is mostly weather.
    """
    year, value = np.asarray(years, dtype=float), np.asarray(values_c, dtype=float)
    if value.size == 0 or year.shape != value.shape or not np.isfinite(value).all():
        raise MeasurementError("yearly extremes: needed is at least one year, each with a finite value (°C)")
    count, mean = value.size, float(value.mean())
    if count == 1:
        return YearlyExtreme(mean, 0.0, 1)
    sd = float(value.std(ddof=1))
    half = float(stats.t.ppf(0.5 + CONFIDENCE / 2, count - 1)) * sd / np.sqrt(count)
    interval = (mean - float(half), mean + float(half))
    if count == 2:
        return YearlyExtreme(mean, sd, count, interval)
    line = stats.linregress(year, value)
    slope = 10.0 * float(line.slope)
    reach = 10.0 * float(stats.t.ppf(0.5 + CONFIDENCE / 2, count - 2)) * float(line.stderr)
    return YearlyExtreme(mean, sd, count, interval, slope, (slope - reach, slope + reach))


def monthly_decile_nine(days: ArrayLike, maximum_c: ArrayLike) -> float | None:
    """Give the highest ninth decile of daily maxima over the twelve months.

    Parameters
    ----------
    days : array_like of datetime64[D], shape (n,)
        Days.
    maximum_c : array_like of float, shape (n,)
        Daily maximum; not-a-number where missing [°C].

    Returns
    -------
    float or None
        Decile of all days of a calendar month over all years, of the hottest month [°C]; None without
        a value.

    References
    ----------
    AGPT04K, appendix D: highest monthly decile-9 maximum air temperature, read.
    """
    day, value = np.asarray(days, dtype="datetime64[D]"), np.asarray(maximum_c, dtype=float)
    month = day.astype("datetime64[M]").astype(np.int64) % 12
    deciles = [
        float(np.quantile(own, 0.9))
        for own in (value[(month == number) & np.isfinite(value)] for number in range(12))
        if own.size
    ]
    return max(deciles, default=None)


def _grid(days: ArrayLike, maximum: ArrayLike, minimum: ArrayLike, first_month: int) -> _Grid:
    day = np.asarray(days, dtype="datetime64[D]")
    high, low = np.asarray(maximum, dtype=float), np.asarray(minimum, dtype=float)
    if day.size == 0 or not day.shape == high.shape == low.shape:
        raise MeasurementError(
            "daily temperatures: needed is at least one day, with as many maxima and minima"
        )
    offset = (day - day.min()).astype(np.int64)
    if np.unique(offset).size != offset.size:
        raise MeasurementError("daily temperatures: a day stands more than once; needed is each day once")
    length = int(offset.max()) + 1
    columns = np.full((2, length), np.nan)
    columns[0, offset], columns[1, offset] = high, low
    every = day.min() + np.arange(length)
    months = every.astype("datetime64[M]").astype(np.int64) - (first_month - 1)
    return _Grid(every, 1970 + months // 12, columns[0], columns[1])


def _running_mean(grid: _Grid) -> Floats:
    """Give the mean of the seven days that begin with each day; not-a-number across a gap or a year's end."""
    running = np.full(len(grid.day), np.nan)
    if len(grid.day) >= WINDOW_DAYS:
        windows = np.lib.stride_tricks.sliding_window_view(grid.maximum, WINDOW_DAYS).mean(axis=1)
        whole = grid.year[: len(windows)] == grid.year[WINDOW_DAYS - 1 :]
        running[: len(windows)] = np.where(whole, windows, np.nan)
    return running


def _year(grid: _Grid, running: Floats, own: slice, first_month: int, enough: int) -> ClimateYear:
    number = int(grid.year[own.start])
    high, low = running[own], grid.minimum[own]
    maxima = grid.maximum[own]
    with_maximum, with_minimum = int(np.isfinite(maxima).sum()), int(np.isfinite(low).sum())
    hottest = int(np.nanargmax(high)) if np.isfinite(high).any() else None
    coldest = int(np.nanargmin(low)) if with_minimum else None
    return ClimateYear(
        label=str(number) if first_month == 1 else f"{number}/{(number + 1) % 100:02d}",
        days_with_maximum=with_maximum,
        days_with_minimum=with_minimum,
        days=_days_in(number, first_month),
        high_c=None if hottest is None else float(high[hottest]),
        high_from="" if hottest is None else str(grid.day[own.start + hottest]),
        low_c=None if coldest is None else float(low[coldest]),
        low_on="" if coldest is None else str(grid.day[own.start + coldest]),
        degree_days=float(np.nansum(np.maximum(maxima - DEGREE_DAY_BASE_C, 0.0))) if with_maximum else None,
        high_counts=hottest is not None and with_maximum >= enough,
        low_counts=with_minimum >= enough,
    )


def _days_in(year: int, first_month: int) -> int:
    begin = np.datetime64(f"{year}-{first_month:02d}")
    return int(((begin + 12).astype("datetime64[D]") - begin.astype("datetime64[D]")).astype(np.int64))
