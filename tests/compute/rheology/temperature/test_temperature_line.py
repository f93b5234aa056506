"""Lines of a property against temperature: cited cases and laws."""

import math
import tomllib
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from resile.compute.rheology.temperature.temperature_line import (
    fit_temperature_line,
    line_from_prior,
    meeting_probability,
    meeting_temperature,
    predict_value,
    scatter_about_line,
)
from resile.errors import MeasurementError
from resile.records.temperature_line import SlopePrior, TemperatureLine

FILE = Path(__file__).resolve().parents[3] / "published" / "temperature_line.toml"
CASES = tomllib.loads(FILE.read_text(encoding="utf-8"))["case"]


def line_of(inputs: Mapping[str, Any]) -> TemperatureLine:
    return fit_temperature_line(
        inputs["temperatures_c"], inputs["values"], standard_log=inputs.get("standard_log")
    )


def predicted(inputs: Mapping[str, Any]) -> Any:
    return predict_value(
        line_of(inputs),
        inputs["temperature_c"],
        temperature_standard_c=inputs.get("temperature_standard_c", 0.0),
    )


def known_beforehand(inputs: Mapping[str, Any]) -> TemperatureLine:
    prior = SlopePrior("any", inputs["slope"], inputs["slope_standard"], "given")
    return line_from_prior(
        inputs["temperature_c"], inputs["values"], prior, standard_log=inputs["standard_log"]
    )


ADAPTERS: dict[str, Callable[[Mapping[str, Any]], Any]] = {
    "fit_temperature_line": line_of,
    "line_from_prior": known_beforehand,
    "predict_value": predicted,
    "meeting_probability": lambda i: meeting_probability(predicted(i), i["limit"], bound=i["bound"]),
    "scatter_about_line": lambda i: scatter_about_line(line_of(i), i["temperatures_c"], i["values"]),
    "meeting_temperature": lambda i: meeting_temperature(line_of(i), i["limit"])[0],
}


@pytest.mark.parametrize("case", CASES, ids=[case["name"] for case in CASES])
def test_a_cited_case_comes_out_as_printed(case: dict[str, Any]) -> None:
    found, expected = ADAPTERS[case["function"].rpartition(".")[2]](case["inputs"]), case["expected"]
    if isinstance(expected, dict):
        found, expected = [getattr(found, name) for name in expected], list(expected.values())
    np.testing.assert_allclose(found, expected, rtol=0.0, atol=case["tolerance"])


@given(st.lists(st.floats(-0.3, 0.3), min_size=4, max_size=9))
def test_slope_and_its_deviation_are_those_of_a_reference_library(noise: list[float]) -> None:
    temperature = 52.0 + 3.0 * np.arange(len(noise))
    logs = 0.1 * (temperature - 60.0) + np.asarray(noise)
    line = fit_temperature_line(temperature, np.exp(logs))
    reference = stats.linregress(temperature, logs)
    assert line.slope_per_c == pytest.approx(reference.slope, abs=1e-9)
    # On a line without scatter the reference loses half its digits to a difference of two like numbers.
    assert math.sqrt(line.covariance[2]) == pytest.approx(reference.stderr, abs=1e-8)


@given(st.floats(0.0, 30.0), st.floats(0.1, 10.0))
def test_the_band_widens_with_the_way_from_the_tests(near: float, further: float) -> None:
    line = fit_temperature_line([58.0, 64.0], [1.0, 2.0], standard_log=0.06)
    first, second = (predict_value(line, 61.0 + d) for d in (near, near + further))
    assert second.standard_log > first.standard_log


def test_a_prior_is_honest_away_from_the_one_tested_temperature_and_kept_in_the_line() -> None:
    prior = SlopePrior("unmodified", math.log(2.0) / 6.0, 0.02, "a source")
    line = line_from_prior(58.0, [1.8], prior, standard_log=0.055)
    here, there = predict_value(line, 58.0), predict_value(line, 64.0)
    assert line.prior is prior
    assert there.value == pytest.approx(3.6)
    assert there.standard_log == pytest.approx(math.sqrt(here.standard_log**2 + (6 * 0.02) ** 2))
    assert there.extrapolated_c == 6.0


