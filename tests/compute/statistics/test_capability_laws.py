"""Laws of capability, targets and costs."""

import math

import mpmath
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from resile.compute.statistics.capability.bivariate import bivariate_normal_below
from resile.compute.statistics.capability.indices import capability_indices, one_sided_interval
from resile.compute.statistics.capability.margin_cost import cheapest_mean, cost_of_mean
from resile.compute.statistics.capability.noncentral import noncentrality_at
from resile.compute.statistics.capability.normality import anderson_darling
from resile.compute.statistics.capability.share import share_beyond
from resile.compute.statistics.capability.target import AIMS, load_outcomes, target_mean
from resile.errors import InputError
from resile.records.control.target import PricesOfMargin

BOTH = {"limit": 1.0, "limit_is": "at_most", "plant_deviation": 0.12, "test_standard": 0.07}


@given(st.floats(-4, 4), st.floats(-4, 4), st.floats(-0.99, 0.99))
@settings(max_examples=40, deadline=None)
def test_the_bivariate_normal_agrees_with_that_of_scipy(h: float, k: float, r: float) -> None:
    reference = stats.multivariate_normal(cov=[[1.0, r], [r, 1.0]]).cdf([h, k])
    assert float(bivariate_normal_below(h, k, r)) == pytest.approx(reference, abs=2e-7)


@given(st.floats(-4, 4), st.floats(-4, 4), st.floats(-0.999, 0.999))
@settings(max_examples=60, deadline=None)
def test_the_four_corners_of_the_bivariate_normal_make_one(h: float, k: float, r: float) -> None:
    corners = [
        bivariate_normal_below(h, k, r),
        bivariate_normal_below(-h, -k, r),
        bivariate_normal_below(h, -k, -r),
        bivariate_normal_below(-h, k, -r),
    ]
    assert sum(float(one) for one in corners) == pytest.approx(1.0, abs=1e-12)


def test_fates_of_loads_are_those_of_drawn_loads() -> None:
    draws = np.random.default_rng(11)
    true = draws.normal(0.85, 0.12, 400_000)
    found = true + draws.normal(0.0, 0.07, true.size)
    at = load_outcomes(0.85, guard_factor=1.0, **BOTH)
    passes, conforms = found <= 1.0 - 0.07, true <= 1.0
    for got, drawn in (
        (at.passes, passes),
        (at.conforms, conforms),
        (at.both, passes & conforms),
        (at.wrongly_failed, ~passes & conforms),
        (at.wrongly_passed, passes & ~conforms),
    ):
        share = float(drawn.mean())
        assert got == pytest.approx(share, abs=4.5 * math.sqrt(share * (1.0 - share) / true.size))


@pytest.mark.parametrize("aim", AIMS)
@pytest.mark.parametrize("limit_is", ["at_most", "at_least"])
def test_at_the_target_the_share_is_the_one_asked_for(aim: str, limit_is: str) -> None:
    asked = {**BOTH, "limit_is": limit_is, "guard_factor": 1.645}
    mean = target_mean(0.97, aim=aim, **asked)
    assert getattr(load_outcomes(mean, **asked), aim) == pytest.approx(0.97, abs=1e-9)


@given(st.floats(0.01, 0.5), st.floats(0.01, 0.5), st.floats(0.0, 3.0))
@settings(max_examples=40, deadline=None)
def test_more_scatter_a_wider_guard_band_and_a_larger_share_all_move_the_target_inwards(
    plant: float, test: float, guard: float
) -> None:
    asked = {"limit": 1.0, "limit_is": "at_most", "plant_deviation": plant, "test_standard": test}
    here = target_mean(0.9, guard_factor=guard, **asked)
    assert target_mean(0.95, guard_factor=guard, **asked) < here
    assert target_mean(0.9, guard_factor=guard, **{**asked, "plant_deviation": 1.3 * plant}) < here
    assert target_mean(0.9, guard_factor=guard, **{**asked, "test_standard": 1.3 * test}) < here
    assert target_mean(0.9, guard_factor=guard + 0.5, **asked) < here + 1e-9


def test_the_target_of_a_minimum_mirrors_that_of_a_maximum() -> None:
    upper = target_mean(0.95, guard_factor=1.0, **BOTH)
    lower = target_mean(0.95, guard_factor=1.0, **{**BOTH, "limit_is": "at_least"})
    assert lower - 1.0 == pytest.approx(1.0 - upper, abs=1e-10)


def test_without_scatter_of_the_test_truth_and_test_are_one() -> None:
    at = load_outcomes(0.9, **{**BOTH, "test_standard": 0.0})
    assert at.conforms == at.passes == pytest.approx(at.both)
    assert at.wrongly_failed == pytest.approx(0.0, abs=1e-15)
    assert at.wrongly_passed == 0.0


def test_a_steady_plant_is_right_or_wrong_as_a_whole() -> None:
    good = load_outcomes(0.9, **{**BOTH, "plant_deviation": 0.0})
    assert good.conforms == pytest.approx(1.0)
    assert load_outcomes(1.1, **{**BOTH, "plant_deviation": 0.0}).conforms == pytest.approx(0.0)


