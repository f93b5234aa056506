"""Climate, pavement temperature, reliability and traffic against cited cases."""

import importlib
import tomllib
from dataclasses import asdict, is_dataclass
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from resile.compute.site.climate import summarise_extreme
from resile.compute.site.demand import end_demand, pavement_of_years
from resile.compute.site.models import pavement_distribution
from resile.compute.site.weather_quality import extreme_measures
from resile.records.climate import Climate, ClimateYear, YearlyExtreme
from resile.records.finding import Measure
from resile.records.site import EndDemand, PavementYear

FILE = Path(__file__).resolve().parents[2] / "published" / "site.toml"
CASES = tomllib.loads(FILE.read_text(encoding="utf-8"))["case"]


def distribution(*, high: list[float], low: list[float], latitude_deg: float, model: str) -> dict[str, float]:
    climate = Climate("a site", latitude_deg, YearlyExtreme(*high), YearlyExtreme(*low))
    hot = pavement_distribution(model, "high", climate, depth_mm=20.0)
    cold = pavement_distribution(model, "low", climate, depth_mm=0.0)
    return {
        "high_50": hot.mean_c,
        "high_98": hot.mean_c + 2 * hot.sd_c,
        "low_50": cold.mean_c,
        "low_98": cold.mean_c - 2 * cold.sd_c,
    }


def climate_from(
    high: list[float], low: list[float], latitude_deg: float, years: tuple[ClimateYear, ...] = ()
) -> Climate:
    return Climate("a site", latitude_deg, YearlyExtreme(*high), YearlyExtreme(*low), years)


def one_end(*, high: list[float], low: list[float], latitude_deg: float, **asked: Any) -> EndDemand:
    return end_demand(climate_from(high, low, latitude_deg), **asked)


def a_year(label: str, high_c: float, low_c: float, month: int = 7) -> ClimateYear:
    day = f"{label}-{month:02d}-10"
    return ClimateYear(label, 365, 365, 365, high_c, day, low_c, day, 3000.0, True, True)


def years_of_road(*, air_high_c: float, air_low_c: float, latitude_deg: float, model: str) -> PavementYear:
    years = (a_year("2001", air_high_c, air_low_c),)
    climate = climate_from([30.0, 2.0], [-10.0, 2.0], latitude_deg, years)
    ends = [
        end_demand(climate, model=model, end=end, depth_mm=0.0, reliability_percent=98.0, steps_c=[64.0])
        for end in ("high", "low")
    ]
    return pavement_of_years(climate, *ends)[0]


def measures_of_years(*, values_c: list[float], month: int, latitude_deg: float) -> tuple[Measure, ...]:
    years = [a_year(str(1990 + place), value, -10.0, month) for place, value in enumerate(values_c)]
    high = summarise_extreme([float(year.label) for year in years], values_c)
    return extreme_measures(years, high, None, latitude_deg)


ASSEMBLED: dict[str, Any] = {
    "pavement_distribution": distribution,
    "end_demand": one_end,
    "pavement_of_years": years_of_road,
    "extreme_measures": measures_of_years,
}
"""Functions that take records: a case gives the numbers they are made of."""


def computed(case: dict[str, Any]) -> Any:
    module, _, name = case["function"].rpartition(".")
    function = ASSEMBLED.get(name) or getattr(importlib.import_module(module), name)
    given = function(**case["inputs"])
    if isinstance(given, tuple) and given and isinstance(given[0], Measure):
        return {measure.name: measure.value for measure in given}
    return given[0] if name == "yearly_extremes" else given


@pytest.mark.parametrize(
    "case", CASES, ids=[f"{c['function'].rpartition('.')[2]}: {c['name']}" for c in CASES]
)
def test_a_cited_case_comes_out_as_printed(case: dict[str, Any]) -> None:
    given, expected = computed(case), case["expected"]
    if isinstance(expected, dict):
        named = asdict(given) if is_dataclass(given) and not isinstance(given, type) else given
        given, expected = [named[key] for key in expected], list(expected.values())
    np.testing.assert_allclose(np.asarray(given, dtype=float), expected, rtol=0.0, atol=case["tolerance"])