def test_student_makes_a_band_from_few_replicates_wider_than_a_stated_scatter_of_the_same_size() -> None:
    values = [1.0, 1.1, 2.0, 2.2]
    estimated = fit_temperature_line([58.0, 58.0, 64.0, 64.0], values)
    stated = fit_temperature_line([58.0, 58.0, 64.0, 64.0], values, standard_log=estimated.scatter)
    assert predict_value(estimated, 64.0).high > predict_value(stated, 64.0).high


@pytest.mark.parametrize(
    ("temperatures", "values", "words"),
    [
        ([58.0, 64.0], [1.0, 2.0], "show no scatter"),
        ([58.0, 58.0, 58.0], [1.0, 2.0, 1.5], "two different temperatures"),
        ([58.0, 64.0, 70.0], [1.0, 0.0, 2.0], "above zero"),
        ([], [], "as many values"),
    ],
)
def test_what_cannot_carry_a_line_is_refused_with_the_reason(
    temperatures: list[float], values: list[float], words: str
) -> None:
    with pytest.raises(MeasurementError, match=words):
        fit_temperature_line(temperatures, values)


def test_determinations_no_further_away_than_the_stated_scatter_are_no_surprise_and_others_are() -> None:
    temperatures, values = [52.0, 58.0, 64.0, 70.0], [0.5, 1.0, 2.0, 4.0]
    calm = fit_temperature_line(temperatures, values, standard_log=0.05)
    bent = [0.5, 1.3, 2.0, 4.0]
    wild = fit_temperature_line(temperatures, bent, standard_log=0.05)
    assert scatter_about_line(calm, temperatures, values)[2] == pytest.approx(1.0)
    assert scatter_about_line(wild, temperatures, bent)[2] < 0.01


@given(st.floats(0.02, 0.2), st.integers(1, 5))
def test_one_more_determination_never_widens_a_stated_band_at_the_middle(scatter: float, more: int) -> None:
    few = fit_temperature_line([58.0, 64.0], [1.0, 2.0], standard_log=scatter)
    many = fit_temperature_line([58.0, 64.0] * (1 + more), [1.0, 2.0] * (1 + more), standard_log=scatter)
    assert predict_value(many, 61.0).standard_log <= predict_value(few, 61.0).standard_log


@given(st.floats(0.2, 8.0), st.floats(1.0, 3.0))
def test_a_milder_limit_is_never_less_probable(limit: float, milder: float) -> None:
    predicted = predict_value(fit_temperature_line([58.0, 64.0], [1.0, 2.0], standard_log=0.06), 70.0)
    first, second = (meeting_probability(predicted, end, bound="maximum") for end in (limit, limit * milder))
    assert second >= first


@given(st.lists(st.floats(-0.2, 0.2), min_size=4, max_size=8), st.floats(40.0, 90.0))
def test_the_band_from_found_scatter_is_the_prediction_interval_of_a_reference_library(
    noise: list[float], asked: float
) -> None:
    temperature = 52.0 + 3.0 * np.arange(len(noise))
    logs = 0.1 * (temperature - 60.0) + np.asarray(noise)
    reference = stats.linregress(temperature, logs)
    residual = logs - reference.intercept - reference.slope * temperature
    if np.sum(residual**2) < 1e-8:
        return
    free = len(noise) - 2
    middle = temperature.mean()
    share = 1.0 + 1.0 / len(noise) + (asked - middle) ** 2 / np.sum((temperature - middle) ** 2)
    reach = stats.t(free).ppf(0.975) * math.sqrt(np.sum(residual**2) / free * share)
    expected = np.exp(reference.intercept + reference.slope * asked + np.array([-reach, reach]))
    found = predict_value(fit_temperature_line(temperature, np.exp(logs)), asked)
    np.testing.assert_allclose([found.low, found.high], expected, rtol=1e-6)
