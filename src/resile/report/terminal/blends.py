"""Blends in the terminal: a design, a recipe as given, trials to make, a portfolio."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from resile.records.blending.book import BlendBook
from resile.records.blending.design import BlendDesign, Rescue
from resile.records.blending.portfolio import Portfolio
from resile.records.blending.recipe import NextTrial, Recipe
from resile.report.blend_words import (
    design_small_print,
    portfolio_answer,
    recipe_answer,
    rescue_answer,
    trials_answer,
)
from resile.report.numbers import shown_probability
from resile.report.paper.blends.blend_tables import (
    alternatives_table,
    dosing_table,
    limits_table,
    pareto_table,
    recipe_table,
    windows_table,
)
from resile.report.paper.blends.tank_tables import numbers_of_recipes_table, paying_table, tanks_table
from resile.report.paper.blends.trial_tables import next_trials_table, surfaces_table
from resile.report.paper.models.model import Table
from resile.report.terminal.grids import (
    bullet_line,
    finding_lines,
    heading_line,
    page_table,
    sheet_of,
    small_line,
    title_line,
)

if TYPE_CHECKING:
    from rich.console import Group

_INVENTED = "Invented for demonstration: components, prices, trials and numbers are made up."


def render_design(design: BlendDesign, *, full: bool = False) -> Group:
    """Give a design for a terminal.

    Parameters
    ----------
    design : BlendDesign
        As worked out.
    full : bool
        Also every window, the errors of dosing, and what the trials tell.

    Returns
    -------
    rich.console.Group
        Answer, recipe, findings, limits, recipes side by side, cost against probability.
    """
    book = design.book
    recipe = design.chosen or design.expected or design.nearest
    parts: list[Any] = _head(design.answer, book)
    if recipe is None:
        return sheet_of([*parts, *finding_lines(design.findings), *_read(book), ""])
    title = "Recipe" if design.chosen else f"Recipe ({recipe.name})"
    parts += _table(title, recipe_table(book, recipe))
    parts += _batch_words(recipe)
    parts += finding_lines(design.findings)
    parts += _table("Limits", limits_table(recipe), _LIMITS_SHORTER)
    if len(alternatives_table(design).rows) > 1:
        parts += _table("Recipes side by side", alternatives_table(design))
    if design.pareto:
        parts += _table("What more certainty costs", pareto_table(design.pareto, book.currency))
    if full:
        parts += _table("Dose windows", windows_table(recipe))
        if design.dosing is not None:
            parts += _table("Errors of dosing", dosing_table(design.dosing))
        parts += _table("What the trials tell", surfaces_table(design.surfaces))
    return sheet_of([*parts, *_read(book), "", small_line(design_small_print(design)), ""])


def render_recipe(book: BlendBook, recipe: Recipe) -> Group:
    """Give a recipe that somebody asked about.

    Parameters
    ----------
    book : BlendBook
        Where it was predicted from.
    recipe : Recipe
        With its lines.

    Returns
    -------
    rich.console.Group
        Answer, recipe, findings, limits, windows.
    """
    parts = _head(recipe_answer(book, recipe), book)
    parts += _table("Recipe", recipe_table(book, recipe))
    parts += finding_lines(recipe.findings)
    parts += _table("Limits", limits_table(recipe), _LIMITS_SHORTER)
    parts += _table("Dose windows", windows_table(recipe)) if recipe.windows else []
    return sheet_of([*parts, *_read(book), ""])


def render_rescue(book: BlendBook, rescue: Rescue) -> Group:
    """Give what to add to a tank.

    Parameters
    ----------
    book : BlendBook
        Components and trials.
    rescue : Rescue
        The least addition.

    Returns
    -------
    rich.console.Group
        Answer, findings, limits of the tank then.
    """
    parts = _head(rescue_answer(book, rescue), book)
    parts += finding_lines(rescue.findings)
    parts += _table("Limits of the tank then", limits_table(rescue.recipe), _LIMITS_SHORTER)
    return sheet_of([*parts, *_read(book), ""])


def render_next_trials(book: BlendBook, trials: Sequence[NextTrial]) -> Group:
    """Give the blends worth making next.

    Parameters
    ----------
    book : BlendBook
        Trials so far.
    trials : sequence of NextTrial
        The most telling first.

    Returns
    -------
    rich.console.Group
        Answer, blends with their tests, reasons.
    """
    parts = _head(trials_answer(book, trials), book)
    if trials:
        table = next_trials_table(trials)
        parts += ["", heading_line("Trials"), page_table(table, skip=(table.columns[-1].title,))]
        for number, one in enumerate(trials, 1):
            if number == 1 or one.tests != trials[number - 2].tests:
                parts += ["", heading_line(f"Tests of number {number}, the most telling first")]
                parts += [bullet_line(title) for title in one.tests]
        parts += ["", heading_line("Why"), *(bullet_line(one.reason) for one in trials)]
    return sheet_of([*parts, *_read(book), ""])


def render_portfolio(portfolio: Portfolio) -> Group:
    """Give a plan of tanks.

    Parameters
    ----------
    portfolio : Portfolio
        As planned.

    Returns
    -------
    rich.console.Group
        Answer, tanks, cost by number of recipes, prices at which additives pay, findings.
    """
    parts: list[Any] = [title_line(portfolio_answer(portfolio))]
    parts += _table("Recipes to keep", tanks_table(portfolio))
    parts += finding_lines(portfolio.findings)
    if portfolio.by_number:
        parts += _table("What fewer recipes cost", numbers_of_recipes_table(portfolio))
    if portfolio.paying_prices:
        parts += _table("At which price an additive pays", paying_table(portfolio))
    asked = shown_probability(portfolio.probability)
    proven = "the cheapest of these recipes, proven" if portfolio.proven else "the best found, not proven"
    return sheet_of(
        [*parts, "", small_line(f"Each grade with {asked}; {proven}; seed {portfolio.seed}."), ""]
    )


_LIMITS_SHORTER = {"95 % of batches": "95 % of batches", "Margin (s)": "Margin"}


def _head(answer: str, book: BlendBook) -> list[Any]:
    return [*([_INVENTED, ""] if book.invented else []), title_line(answer)]


def _table(title: str, table: Table, shorter: dict[str, str] | None = None) -> list[Any]:
    note = [small_line(table.note)] if table.note else []
    return ["", heading_line(title), page_table(table, shorter=shorter or {}), *note]


def _batch_words(recipe: Recipe) -> list[Any]:
    if recipe.batch_probability is None:
        return []
    words = shown_probability(recipe.batch_probability)
    return [small_line(f"As batched, in steps of the plant: {words} for the whole grade.")]


def _read(book: BlendBook) -> list[Any]:
    if not book.remarks:
        return []
    return ["", heading_line("How the book was read"), *(bullet_line(one) for one in book.remarks)]
