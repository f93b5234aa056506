"""Laws of the choice: what more binders, more certainty, lower prices and stiffer demands may never do."""

import itertools

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from resile.compute.choice.next_test import outcomes_of_test, value_of_test
from resile.compute.choice.product_set import cheapest_products, fewest_products
from resile.compute.choice.serving import (
    choice_of_sites,
    grades_that_cover,
    ranking_by_cost,
    serving_probability,
)
from resile.errors import MeasurementError

HIGH = [58, 58, 58, 58, 64, 64, 64, 64, 70, 70]
RANK = [1, 1, 2, 3, 1, 2, 3, 3, 1, 3]
LOW = [-22, -28, -22, -22, -22, -22, -22, -28, -16, -22]
COVERS = grades_that_cover(HIGH, RANK, LOW)
CHANCES = st.sampled_from([0.0, 0.2, 0.5, 0.9, 0.95, 0.99, 1.0])
TABLES = arrays(float, (4, len(HIGH)), elements=CHANCES)
PRICES = arrays(float, 4, elements=st.sampled_from([400.0, 450.0, 450.0, 600.0, 800.0]))


def serving_sets(table: np.ndarray, price: np.ndarray, required: float) -> list[set[int]]:
    order, _ = ranking_by_cost(serving_probability(table, COVERS)[0], price, required=required)
    return [set(order[:, g].tolist()) - {-1} for g in range(order.shape[1])]


@given(TABLES, PRICES)
def test_adding_a_binder_never_removes_an_option(table: np.ndarray, price: np.ndarray) -> None:
    few = serving_sets(table[:3], price[:3], 0.9)
    more = serving_sets(table, price, 0.9)
    assert all(before <= after for before, after in zip(few, more, strict=True))


@given(TABLES, PRICES)
def test_a_higher_required_probability_never_adds_a_binder(table: np.ndarray, price: np.ndarray) -> None:
    loose, strict = serving_sets(table, price, 0.5), serving_sets(table, price, 0.95)
    assert all(after <= before for before, after in zip(loose, strict, strict=True))


@given(TABLES, PRICES, st.integers(0, 3))
def test_a_lower_price_never_worsens_a_rank(table: np.ndarray, price: np.ndarray, binder: int) -> None:
    serving = serving_probability(table, COVERS)[0]
    cheaper = price.copy()
    cheaper[binder] *= 0.8
    before, _ = ranking_by_cost(serving, price, required=0.9)
    after, _ = ranking_by_cost(serving, cheaper, required=0.9)
    for g in range(len(HIGH)):
        if binder in before[:, g]:
            assert after[:, g].tolist().index(binder) <= before[:, g].tolist().index(binder)


@given(TABLES, PRICES)
def test_a_stiffer_demand_never_adds_a_binder(table: np.ndarray, price: np.ndarray) -> None:
    sets = serving_sets(table, price, 0.9)
    for stiff, mild in itertools.product(range(len(HIGH)), repeat=2):
        if COVERS[stiff, mild]:
            assert sets[stiff] <= sets[mild]


def test_every_grade_covers_itself_and_covering_is_handed_on() -> None:
    assert COVERS.diagonal().all()
    assert not ((COVERS.astype(int) @ COVERS.astype(int) > 0) & ~COVERS).any()


def test_sites_in_chunks_are_the_sites_in_one_piece() -> None:
    rng = np.random.default_rng(4)
    order = rng.integers(-1, 5, size=(5, 30))
    demand = rng.integers(-1, 30, size=1000)
    whole = np.concatenate([ranked for _, ranked in choice_of_sites(demand, order)])
    pieces = np.concatenate([ranked for _, ranked in choice_of_sites(demand, order, at_once=7)])
    assert (whole == pieces).all()


@given(arrays(float, 6, elements=CHANCES), arrays(float, 6, elements=CHANCES))
def test_what_a_test_can_show_adds_up_to_what_was_expected(single: np.ndarray, others: np.ndarray) -> None:
    weight, probability = outcomes_of_test(single, others)
    assert weight.sum() == pytest.approx(1.0)
    assert weight @ probability == pytest.approx(single * others)


@given(arrays(float, len(HIGH), elements=CHANCES))
def test_a_test_is_never_worth_less_than_nothing_nor_more_than_everything(single: np.ndarray) -> None:
    saving = np.linspace(0.0, 9.0, len(HIGH))
    won, reached = value_of_test(
        single, np.ones(len(HIGH)), COVERS, saving, np.ones(len(HIGH)), required=0.95
    )
    assert 0.0 <= won <= saving.sum() + 1e-9
    assert 0.0 <= reached <= len(HIGH) + 1e-9


def by_trying_all(serves: np.ndarray, value: np.ndarray) -> float:
    """Smallest sum of `value` over every set of rows that leaves no served column out."""
    served = serves.any(axis=0)
    best = np.inf
    for size in range(serves.shape[0] + 1):
        for some in itertools.combinations(range(serves.shape[0]), size):
            if (serves[list(some)].any(axis=0) == served).all():
                best = min(best, float(value[list(some)].sum()))
    return best


@settings(max_examples=25, deadline=None)
@given(arrays(bool, (6, 8)))
def test_the_fewest_products_are_those_found_by_trying_all(serves: np.ndarray) -> None:
    found = fewest_products(serves)
    assert found.proven
    assert found.total == by_trying_all(serves, np.ones(6))
    served = serves.any(axis=0)
    assert (serves[list(found.products)].any(axis=0) == served).all()
    assert set(found.unserved) == set(np.flatnonzero(~served).tolist())


@settings(max_examples=25, deadline=None)
@given(arrays(bool, (5, 6)), st.sampled_from([0.0, 300.0, 4000.0]))
def test_the_cheapest_products_are_those_found_by_trying_all(serves: np.ndarray, keeping: float) -> None:
    price = np.array([400.0, 450.0, 520.0, 610.0, 800.0])
    amount = np.array([1.0, 2.0, 3.0, 5.0, 8.0, 13.0])
    served = serves.any(axis=0)
    best = np.inf
    for size in range(6):
        for some in itertools.combinations(range(5), size):
            rows = list(some)
            if (serves[rows].any(axis=0) == served).all():
                own = [min(price[b] for b in rows if serves[b, d]) for d in np.flatnonzero(served)]
                best = min(best, keeping * size + float(np.sum(np.array(own) * amount[served])))
    found = cheapest_products(serves, price, amount, keeping_cost=keeping)
    assert found.total == pytest.approx(best)
    assert found.proven


def test_fewer_products_never_cost_less() -> None:
    rng = np.random.default_rng(7)
    serves = rng.random((8, 20)) < 0.5
    price = rng.uniform(400.0, 800.0, 8)
    least = len(fewest_products(serves).products)
    costs = [cheapest_products(serves, price, np.ones(20), most_products=n).total for n in range(least, 9)]
    assert costs == sorted(costs, reverse=True)


def test_too_few_products_are_refused_with_a_sentence() -> None:
    with pytest.raises(MeasurementError, match="allow more products"):
        cheapest_products(np.eye(3, dtype=bool), np.ones(3), np.ones(3), most_products=1)


@pytest.mark.parametrize("required", [0.0, 1.0, float("nan"), 95.0])
def test_a_required_probability_must_lie_between_0_and_1(required: float) -> None:
    with pytest.raises(MeasurementError, match="needed is one above 0 and below 1"):
        ranking_by_cost([[0.5]], [1.0], required=required)
