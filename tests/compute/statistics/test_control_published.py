"""Cited cases of control charts."""

import dataclasses
import importlib
import tomllib
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from resile.compute.statistics.control.set_up import SetUpLevel

PUBLISHED = Path(__file__).resolve().parents[2] / "published" / "control_charts.toml"
CASES = tomllib.loads(PUBLISHED.read_text(encoding="utf-8"))["case"]


def arguments(inputs: dict[str, Any]) -> dict[str, Any]:
    return {name: SetUpLevel(**value) if name == "level" else value for name, value in inputs.items()}


@pytest.mark.parametrize("case", CASES, ids=lambda case: case["name"])
def test_a_cited_case_comes_out_as_printed(case: dict[str, Any]) -> None:
    module, _, name = case["function"].rpartition(".")
    found = getattr(importlib.import_module(module), name)(**arguments(case["inputs"]))
    expected = case["expected"]
    if isinstance(expected, dict):
        found = dataclasses.asdict(found)
        found, expected = [found[key] for key in expected], list(expected.values())
    np.testing.assert_allclose(
        np.asarray(found, dtype=float), expected, rtol=0, atol=case["tolerance"], equal_nan=True
    )
