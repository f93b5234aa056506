"""Time of a design of a blend at three sizes: components and limits, surfaces fitted beforehand or with it.

    python -m benchmarks.blend_design

Straight surfaces drawn with a seed (tests of laws of the same shape), and the invented book with everything.
"""

import tempfile
import time
from pathlib import Path

import numpy as np

from resile.compute.blending.design.alternatives import different_recipes
from resile.compute.blending.design.optimum import best_recipe
from resile.compute.blending.design.pareto import pareto_recipes
from resile.compute.blending.design.search import prepare_search
from resile.readers.blends.book import read_blend_book
from resile.records.blending.limit import BlendLimit, Response
from resile.records.blending.problem import BlendProblem
from resile.records.blending.surface import Surface
from resile.records.determination import Condition
from resile.workflows.blending.designing.design import design_blend
from resile.workflows.blending.designing.trial import next_trials
from resile.workflows.demonstration import write_demonstration

SIZES = ((3, 8), (4, 10), (6, 10))


def drawn(components: int, limits: int) -> BlendProblem:
    rng = np.random.default_rng(3)
    names = tuple(f"component {place}" for place in range(components))
    inside = rng.dirichlet(np.full(components, 3.0))
    trials = rng.dirichlet(np.ones(components), size=3 * components + 3)
    covariance = 0.05**2 * np.linalg.inv(trials.T @ trials)
    pairs = []
    for place in range(limits):
        coefficients = rng.normal(0.0, 1.0, components)
        surface = Surface(
            Response("complex_modulus", Condition.ORIGINAL, float(place)),
            names,
            "value",
            "linear",
            "",
            tuple((one,) for one in range(components)),
            tuple(coefficients.tolist()),
            tuple(map(tuple, covariance.tolist())),
            batch_standard=0.05,
            degrees_of_freedom=8.0,
            points=tuple(map(tuple, trials.tolist())),
        )
        pairs.append((BlendLimit(surface.response, "maximum", float(coefficients @ inside) + 0.5), surface))
    return BlendProblem(
        names,
        tuple(limit for limit, _ in pairs),
        tuple(surface for _, surface in pairs),
        (0.0,) * components,
        (1.0,) * components,
        prices=tuple(float(price) for price in rng.uniform(400.0, 2000.0, components)),
    )


def main() -> None:
    for components, limits in SIZES:
        problem = drawn(components, limits)
        begin = time.perf_counter()
        search = prepare_search(problem, rng=np.random.default_rng(1))
        assert search is not None
        plain, sure = best_recipe(search), best_recipe(search, probability=0.95)
        middle = time.perf_counter()
        others = different_recipes(search, sure, probability=0.95, tolerance=20.0) if sure.feasible else ()
        front = pareto_recipes(search)
        end = time.perf_counter()
        cost = f"{plain.objective:.1f} to {sure.objective:.1f}" if sure.feasible else "no recipe that sure"
        print(
            f"{components} components, {limits} limits: both recipes {middle - begin:.2f} s ({cost}), "
            f"{len(others)} alternatives and {len(front)} points of the front {end - middle:.2f} s"
        )
    with tempfile.TemporaryDirectory() as folder:
        write_demonstration(Path(folder))
        book = read_blend_book(Path(folder) / "blends" / "book.toml")
        begin = time.perf_counter()
        design_blend(book)
        first = time.perf_counter()
        design_blend(book)
        second = time.perf_counter()
        next_trials(book)
        print(
            f"the invented book with everything: {first - begin:.2f} s, surfaces remembered "
            f"{second - first:.2f} s, next trials {time.perf_counter() - second:.2f} s"
        )


if __name__ == "__main__":
    main()
