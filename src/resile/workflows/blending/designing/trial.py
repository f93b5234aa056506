"""Which blends to make and test next, with the tests they need, the most telling first."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from resile.compute.blending.design.kept_windows import kept_windows
from resile.compute.blending.design.region import (
    recipe_region,
    region_of,
    spread_recipes,
)
from resile.compute.blending.design.search import objective_values
from resile.compute.blending.design.subsets import best_of_problem
from resile.compute.blending.planning.next_trial import TrialGain, beliefs_at, best_trials
from resile.errors import InputError
from resile.records.blending.book import BlendBook
from resile.records.blending.recipe import NextTrial
from resile.workflows.blending.designing.answers import no_room_words, recipe_words
from resile.workflows.blending.designing.design import SEED
from resile.workflows.blending.designing.framing import Frame, frame_book

Floats = NDArray[np.float64]

RECIPES = 180
"""Recipes that may be chosen in the end."""
NEARER = np.array([0.02, 0.05, 0.1, 0.2, 0.4, 0.8])
"""Parts of the way from the best recipe to those of the spread."""
CANDIDATES = 60
"""Blends that may be tried."""
STEP_PERCENT = 0.1
"""Shares of a trial are given in steps of this [%]: what a laboratory weighs."""
BEYOND = 1.2
"""Candidates reach this far beyond the trials, counted from their middle: the trials grow step by step."""
LEAST_GAIN = 1e-3
LEAST_SAVING = 1e-5
"""Gains below this, as a probability and as a part of the cost, are none (own choice)."""
_ERRORS = 2.0
"""A gain below so many of its standard errors cannot be told from none."""
REPEAT_PERCENT = 1.0
"""A blend is a repeat of a trial where no share differs by more than this [%], or a twentieth of its room."""


def next_trials(book: BlendBook, *, count: int = 3, seed: int = SEED) -> tuple[NextTrial, ...]:
    """Say which blends to make next.

    Parameters
    ----------
    book : BlendBook
        Trials, bounds, aim.
    count : int
        How many at most.
    seed : int
        Of every draw.

    Returns
    -------
    tuple of NextTrial
        The one that is expected to bring most first; each as if those before it had come out as expected.
        Where trials do not yet tell of every limit, the first ones fill the room between bounds and trials.

    Raises
    ------
    ResileError
        Where the book cannot be used.

    Notes
    -----
    Candidates lie within dosage bounds, stock and bans, also outside the trials, and repeat none of them.
    With prices and a recipe that serves, the gain is the expected saving; else the expected rise of the
    highest probability of the whole grade.
    """
    frame = frame_book(book)
    if not frame.problem.limits:
        return _filling(frame, count, seed)
    gains = _gaining(frame, count, seed)
    return gains or _filling(frame, 1, seed)


def _gaining(frame: Frame, count: int, seed: int) -> tuple[NextTrial, ...]:
    problem = frame.problem
    # Recipes and candidates are the same whatever the seed: it rules the outcomes alone, so that the choice
    # does not hang on which blends happened to be looked at.
    answer = best_of_problem(problem, seed=SEED, probability=problem.probability)
    if answer is None:
        raise InputError(no_room_words(frame))
    rng = np.random.default_rng(SEED)
    best = np.array(answer.best.shares)
    # Recipes near the best one, without it: an optimum worked out to the last digit among coarse ones would
    # make every other outcome look dear.
    ways = _thinned(answer.search.spread, RECIPES // len(NEARER)) - best
    recipes = (best + NEARER[:, None, None] * ways[None, :, :]).reshape(-1, best.size)
    candidates = _candidates(frame, np.concatenate([best[None, :], recipes]), rng)
    if not len(candidates):
        return ()
    everything = np.concatenate([recipes, candidates])
    beliefs = beliefs_at(kept_windows(problem.limits, problem.surfaces), everything)
    priced = problem.objective == "cost" and problem.prices is not None and answer.best.feasible
    # A blend that has been tried may be chosen too, though it lies outside the trials of today.
    places = range(len(everything))
    found = best_trials(
        beliefs,
        list(places),
        list(range(len(recipes), len(everything))),
        seed=seed,
        count=count,
        objective=objective_values(problem, everything) if priced else None,
        probability=problem.probability if priced else None,
    )
    unit = f"{frame.book.currency}/t".lstrip("/") if priced else "probability"
    least = LEAST_SAVING * abs(answer.best.objective) if priced else LEAST_GAIN
    telling = [one for one in found if one.gain >= least]
    if not telling and not found:
        return (_confirming(frame, best, unit, serves=answer.best.feasible),)
    if not telling:  # the best of them is named all the same: whether to make it is a matter of its price
        telling = list(found[:1])
    return tuple(_trial(frame, everything[one.place], one, unit) for one in telling)


def _candidates(frame: Frame, near: Floats, rng: np.random.Generator) -> Floats:
    """Give blends that may be tried: within the bounds, in steps of the laboratory, no repeats."""
    problem = frame.problem
    allowed = recipe_region(problem.lower, problem.upper, groups=problem.groups)
    within = region_of(problem)
    if allowed is None or within is None:
        return np.zeros((0, len(problem.components)))
    spread = _thinned(spread_recipes(within, rng=rng, count=CANDIDATES), CANDIDATES)
    beyond = within.origin + BEYOND * (spread - within.origin)
    some = np.concatenate([near[:1], _thinned(near, CANDIDATES // 2), spread, beyond])
    some = some[allowed.holds(some)]
    if not len(some):
        return some
    rounded = np.unique(np.array([_stepped(one) for one in some]), axis=0)
    kept = allowed.holds(rounded) & ~_repeats(frame, rounded)
    return np.asarray(rounded[kept])


def _stepped(shares: Floats) -> Floats:
    """Round shares to the steps of the laboratory, the largest taking what is left."""
    step = STEP_PERCENT / 100.0
    rounded = np.round(np.maximum(shares, 0.0) / step) * step
    largest = int(np.argmax(rounded))
    rounded[largest] += 1.0 - rounded.sum()
    return np.round(rounded, 9)


def _tried(frame: Frame) -> Floats:
    names = frame.problem.components
    rows = [
        [trial.percent.get(name, 0.0) / sum(trial.percent.values()) for name in names]
        for trial in frame.book.trials
    ]
    return np.array(rows).reshape(-1, len(names))


def _repeats(frame: Frame, recipes: Floats) -> NDArray[np.bool_]:
    """Tell which recipes repeat a trial: no share differs by more than a part of its room."""
    tried = _tried(frame)
    if not len(tried):
        return np.zeros(len(recipes), dtype=bool)
    room = np.array(frame.problem.upper) - np.array(frame.problem.lower)
    least = np.maximum(np.minimum(REPEAT_PERCENT / 100.0, 0.05 * room), 1e-6)
    apart = np.abs(recipes[:, None, :] - tried[None, :, :]) / least
    return np.asarray((apart.max(axis=2) <= 1.0).any(axis=1))


def _trial(frame: Frame, shares: Floats, found: TrialGain, unit: str) -> NextTrial:
    windows = kept_windows(frame.problem.limits, frame.problem.surfaces)
    order = np.argsort([-gain for gain in found.by_test], kind="stable")
    titles = [frame.problem.limits[windows[row].limits[0]].title for row in order]
    open_first = [limit.title for limit in frame.untested]
    telling = titles[0]
    reason = f"{_gain_words(frame, found, unit)} '{telling}' tells most."
    if open_first:
        reason += " The limits that no trial tells of yet come first."
    return NextTrial(
        percent=_percent(frame, shares),
        gain=found.gain,
        gain_unit=unit,
        tests=tuple(dict.fromkeys((*open_first, *titles))),
        reason=reason,
        gain_error=found.gain_error,
    )


def _gain_words(frame: Frame, found: TrialGain, unit: str) -> str:
    """Say what a trial is expected to bring, with the error of that number, and what that is worth."""
    if unit == "probability":
        gain, error = 100.0 * found.gain, 100.0 * found.gain_error
        if gain < _ERRORS * error or found.gain < LEAST_GAIN:
            return (
                "No rise of the probability of the best recipe can be told from none "
                f"({gain:.2g} ± {error:.1g} points): more trials hardly help; this one is the best of them."
            )
        return (
            f"It is expected to raise the probability of the best recipe by {gain:.2g} ± {error:.1g} points."
        )
    tonnes = frame.book.aim.tank_kg / 1000.0
    currency = frame.book.currency or "in money"
    if found.gain < _ERRORS * found.gain_error or found.gain <= 0.0:
        return (
            f"No saving can be told from none ({found.gain:.2g} ± {found.gain_error:.1g} {unit}): as to cost "
            "no trial is needed; this one is the best of them."
        )
    return (
        f"It is expected to save {found.gain:.2g} ± {found.gain_error:.1g} {unit} by less doubt: "
        f"{found.gain * tonnes:.2g} {currency} on a tank of {tonnes:g} t; hold that "
        "against the price of the trial."
    )


def _confirming(frame: Frame, best: Floats, unit: str, *, serves: bool) -> NextTrial:
    """Give the chosen recipe itself: nothing else is expected to change it."""
    titles = [limit.title for limit in (*frame.untested, *frame.problem.limits)]
    return NextTrial(
        percent=_percent(frame, _stepped(best)),
        gain=0.0,
        gain_unit=unit,
        tests=tuple(dict.fromkeys(titles)),
        reason="No further trial is expected to change the recipe: make it, and test it as a confirmation."
        if serves
        else "No trial within the bounds is expected to bring a recipe that serves: this one comes nearest. "
        "Wider bounds or another component are needed.",
    )


def _percent(frame: Frame, shares: Floats) -> dict[str, float]:
    """Give a stepped recipe in percent without the dust of binary numbers."""
    return {name: round(share, 6) for name, share in frame.percent(shares).items()}


def _filling(frame: Frame, count: int, seed: int) -> tuple[NextTrial, ...]:
    """Give blends that lie farthest from all trials, one after another: where little is known yet."""
    problem = frame.problem
    region = recipe_region(problem.lower, problem.upper, groups=problem.groups) or region_of(problem)
    if region is None:
        raise InputError(no_room_words(frame))
    spread = spread_recipes(region, rng=np.random.default_rng(seed), count=200)
    some = np.unique(np.array([_stepped(one) for one in spread]), axis=0)
    some = some[region.holds(some)]
    room = np.maximum(np.array(problem.upper) - np.array(problem.lower), 1e-9)
    tried = [*_tried(frame)] or [region.origin]
    tests = tuple(dict.fromkeys(limit.title for limit in (*frame.untested, *problem.limits)))
    found = []
    for _ in range(count):
        apart = np.stack([np.abs((some - one) / room).max(axis=1) for one in tried]).min(axis=0)
        best = some[int(np.argmax(apart))]
        tried.append(best)
        found.append(
            NextTrial(
                percent=_percent(frame, best),
                gain=0.0,
                gain_unit="probability",
                tests=tests,
                reason=f"Too little is known yet to weigh gains: {recipe_words(frame.percent(best))} lies "
                "farthest from every trial so far.",
            )
        )
    return tuple(found)


def _thinned(recipes: Floats, count: int) -> Floats:
    rows = np.asarray(recipes)
    if len(rows) <= count:
        return rows
    return np.asarray(rows[np.linspace(0, len(rows) - 1, count).astype(int)])
