"""What came of a design, in sentences: recipe, price, probability, or which limits stand in the way."""

from __future__ import annotations

import math

from resile.compute.blending.design.region import recipe_region, region_of
from resile.judge.wording import limit_words, number_words
from resile.records.blending.limit import BlendLimit
from resile.records.blending.recipe import Recipe, RecipeLine
from resile.records.quantity import QUANTITIES
from resile.report.numbers import shown_probability
from resile.workflows.blending.designing.framing import Frame

_LEAST_PERCENT = 0.005
_MOST_NAMED = 3
_MOST_DIGITS = 9
_SURE = 0.999


def recipe_words(percent: dict[str, float]) -> str:
    """Write a recipe, largest share first.

    Parameters
    ----------
    percent : dict of str to float
        Share of each component [%].

    Returns
    -------
    str
        For example ``"60.2 % Soft base, 25.1 % Hard base, 14.7 % Concentrate"``.
    """
    used = sorted(
        ((share, name) for name, share in percent.items() if share >= _LEAST_PERCENT), key=lambda one: -one[0]
    )
    return ", ".join(
        f"{share:.2f} % {name}" if share < 1.0 else f"{share:.1f} % {name}" for share, name in used
    )


def answer_words(frame: Frame, expected: Recipe | None, chosen: Recipe | None, nearest: Recipe | None) -> str:
    """Say what came of a design.

    Parameters
    ----------
    frame : Frame
        What was asked.
    expected, chosen, nearest : Recipe or None
        As in `BlendDesign`.

    Returns
    -------
    str
        A few sentences.
    """
    wanted = f"{100.0 * frame.problem.probability:.10g} %"
    what = frame.aim.grade or "the limits of the book"
    if not frame.problem.limits:
        return f"No trial tells of any limit of {what}: make and test trial blends first."
    said = []
    if frame.untested:
        named = "; ".join(limit.title for limit in frame.untested)
        said.append(
            f"Not yet a design for {what}: no trial tells of {named}. These must be tested before anything "
            "is promised; what follows holds for the other limits."
        )
    if chosen is not None:
        price = _price(frame, chosen)
        said.append(
            f"{_OBJECTIVE[frame.problem.objective]} for {what}: {recipe_words(chosen.percent)}{price}. "
            "A batch keeps every limit that trials tell of with "
            f"{percent_words(chosen.probability, frame.problem.probability)}; "
            f"{wanted} were asked for."
        )
        if expected is not None and frame.problem.objective == "cost":
            less = (chosen.cost_per_tonne or 0.0) - (expected.cost_per_tonne or 0.0)
            if less > 0.005:
                said.append(
                    f"By expected values alone {less:.2f} {frame.book.currency}/t less would do, "
                    f"with {percent_words(expected.probability)} only."
                )
    elif nearest is not None:
        said.append(_miss_words(frame, expected, nearest, wanted, what))
    return " ".join(said)


_OBJECTIVE = {
    "cost": "The cheapest recipe",
    "margin": "The surest recipe",
    "fewest components": "The recipe with the fewest components",
    "smallest change": "The recipe nearest to today's",
}


def no_room_words(frame: Frame) -> str:
    """Say what leaves no recipe at all: bounds, shares bounded together, or the trials.

    Parameters
    ----------
    frame : Frame
        What was asked.

    Returns
    -------
    str
        A sentence.
    """
    problem = frame.problem
    if recipe_region(problem.lower, problem.upper) is None:
        return (
            f"{frame.book.title}: no recipe lies within the dosage bounds, stock and bans; widen them, or "
            "make a smaller batch."
        )
    if problem.groups and recipe_region(problem.lower, problem.upper, groups=problem.groups) is None:
        group = problem.groups[0]
        return (
            f"{frame.book.title}: no recipe within the dosage bounds has {100.0 * group.lowest:g} to "
            f"{100.0 * group.highest:g} % {group.title}; widen one or the other."
        )
    if problem.most_components is not None and region_of(problem) is not None:
        return (
            f"{frame.book.title}: no recipe of at most {problem.most_components} components lies within "
            "the dosage bounds and the trial blends; allow more, or widen the bounds."
        )
    return (
        f"{frame.book.title}: no recipe within the dosage bounds lies within the trial blends; make trials "
        "inside the bounds, or allow recipes beyond the trials."
    )


