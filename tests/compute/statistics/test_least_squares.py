"""The fitting core against certified problems, closed forms and its own refusals."""

import tomllib
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from compute.statistics.nist_nonlinear import MODELS, read_problem
from resile.compute.statistics.fits.least_squares import (
    confidence_bounds,
    corrected_information,
    fit_least_squares,
)
from resile.errors import InputError
from resile.records.fit import LeastSquaresFit

PUBLISHED = Path(__file__).resolve().parents[2] / "published" / "least_squares.toml"
CASES = tomllib.loads(PUBLISHED.read_text(encoding="utf-8"))["case"]
# The certified residual sum of Lanczos1 is 1.4e-25, the rounding of its data: its errors hold in size alone.
ROUNDING_ALONE = {"Lanczos1": 0.01}


def found(name: str, inputs: dict[str, Any]) -> Any:
    if name.endswith("fit_least_squares"):
        problem = read_problem(inputs["problem"])
        return fit_least_squares(problem.residuals, problem.starts[1]).values
    if name.endswith("confidence_bounds"):
        value, standard = inputs["value"], inputs["standard"]
        fit = LeastSquaresFit((value,), (standard,), ((1.0,),), 1.0, 1.0, inputs["degrees_of_freedom"])
        return np.ravel(confidence_bounds(fit))
    return corrected_information(**inputs)


@pytest.mark.parametrize("case", CASES, ids=lambda case: case["name"])
def test_a_cited_case_comes_out_as_printed(case: dict[str, Any]) -> None:
    np.testing.assert_allclose(
        found(case["function"], case["inputs"]), case["expected"], rtol=0, atol=case["tolerance"]
    )


@pytest.mark.parametrize("start", [0, 1])
@pytest.mark.parametrize("name", MODELS)
def test_a_reference_problem_gives_its_certified_results_from_either_start(name: str, start: int) -> None:
    problem = read_problem(name)
    fit = fit_least_squares(problem.residuals, problem.starts[start], jacobian=problem.jacobian)
    assert fit.converged
    np.testing.assert_allclose(fit.values, problem.values, rtol=1e-7)
    np.testing.assert_allclose(fit.standards, problem.standards, rtol=ROUNDING_ALONE.get(name, 1e-7))
    np.testing.assert_allclose(
        fit.residual_standard, problem.residual_standard, rtol=ROUNDING_ALONE.get(name, 1e-8)
    )


@pytest.mark.parametrize("name", ["BoxBOD", "MGH17", "Thurber", "Rat43"])
def test_derivatives_taken_numerically_come_to_the_same_results(name: str) -> None:
    problem = read_problem(name)
    fit = fit_least_squares(problem.residuals, problem.starts[0])
    np.testing.assert_allclose(fit.values, problem.values, rtol=1e-7)
    np.testing.assert_allclose(fit.standards, problem.standards, rtol=1e-6)


def test_the_best_of_several_starts_is_kept_and_the_agreeing_ones_are_counted() -> None:
    time = np.linspace(0.0, 3.0, 40)
    seen = np.sin(2.0 * time)
    fit = fit_least_squares(lambda b: np.sin(b[0] * time) - seen, [[1.9], [2.2], [9.0], [2.05]])
    assert fit.values[0] == pytest.approx(2.0, abs=1e-10)
    assert (fit.starts, fit.agreeing) == (4, 3)


def test_a_parameter_pushed_against_its_bound_is_named_and_has_no_standard_error() -> None:
    x = np.arange(6.0)
    seen = 1.0 - 2.0 * x
    fit = fit_least_squares(
        lambda b: b[0] + b[1] * x - seen, [1.0, 1.0], lower=[-10.0, -0.5], upper=[10.0, 5.0]
    )
    assert fit.at_bounds == (1,)
    assert fit.values[1] == -0.5
    # With the slope held at -0.5 the best level is the mean of what is left: 1 - 1.5 · 2.5.
    assert fit.values[0] == pytest.approx(1.0 - 1.5 * 2.5, abs=1e-9)
    assert np.isnan(fit.standards[1]) and fit.standards[0] > 0.0
    assert fit.degrees_of_freedom == 5


def test_a_straight_line_has_the_standard_errors_of_the_textbook() -> None:
    x = np.array([0.0, 1.0, 2.0, 3.0])
    y = np.array([1.0, 3.0, 2.0, 5.0])
    fit = fit_least_squares(lambda b: b[0] + b[1] * x - y, [0.0, 0.0])
    design = np.stack((np.ones(4), x), axis=1)
    sides = np.linalg.inv(design.T @ design)
    scatter = np.sum((y - design @ (sides @ design.T @ y)) ** 2) / 2
    np.testing.assert_allclose(fit.standards, np.sqrt(scatter * np.diag(sides)), rtol=1e-9)
    known = fit_least_squares(lambda b: b[0] + b[1] * x - y, [0.0, 0.0], known_scatter=True)
    np.testing.assert_allclose(known.standards, np.sqrt(np.diag(sides)), rtol=1e-9)


def test_a_parameter_the_data_say_nothing_about_is_infinitely_doubtful() -> None:
    x = np.arange(5.0)
    fit = fit_least_squares(lambda b: b[0] * x - 2.0 * x + 0.01 * np.cos(x) + 0.0 * b[1], [1.0, 3.0])
    assert fit.values[0] == pytest.approx(2.0, abs=0.01)
    assert fit.standards[1] == np.inf


@pytest.mark.parametrize(
    ("arguments", "sentence"),
    [
        ({"starts": [np.nan, 1.0]}, "rows of finite numbers"),
        ({"starts": []}, "rows of finite numbers"),
        ({"starts": [1.0, 1.0], "lower": [0.0, 3.0], "upper": [1.0, 2.0]}, "parameter 2: from 3 to 2"),
        ({"starts": [1.0] * 9}, "4 data for 9 parameters"),
        ({"starts": [-1.0]}, "gives no number at any of 1 starts"),
    ],
)
def test_what_cannot_be_fitted_is_refused_in_one_sentence(arguments: dict[str, Any], sentence: str) -> None:
    with pytest.raises(InputError, match=sentence):
        fit_least_squares(lambda b: np.sqrt(b[0]) * np.arange(4.0), **arguments)


def test_a_criterion_or_an_interval_without_meaning_is_refused() -> None:
    with pytest.raises(InputError, match="a sum above 0"):
        corrected_information(0.0, 10, 1)
    with pytest.raises(InputError, match="between 0 and 1"):
        confidence_bounds(LeastSquaresFit((1.0,), (1.0,), ((1.0,),), 1.0, 1.0, 3), probability=95.0)
    assert corrected_information(1.0, 4, 2) == np.inf
