"""Cited cases of recipes worked out on surfaces: two components and one straight property, by hand."""

import tomllib
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from resile.compute.blending.design.alternatives import different_recipes
from resile.compute.blending.design.batch import batch_choices, batch_masses
from resile.compute.blending.design.conformity import (
    batch_prediction,
    conformity_of,
    log_whole_probability,
    simulated_conformity,
    sloped_prediction,
)
from resile.compute.blending.design.descent import climb_margins, climb_probability, descend, pulled_in
from resile.compute.blending.design.dose_window import dose_reach, recipes_by_dose
from resile.compute.blending.design.kept_windows import kept_windows, limit_ends
from resile.compute.blending.design.optimum import best_recipe, nearest_miss, surest_recipe
from resile.compute.blending.design.pareto import pareto_recipes
from resile.compute.blending.design.region import (
    recipe_region,
    region_of,
    spread_recipes,
    without_crumbs,
)
from resile.compute.blending.design.search import (
    margin_rows,
    mean_rows,
    objective_functions,
    objective_values,
    prepare_search,
    slack_of,
)
from resile.compute.blending.design.sensitivity import dosing_probability
from resile.compute.blending.design.subsets import best_of_problem
from resile.compute.blending.planning.next_trial import after_trial, beliefs_at, best_trials, trial_gains
from resile.compute.blending.planning.portfolio import least_stock, paying_price, plan_tanks
from resile.compute.blending.planning.rescue import least_addition
from resile.compute.blending.surfaces.trial_hull import trial_hull
from resile.compute.statistics.probability.student import student_below, student_density, student_quantile
from resile.records.blending.limit import BlendLimit, Response
from resile.records.blending.problem import BlendProblem
from resile.records.blending.surface import Surface
from resile.records.determination import Condition

PATH = Path(__file__).resolve().parents[2] / "published" / "blend_design.toml"
CASES = tomllib.loads(PATH.read_text(encoding="utf-8"))["case"]
PURE = [[1.0, 0.0], [0.0, 1.0]]


def straight(given: dict[str, Any], *, temperature_c: float = 64.0) -> Surface:
    variances = given.get("covariance", [0.0, 0.0])
    return Surface(
        Response("softening_point", Condition.ORIGINAL, temperature_c),
        ("a", "b"),
        "value",
        "linear",
        "",
        ((0,), (1,)),
        (10.0, 20.0),
        ((variances[0], 0.0), (0.0, variances[1])),
        test_standard=given.get("test", 0.0),
        batch_standard=given.get("batch", 0.5),
        degrees_of_freedom=given.get("freedom", np.inf),
        points=tuple(map(tuple, given.get("points", ()))),
    )


def problem_of(given: dict[str, Any]) -> BlendProblem:
    surface = straight(given)
    pairs = [(BlendLimit(surface.response, "maximum", given.get("maximum", 16.0), "most"), surface)]
    if "minimum" in given:
        pairs.append((BlendLimit(surface.response, "minimum", given["minimum"], "least"), surface))
    if given.get("twin"):
        other = straight(given, temperature_c=70.0)
        pairs.append((BlendLimit(other.response, "maximum", 16.0, "most of the other"), other))
    return BlendProblem(
        ("a", "b"),
        tuple(limit for limit, _ in pairs),
        tuple(surface for _, surface in pairs),
        tuple(given.get("lower", (0.0, 0.0))),
        tuple(given.get("upper", (1.0, 1.0))),
        prices=(100.0, 50.0),
        objective=given.get("objective", "cost"),
        probability=given.get("probability", 0.95),
        today=tuple(given.get("today", (0.5, 0.5))),
        within_trials="points" in given,
    )


def windows(given: dict[str, Any]) -> Any:
    problem = problem_of(given)
    return kept_windows(problem.limits, problem.surfaces)


def search(given: dict[str, Any]) -> Any:
    found = prepare_search(problem_of(given), rng=np.random.default_rng(1), spread=50)
    assert found is not None
    return found


def at(given: dict[str, Any]) -> Any:
    return np.array(given["at"])


