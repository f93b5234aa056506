"""Serving, value of a test and sets of products against cited cases."""

import importlib
import tomllib
from dataclasses import asdict
from pathlib import Path
from typing import Any

import numpy as np
import pytest

FILE = Path(__file__).resolve().parents[2] / "published" / "choice.toml"
CASES = tomllib.loads(FILE.read_text(encoding="utf-8"))["case"]


def computed(case: dict[str, Any]) -> Any:
    module, _, name = case["function"].rpartition(".")
    inputs = {
        key: [float(one) for one in value] if key == "single" else value
        for key, value in case["inputs"].items()
    }
    given = getattr(importlib.import_module(module), name)(**inputs)
    if name in ("serving_probability", "ranking_by_cost"):
        return given[0]
    if name == "choice_of_sites":
        return np.concatenate([ranked for _, ranked in given])
    if name == "outcomes_of_test":
        return np.column_stack([given[0], given[1]])[::1]
    return given


@pytest.mark.parametrize("case", CASES, ids=[c["name"] for c in CASES])
def test_a_cited_case_comes_out_as_worked(case: dict[str, Any]) -> None:
    given, expected = computed(case), case["expected"]
    if isinstance(expected, dict):
        named = asdict(given)
        given, expected = [named[key] for key in expected], list(expected.values())
    np.testing.assert_allclose(np.asarray(given, dtype=float), expected, rtol=0.0, atol=case["tolerance"])