def _miss_words(frame: Frame, expected: Recipe | None, nearest: Recipe, wanted: str, what: str) -> str:
    if expected is None:
        missed = [
            line
            for line in nearest.lines
            if line.margin_standards is not None and line.margin_standards < 0.0
        ]
        missed.sort(key=lambda line: line.margin_standards or 0.0)
        told = "; ".join(_line_words(line) for line in missed[:_MOST_NAMED])
        tight = sorted(
            (line for line in nearest.lines if line.margin_standards is not None),
            key=lambda line: line.margin_standards or 0.0,
        )
        worst = tight[0].margin_standards or 0.0
        against = [f"'{line.limit.title}'" for line in tight if (line.margin_standards or 0.0) <= worst + 0.1]
        conflict = (
            f"{', '.join(against[:-1])} and {against[-1]} stand against one another"
            if len(against) > 1
            else f"{against[0]} cannot be reached within the bounds"
        )
        return (
            f"No recipe within bounds and trials keeps every limit of {what}: {conflict}. The nearest miss "
            f"is {recipe_words(nearest.percent)}: {told}."
        )
    limiting = " and ".join(f"'{title}'" for title in nearest.limiting[:2])
    return (
        f"No recipe within bounds and trials keeps every limit of {what} with {wanted}: the surest, "
        f"{recipe_words(nearest.percent)}{_price(frame, nearest)}, reaches "
        f"{percent_words(nearest.probability, frame.problem.probability)}; {limiting} stand first in its "
        "way. More trials near it, wider bounds or another component would help."
    )


def _line_words(line: RecipeLine) -> str:
    unit = QUANTITIES[line.limit.response.quantity].unit
    value = line.value if line.value is not None else 0.0
    side = "at most" if line.limit.bound == "maximum" else "at least"
    gap = f" {unit}" if unit else ""
    return (
        f"{line.limit.title} would be {number_words(value, line.limit.value)}{gap} ({side} "
        f"{_asked_words(line.limit)}{gap})"
    )


def limit_sentence(limit: BlendLimit) -> str:
    """Write a limit: title, side, number and unit."""
    unit = QUANTITIES[limit.response.quantity].unit
    side = "at most" if limit.bound == "maximum" else "at least"
    return f"{limit.title} {side} {_asked_words(limit)}{f' {unit}' if unit else ''}"


def _asked_words(limit: BlendLimit) -> str:
    if limit.asked is None:
        return limit_words(limit.value)
    return f"{limit_words(limit.asked)} asked, {number_words(limit.value)} with hot storage"


def _price(frame: Frame, recipe: Recipe) -> str:
    if recipe.cost_per_tonne is None:
        return ""
    return f", at {recipe.cost_per_tonne:.2f} {frame.book.currency}/t".replace(" /t", "/t")


def percent_words(probability: float | None, asked: float = 0.0) -> str:
    """Write a probability, never as a certainty it is not.

    Parameters
    ----------
    probability : float or None
        From 0 to 1; None where it is not known.
    asked : float
        What it is held against: beyond 99.9 % digits are added until both can be told apart.

    Returns
    -------
    str
        For example ``"95.0 %"``, ``"> 99.9 %"``.
    """
    if probability is None:
        return "an unknown probability"
    if asked <= _SURE or probability <= _SURE or probability >= 1.0:
        return shown_probability(probability)
    short = 100.0 * (1.0 - probability)
    return f"{100.0 * probability:.{min(max(1, 1 - math.floor(math.log10(short))), _MOST_DIGITS)}f} %"
