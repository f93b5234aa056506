"""Laws of recipes worked out on surfaces: problems of several components drawn with a seed."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from resile.compute.blending.design.batch import batch_choices, batch_masses
from resile.compute.blending.design.conformity import conformity_of, log_whole_probability
from resile.compute.blending.design.kept_windows import kept_windows
from resile.compute.blending.design.optimum import best_recipe, nearest_miss, surest_recipe
from resile.compute.blending.design.pareto import pareto_recipes
from resile.compute.blending.design.region import recipe_region, spread_recipes
from resile.compute.blending.design.search import Search, prepare_search
from resile.compute.blending.design.sensitivity import dosing_probability
from resile.compute.blending.design.subsets import best_of_problem
from resile.errors import MeasurementError
from resile.records.blending.limit import BlendLimit, Response
from resile.records.blending.problem import BlendProblem, ShareGroup
from resile.records.blending.surface import Surface
from resile.records.determination import Condition

PRICES = (420.0, 450.0, 1900.0, 2500.0, 300.0)


def drawn_problem(seed: int, *, count: int = 4, responses: int = 5) -> BlendProblem:
    """A bent surface for each property, and limits that a mixture of three components keeps by a little."""
    rng = np.random.default_rng(seed)
    inside = np.append(rng.dirichlet(np.ones(3) * 4.0), np.zeros(count - 3))
    terms = (*((place,) for place in range(count)), (0, 1), (1, 2))
    columns = np.array([math.prod(inside[list(term)]) for term in terms])
    pairs = []
    for place in range(responses):
        coefficients = rng.normal(0.0, 1.0, len(terms))
        mixed = rng.normal(0.0, 0.05, (len(terms), len(terms)))
        surface = Surface(
            Response("complex_modulus", Condition.ORIGINAL, 10.0 * place),
            tuple("abcde"[:count]),
            "value",
            "quadratic",
            "",
            terms,
            tuple(coefficients.tolist()),
            tuple(map(tuple, (mixed @ mixed.T).tolist())),
            batch_standard=0.05,
            degrees_of_freedom=8.0,
        )
        bound = "maximum" if place % 2 else "minimum"
        room = 0.35 if place % 2 else -0.35
        pairs.append((BlendLimit(surface.response, bound, float(columns @ coefficients) + room), surface))
    return BlendProblem(
        tuple("abcde"[:count]),
        tuple(limit for limit, _ in pairs),
        tuple(surface for _, surface in pairs),
        (0.0,) * count,
        (1.0,) * count,
        prices=PRICES[:count],
        within_trials=False,
    )


def search_of(problem: BlendProblem) -> Search:
    found = prepare_search(problem, rng=np.random.default_rng(1))
    assert found is not None
    return found


SEARCHES = [search_of(drawn_problem(seed)) for seed in range(4)]


@pytest.mark.parametrize("search", SEARCHES)
def test_an_optimum_never_misses_what_the_check_says_and_certainty_is_never_cheaper(search: Search) -> None:
    plain, sure = best_recipe(search), best_recipe(search, probability=0.9)
    surer = best_recipe(search, probability=0.95)
    for found, wanted in ((plain, None), (sure, 0.9), (surer, 0.95)):
        assert sum(found.shares) == pytest.approx(1.0, abs=1e-7) and min(found.shares) >= 0.0
        checked = conformity_of(search.windows, found.shares)
        assert found.feasible == (
            checked.margins.min() >= 0.0 if wanted is None else float(checked.whole[0]) >= wanted
        )
        assert found.probability == pytest.approx(float(checked.whole[0]), abs=1e-12)
    assert plain.feasible
    assert not sure.feasible or sure.objective >= plain.objective - 1e-6
    assert not surer.feasible or surer.objective >= sure.objective - 1e-6


@pytest.mark.parametrize("search", SEARCHES)
def test_no_recipe_of_a_dense_spread_beats_the_optimum(search: Search) -> None:
    dense = spread_recipes(search.region, rng=np.random.default_rng(9), count=5_000)
    found = conformity_of(search.windows, dense)
    cost = dense @ np.array(PRICES[:4])
    assert best_recipe(search).objective <= cost[found.margins.min(axis=0) >= 0.0].min() + 1e-6
    assert surest_recipe(search).probability >= found.whole.max() - 1e-9
    assert nearest_miss(search).slack >= found.margins.min(axis=0).max() - 0.02


def test_the_order_of_the_components_does_not_matter() -> None:
    problem = drawn_problem(2)
    order = [2, 0, 3, 1]
    turned = BlendProblem(
        tuple(problem.components[place] for place in order),
        problem.limits,
        tuple(
            Surface(
                one.response,
                tuple(one.components[place] for place in order),
                one.scale,
                one.form,
                "",
                tuple(tuple(order.index(place) for place in term) for term in one.terms),
                one.coefficients,
                one.covariance,
                batch_standard=one.batch_standard,
                degrees_of_freedom=one.degrees_of_freedom,
            )
            for one in problem.surfaces
        ),
        problem.lower,
        problem.upper,
        prices=tuple(problem.prices[place] for place in order) if problem.prices else None,
        within_trials=False,
    )
    one, other = (best_recipe(search_of(some), probability=0.8) for some in (problem, turned))
    assert one.objective == pytest.approx(other.objective, rel=1e-4)
    assert np.array(other.shares) == pytest.approx(np.array(one.shares)[order], abs=2e-3)


def test_a_wider_limit_is_never_less_probable() -> None:
    problem = drawn_problem(1)
    recipes = spread_recipes(SEARCHES[1].region, rng=np.random.default_rng(3), count=100)
    wider = tuple(
        BlendLimit(one.response, one.bound, one.value + (0.1 if one.bound == "maximum" else -0.1))
        for one in problem.limits
    )
    narrow = conformity_of(kept_windows(problem.limits, problem.surfaces), recipes)
    wide = conformity_of(kept_windows(wider, problem.surfaces), recipes)
    assert np.all(wide.whole >= narrow.whole) and np.all(wide.each >= narrow.each)
    assert np.all(narrow.whole <= narrow.each.min(axis=0) + 1e-12)


@pytest.mark.parametrize("search", SEARCHES[:2])
def test_the_slope_of_the_probability_is_that_of_its_values(search: Search) -> None:
    x = search.region.origin
    value, slope = log_whole_probability(search.windows, x)
    assert value == pytest.approx(math.log(conformity_of(search.windows, x).whole[0]), abs=1e-12)
    for place in range(x.size):
        step = np.eye(x.size)[place] * 1e-6
        ends = [log_whole_probability(search.windows, x + sign * step)[0] for sign in (1.0, -1.0)]
        assert slope[place] == pytest.approx((ends[0] - ends[1]) / 2e-6, rel=1e-4, abs=1e-5)


def test_cost_never_falls_as_the_probability_rises() -> None:
    found = pareto_recipes(SEARCHES[0], probabilities=(0.5, 0.7, 0.9))
    assert np.all(np.diff([one.probability for one in found]) > 0.0)
    assert np.all(np.diff([one.objective for one in found]) > 0.0)


def test_fewer_components_are_never_cheaper_and_are_as_few_as_asked() -> None:
    problem = drawn_problem(0)
    every = best_of_problem(problem, seed=1)
    for most in (3, 2):
        asked = BlendProblem(**{**_fields(problem), "most_components": most})
        found = best_of_problem(asked, seed=1)
        assert found is not None and every is not None
        assert sum(share > 1e-6 for share in found.best.shares) <= most
        assert not found.best.feasible or found.best.objective >= every.best.objective - 1e-6


def _fields(problem: BlendProblem) -> dict[str, object]:
    return {name: getattr(problem, name) for name in BlendProblem.__dataclass_fields__}


@settings(max_examples=25, deadline=None)
@given(
    shares=st.lists(st.floats(0.001, 1.0), min_size=2, max_size=6),
    step=st.sampled_from([1.0, 5.0, 10.0]),
    steps=st.integers(50, 2000),
)
def test_a_rounded_batch_keeps_its_total_and_every_mass_within_a_step(
    shares: list[float], step: float, steps: int
) -> None:
    recipe = np.array(shares) / sum(shares)
    tank = step * steps
    for masses in (
        batch_masses(recipe, tank, [step] * len(shares)),
        *batch_choices(recipe, tank, [step] * len(shares))[:3],
    ):
        assert masses.sum() == pytest.approx(tank, abs=1e-6)
        assert np.all(np.abs(masses - recipe * tank) < step * (1.0 + 1e-6))
        assert masses / step == pytest.approx(np.round(masses / step), abs=1e-9)


@settings(max_examples=25, deadline=None)
@given(seed=st.integers(0, 10_000), count=st.integers(2, 5))
def test_every_recipe_spread_over_a_region_lies_within_bounds_group_and_trials(seed: int, count: int) -> None:
    rng = np.random.default_rng(seed)
    trials = rng.dirichlet(np.ones(count), size=count + 4)
    middle = trials.mean(axis=0)
    lower, upper = 0.5 * middle, np.minimum(1.5 * middle, 1.0)
    group = ShareGroup("pair", (0, 1), 0.0, float(middle[:2].sum() * 1.05))
    region = recipe_region(lower, upper, groups=[group], trials=[trials])
    assert region is not None
    some = spread_recipes(region, rng=rng, count=50)
    assert np.all(region.holds(some)) and some.sum(axis=1) == pytest.approx(np.ones(len(some)), abs=1e-6)
    assert np.all(some >= lower - 1e-6) and np.all(some <= upper + 1e-6)
    assert np.all(some[:, :2].sum(axis=1) <= group.highest + 1e-6)


def test_bounds_that_exclude_one_another_leave_no_region() -> None:
    assert recipe_region([0.0, 0.0], [0.4, 0.4]) is None
    assert recipe_region([0.0, 0.6], [1.0, 1.0], trials=[[[1.0, 0.0], [0.5, 0.5]]]) is None


def test_errors_of_dosing_leave_the_probability_where_they_are_nothing_and_take_the_mean_where_not() -> None:
    search = SEARCHES[0]
    masses = 1000.0 * np.array(best_recipe(search, probability=0.8).shares)
    exact, same, _ = dosing_probability(search.windows, masses, np.zeros(4), rng=np.random.default_rng(1))
    assert exact == pytest.approx(same, abs=1e-12)
    exact, dosed, _ = dosing_probability(
        search.windows, masses, np.full(4, 30.0), rng=np.random.default_rng(1)
    )
    assert dosed < exact


def test_a_batch_that_cannot_be_is_refused() -> None:
    with pytest.raises(MeasurementError, match="add up to 1"):
        batch_masses([0.5, 0.4], 100.0, [1.0, 1.0])
    with pytest.raises(MeasurementError, match="above zero"):
        batch_masses([0.5, 0.5], 100.0, [0.0, 1.0])
