"""What the proposed next trial is worth against a random one and a repeat, by planted truths (nightly)."""

from dataclasses import dataclass, replace

import numpy as np
import pytest
from numpy.typing import NDArray

from planted_blends import EIGHT, Truth, drawn_book, key_of, sure_recipe, truth_of, varied_aim
from resile.compute.blending.design.region import recipe_region, spread_recipes
from resile.compute.blending.design.search import objective_values
from resile.compute.blending.design.subsets import best_of_problem
from resile.readers.blends.book import read_blend_book
from resile.records.blending.book import BlendBook
from resile.workflows.blending.designing.framing import Frame, frame_book
from resile.workflows.blending.designing.trial import next_trials
from resile.workflows.demonstration import write_demonstration

BOOKS = 30
WAYS = ("proposed", "random", "repeat")
STEPS = 3


@dataclass(frozen=True, slots=True)
class Standing:
    """How a book stands after some trials.

    Attributes
    ----------
    cost : float or None
        Of the cheapest recipe with the probability asked for; None where none serves.
    chosen : float or None
        True probability of that recipe.
    stated, kept : float
        Highest stated probability of the whole grade at any cost, and the true one of that recipe.
    """

    cost: float | None
    chosen: float | None
    stated: float
    kept: float


@pytest.fixture(scope="module")
def book(tmp_path_factory: pytest.TempPathFactory) -> BlendBook:
    folder = tmp_path_factory.mktemp("blends")
    write_demonstration(folder)
    return read_blend_book(folder / "blends" / "book.toml")


def standing_of(book: BlendBook, truth: Truth) -> Standing:
    """Give what the tool proposes from a book, and what the truth makes of it."""
    frame = frame_book(book)
    sure = sure_recipe(frame)
    best = best_of_problem(replace(frame.problem, objective="margin"), seed=20, probability=None)
    assert best is not None
    surest = truth_of(frame, np.array(best.best.shares), truth)
    return Standing(
        None if sure is None else float(objective_values(frame.problem, sure[None, :])[0]),
        None if sure is None else float(np.prod(truth_of(frame, sure, truth).batch)),
        float(surest.found.whole[0]),
        float(np.prod(surest.batch)),
    )


def percent_of(frame: Frame, shares: NDArray[np.float64]) -> dict[str, float]:
    """Give shares in steps of 0.1 %, the largest taking what is left."""
    stepped = np.round(shares, 3)
    stepped[int(np.argmax(stepped))] += 1.0 - stepped.sum()
    return {name: round(share, 6) for name, share in frame.percent(stepped).items()}


def next_by(way: str, book: BlendBook, seed: int) -> dict[str, float]:
    """Give the blend that one way of choosing makes next."""
    if way == "proposed":
        return dict(next_trials(book, count=1)[0].percent)
    frame = frame_book(book)
    problem = frame.problem
    if way == "random":
        region = recipe_region(problem.lower, problem.upper, groups=problem.groups)
        assert region is not None
        some = spread_recipes(region, rng=np.random.default_rng(seed), count=50)
        return percent_of(frame, some[int(np.random.default_rng(seed).integers(len(some)))])
    answer = best_of_problem(problem, seed=20, probability=problem.probability)
    assert answer is not None
    tried = np.array([[one.percent.get(name, 0.0) for name in problem.components] for one in book.trials])
    tried = tried / tried.sum(axis=1, keepdims=True)
    near = tried[int(np.argmin(np.abs(tried - np.array(answer.best.shares)).max(axis=1)))]
    return percent_of(frame, near)


def with_trial(book: BlendBook, percent: dict[str, float], truth: Truth, seed: int) -> BlendBook:
    """Give the book with one more trial, made and tested once for all that the others were."""
    values, like = truth.tested(percent, np.random.default_rng(seed)), book.trials[-1]
    name = f"N-{len(book.trials) + 1:02d}"
    tests = tuple(replace(one, sample=name, value=values[key_of(one)]) for one in like.determinations)
    trial = replace(like, name=name, percent=percent, determinations=tests)
    return replace(book, trials=(*book.trials, trial))


def followed(book: BlendBook, truth: Truth, seed: int) -> dict[str, list[Standing]]:
    """Give the standings before, after one trial and after three, for every way of choosing."""
    begun = varied_aim(drawn_book(book, truth, seed, trials=EIGHT), seed)
    before, found = standing_of(begun, truth), {}
    for way in WAYS:
        now, found[way] = begun, [before]
        for step in range(STEPS):
            # The same scatter for every way: what differs is the blend.
            chosen = next_by(way, now, 1000 * seed + step)
            now = with_trial(now, chosen, truth, 50_000 + 10 * seed + step)
            if step in (0, STEPS - 1):
                found[way].append(standing_of(now, truth))
    return found


@pytest.mark.nightly
@pytest.mark.parametrize("scatter", [1.0, 2.0])
def test_the_proposed_trial_brings_more_than_a_random_one_and_than_a_repeat(
    book: BlendBook, scatter: float
) -> None:
    truth = Truth(scatter=scatter)
    books = [followed(book, truth, seed) for seed in range(BOOKS)]
    for step, trials in ((1, 1), (2, STEPS)):
        serving, stated = (
            {way: np.array([part(one[way][step]) for one in books], dtype=float) for way in WAYS}
            for part in (lambda one: one.cost is not None, lambda one: one.stated)
        )
        kept = {way: float(np.mean([one[way][step].kept for one in books])) for way in WAYS}
        told = f"after {trials}: " + "; ".join(
            f"{way}: serving {serving[way].mean():.2f}, stated {stated[way].mean():.4f}, kept {kept[way]:.4f}"
            for way in WAYS
        )
        print(told)
        for other in WAYS[1:]:
            gain = stated["proposed"] - stated[other]
            assert gain.mean() > -gain.std() / np.sqrt(BOOKS), told
            assert serving["proposed"].mean() >= serving[other].mean(), told
        gain = stated["proposed"] - stated["random"]
        assert gain.mean() > gain.std() / np.sqrt(BOOKS), told
        assert kept["proposed"] >= 0.98, told