@given(st.floats(0.1, 50), st.floats(-20, 20))
@settings(max_examples=40, deadline=None)
def test_indices_and_targets_do_not_depend_on_the_unit(scale: float, shift: float) -> None:
    here = capability_indices(0.8, 0.1, upper=1.0)
    there = capability_indices(0.8 * scale + shift, 0.1 * scale, upper=scale + shift)
    assert there.index == pytest.approx(here.index, rel=1e-6)
    mean = target_mean(0.95, **BOTH)
    moved = {**BOTH, "limit": scale + shift, "plant_deviation": 0.12 * scale, "test_standard": 0.07 * scale}
    assert target_mean(0.95, **moved) == pytest.approx(mean * scale + shift, abs=1e-6 * max(1.0, scale))


def test_the_mean_of_least_cost_is_dearer_on_both_sides() -> None:
    prices = PricesOfMargin(per_unit=10.0, per_failure=40.0, per_claim=60.0)
    best = cheapest_mean(prices, guard_factor=1.0, **BOTH)
    assert best is not None
    for step in (-0.01, 0.01):
        assert cost_of_mean(best.mean + step, prices, guard_factor=1.0, **BOTH).total > best.total


def test_dearer_failures_move_the_mean_of_least_cost_inwards() -> None:
    means = []
    for failure in (20.0, 40.0, 80.0):
        best = cheapest_mean(PricesOfMargin(per_unit=10.0, per_failure=failure), **BOTH)
        assert best is not None
        means.append(best.mean)
    assert means == sorted(means, reverse=True)


@pytest.mark.parametrize(
    "prices", [PricesOfMargin(per_unit=0.0, per_failure=9.0), PricesOfMargin(per_unit=900.0, per_failure=1.0)]
)
def test_free_margin_and_failures_too_cheap_have_no_least_cost(prices: PricesOfMargin) -> None:
    assert cheapest_mean(prices, **BOTH) is None


def coverage(draws: int, count: int, seed: int) -> tuple[float, float]:
    """Give how often 90 % intervals of index and share hold the true ones (index 0.8, 25 values)."""
    random = np.random.default_rng(seed)
    index, held_index, held_share = 0.8, 0, 0
    true_share = float(stats.norm.sf(3.0 * index))
    for _ in range(draws):
        values = random.normal(0.0, 1.0, count)
        found = (3.0 * index - values.mean()) / (3.0 * values.std(ddof=1))
        low, high = one_sided_interval(found, count, confidence=0.9)
        held_index += low <= index <= high
        _, least, most = share_beyond(3.0 * found, count, confidence=0.9)
        held_share += least <= true_share <= most
    return held_index / draws, held_share / draws


def test_intervals_hold_the_truth_about_as_often_as_they_say() -> None:
    for held in coverage(400, 25, 7):
        assert held == pytest.approx(0.9, abs=0.05)  # 3.3 standard errors


@pytest.mark.nightly
def test_intervals_hold_the_truth_as_often_as_they_say() -> None:
    for held in coverage(20_000, 12, 8):
        assert held == pytest.approx(0.9, abs=0.0075)  # 3.5 standard errors


def test_the_test_of_fit_agrees_with_the_statistic_of_scipy() -> None:
    values = np.random.default_rng(5).normal(3.0, 0.4, 30)
    raw = stats.anderson(values, "norm", method="interpolate").statistic
    assert anderson_darling(values).statistic == pytest.approx(raw * (1 + 0.75 / 30 + 2.25 / 900), rel=1e-9)


def test_the_test_of_fit_refuses_normal_values_one_time_in_twenty() -> None:
    random = np.random.default_rng(6)
    refused = sum(anderson_darling(random.normal(size=20)).probability < 0.05 for _ in range(1500))
    assert refused / 1500 == pytest.approx(0.05, abs=0.02)


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: capability_indices(1.0, 0.0, upper=2.0), "above 0"),
        (lambda: capability_indices(1.0, 1.0), "a limit is needed"),
        (lambda: capability_indices(1.0, 1.0, lower=3.0, upper=2.0), "must lie below"),
        (lambda: one_sided_interval(math.nan, 9), "finite"),
        (lambda: one_sided_interval(1.0, 1), "at least 2 values"),
        (lambda: share_beyond(1.0, 9, confidence=1.0), "between 0 and 1"),
        (lambda: anderson_darling([1.0] * 9), "alike"),
        (lambda: anderson_darling([1.0, 2.0]), "8 finite numbers"),
        (lambda: target_mean(1.0, **BOTH), "between 0 and 1"),
        (lambda: target_mean(0.9, **{**BOTH, "limit_is": "below"}), "at_most or at_least"),
        (lambda: load_outcomes(0.9, **{**BOTH, "test_standard": -1.0}), "at least 0"),
        (lambda: bivariate_normal_below(math.nan, 0.0, 0.0), "finite bounds"),
    ],
)
def test_what_cannot_be_used_is_refused_in_words(call: object, words: str) -> None:
    with pytest.raises(InputError, match=words):
        call()  # type: ignore[operator]


def test_lots_far_beyond_their_limit_have_an_interval_like_any_others() -> None:
    """The function of scipy gives no number on the way; the definition, integrated by mpmath, does."""
    freedom, value = 249, -33.9
    found = noncentrality_at(0.975, freedom, value)

    def share(ratio: mpmath.mpf) -> mpmath.mpf:
        half = mpmath.mpf(freedom) / 2
        density = 2 * half**half / mpmath.gamma(half) * ratio ** (freedom - 1) * mpmath.exp(-half * ratio**2)
        return mpmath.ncdf(value * ratio - found) * density

    assert float(mpmath.quad(share, mpmath.linspace(0.5, 1.5, 21))) == pytest.approx(0.975, abs=1e-9)
