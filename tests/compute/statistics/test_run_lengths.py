"""Drawn charts run as long as theory says; long draws by night."""

import numpy as np
import pytest

from resile.compute.statistics.control.cumulative_sum import cumulative_sum_run_length, cumulative_sums
from resile.compute.statistics.control.joint import (
    joint_distances,
    joint_level,
    joint_set_up_limit,
    joint_watched_limit,
)
from resile.compute.statistics.control.rule_run_length import rule_run_length, simulated_run_length
from resile.compute.statistics.control.set_up import level_from_moving_ranges
from resile.compute.statistics.control.weighted_average import (
    weighted_average_limits,
    weighted_average_run_length,
    weighted_averages,
)
from resile.specifications.control import list_run_rules

SETS = [s for s in list_run_rules() if all(r.kind not in ("trend", "alternating") for r in s.rules)]


def first_signals(beyond: list[np.ndarray]) -> np.ndarray:
    return np.array([int(np.argmax(one)) + 1 for one in beyond if one.any()])


@pytest.mark.parametrize("rules", SETS, ids=lambda rules: rules.identifier)
@pytest.mark.parametrize("shift", [0.0, 1.0])
def test_drawn_charts_run_as_long_as_the_chain_of_states_says(rules, shift: float) -> None:
    drawn = simulated_run_length(rules.rules, seed=3, shift=shift, charts=1500)
    exact = rule_run_length(rules.rules, shift=shift)
    assert abs(drawn.mean - exact) < 4.0 * drawn.standard_error


def test_a_larger_shift_is_found_sooner_and_its_side_does_not_matter() -> None:
    lengths = [cumulative_sum_run_length(slack=0.5, interval=5.0, shift=s) for s in (0.0, 0.5, 1.0, 2.0)]
    assert lengths == sorted(lengths, reverse=True)
    for shift in (0.5, 1.5):
        up, down = (
            weighted_average_run_length(weight=0.2, width=2.9, shift=s, growing=True) for s in (shift, -shift)
        )
        assert up == pytest.approx(down, rel=1e-9)


@pytest.mark.parametrize("shift", [1.0, pytest.param(0.0, marks=pytest.mark.nightly)])
def test_drawn_averages_and_sums_run_as_long_as_their_equations_say(shift: float) -> None:
    draws, charts, points = np.random.default_rng(5), 400 if shift else 1500, 200 if shift else 4000
    halves = weighted_average_limits(points, weight=0.2, width=2.86)
    averages, sums = [], []
    for _ in range(charts):
        x = draws.standard_normal(points) + shift
        averages.append(np.abs(weighted_averages(x, weight=0.2, start=0.0)) > halves)
        both = cumulative_sums(x, target=0.0, slack=0.5, head_start=2.0)
        sums.append((both.upper > 4.77) | (both.lower > 4.77))
    for found, exact in (
        (averages, weighted_average_run_length(weight=0.2, width=2.86, shift=shift, growing=True)),
        (sums, cumulative_sum_run_length(slack=0.5, interval=4.77, shift=shift, head_start=2.0)),
    ):
        lengths = first_signals(found)
        assert len(lengths) > 0.99 * charts
        assert abs(lengths.mean() - exact) < 4.0 * lengths.std() / np.sqrt(len(lengths))


def test_joint_limits_hold_their_chance_in_the_set_up_and_after_it() -> None:
    draws, beyond = np.random.default_rng(6), np.zeros(2)
    mix = np.array([[1.0, 0.8, 0.0], [0.0, 0.6, 0.5], [0.0, 0.0, 1.0]])
    for _ in range(400):
        set_up, later = (draws.standard_normal((n, 3)) @ mix for n in (20, 20))
        level = joint_level(set_up)
        for place, (values, limit) in enumerate(
            (
                (set_up, joint_set_up_limit(count=20, properties=3, false_alarm=0.05)),
                (later, joint_watched_limit(count=20, properties=3, false_alarm=0.05)),
            )
        ):
            beyond[place] += np.count_nonzero(joint_distances(values, level=level) > limit)
    assert beyond / 8000 == pytest.approx([0.05, 0.05], abs=0.01)


def test_the_standard_error_of_a_scatter_from_moving_ranges_is_that_of_drawn_series() -> None:
    draws = np.random.default_rng(7).standard_normal((3000, 25))
    levels = [level_from_moving_ranges(row) for row in draws]
    found = np.std([level.standard_deviation for level in levels])
    assert found == pytest.approx(levels[0].relative_error, rel=0.06)
    assert np.mean([level.standard_deviation for level in levels]) == pytest.approx(1.0, abs=0.02)
