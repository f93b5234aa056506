"""Several runs against the repeatability that is published for their test.

Limits are those of DNIT 423/2020-ME, Annex A, Table 1, as the statement file quotes it: Jnr0.1 above 1.00:
1s 4.6 %, d2s 12.8 %. The factor for three results, 3.3, is that of ASTM C670 (from memory, high).
"""

import pytest

from resile.judge.results.repeated_runs import judge_repeats
from resile.records.determination import Condition
from resile.specifications.load import load_all_precision

RESIDUE = Condition.SHORT_TERM_AGED


def test_two_runs_are_held_to_the_printed_difference_of_two_results() -> None:
    inside = judge_repeats([2.0, 2.24], "jnr_0.1", RESIDUE, load_all_precision())
    beyond = judge_repeats([2.0, 2.30], "jnr_0.1", RESIDUE, load_all_precision())
    assert inside.limit_percent == pytest.approx(12.8)
    assert inside.spread_percent == pytest.approx(100 * 0.24 / 2.12)
    assert (inside.within, beyond.within) == (True, False)


def test_three_runs_are_held_to_the_range_factor() -> None:
    found = judge_repeats([2.0, 2.1, 2.2], "jnr_0.1", RESIDUE, load_all_precision())
    assert found.limit_percent == pytest.approx(3.3 * 4.6)
    assert found.spread == pytest.approx(0.2)


def test_where_nothing_is_published_the_spread_is_given_without_a_verdict() -> None:
    found = judge_repeats([0.02, 0.03], "jnr_0.1", RESIDUE, load_all_precision())
    assert found.within is None
    assert found.spread == pytest.approx(0.01)
    assert "outside the bands" in found.note


def test_a_run_without_the_value_is_left_out_and_one_value_is_no_comparison() -> None:
    found = judge_repeats([2.0, None], "jnr_0.1", RESIDUE, load_all_precision())
    assert found.values == (2.0, None)
    assert (found.spread, found.within) == (None, None)
