"""Short words for limits and shares of a blend, the same on page, paper, picture and terminal."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from resile.records.blending.book import BlendBook
from resile.records.blending.design import BlendDesign, Rescue
from resile.records.blending.limit import BlendLimit, Response
from resile.records.blending.portfolio import Portfolio
from resile.records.blending.recipe import NextTrial, Recipe
from resile.records.quantity import QUANTITIES
from resile.report.numbers import fixed, shown, shown_limit, shown_probability, shown_step
from resile.report.words import CONDITION_WORDS, symbol_of

ALWAYS_TEST = "A calculation from trial blends: always test the first batch before anything is promised."
SIGNS = {"maximum": "≤", "minimum": "≥"}


def short_limit(limit: BlendLimit) -> str:
    """Give a limit in a few letters: ``Jnr3.2 ≤ 2.0``.

    Parameters
    ----------
    limit : BlendLimit
        The limit.

    Returns
    -------
    str
        Symbol, sign, value; the symbol between bars for an absolute value.
    """
    symbol = symbol_of(limit.response.quantity)
    name = f"|{symbol}|" if limit.absolute else symbol
    return f"{name} {SIGNS[limit.bound]} {limit_number(limit)}"


def limit_number(limit: BlendLimit) -> str:
    """Give the value of a limit as it was written; one raised for hot storage rounded, with what is asked."""
    quantity = limit.response.quantity
    if limit.asked is None:
        return shown_limit(limit.value, quantity)
    return f"{shown(limit.value, quantity)} ({shown_limit(limit.asked, quantity)} asked)"


def limit_with_unit(limit: BlendLimit) -> str:
    """Give sign, value and unit of a limit: ``≤ 2.0 1/kPa``."""
    unit = unit_of(limit.response)
    quantity, unit = limit.response.quantity, f" {unit}" if unit else ""
    if limit.asked is None:
        return f"{SIGNS[limit.bound]} {limit_number(limit)}{unit}"
    asked = f"{SIGNS[limit.bound]} {shown_limit(limit.asked, quantity)}{unit}"
    return f"{asked} asked, {shown(limit.value, quantity)} with hot storage"


def unit_of(response: Response) -> str:
    """Give the unit of a property; empty for a bare number."""
    known = QUANTITIES.get(response.quantity)
    return known.unit if known else ""


def title_of_response(response: Response) -> str:
    """Give a property in words."""
    known = QUANTITIES.get(response.quantity)
    return known.title if known else response.quantity


def response_words(response: Response) -> str:
    """Give property, residue and temperature: ``Jnr3.2, short-term-aged, 64 °C``."""
    symbol = symbol_of(response.quantity)
    return f"{symbol}, {CONDITION_WORDS[response.condition]}{at_words(response)}"


def at_words(response: Response) -> str:
    """Give the test temperature after a comma; empty where there is none."""
    if response.temperature_c is None:
        return ""
    return f", {shown_step(response.temperature_c)} °C".replace("-", "−")


def percent_words(percent: Mapping[str, float], *, decimals: int = 1) -> str:
    """Give a recipe in one line: ``Soft 42.1 %, Hard 33.0 %``; components that are not in it are left out."""
    return ", ".join(
        f"{name} {fixed(share, decimals)} %"
        for name, share in percent.items()
        if share >= 0.5 * 10**-decimals
    )


def design_small_print(design: BlendDesign) -> str:
    """Say what a design rests on, in a line or two."""
    aim = design.book.aim
    document = f" by {aim.specification}" if aim.specification else ""
    return (
        f"{design.grade or 'own limits'}{document}; {len(design.book.trials)} trial blends, "
        f"properties fitted: {len(design.surfaces)}; responses taken as independent given the recipe; seed "
        f"{design.seed}. {ALWAYS_TEST}"
    )


def recipe_answer(book: BlendBook, recipe: Recipe) -> str:
    """Say in a sentence what a recipe keeps, and what it costs."""
    unit = f" {book.currency}/t" if book.currency else " per tonne"
    price = "" if recipe.cost_per_tonne is None else f" at {fixed(recipe.cost_per_tonne, 2)}{unit}"
    words = percent_words(recipe.percent)
    if recipe.probability is None:
        return f"{words}{price}: no trial tells of any limit."
    missed = [
        line for line in recipe.lines if line.margin_standards is not None and line.margin_standards < 0.0
    ]
    kept = f"a batch keeps every limit that trials tell of with {shown_probability(recipe.probability)}"
    if missed:
        return f"{words}{price}: {kept}; expected to miss {'; '.join(line.limit.title for line in missed)}."
    first = f"; {recipe.limiting[0]} is the tightest" if recipe.limiting else ""
    return f"{words}{price}: {kept}{first}."


def rescue_answer(book: BlendBook, rescue: Rescue) -> str:
    """Say in a sentence what to add to a tank, and what it is then."""
    kept = f"keeps every limit that trials tell of with {shown_probability(rescue.recipe.probability)}"
    if not rescue.additions:
        return f"Nothing needs to be added: the tank {kept}."
    parts = ", ".join(
        f"{fixed(one.mass_kg, 0 if float(one.mass_kg).is_integer() else 1)} kg {one.component}"
        for one in rescue.additions
    )
    cost = "" if rescue.added_cost is None else f" for {fixed(rescue.added_cost, 0)} {book.currency}".rstrip()
    return f"Add {parts}{cost}: {fixed(rescue.total_kg, 0)} kg in all, and the tank {kept}."


def trials_answer(book: BlendBook, trials: Sequence[NextTrial]) -> str:
    """Say in a sentence which blend to make next."""
    if not trials:
        return "No further trial within the bounds of the book would tell anything new."
    return f"Make next: {percent_words(trials[0].percent)}. {trials[0].reason}"


def portfolio_answer(portfolio: Portfolio) -> str:
    """Say in a sentence how many recipes serve the demand, and what that costs."""
    count = len(portfolio.tanks)
    currency = f" {portfolio.currency}" if portfolio.currency else ""
    words = f"{count} recipe{'s' * (count != 1)} to keep, {fixed(portfolio.total_cost, 0)}{currency} in all"
    if portfolio.tank_changes:
        words += f" with {portfolio.tank_changes} tank change{'s' * (portfolio.tank_changes != 1)}"
    if portfolio.unserved:
        words += f"; nobody serves {', '.join(one.grade for one in portfolio.unserved)}"
    return f"{words}."
