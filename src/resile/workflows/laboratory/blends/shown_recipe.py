"""A recipe as its page shows it: every limit with what is expected, in words and digits."""

from __future__ import annotations

from dataclasses import dataclass

from resile.records.blending.recipe import DoseWindow, Recipe, RecipeLine
from resile.report.blend_words import limit_with_unit
from resile.report.numbers import decimals_of, fixed, rule_for, shown_against, shown_probability

_SURE = 0.999
"""Kept with more than this, a limit decides nothing: it is folded away."""
_ALWAYS_SHOWN = 3


@dataclass(frozen=True, slots=True)
class ShownLine:
    """One limit of a recipe in words.

    Attributes
    ----------
    title, asked, expected, interval, probability, distance : str
        What is limited, the limit, the expected value, the interval of batches, the probability, and the
        distance in standard deviations; empty where no trial tells.
    share : float or None
        The probability as a number.
    standing : str
        ``kept``, ``unsure``, ``missed`` or ``not tested``: how the line stands to what is asked.
    remark : str
        What else is to be known.
    """

    title: str
    asked: str
    expected: str
    interval: str
    probability: str
    distance: str
    share: float | None
    standing: str
    remark: str


@dataclass(frozen=True, slots=True)
class ShownRecipe:
    """A recipe in words.

    Attributes
    ----------
    verdict : str
        How sure the whole grade is, in a sentence.
    reaches : bool
        True where that is as sure as asked for, and every limit was tested.
    cost : str
        Per tonne; empty where a price is missing.
    deciding : tuple of ShownLine
        Limits to look at, the tightest first; the first three of all in any case.
    safe : tuple of ShownLine
        The others: each as good as certain to be kept.
    windows : tuple of (str, str)
        Component, and how far its dose may move.
    """

    verdict: str
    reaches: bool
    cost: str
    deciding: tuple[ShownLine, ...]
    safe: tuple[ShownLine, ...]
    windows: tuple[tuple[str, str], ...]


def shown_recipe(recipe: Recipe, *, required: float, currency: str) -> ShownRecipe:
    """Give a recipe as its page shows it.

    Parameters
    ----------
    recipe : Recipe
        With its lines.
    required : float
        Probability asked for.
    currency : str
        Of its cost.

    Returns
    -------
    ShownRecipe
        In words.
    """
    lines = sorted(recipe.lines, key=_tightest_first)
    doubtful = sum(line.probability is None or line.probability <= _SURE for line in lines)
    shown = tuple(_line(line, required) for line in lines)
    first = max(doubtful, _ALWAYS_SHOWN)
    return ShownRecipe(
        verdict=_verdict(recipe, required),
        reaches=not recipe.untested and (recipe.probability or 0.0) >= required - 1e-6,
        cost=""
        if recipe.cost_per_tonne is None
        else f"{fixed(recipe.cost_per_tonne, 2)} {currency or 'money'} per tonne",
        deciding=shown[:first],
        safe=shown[first:],
        windows=tuple((one.component, _window(one)) for one in recipe.windows),
    )


def _verdict(recipe: Recipe, required: float) -> str:
    if recipe.probability is None:
        return "No trial tells of any limit yet."
    asked = f"{fixed(100.0 * required, 1).removesuffix('.0')} % are asked for"
    words = f"A batch keeps every limit with {shown_probability(recipe.probability)}; {asked}."
    if not recipe.untested:
        return words
    count = len(recipe.untested)
    left = "one limit" if count == 1 else f"{count} limits"
    return (
        f"A batch keeps every limit that trials tell of with {shown_probability(recipe.probability)}; "
        f"{asked}. No trial tells of {left}: not counted as kept."
    )


def _tightest_first(line: RecipeLine) -> tuple[bool, float]:
    return (line.probability is not None, line.probability if line.probability is not None else 0.0)


def _line(line: RecipeLine, required: float) -> ShownLine:
    quantity = line.limit.response.quantity
    asked = limit_with_unit(line.limit)
    remarks = ["outside the trials of this property"] if line.extrapolated else []
    remarks += [line.limit.clause] if line.limit.clause else []
    if line.value is None or line.lower is None or line.upper is None:
        return ShownLine(
            line.limit.title, asked, "", "", "", "", None, "not tested", "; ".join(["test it", *remarks])
        )
    decimals = decimals_of(line.value, rule_for(quantity))
    return ShownLine(
        title=line.limit.title,
        asked=asked,
        expected=shown_against(line.value, line.limit.value, quantity),
        interval=f"{fixed(line.lower, decimals)} to {fixed(line.upper, decimals)}",
        probability=shown_probability(line.probability),
        distance=fixed(line.margin_standards, 1, signed=True),
        share=line.probability,
        standing=_standing(line.probability or 0.0, line.margin_standards or 0.0, required),
        remark="; ".join(remarks),
    )


def _standing(probability: float, margin: float, required: float) -> str:
    if margin < 0.0:
        return "missed"
    return "kept" if probability >= required else "unsure"


def _window(one: DoseWindow) -> str:
    def reach(low: float, high: float, ends: tuple[str, str]) -> str:
        told = [f"{side} by {end}" for side, end in zip(("below", "above"), ends, strict=True) if end]
        return f"{fixed(low, 1)} to {fixed(high, 1)} %" + (f" (ended {', '.join(told)})" if told else "")

    words = f"as expected {reach(one.lowest_percent, one.highest_percent, one.ends_by)}"
    if one.sure_lowest_percent is None or one.sure_highest_percent is None:
        return words
    sure = reach(one.sure_lowest_percent, one.sure_highest_percent, one.sure_ends_by)
    return f"as sure as asked {sure}; {words}"