def asked(given: dict[str, Any]) -> Any:
    return slack_of(search(given), given.get("probability"))


def region(given: dict[str, Any]) -> Any:
    found = recipe_region(given["lower"], given["upper"])
    assert found is not None
    return found


def of_kept(given: dict[str, Any]) -> Any:
    found = windows(given)
    return [len(found), found[0].lower, found[0].upper]


def of_log(given: dict[str, Any]) -> Any:
    value, slope = log_whole_probability(windows(given), at(given))
    return [value, *slope]


def of_simulated(given: dict[str, Any]) -> Any:
    matrix = [[1.0, given["correlation"]], [given["correlation"], 1.0]]
    rng = np.random.default_rng(7)
    return simulated_conformity(windows(given), at(given), correlation=matrix, rng=rng)[0][0]


def of_limit(given: dict[str, Any]) -> Any:
    limit = BlendLimit(straight({}).response, given["bound"], given["value"])
    return limit_ends(limit, given["scale"])[1]


def of_hull(given: dict[str, Any]) -> Any:
    rows, ends, _, _ = trial_hull(given["points"])
    return float(np.max(rows @ at(given) - ends))


def ends_of(found: Any) -> Any:
    return [found.corners[:, 1].min(), found.corners[:, 1].max()]


def of_spread(given: dict[str, Any]) -> Any:
    some = spread_recipes(region(given), rng=np.random.default_rng(1), count=given["count"])
    return [len(some), some[:, 1].min(), some[:, 1].max()]


def of_ready(given: dict[str, Any]) -> Any:
    found = search(given)
    return conformity_of(found.windows, found.region.origin).whole[0]


def of_descent(given: dict[str, Any]) -> Any:
    found = search(given)
    return descend(found, at(given), *objective_functions(found.problem), slack_of(found, None))


def of_best(given: dict[str, Any]) -> Any:
    found = best_recipe(search(given), probability=given.get("probability"))
    assert found.feasible
    return [*found.shares, found.objective]


def of_sets(given: dict[str, Any]) -> Any:
    found = best_of_problem(problem_of(given), seed=1)
    assert found is not None
    return found.best.shares


def of_alternatives(given: dict[str, Any]) -> Any:
    found = search(given)
    best = best_recipe(found)
    return different_recipes(found, best, probability=None, tolerance=given["tolerance"], count=2)[1]


def of_pareto(given: dict[str, Any]) -> Any:
    return pareto_recipes(search(given), probabilities=[given["probability"]])[0].objective


def of_window(given: dict[str, Any]) -> Any:
    found = search(given)
    bounds = {"lower": found.problem.lower, "upper": found.problem.upper}
    reach = dose_reach(found.windows, found.region, at(given), 1, **bounds)
    return [reach.lowest, reach.highest]


def of_dosing(given: dict[str, Any]) -> Any:
    rng = np.random.default_rng(1)
    exact, _, each = dosing_probability(windows(given), given["masses"], given["standards"], rng=rng)
    return [exact, each[0, 1]]


def of_batch(function: Callable[..., Any], given: dict[str, Any]) -> Any:
    return function(given["shares"], given["tank"], given["steps"])


def of_rescue(given: dict[str, Any]) -> Any:
    found = least_addition(problem_of(given), given["tank"], fullest=3.0, seed=1, probability=None)
    assert found is not None and found.found.feasible
    return found.kept_share


def corner_beliefs(given: dict[str, Any], *, after: bool) -> Any:
    found = beliefs_at(windows(given), PURE)
    found = after_trial(found, 0) if after else found
    return [found.covariance[0, 0, 0], found.covariance[0, 0, 1], found.covariance[0, 1, 1]]


def of_gain(given: dict[str, Any]) -> Any:
    return trial_gains(beliefs_at(windows(given), given["at"]), [0], [0], seed=3)[0]


def of_trials(given: dict[str, Any]) -> Any:
    found = beliefs_at(windows(given), [*PURE, [0.5, 0.5], [0.4, 0.6]])
    return best_trials(found, [2, 3], [0, 1], seed=3, count=1)[0].place


