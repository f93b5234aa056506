import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from resile.compute.statistics.uncertainty.draws import SHAPES, coverage_interval, draw_inputs
from resile.compute.statistics.uncertainty.propagation import (
    linear_method_holds,
    propagate_linear,
    simulate_propagation,
)
from resile.errors import MeasurementError
from resile.records.propagation import InputQuantity

SMALL = st.floats(0.01, 2.0)


def two(u1: float = 0.1, u2: float = 0.2) -> tuple[InputQuantity, InputQuantity]:
    return InputQuantity("a", 3.0, u1), InputQuantity("b", 4.0, u2)


@given(SMALL, SMALL, st.floats(-1.0, 1.0))
def test_a_sum_of_correlated_inputs_follows_the_cosine_rule(u1: float, u2: float, r: float) -> None:
    found = propagate_linear(lambda a, b: a + b, two(u1, u2), correlation=[[1, r], [r, 1]])
    assert found.standards[0] == pytest.approx(np.sqrt(max(u1**2 + u2**2 + 2 * r * u1 * u2, 0.0)), abs=1e-6)


@given(SMALL, SMALL, st.floats(0.1, 10.0))
def test_uncertainty_goes_with_the_unit(u1: float, u2: float, factor: float) -> None:
    one = propagate_linear(lambda a, b: a * b, two(u1, u2))
    other = propagate_linear(lambda a, b: factor * a * b, two(u1, u2))
    assert other.standards[0] == pytest.approx(factor * one.standards[0], rel=1e-6)


def test_an_exact_input_adds_nothing() -> None:
    found = propagate_linear(lambda a, b: a * b, two(0.0, 0.2))
    assert found.standards[0] == pytest.approx(0.6)
    assert found.sensitivities[0] == pytest.approx((4.0, 3.0))


def test_degrees_of_freedom_of_equal_parts_add_up() -> None:
    # Constructed: two equal contributions of nu each give 2 nu (Welch-Satterthwaite).
    inputs = [InputQuantity(name, 1.0, 0.1, degrees_of_freedom=9.0) for name in "ab"]
    assert propagate_linear(lambda a, b: a + b, inputs).degrees_of_freedom[0] == pytest.approx(18.0)


def test_correlated_inputs_have_no_effective_degrees_of_freedom() -> None:
    inputs = [InputQuantity(name, 1.0, 0.1, degrees_of_freedom=9.0) for name in "ab"]
    found = propagate_linear(lambda a, b: a + b, inputs, correlation=[[1, 0.5], [0.5, 1]])
    assert found.degrees_of_freedom == (None,)


@pytest.mark.parametrize("shape", [shape for shape in SHAPES if shape != "log-normal"])
def test_every_shape_has_the_mean_and_the_standard_deviation_asked_for(shape: str) -> None:
    quantity = InputQuantity("x", 5.0, 0.3, shape, degrees_of_freedom=12.0)
    (row,) = draw_inputs([quantity], rng=np.random.default_rng(3), draws=200_000)
    assert row.mean() == pytest.approx(5.0, abs=0.003)
    assert row.std() == pytest.approx(0.3, abs=0.003)


@settings(deadline=None, max_examples=10)
@given(st.floats(-0.95, 0.95), st.integers(0, 99))
def test_drawn_normal_inputs_have_the_correlation_asked_for(r: float, seed: int) -> None:
    rows = draw_inputs(two(), rng=np.random.default_rng(seed), draws=20_000, correlation=[[1, r], [r, 1]])
    assert np.corrcoef(rows)[0, 1] == pytest.approx(r, abs=0.04)


def test_one_generator_state_gives_one_answer() -> None:
    answers = {
        simulate_propagation(lambda a, b: a * b, two(), rng=np.random.default_rng(5), draws=2000)
        for _ in range(2)
    }
    assert len(answers) == 1


def test_the_shortest_interval_of_a_skewed_output_is_shorter() -> None:
    inputs = [InputQuantity("x", 1.0, 0.8, "log-normal")]
    widths = [
        found.upper - found.lower
        for kind in ("symmetric", "shortest")
        for found in simulate_propagation(
            lambda x: x, inputs, rng=np.random.default_rng(5), draws=50_000, interval=kind
        )
    ]
    assert widths[1] < 0.95 * widths[0]


@given(st.lists(st.floats(-5, 5), min_size=50, max_size=200), st.sampled_from(["symmetric", "shortest"]))
def test_an_interval_holds_its_share(values: list[float], kind: str) -> None:
    low, high = coverage_interval(values, probability=0.8, interval=kind)
    inside = np.mean((np.array(values) >= low) & (np.array(values) <= high))
    assert inside >= 0.8 - 2 / len(values)


def test_a_straight_function_of_normal_inputs_needs_no_simulation() -> None:
    linear = propagate_linear(lambda a, b: 2 * a - b, two())
    (drawn,) = simulate_propagation(lambda a, b: 2 * a - b, two(), rng=np.random.default_rng(9))
    assert linear_method_holds(linear.values[0], linear.standards[0], drawn)


def test_a_function_that_does_not_take_arrays_is_refused() -> None:
    with pytest.raises(MeasurementError, match="must work on arrays"):
        propagate_linear(lambda a, b: 1.0, two())


def test_a_function_without_a_finite_value_is_refused() -> None:
    with pytest.raises(MeasurementError, match="no finite number"):
        propagate_linear(lambda a, b: np.where(a > 0, np.nan, b), two())


@pytest.mark.parametrize(
    ("matrix", "words"),
    [
        ([[1, 2], [2, 1]], "between -1 and 1"),
        ([[1, 0.5], [0.4, 1]], "symmetric"),
        ([[1]], "2 by 2"),
    ],
)
def test_a_matrix_that_is_no_correlation_is_refused(matrix: list[list[float]], words: str) -> None:
    with pytest.raises(MeasurementError, match=words):
        propagate_linear(lambda a, b: a + b, two(), correlation=matrix)


def test_correlations_that_cannot_hold_at_once_are_refused() -> None:
    inputs = [InputQuantity(name, 1.0, 0.1) for name in "abc"]
    with pytest.raises(MeasurementError, match="cannot hold at once"):
        propagate_linear(
            lambda a, b, c: a + b + c, inputs, correlation=[[1, 0.9, 0.9], [0.9, 1, -0.9], [0.9, -0.9, 1]]
        )


def test_students_t_needs_degrees_of_freedom() -> None:
    with pytest.raises(MeasurementError, match="over two degrees of freedom"):
        draw_inputs([InputQuantity("x", 1, 1, "student")], rng=np.random.default_rng(0), draws=10)
