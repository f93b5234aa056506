"""The air temperature of a site: from its daily record, from typed means, or one end from each."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from resile.compute.site.climate import monthly_decile_nine, summarise_extreme, yearly_extremes
from resile.compute.site.weather_quality import extreme_measures, weather_measures
from resile.errors import InputError, MeasurementError
from resile.judge.findings import judge_measures
from resile.readers.layout import Layout
from resile.readers.source_file import given_file
from resile.readers.weather.headings import vocabulary
from resile.readers.weather_record import read_weather_record
from resile.records.climate import ENOUGH_DAYS, Climate, ClimateYear, DailyWeather, YearlyExtreme
from resile.records.reading import HeldFile
from resile.specifications.creep_recovery import load_finding_rules


@dataclass(frozen=True, slots=True)
class TypedExtreme:
    """Mean and standard deviation of a yearly extreme, as a person knows them.

    Attributes
    ----------
    mean_c, sd_c : float
        Over the years [°C].
    n_years : int
        Years behind them; 0 where not known.
    """

    mean_c: float
    sd_c: float
    n_years: int = 0


def read_climate(
    path: str | Path | HeldFile,
    *,
    latitude_deg: float,
    longitude_deg: float | None = None,
    name: str = "",
    station: str = "",
    layout: Layout | None = None,
    temperature_unit: str = "",
    date_order: str = "",
    enough_days: int = ENOUGH_DAYS,
) -> Climate:
    """Read a daily weather record and give the yearly extremes of the air.

    Parameters
    ----------
    path : str or Path or HeldFile
        Daily weather record.
    latitude_deg, longitude_deg : float
        South and west negative [°].
    name : str
        Name of the site; that of the station, or of the file, where empty.
    station : str
        Which station of a file that holds several.
    layout : Layout, optional
        What is known of the file.
    temperature_unit, date_order : str
        ``°C`` or ``°F``; ``day-first`` or ``month-first``.
    enough_days : int
        Days with a value that a year needs to count.

    Returns
    -------
    Climate
        With findings on days and years.
    """
    file = given_file(path)
    stations = read_weather_record(file, layout=layout, unit=temperature_unit, date_order=date_order)
    weather = chosen_station(stations, station, str(path))
    return climate_of(
        weather,
        latitude_deg=latitude_deg,
        longitude_deg=longitude_deg,
        name=name or weather.site or file.stem,
        enough_days=enough_days,
    )


def climate_of(
    weather: DailyWeather,
    *,
    latitude_deg: float,
    longitude_deg: float | None = None,
    name: str = "",
    enough_days: int = ENOUGH_DAYS,
) -> Climate:
    """Give the yearly extremes of daily weather; parameters as in `read_climate`.

    Returns
    -------
    Climate
        With findings on days and years.
    """
    check_place(latitude_deg, longitude_deg)
    first_month = 1 if latitude_deg >= 0.0 else 7
    years = yearly_extremes(
        weather.days, weather.maximum_c, weather.minimum_c, first_month=first_month, enough_days=enough_days
    )
    high, low = _extreme(years, "high"), _extreme(years, "low")
    degree_days = [y.degree_days for y in years if y.high_counts and y.degree_days is not None]
    measures = (
        *weather.measures,
        *weather_measures(weather.days, weather.maximum_c, weather.minimum_c),
        *extreme_measures(years, high, low, latitude_deg),
    )
    return Climate(
        site=name or weather.site,
        latitude_deg=latitude_deg,
        high=high,
        low=low,
        years=years,
        year_begins="1 January" if first_month == 1 else "1 July",
        degree_days=float(np.mean(degree_days)) if degree_days else None,
        monthly_decile_nine_c=monthly_decile_nine(weather.days, weather.maximum_c),
        longitude_deg=longitude_deg,
        source=weather.source,
        account=weather.account,
        findings=judge_measures(measures, load_finding_rules("climate")),
    )


def typed_climate(
    *,
    name: str,
    latitude_deg: float,
    longitude_deg: float | None = None,
    high: TypedExtreme | None = None,
    low: TypedExtreme | None = None,
    degree_days: float | None = None,
    monthly_decile_nine_c: float | None = None,
) -> Climate:
    """Give the climate of a site from means and standard deviations that are known.

    Parameters
    ----------
    name : str
        Name of the site.
    latitude_deg, longitude_deg : float
        South and west negative [°].
    high, low : TypedExtreme, optional
        Hottest seven-day mean of daily maxima, and lowest daily minimum.
    degree_days, monthly_decile_nine_c : float, optional
        For the models that need them.

    Returns
    -------
    Climate
        Without years.
    """
    check_place(latitude_deg, longitude_deg)
    for extreme in (high, low):
        if extreme is not None:
            _check_typed(extreme)
    measures = extreme_measures((), None, None, latitude_deg)
    return Climate(
        site=name,
        latitude_deg=latitude_deg,
        high=None if high is None else YearlyExtreme(high.mean_c, high.sd_c, high.n_years),
        low=None if low is None else YearlyExtreme(low.mean_c, low.sd_c, low.n_years),
        degree_days=degree_days,
        monthly_decile_nine_c=monthly_decile_nine_c,
        longitude_deg=longitude_deg,
        findings=judge_measures(measures, load_finding_rules("climate")),
    )


def with_typed(climate: Climate, typed: Climate) -> Climate:
    """Put typed values in the place of those of the record.

    Parameters
    ----------
    climate : Climate
        From a daily record.
    typed : Climate
        From `typed_climate`; what it has wins.

    Returns
    -------
    Climate
        Of both, with the findings of both.
    """
    return replace(
        climate,
        high=typed.high or climate.high,
        low=typed.low or climate.low,
        degree_days=climate.degree_days if typed.degree_days is None else typed.degree_days,
        monthly_decile_nine_c=typed.monthly_decile_nine_c or climate.monthly_decile_nine_c,
        findings=(*climate.findings, *typed.findings),
    )


def check_place(latitude_deg: float, longitude_deg: float | None) -> None:
    """Refuse a latitude or longitude that does not exist.

    Raises
    ------
    MeasurementError
        Says which, and what is needed.
    """
    if not -90.0 <= latitude_deg <= 90.0:
        raise MeasurementError(f"latitude {latitude_deg:g}°: needed is -90 to 90 degrees, south negative")
    if longitude_deg is not None and not -180.0 <= longitude_deg <= 180.0:
        raise MeasurementError(f"longitude {longitude_deg:g}°: needed is -180 to 180 degrees, west negative")


def _check_typed(extreme: TypedExtreme) -> None:
    possible = vocabulary()["possible"]
    if not possible["lowest_c"] <= extreme.mean_c <= possible["highest_c"]:
        raise MeasurementError(
            f"mean air temperature {extreme.mean_c:g} °C: no air was ever like that; is it in °F, "
            "or the temperature of the pavement?"
        )
    if not 0.0 <= extreme.sd_c <= 15.0:
        raise MeasurementError(
            f"standard deviation {extreme.sd_c:g} °C: needed is 0 to 15 °C, of the yearly air temperature"
        )


def _extreme(years: Sequence[ClimateYear], end: str) -> YearlyExtreme | None:
    counted = [y for y in years if (y.high_counts if end == "high" else y.low_counts)]
    if not counted:
        return None
    values = [y.high_c if end == "high" else y.low_c for y in counted]
    return summarise_extreme([float(y.label[:4]) for y in counted], np.array(values, dtype=float))


def chosen_station(stations: Sequence[DailyWeather], wanted: str, path: str) -> DailyWeather:
    """Give the station asked for; the only one where none was.

    Parameters
    ----------
    stations : sequence of DailyWeather
        Of one file.
    wanted, path : str
        Name asked for; file named in a refusal.

    Returns
    -------
    DailyWeather
        One station.

    Raises
    ------
    InputError
        Where there are several and none was asked for, or no such one; lists them.
    """
    if not wanted:
        if len(stations) == 1:
            return stations[0]
        names = ", ".join(one.site for one in stations[:20])
        raise InputError(f"{path}: the file holds {len(stations)} stations ({names}); which one? (--station)")
    folded = wanted.casefold()
    found = [one for one in stations if one.site.casefold() == folded]
    if not found:
        names = ", ".join(one.site or "(without name)" for one in stations[:20])
        raise InputError(f"{path}: no station '{wanted}'; the file holds: {names}")
    return found[0]
