"""Climate, pavement temperature, reliability and traffic against cited cases."""

import importlib
import tomllib
from dataclasses import asdict, is_dataclass
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from resile.compute.site.models import pavement_distribution
from resile.records.climate import Climate, YearlyExtreme

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


def computed(case: dict[str, Any]) -> Any:
    module, _, name = case["function"].rpartition(".")
    if name == "pavement_distribution":
        return distribution(**case["inputs"])
    given = getattr(importlib.import_module(module), name)(**case["inputs"])
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
