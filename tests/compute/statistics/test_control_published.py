"""Cited cases of control charts."""

import dataclasses
import importlib
import tomllib
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from resile.compute.statistics.control.changes import RampFits
from resile.compute.statistics.control.cumulative_sum import CumulativeSums
from resile.compute.statistics.control.joint import JointLevel
from resile.compute.statistics.control.set_up import SetUpLevel
from resile.records.control.run_rule import RunRule

PUBLISHED = Path(__file__).resolve().parents[2] / "published" / "control_charts.toml"
CASES = tomllib.loads(PUBLISHED.read_text(encoding="utf-8"))["case"]


def rule_of(table: dict[str, Any]) -> RunRule:
    return RunRule(name=table["kind"], sentence="", **table)


def level_of(table: dict[str, Any]) -> SetUpLevel | JointLevel:
    if "covariance" in table:
        return JointLevel(
            mean=np.array(table["mean"]), covariance=np.array(table["covariance"]), count=table["count"]
        )
    return SetUpLevel(**table)


MAKERS: dict[str, Any] = {
    **dict.fromkeys(("y", "first", "last"), np.array),
    "level": level_of,
    "rule": rule_of,
    "rules": lambda tables: [rule_of(table) for table in tables],
}


def named(found: Any) -> dict[str, Any]:
    names = found._asdict() if isinstance(found, RampFits) else dataclasses.asdict(found)
    if isinstance(
        found, CumulativeSums
    ):  # the handbook prints the last eight sums, and the largest lower one
        names |= {"upper_tail": found.upper[-8:], "lower_most": found.lower.max()}
    return names


@pytest.mark.parametrize("case", CASES, ids=lambda case: case["name"])
def test_a_cited_case_comes_out_as_printed(case: dict[str, Any]) -> None:
    module, _, name = case["function"].rpartition(".")
    inputs = {key: MAKERS.get(key, lambda value: value)(value) for key, value in case["inputs"].items()}
    found = getattr(importlib.import_module(module), name)(**inputs)
    expected = case["expected"]
    if isinstance(found, tuple) and all(isinstance(one, str) for one in found):
        assert list(found) == expected
        return
    if not isinstance(expected, dict):
        found, expected = {"": found}, {"": expected}
    else:
        found = named(found)
    for key, value in expected.items():
        np.testing.assert_allclose(
            np.asarray(found[key], dtype=float), value, rtol=0, atol=case["tolerance"], equal_nan=True
        )
