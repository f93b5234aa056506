"""The lattice of ternary pictures, and lines of one level on it."""

import tomllib
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from resile.compute.blending.ternary import level_lines, ternary_lattice
from resile.errors import MeasurementError

FILE = Path(__file__).resolve().parents[2] / "published" / "ternary.toml"
CASES = tomllib.loads(FILE.read_text(encoding="utf-8"))["case"]


@pytest.mark.parametrize("case", CASES, ids=[case["name"] for case in CASES])
def test_the_cited_cases_are_met(case: dict[str, Any]) -> None:
    if case["function"].endswith("level_lines"):
        (found,) = level_lines(**case["inputs"])
    else:
        found = ternary_lattice(**case["inputs"])
    assert np.allclose(found, case["expected"], atol=case["tolerance"], rtol=0.0)


@pytest.mark.parametrize("divisions", [1, 7, 40])
def test_a_lattice_holds_every_blend_once(divisions: int) -> None:
    points = ternary_lattice(divisions)

    assert len(points) == (divisions + 1) * (divisions + 2) // 2
    assert np.allclose(points.sum(axis=1), 1.0)
    assert len(np.unique(points.round(9), axis=0)) == len(points)


def test_a_circle_is_one_closed_line_of_its_radius() -> None:
    centre = np.full(3, 1.0 / 3.0)
    distance = np.linalg.norm(ternary_lattice(60) - centre, axis=1)

    (line,) = level_lines(distance, 60, 0.2)

    assert np.allclose(line[0], line[-1])
    assert np.allclose(np.linalg.norm(line - centre, axis=1), 0.2, atol=2e-3)
    length = np.linalg.norm(np.diff(line, axis=0), axis=1).sum()
    assert length == pytest.approx(2.0 * np.pi * 0.2, rel=0.01)


def test_two_hills_give_two_lines_and_a_level_above_all_none() -> None:
    points = ternary_lattice(40)
    hills = sum(
        np.exp(-40.0 * np.sum((points - top) ** 2, axis=1)) for top in ([0.8, 0.1, 0.1], [0.1, 0.1, 0.8])
    )

    assert len(level_lines(hills, 40, 0.7)) == 2
    assert level_lines(hills, 40, 2.0) == []


def test_the_lines_turn_with_the_corners() -> None:
    points = ternary_lattice(20)
    field = points @ np.array([1.0, 2.0, 4.0]) + points[:, 0] * points[:, 1]
    turned = points[:, [1, 2, 0]]
    field_turned = turned @ np.array([1.0, 2.0, 4.0]) + turned[:, 0] * turned[:, 1]

    here = {tuple(p) for line in level_lines(field, 20, 2.2) for p in line.round(9)}
    there = {tuple(p[[1, 2, 0]]) for line in level_lines(field_turned, 20, 2.2) for p in line.round(9)}

    assert here == there


def test_missing_values_and_wrong_numbers_are_refused() -> None:
    with pytest.raises(MeasurementError, match="needed are 6 values"):
        level_lines([0.0, 1.0], 2, 0.5)
    with pytest.raises(MeasurementError, match="none of them missing"):
        level_lines([0.0, 0.0, float("nan"), 0.0, 0.0, 1.0], 2, 0.5)
    with pytest.raises(MeasurementError, match="1 to 1000"):
        ternary_lattice(0)
