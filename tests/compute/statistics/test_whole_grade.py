import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from resile.compute.statistics.probability.conformity import conformity_probability
from resile.compute.statistics.probability.whole_grade import (
    all_below_probability,
    joint_bounds,
    whole_grade_probability,
)
from resile.errors import MeasurementError
from resile.records.whole_grade import WholeGradeProbability

# Invented binder: original and short-term G*/sin d, long-term G* sin d, S, m against the limits of M 320.
VALUES = (1.10, 2.30, 4700.0, 280.0, 0.310)
LIMITS = (1.00, 2.20, 5000.0, 300.0, 0.300)
STANDARDS = (0.05, 0.12, 300.0, 12.0, 0.005)
BOUNDS = ("minimum", "minimum", "maximum", "maximum", "minimum")
SHARES = st.lists(st.floats(0.0, 1.0), min_size=1, max_size=8)


def whole(correlation: object, seed: int = 1, draws: int = 20_000) -> WholeGradeProbability:
    return whole_grade_probability(
        VALUES,
        LIMITS,
        STANDARDS,
        bounds=BOUNDS,
        correlation=correlation,  # type: ignore[arg-type]
        rng=np.random.default_rng(seed),
        draws=draws,
    )


def equal(r: float, count: int = 5) -> np.ndarray:
    return r * np.ones((count, count)) + (1.0 - r) * np.eye(count)


@given(SHARES)
def test_the_product_lies_between_the_bounds(shares: list[float]) -> None:
    low, high = joint_bounds(shares)
    assert low - 1e-12 <= np.prod(shares) <= high + 1e-12


def test_without_a_stated_correlation_there_are_bounds_and_no_number() -> None:
    found = whole(None)
    assert found.probability is None
    assert found.basis == "bounds only"
    assert found.lowest < found.if_independent < found.highest
    assert found.weakest == int(np.argmin(found.each))


def test_independent_errors_give_the_product_exactly_and_need_no_draws() -> None:
    found = whole_grade_probability(VALUES, LIMITS, STANDARDS, bounds=BOUNDS, correlation=np.eye(5))
    alone = [
        float(conformity_probability(x, limit, u, bound=bound))
        for x, limit, u, bound in zip(VALUES, LIMITS, STANDARDS, BOUNDS, strict=True)
    ]
    assert found.each == pytest.approx(tuple(alone), abs=1e-12)
    assert found.probability == pytest.approx(float(np.prod(alone)), abs=1e-12)
    assert (found.basis, found.standard_error, found.draws) == ("product", None, None)


@settings(deadline=None, max_examples=20)
@given(st.floats(-0.24, 1.0), st.integers(0, 99))
def test_a_correlated_probability_lies_within_the_bounds(r: float, seed: int) -> None:
    found = whole(equal(r), seed, draws=2000)
    assert found.probability is not None
    assert found.lowest <= found.probability <= found.highest


def test_requirements_of_one_kind_gain_from_a_shared_error() -> None:
    # Slepian 1962: with all bounds of one kind the probability rises with the correlation.
    found = [
        whole_grade_probability(
            [1.05] * 4,
            [1.0] * 4,
            [0.05] * 4,
            bounds=["minimum"] * 4,
            correlation=equal(r, 4),
            rng=np.random.default_rng(2),
        ).probability
        for r in (0.0, 0.3, 0.6, 0.9)
    ]
    assert found == sorted(found)


def test_a_shared_error_sets_a_minimum_against_a_maximum() -> None:
    # Two limits on either side of one quantity: P = Phi(1) - Phi(-1), less than the product.
    found = whole_grade_probability(
        [0.0, 0.0],
        [-1.0, 1.0],
        [1.0, 1.0],
        bounds=["minimum", "maximum"],
        correlation=equal(1.0, 2),
        rng=np.random.default_rng(4),
        draws=200_000,
    )
    assert found.probability == pytest.approx(0.6826895, abs=0.004)
    assert found.probability == pytest.approx(found.lowest, abs=0.004)  # the lower bound is reached


def test_one_quantity_named_twice_counts_once() -> None:
    found = whole_grade_probability(
        [1.05, 1.05],
        [1.0, 1.0],
        [0.05, 0.05],
        bounds=["minimum", "minimum"],
        correlation=equal(1.0, 2),
        rng=np.random.default_rng(4),
    )
    assert found.probability == pytest.approx(0.8413447, abs=0.005)


@settings(deadline=None, max_examples=15)
@given(st.floats(-0.9, 0.9), st.floats(-2.0, 3.0), st.floats(-2.0, 3.0))
def test_two_variables_agree_with_the_bivariate_normal(r: float, a: float, b: float) -> None:
    from scipy.stats import multivariate_normal

    expected = float(multivariate_normal.cdf([a, b], cov=[[1, r], [r, 1]]))
    found, error = all_below_probability([a, b], [[1, r], [r, 1]], rng=np.random.default_rng(8), draws=20_000)
    assert found == pytest.approx(expected, abs=6.0 * error + 1e-6)


def test_a_doubt_lowers_the_probability_of_what_passes() -> None:
    wide = whole_grade_probability(
        VALUES, LIMITS, [2 * u for u in STANDARDS], bounds=BOUNDS, correlation=np.eye(5)
    )
    assert wide.probability is not None
    assert wide.probability < whole(None).if_independent


def test_a_correlation_without_a_generator_is_refused() -> None:
    with pytest.raises(MeasurementError, match="random generator"):
        whole_grade_probability(VALUES, LIMITS, STANDARDS, bounds=BOUNDS, correlation=equal(0.5))


def test_unequal_numbers_are_refused() -> None:
    with pytest.raises(MeasurementError, match="one value, limit, uncertainty and bound"):
        whole_grade_probability(VALUES, LIMITS[:4], STANDARDS, bounds=BOUNDS)
