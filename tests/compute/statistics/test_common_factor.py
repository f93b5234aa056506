"""One common factor against the general normal distribution of several variables and closed forms."""

import numpy as np
import pytest
from scipy.special import ndtr
from scipy.stats import multivariate_normal

from resile.compute.statistics.critical.limit_crossing import crossing_interval
from resile.compute.statistics.probability.common_factor import (
    common_factor_correlation,
    common_factor_probability,
)
from resile.compute.statistics.probability.whole_grade import probability_of_all
from resile.errors import MeasurementError


@pytest.mark.parametrize("seed", range(12))
def test_it_is_the_multivariate_normal_of_its_correlation(seed: int) -> None:
    drawn = np.random.default_rng(seed)
    count = int(drawn.integers(2, 7))
    loads, ends = drawn.uniform(-0.95, 0.95, count), drawn.normal(0.5, 1.2, count)
    matrix = common_factor_correlation(loads)
    general = multivariate_normal(np.zeros(count), matrix, abseps=1e-7, releps=1e-7, maxpts=400_000).cdf(ends)
    # the reference is itself drawn, to about 1e-6
    assert common_factor_probability(ends, loads) == pytest.approx(float(general), abs=5e-6)


def test_without_a_factor_it_is_the_product_and_wholly_common_the_weakest() -> None:
    each = [0.99, 0.9, 0.95]
    assert probability_of_all(each, loadings=[0.0, 0.0, 0.0]).probability == pytest.approx(0.99 * 0.9 * 0.95)
    assert probability_of_all(each, loadings=[1.0, 1.0, 1.0]).probability == pytest.approx(0.9, abs=1e-12)


def test_errors_that_run_against_each_other_reach_the_lower_bound() -> None:
    found = probability_of_all([0.9, 0.8], loadings=[1.0, -1.0])
    assert found.probability == pytest.approx(0.7, abs=1e-12)
    assert common_factor_probability([-1.0, 0.5], [1.0, -1.0]) == 0.0


@pytest.mark.parametrize("r", [0.3, 0.9, 0.9999, 1.0 - 1e-9])
def test_a_factor_near_one_keeps_its_digits(r: float) -> None:
    quadrant = 0.25 + np.arcsin(r) / (2.0 * np.pi)  # Sheppard 1899
    assert common_factor_probability([0.0, 0.0], [r**0.5, r**0.5]) == pytest.approx(quadrant, abs=1e-10)


def test_a_certain_and_an_impossible_requirement_are_taken_as_such() -> None:
    assert common_factor_probability([np.inf, 1.0], [0.5, 0.5]) == pytest.approx(float(ndtr(1.0)), abs=1e-12)
    assert probability_of_all([1.0, 0.0], loadings=[0.7, 0.7]).probability == 0.0


def test_with_a_requirement_missing_there_is_no_probability_of_the_whole() -> None:
    found = probability_of_all([0.9, 0.8], loadings=[0.7, 0.7], missing=("flash_point_minimum",))
    assert (found.whole, found.probability) == (False, None)
    assert found.probability_of_known is not None


def test_a_loading_beyond_one_is_refused() -> None:
    with pytest.raises(MeasurementError, match="between -1 and 1"):
        common_factor_probability([0.0], [1.1])


@pytest.mark.parametrize("r", [0.0, 0.8])
def test_the_closed_interval_of_a_crossing_is_the_one_that_drawing_finds(r: float) -> None:
    drawn = np.random.default_rng(7)
    u = np.array([0.06, 0.09])
    errors = drawn.multivariate_normal([0.0, 0.0], np.outer(u, u) * [[1.0, r], [r, 1.0]], 400_000).T
    y1, y2 = 0.2 + errors[0], -0.5 + errors[1]
    at = 6.0 * (0.0 - y1) / (y2 - y1)
    found = crossing_interval(0.0, 6.0, 0.2, -0.5, 0.0, 0.06, 0.09, correlation=r)
    np.testing.assert_allclose(found, np.quantile(at, [0.025, 0.975]), atol=0.02)


def test_a_slope_that_cannot_be_told_from_zero_has_no_interval() -> None:
    assert np.isnan(crossing_interval(0.0, 6.0, 0.01, -0.01, 0.0, 0.1, 0.1)).all()
