"""Tables of a recipe: shares, limits, windows, alternatives, cost, batch, dosing."""

from __future__ import annotations

from collections.abc import Sequence

from resile.records.blending.book import BlendBook
from resile.records.blending.design import BlendDesign, DosingSensitivity, ParetoPoint
from resile.records.blending.recipe import DoseWindow, Recipe, RecipeLine
from resile.report.blend_words import (
    limit_with_unit,
    percent_words,
    response_words,
)
from resile.report.numbers import NOT_KNOWN, fixed, shown, shown_probability
from resile.report.paper.models.model import RIGHT, Column, Table

_MOST_MARGIN = 10.0

UNTESTED = "not tested"


def recipe_table(book: BlendBook, recipe: Recipe) -> Table:
    """Give the components of a recipe with window, price and mass in the tank."""
    masses = {line.component: line.mass_kg for line in recipe.batch}
    windows = {window.component: window for window in recipe.windows}
    rows = tuple(
        (
            one.name,
            fixed(recipe.percent.get(one.name, 0.0), 1),
            _window_words(windows.get(one.name)),
            _sure_words(windows.get(one.name)),
            NOT_KNOWN if one.price_per_tonne is None else fixed(one.price_per_tonne, 2),
            _kilograms(masses.get(one.name)),
        )
        for one in book.components
        if not one.banned
    )
    unit = f" ({book.currency}/t)" if book.currency else " (per t)"
    columns = (
        Column("Component", share=2.2),
        Column("Share (%)", RIGHT, 1.0),
        Column("May be (%)", RIGHT, 1.3),
        Column("Surely (%)", RIGHT, 1.3),
        Column(f"Price{unit}", RIGHT, 1.3),
        Column("Batch (kg)", RIGHT, 1.1),
    )
    note = (
        "May be: how far the dose moves, the others keeping their ratio, before an expected value meets a "
        "limit. Surely: before the whole grade is less probable than "
        f"{shown_probability(book.aim.probability)}."
    )
    return Table("Recipe", columns, rows, note)


def _kilograms(mass: float | None) -> str:
    return NOT_KNOWN if mass is None else fixed(mass, 0 if float(mass).is_integer() else 1)


def _window_words(window: DoseWindow | None) -> str:
    if window is None:
        return NOT_KNOWN
    return f"{fixed(window.lowest_percent, 1)} to {fixed(window.highest_percent, 1)}"


def _sure_words(window: DoseWindow | None) -> str:
    if window is None or window.sure_lowest_percent is None or window.sure_highest_percent is None:
        return NOT_KNOWN
    return f"{fixed(window.sure_lowest_percent, 1)} to {fixed(window.sure_highest_percent, 1)}"


def limits_table(recipe: Recipe) -> Table:
    """Give every limit with what the recipe is expected to show, the least sure first."""
    lines = sorted(recipe.lines, key=_least_sure)
    rows = tuple(_limit_row(line) for line in lines)
    columns = (
        Column("Limit", share=3.4),
        Column("Asked", RIGHT, 1.3),
        Column("Expected", RIGHT, 1.1),
        Column("95 % of batches", RIGHT, 1.6),
        Column("Margin (s)", RIGHT, 0.9),
        Column("Kept with", RIGHT, 1.1),
    )
    strong = tuple(
        place
        for place, line in enumerate(lines)
        if line.margin_standards is None or line.margin_standards < 0.0
    )
    note = (
        "Margin: distance of the expected value to the limit, in standard deviations of a batch. Limits are "
        "those of the specification, and own limits where the book states them."
    )
    if any(line.extrapolated for line in lines):
        note += " ‡ outside the trials of this property."
    return Table("Limits", columns, rows, note, strong)


def _least_sure(line: RecipeLine) -> float:
    return -1e9 if line.margin_standards is None else line.margin_standards


def _limit_row(line: RecipeLine) -> tuple[str, ...]:
    quantity = line.limit.response.quantity
    title = line.limit.title or response_words(line.limit.response)
    asked = limit_with_unit(line.limit)
    if line.value is None:
        return (title, asked, UNTESTED, NOT_KNOWN, NOT_KNOWN, NOT_KNOWN)
    return (
        f"{title}{' ‡' if line.extrapolated else ''}",
        asked,
        shown(line.value, quantity),
        f"{shown(line.lower, quantity)} to {shown(line.upper, quantity)}",
        margin_words(line.margin_standards),
        shown_probability(line.probability),
    )


