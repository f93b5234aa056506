"""Lines of recovery against temperature: cited cases and laws."""

import math
import tomllib
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from resile.compute.rheology.temperature.recovery_line import (
    fit_recovery_line,
    predict_recovery,
    recovery_logit,
    recovery_probability,
)
from resile.errors import MeasurementError
from resile.records.recovery_line import RecoveryLine

FILE = Path(__file__).resolve().parents[3] / "published" / "recovery_line.toml"
CASES = tomllib.loads(FILE.read_text(encoding="utf-8"))["case"]


def line_of(inputs: Mapping[str, Any]) -> RecoveryLine:
    return fit_recovery_line(
        inputs["temperatures_c"], inputs["percent_recovery"], variation_percent=inputs["variation_percent"]
    )


def predicted(inputs: Mapping[str, Any]) -> Any:
    return predict_recovery(line_of(inputs), inputs["temperature_c"])


ADAPTERS: dict[str, Callable[[Mapping[str, Any]], Any]] = {
    "recovery_logit": lambda i: recovery_logit(i["percent_recovery"]),
    "fit_recovery_line": line_of,
    "predict_recovery": predicted,
    "recovery_probability": lambda i: recovery_probability(predicted(i), i["limit"], bound=i["bound"]),
}


@pytest.mark.parametrize("case", CASES, ids=[case["name"] for case in CASES])
def test_a_cited_case_comes_out_as_printed(case: dict[str, Any]) -> None:
    found, expected = ADAPTERS[case["function"].rpartition(".")[2]](case["inputs"]), case["expected"]
    if isinstance(expected, dict):
        found, expected = [getattr(found, name) for name in expected], list(expected.values())
    np.testing.assert_allclose(found, expected, rtol=0.0, atol=case["tolerance"])


@given(
    st.lists(st.tuples(st.floats(46.0, 82.0), st.floats(-5.0, 105.0)), min_size=2, max_size=6),
    st.floats(30.0, 100.0),
)
def test_a_predicted_recovery_and_its_band_stay_between_nothing_and_all(
    points: list[tuple[float, float]], asked: float
) -> None:
    temperatures = [temperature for temperature, _ in points]
    if max(temperatures) - min(temperatures) < 1.0:
        return
    found = predict_recovery(
        fit_recovery_line(temperatures, [r for _, r in points], variation_percent=3.0), asked
    )
    assert 0.0 <= found.low <= found.percent_recovery <= found.high <= 100.0


@given(st.floats(0.0, 20.0), st.floats(0.1, 10.0))
def test_the_weight_of_a_line_only_falls_away_from_its_middle(near: float, further: float) -> None:
    line = fit_recovery_line([58.0, 64.0], [75.0, 25.0], variation_percent=1.0)
    first, second = (predict_recovery(line, line.middle_c + d) for d in (near, near + further))
    assert second.standard_logit > first.standard_logit


def test_a_recovery_of_about_nothing_says_little_of_the_slope() -> None:
    told = fit_recovery_line([52.0, 58.0], [40.0, 25.0], variation_percent=3.0)
    with_nothing = fit_recovery_line([52.0, 58.0, 64.0], [40.0, 25.0, 0.0], variation_percent=3.0)
    assert with_nothing.slope_per_c == pytest.approx(told.slope_per_c, rel=0.2)


@given(st.floats(1.0, 99.0), st.floats(0.0, 50.0))
def test_a_milder_limit_is_never_less_probable(limit: float, milder: float) -> None:
    found = predict_recovery(fit_recovery_line([58.0, 64.0], [75.0, 25.0], variation_percent=3.0), 61.0)
    strict, mild = (
        recovery_probability(found, end, bound="minimum") for end in (limit, max(limit - milder, 0.0))
    )
    assert mild >= strict


def test_the_line_is_that_of_weighted_least_squares_in_a_reference_library() -> None:
    temperatures, recovery = np.array([52.0, 58.0, 64.0, 70.0]), np.array([80.0, 66.0, 41.0, 22.0])
    line = fit_recovery_line(temperatures, recovery, variation_percent=3.0)
    deviation = np.maximum(0.03 * recovery, 1.0) * 100.0 / (recovery * (100.0 - recovery))
    slope, intercept = np.polyfit(temperatures, recovery_logit(recovery), 1, w=1.0 / deviation)
    assert line.slope_per_c == pytest.approx(slope)
    assert line.level - line.slope_per_c * line.middle_c == pytest.approx(intercept)
    design = np.column_stack([temperatures, np.ones(4)]) / deviation[:, None]
    assert math.sqrt(line.covariance[2]) == pytest.approx(math.sqrt(np.linalg.inv(design.T @ design)[0, 0]))


@pytest.mark.parametrize(
    ("temperatures", "recovery", "variation", "words"),
    [
        ([58.0, 58.0], [20.0, 22.0], 3.0, "two different temperatures"),
        ([58.0, 64.0], [20.0], 3.0, "as many recoveries"),
        ([58.0, 64.0], [20.0, math.nan], 3.0, "finite"),
        ([58.0, 64.0], [20.0, 10.0], 0.0, "above zero"),
    ],
)
def test_what_cannot_carry_a_line_is_refused_with_the_reason(
    temperatures: list[float], recovery: list[float], variation: float, words: str
) -> None:
    with pytest.raises(MeasurementError, match=words):
        fit_recovery_line(temperatures, recovery, variation_percent=variation)
