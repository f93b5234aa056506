"""Tables of few tanks for many grades: what is kept, what each number of recipes costs, who pays."""

from __future__ import annotations

from resile.records.blending.portfolio import Portfolio
from resile.report.blend_words import (
    percent_words,
)
from resile.report.numbers import NOT_KNOWN, fixed
from resile.report.paper.models.model import RIGHT, Column, Table


def tanks_table(portfolio: Portfolio) -> Table:
    """Give the recipes to keep, with the demands they serve."""
    rows = tuple(
        (
            str(number),
            percent_words(tank.recipe.percent),
            "; ".join(f"{one.grade} {fixed(one.amount_t, 0)} t" for one in tank.serves),
            ", ".join(label.grade for label in tank.labels if label.qualifies),
            NOT_KNOWN if tank.recipe.cost_per_tonne is None else fixed(tank.recipe.cost_per_tonne, 2),
            fixed(tank.amount_t, 0),
        )
        for number, tank in enumerate(portfolio.tanks, 1)
    )
    columns = (
        Column("Tank", share=0.5),
        Column("Recipe", share=2.6),
        Column("Serves", share=1.8),
        Column("Qualifies for", share=2.0),
        Column(f"Cost ({portfolio.currency}/t)" if portfolio.currency else "Cost (per t)", RIGHT, 1.0),
        Column("Tonnes", RIGHT, 0.8),
    )
    return Table("Recipes to keep", columns, rows)


def numbers_of_recipes_table(portfolio: Portfolio) -> Table:
    """Give the cheapest plan for each number of recipes."""
    rows = tuple(
        (str(one.recipes), fixed(one.blend_cost, 0), str(one.tank_changes), fixed(one.total_cost, 0))
        for one in portfolio.by_number
    )
    unit = f" ({portfolio.currency})" if portfolio.currency else ""
    columns = (
        Column("Recipes", RIGHT, 0.8),
        Column(f"Components{unit}", RIGHT, 1.2),
        Column("Tank changes", RIGHT, 1.0),
        Column(f"In all{unit}", RIGHT, 1.2),
    )
    return Table("What fewer recipes cost", columns, rows)


def paying_table(portfolio: Portfolio) -> Table:
    """Give the price up to which each additive pays."""
    rows = tuple(
        (
            one.component,
            fixed(one.price_per_tonne, 2),
            NOT_KNOWN if one.pays_up_to is None else fixed(one.pays_up_to, 2),
            one.remark,
        )
        for one in portfolio.paying_prices
    )
    unit = f" ({portfolio.currency}/t)" if portfolio.currency else " (per t)"
    columns = (
        Column("Component", share=1.6),
        Column(f"Price{unit}", RIGHT, 1.0),
        Column("Pays up to", RIGHT, 1.0),
        Column("", share=3.0),
    )
    return Table("At which price an additive pays", columns, rows)
