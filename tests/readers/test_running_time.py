"""Restarts, disorder and repeats of time are told apart."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from resile.readers.signals.running_time import find_restarts, make_running

STEP = np.round(np.arange(1, 11) * 0.1, 10)
REST = np.round(np.arange(1, 91) * 0.1, 10)


def test_steps_of_one_and_nine_seconds_become_one_running_time():
    running = make_running(np.concatenate([STEP, REST, STEP, REST]))
    np.testing.assert_allclose(running.time_s, np.arange(1, 201) * 0.1, atol=1e-12)
    assert running.starts == (10, 100, 110)


def test_a_step_that_ends_just_short_is_given_the_length_of_the_programme():
    short = np.append(STEP[:-1], 0.98)
    running = make_running(np.concatenate([short, REST]))
    assert running.time_s[10] == pytest.approx(1.1)
    assert any("programme" in remark for remark in running.remarks)


def test_a_step_of_another_length_keeps_its_own():
    running = make_running(np.array([1.0, 2.0, 4.5, 0.5, 1.0]))
    assert running.time_s.tolist() == [1.0, 2.0, 4.5, 5.0, 5.5]


def test_a_swapped_pair_is_put_in_order_and_is_no_restart():
    time = np.array([0.1, 0.3, 0.2, 0.4, 0.5])
    assert len(find_restarts(time)) == 0
    running = make_running(time)
    assert running.order.tolist() == [0, 2, 1, 3, 4]
    assert "2 points were out of order" in running.remarks[0]


def test_two_points_at_a_switch_stay_in_file_order_and_an_exact_repeat_is_dropped():
    time = np.array([0.9, 1.0, 1.0, 1.1, 1.1])
    rows = np.column_stack([time, [0.1, 0.1, 0.0, 0.0, 0.0]])
    running = make_running(time, rows)
    assert running.order.tolist() == [0, 1, 2, 3]
    assert running.repeated == 1


@given(st.permutations(range(40)))
def test_any_order_of_rows_gives_back_the_rising_one(order):
    time = 3.0 + np.arange(40) * 0.7
    shuffled = time[np.array(order)]
    running = make_running(shuffled)
    if not len(find_restarts(shuffled)):
        np.testing.assert_array_equal(running.time_s, time)
    assert len(running.time_s) == 40
    assert (np.diff(running.time_s) >= 0).all()
