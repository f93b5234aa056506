"""Weather of a site, year by year, and what its extremes come to."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from resile.records.finding import Finding, Measure
from resile.records.reading import ReadingAccount, SourceFile

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

WEATHER_COLUMNS = ("date", "year", "month", "day", "day_of_year", "maximum", "minimum", "site")
"""What a column of a daily weather record can be."""

ENOUGH_DAYS = 360
"""Days a year needs to count. Common practice, no source."""


@dataclass(frozen=True, slots=True)
class DailyWeather:
    """Daily air temperature of one station, each day once, in order.

    Attributes
    ----------
    site : str
        Name of the station; empty where the file gives none.
    days : ndarray of datetime64[D], shape (n,)
        Days.
    maximum_c, minimum_c : ndarray of float, shape (n,)
        Daily maximum and minimum; not-a-number where missing [°C].
    source : SourceFile
        The file.
    account : ReadingAccount
        How it was read: what was converted and refused, and why.
    measures : tuple of Measure
        What was counted while reading, for the findings.
    """

    site: str
    days: NDArray[np.datetime64]
    maximum_c: NDArray[np.float64]
    minimum_c: NDArray[np.float64]
    source: SourceFile
    account: ReadingAccount
    measures: tuple[Measure, ...] = ()


@dataclass(frozen=True, slots=True)
class ClimateYear:
    """Extremes of one year of daily records.

    Attributes
    ----------
    label : str
        The year, ``1998``; ``1998/99`` where it begins in the middle of a calendar year.
    days_with_maximum, days_with_minimum : int
        Days that count.
    days : int
        Days the year has.
    high_c : float or None
        Hottest mean of daily maxima over seven days without a gap [°C]; None where there is none.
    high_from : str
        First of the seven days, ISO 8601; empty without one.
    low_c : float or None
        Lowest daily minimum [°C].
    low_on : str
        Its day, ISO 8601; empty without one.
    degree_days : float or None
        Sum of the excess of daily maxima over 10 °C [°C·d].
    high_counts, low_counts : bool
        Whether the year enters mean and standard deviation: it has days enough.
    """

    label: str
    days_with_maximum: int
    days_with_minimum: int
    days: int
    high_c: float | None
    high_from: str
    low_c: float | None
    low_on: str
    degree_days: float | None
    high_counts: bool
    low_counts: bool


@dataclass(frozen=True, slots=True)
class YearlyExtreme:
    """Mean, scatter and trend of one extreme over the years.

    Attributes
    ----------
    mean_c : float
        Mean over the years that count [°C].
    sd_c : float
        Standard deviation from year to year, n - 1 [°C]; 0 for a single year.
    n_years : int
        Years that count; 0 where mean and deviation were typed.
    confidence_c : tuple of float or None
        Two-sided 95 % interval of the mean by Student's t [°C]; None below two years.
    trend_c_per_decade : float or None
        Slope of the least-squares line over the years [°C per 10 years]; None below three years.
    trend_confidence : tuple of float or None
        Its two-sided 95 % interval [°C per 10 years].
    """

    mean_c: float
    sd_c: float
    n_years: int = 0
    confidence_c: tuple[float, float] | None = None
    trend_c_per_decade: float | None = None
    trend_confidence: tuple[float, float] | None = None


@dataclass(frozen=True, slots=True)
class Climate:
    """Air temperature of a site as a demand needs it.

    Attributes
    ----------
    site : str
        Name of the site.
    latitude_deg : float
        Latitude, south negative [°].
    high, low : YearlyExtreme or None
        Hottest seven-day mean of daily maxima, and lowest daily minimum.
    years : tuple of ClimateYear
        Every year of the record, those that do not count included; empty where values were typed.
    year_begins : str
        First day of a year, ``1 January`` or ``1 July``.
    degree_days : float or None
        Mean over the years of the degree-days over 10 °C [°C·d].
    monthly_decile_nine_c : float or None
        Highest ninth decile of daily maxima over the twelve months [°C].
    longitude_deg : float or None
        Longitude, west negative [°].
    source, account, findings
        The record file, how it was read, and doubts.
    """

    site: str
    latitude_deg: float
    high: YearlyExtreme | None
    low: YearlyExtreme | None
    years: tuple[ClimateYear, ...] = ()
    year_begins: str = ""
    degree_days: float | None = None
    monthly_decile_nine_c: float | None = None
    longitude_deg: float | None = None
    source: SourceFile | None = None
    account: ReadingAccount | None = None
    findings: tuple[Finding, ...] = ()
