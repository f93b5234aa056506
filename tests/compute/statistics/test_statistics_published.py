"""Cited cases of statistics and ageing."""

import importlib
import tomllib
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from resile.compute.ageing.long_term import reduce_long_term_ageing
from resile.compute.ageing.short_term import reduce_short_term_ageing
from resile.compute.statistics.fits.correlated_residuals import CorrelatedCovariance, fit_of_correlated_rows
from resile.compute.statistics.fits.least_squares import fit_least_squares
from resile.records.ageing import AgeingRecord, Bottle, LongTermAgeingRecord, Pan
from resile.records.uncertainty import UncertaintyBudget

PUBLISHED = Path(__file__).resolve().parents[2] / "published"
CASES = [
    case
    for topic in ("statistics", "ageing")
    for case in tomllib.loads((PUBLISHED / f"{topic}.toml").read_text(encoding="utf-8"))["case"]
]


def mean_mass_change(inputs: dict[str, Any]) -> float | None:
    bottles = tuple(
        Bottle(str(place), *masses)
        for place, masses in enumerate(
            zip(inputs["empty_g"], inputs["before_g"], inputs["after_g"], strict=True)
        )
    )
    return reduce_short_term_ageing(AgeingRecord("tank", "t240", bottles=bottles)).mass_change_percent


def films(inputs: dict[str, Any]) -> list[float | None]:
    pans = tuple(Pan(str(place), mass) for place, mass in enumerate(inputs["mass_g"]))
    record = LongTermAgeingRecord("tank", "r28", pans=pans, pan_diameter_mm=inputs["diameter_mm"])
    return [pan.film_mm for pan in reduce_long_term_ageing(record).pans]


def standard_of_a_mean(inputs: dict[str, Any]) -> list[float]:
    residuals = np.array(inputs["residuals"])
    found = fit_least_squares(lambda mean: mean[0] - residuals, [0.0])
    told = fit_of_correlated_rows(found, **inputs)
    return [told.standards[0], float(told.degrees_of_freedom)]


WHOLE_RECORDS = {
    "reduce_short_term_ageing": mean_mass_change,
    "reduce_long_term_ageing": films,
    "fit_of_correlated_rows": standard_of_a_mean,
}


@pytest.mark.parametrize("case", CASES, ids=lambda case: case["name"])
def test_a_cited_case_comes_out_as_printed(case: dict[str, Any]) -> None:
    module, _, name = case["function"].rpartition(".")
    if name in WHOLE_RECORDS:
        found: Any = WHOLE_RECORDS[name](case["inputs"])
    else:
        found = getattr(importlib.import_module(module), name)(**case["inputs"])
    if isinstance(found, UncertaintyBudget):
        found = found.relative_standard
    if isinstance(found, CorrelatedCovariance):
        found = [float(found.covariance[0, 0]) / found.scatter**2, found.effective_rows]
    np.testing.assert_allclose(
        np.asarray(found, dtype=float), case["expected"], rtol=0, atol=case["tolerance"]
    )