def margin_words(margin: float | None) -> str:
    """Give a margin in standard deviations; far ones are not told to the tenth."""
    if margin is None:
        return NOT_KNOWN
    return f"> {_MOST_MARGIN:.0f}" if margin > _MOST_MARGIN else fixed(margin, 1)


def windows_table(recipe: Recipe) -> Table:
    """Give what ends the window of each dose."""
    rows = tuple(
        row
        for window in recipe.windows
        for row in (
            (window.component, "may be", _window_words(window), *window.ends_by),
            *(
                ((window.component, "surely", _sure_words(window), *window.sure_ends_by),)
                if window.sure_lowest_percent is not None
                else ()
            ),
        )
    )
    columns = (
        Column("Component", share=1.6),
        Column("Window", share=0.8),
        Column("Dose (%)", RIGHT, 1.1),
        Column("Ends below by", share=2.4),
        Column("Ends above by", share=2.4),
    )
    return Table("Dose windows", columns, rows)


def alternatives_table(design: BlendDesign) -> Table:
    """Give the recipes side by side: the chosen one, its like, the one as expected, today's."""
    names = [one.name for one in design.book.components if not one.banned]
    recipes = list(design.alternatives or ((design.chosen,) if design.chosen else ()))
    recipes += [one for one in (design.expected, design.nearest) if one is not None]
    rows = tuple(
        (
            recipe.name,
            *(fixed(recipe.percent.get(name, 0.0), 1) for name in names),
            NOT_KNOWN if recipe.cost_per_tonne is None else fixed(recipe.cost_per_tonne, 2),
            shown_probability(recipe.probability),
        )
        for recipe in recipes
    )
    unit = f" ({design.book.currency}/t)" if design.book.currency else " (per t)"
    columns = (
        Column("Recipe", share=2.2),
        *(Column(f"{name} (%)", RIGHT, 1.2) for name in names),
        Column(f"Cost{unit}", RIGHT, 1.2),
        Column("Whole grade", RIGHT, 1.1),
    )
    note = ""
    if design.alternatives:
        note = (
            f"Alternatives cost at most {design.cost_tolerance_percent:g} % more than the chosen recipe and "
            "differ from it, and from each other, as much as may be."
        )
    return Table("Recipes side by side", columns, rows, note, (0,) if rows and design.chosen else ())


def pareto_table(points: Sequence[ParetoPoint], currency: str) -> Table:
    """Give what each step of certainty costs; the last point is the surest recipe there is."""
    rows = tuple(
        (
            f"{shown_probability(p.probability)}{', the surest' if p is points[-1] else ''}",
            fixed(p.cost_per_tonne, 2),
            percent_words(p.percent),
        )
        for p in points
    )
    columns = (
        Column("Whole grade", RIGHT, 1.0),
        Column(f"Cost ({currency}/t)" if currency else "Cost (per t)", RIGHT, 1.0),
        Column("Recipe", share=4.0),
    )
    return Table("What more certainty costs", columns, rows)


def batch_table(recipe: Recipe) -> Table:
    """Give the masses of a batch."""
    rows = tuple(
        (line.component, _kilograms(line.mass_kg), fixed(line.percent, 2))
        for line in recipe.batch
        if line.mass_kg > 0.0
    )
    total = (
        "in all",
        _kilograms(sum(line.mass_kg for line in recipe.batch)),
        fixed(sum(line.percent for line in recipe.batch), 2),
    )
    columns = (
        Column("Component", share=3.0),
        Column("Mass (kg)", RIGHT, 1.2),
        Column("Share (%)", RIGHT, 1.2),
    )
    return Table("Batch, in steps of the plant", columns, (*rows, total), strong=(len(rows),))


def dosing_table(dosing: DosingSensitivity) -> Table:
    """Give what an error of the scales does."""
    rows = tuple(
        (
            one.component,
            fixed(one.standard_kg, 1),
            shown_probability(one.probability_less),
            shown_probability(one.probability_more),
        )
        for one in dosing.effects
    )
    columns = (
        Column("Component", share=2.4),
        Column("Scales (kg, standard)", RIGHT, 1.3),
        Column("Dosed short by two of them", RIGHT, 1.6),
        Column("Dosed over by two of them", RIGHT, 1.6),
    )
    note = (
        f"Whole grade of the batch: {shown_probability(dosing.probability)} with exact doses, "
        f"{shown_probability(dosing.probability_dosed)} over the errors of all scales ({dosing.draws} draws)."
    )
    return Table("Errors of dosing", columns, rows, note)
