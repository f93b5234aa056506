"""Cited cases of studies, robust means, scores, components and own precision."""

import importlib
import re
import tomllib
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import scipy.stats

from resile.compute.statistics.components.nested import nested_components
from resile.records.laboratories import RobustMean, VarianceComponents

PUBLISHED = Path(__file__).resolve().parents[2] / "published" / "interlaboratory.toml"
CASES = tomllib.loads(PUBLISHED.read_text(encoding="utf-8"))["case"]
NIST = Path(scipy.stats.__file__).parent / "tests" / "data" / "nist_anova"


def arranged(inputs: dict[str, Any]) -> dict[str, Any]:
    arrays = {"mean_squares", "freedom", "weights", "expected"}
    return {name: np.asarray(given) if name in arrays else given for name, given in inputs.items()}


def named(found: Any, name: str) -> Any:
    if isinstance(found, VarianceComponents) and name == "variances":
        return [one.variance for one in found.components]
    if isinstance(found, RobustMean) and name == "steps":
        return [number for step in found.steps[1:6] for number in (step.location, step.scale)]
    return getattr(found, name)


@pytest.mark.parametrize("case", CASES, ids=lambda case: case["name"])
def test_a_cited_case_comes_out_as_printed(case: dict[str, Any]) -> None:
    module, _, function = case["function"].rpartition(".")
    found = getattr(importlib.import_module(module), function)(**arranged(case["inputs"]))
    expected = case["expected"]
    if function == "estimates_from_mean_squares":
        found = found[0]
    if isinstance(expected, dict):
        found = [number for name in expected for number in np.ravel(named(found, name))]
        expected = [number for one in expected.values() for number in np.ravel(one)]
    np.testing.assert_allclose(np.asarray(found, dtype=float), expected, rtol=0, atol=case["tolerance"])


@pytest.mark.parametrize(
    ("name", "ratio"),
    [("AtmWtAg", 15.9467335677930), ("SiRstv", 1.18046237440255), ("SmLs03", 2001.0)],
)
def test_the_certified_analysis_of_variance_comes_out(name: str, ratio: float) -> None:
    # NIST StRD, analysis of variance, certified F; the data come with scipy's own tests.
    path = NIST / f"{name}.dat"
    if not path.exists():
        pytest.skip("scipy is installed without its test data")
    rows = [
        line.split()
        for line in path.read_text(encoding="utf-8").splitlines()[60:]
        if re.match(r"^\s*\d+\s+[\d.]+\s*$", line)
    ]
    found = nested_components([float(row[1]) for row in rows], [("group", [row[0] for row in rows])])
    assert found.lines[0].ratio == pytest.approx(ratio, rel=1e-9)