def of_plan(given: dict[str, Any]) -> Any:
    plan = plan_tanks(
        [[True, True], [True, False]], [10.0, 8.0], [100.0, 10.0], tanks=1, change_cost=given["change"]
    )[0]
    return [plan.total_cost, len(plan.recipes), plan.tank_changes]


ASKED: dict[str, Callable[[dict[str, Any]], Any]] = {
    "limit_ends": of_limit,
    "kept_windows": of_kept,
    "conformity_of": lambda given: conformity_of(windows(given), at(given)).whole[0],
    "batch_prediction": lambda given: [
        float(np.ravel(one)[0])
        for one in batch_prediction(straight(given), at(given)[None, :], acceptance_test=True)[:2]
    ],
    "log_whole_probability": of_log,
    "simulated_conformity": of_simulated,
    "student_below": lambda given: student_below(np.array(given["score"]), given["freedom"]),
    "student_density": lambda given: student_density(given["score"], given["freedom"]),
    "student_quantile": lambda given: student_quantile(given["probability"], given["freedom"]),
    "trial_hull": of_hull,
    "recipe_region": lambda given: ends_of(region(given)),
    "region_of": lambda given: ends_of(region_of(problem_of(given))),
    "spread_recipes": of_spread,
    "without_crumbs": lambda given: without_crumbs(given["at"]),
    "prepare_search": of_ready,
    "objective_values": lambda given: objective_values(problem_of(given), at(given)),
    "objective_functions": lambda given: objective_functions(problem_of(given))[1](at(given)),
    "slack_of": lambda given: asked(given).one(at(given)),
    "margin_rows": lambda given: margin_rows(search(given))[0](np.zeros(1)),
    "sloped_prediction": lambda given: sloped_prediction(straight(given), at(given))[4],
    "mean_rows": lambda given: mean_rows(search(given))[0](np.zeros(1)),
    "descend": of_descent,
    "climb_probability": lambda given: climb_probability(search(given)),
    "climb_margins": lambda given: climb_margins(search(given)),
    "pulled_in": lambda given: pulled_in(search(given), at(given), np.array([1.0, 0.0]), asked(given)),
    "best_recipe": of_best,
    "surest_recipe": lambda given: [
        *surest_recipe(search(given)).shares,
        surest_recipe(search(given)).objective,
    ],
    "nearest_miss": lambda given: [
        *nearest_miss(search(given)).shares,
        nearest_miss(search(given)).objective,
    ],
    "best_of_problem": of_sets,
    "different_recipes": of_alternatives,
    "pareto_recipes": of_pareto,
    "recipes_by_dose": lambda given: recipes_by_dose(given["at"], 2, given["dose"])[0],
    "dose_reach": of_window,
    "dosing_probability": of_dosing,
    "batch_masses": lambda given: of_batch(batch_masses, given),
    "batch_choices": lambda given: len(of_batch(batch_choices, given)),
    "least_addition": of_rescue,
    "beliefs_at": lambda given: corner_beliefs(given, after=False),
    "after_trial": lambda given: corner_beliefs(given, after=True),
    "trial_gains": of_gain,
    "best_trials": of_trials,
    "plan_tanks": of_plan,
    "least_stock": lambda given: least_stock(given["serves"], given["amounts"], given["uses"]).tolist(),
    "paying_price": lambda given: paying_price(1000.0, [800.0, 900.0], [0.1, 0.02]),
}


@pytest.mark.parametrize("case", CASES, ids=lambda case: case["name"])
def test_a_cited_case_comes_out_as_by_hand(case: dict[str, Any]) -> None:
    found = ASKED[case["function"].rpartition(".")[2]](case["inputs"])
    assert np.ravel(found) == pytest.approx(np.ravel(case["expected"]), abs=case["tolerance"], rel=0.0)


def test_the_cheapest_recipe_of_two_starts_is_the_same() -> None:
    found = search({})
    assert replace(best_recipe(found), found_by="") == replace(best_recipe(found), found_by="")
