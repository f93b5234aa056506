"""Cited cases of capability, targets, cost of margin and quick tests."""

import dataclasses
import importlib
import tomllib
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from resile.records.control.surrogate import LeftOutLot, SurrogateModel, SurrogatePrediction
from resile.records.control.target import PricesOfMargin

PUBLISHED = Path(__file__).resolve().parents[2] / "published" / "capability.toml"
CASES = tomllib.loads(PUBLISHED.read_text(encoding="utf-8"))["case"]
MADE = {
    "prices": lambda value: PricesOfMargin(**value),
    "model": lambda value: SurrogateModel(**value),
    "prediction": lambda value: SurrogatePrediction(**value),
    "left": lambda value: [LeftOutLot(*row) for row in value],
}


def picked(found: Any, names: list[str]) -> list[Any]:
    """Give the fields a case asks for; of a row of records those of the first or the last."""
    row = list(found) if isinstance(found, tuple) else [found]
    return [getattr(row[-1 if name.startswith("last_") else 0], name.removeprefix("last_")) for name in names]


@pytest.mark.parametrize("case", CASES, ids=lambda case: case["name"])
def test_a_cited_case_comes_out_as_printed(case: dict[str, Any]) -> None:
    module, _, name = case["function"].rpartition(".")
    given = {key: MADE.get(key, lambda value: value)(value) for key, value in case["inputs"].items()}
    found = getattr(importlib.import_module(module), name)(**given)
    expected = case["expected"]
    pairs = [(found, expected)]
    if isinstance(expected, dict):
        assert dataclasses.is_dataclass(found) or isinstance(found, tuple)
        pairs = list(zip(picked(found, list(expected)), expected.values(), strict=True))
    for one, wanted in pairs:
        got, want = np.asarray(one, dtype=float), np.asarray(wanted, dtype=float)
        asked = ~np.isnan(want)  # a case says nothing of what it writes as nan
        np.testing.assert_allclose(got[asked], want[asked], rtol=0, atol=case["tolerance"])
