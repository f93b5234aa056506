"""The money view in the terminal."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from resile.records.price import PriceRule, PriceView
from resile.report.numbers import fixed, shown_limit
from resile.report.paper.choosing.price import PREVAILS, price_more, price_sentence, price_table
from resile.report.terminal.grids import (
    bullet_line,
    fact_lines,
    heading_line,
    page_table,
    sheet_of,
    small_line,
    title_line,
)
from resile.report.words import CONDITION_WORDS, title_of


def price_lines(views: Sequence[PriceView]) -> list[Any]:
    """Give the money view in full; nothing where no price rule was agreed.

    Parameters
    ----------
    views : sequence of PriceView
        Price factors.

    Returns
    -------
    list
        Lines and a table.
    """
    if not views:
        return []
    told = dict.fromkeys(words for view in views for words in (price_sentence(view), *price_more(view)))
    table = page_table(price_table(views), skip=("Rule",))
    return ["", heading_line("Money view"), *told, "", table, small_line(PREVAILS)]


def price_brief(views: Sequence[PriceView]) -> list[Any]:
    """Give one sentence a price factor.

    Parameters
    ----------
    views : sequence of PriceView
        Price factors.

    Returns
    -------
    list
        Lines; none where no price rule was agreed.
    """
    if not views:
        return []
    return ["", heading_line("Money view"), *map(price_sentence, views), small_line(PREVAILS)]


def render_price_rule(rule: PriceRule) -> Any:
    """Give the sheet of one price rule.

    Parameters
    ----------
    rule : PriceRule
        As loaded.

    Returns
    -------
    rich.console.Group
        Identity, what it asks, its line or steps, how it was read.
    """
    unit = f" {rule.unit}" if rule.unit else ""
    facts = [
        ("Document", f"{rule.document} ({rule.edition or 'edition not stated'})"),
        ("Evidence", rule.evidence or "own"),
        ("Checked", rule.checked or "not checked against the document"),
        ("Property", f"{title_of(rule.quantity)}, {CONDITION_WORDS[rule.condition]}, a {rule.bound}"),
        (
            "Limit",
            f"{shown_limit(rule.limit, rule.quantity)}{unit}" if rule.limit is not None else "the contract's",
        ),
    ]
    if rule.steps:
        side = "from" if rule.bound == "minimum" else "up to"
        facts += [
            (
                f"{side} {shown_limit(step.edge, rule.quantity)}{unit}",
                fixed(step.factor, rule.factor_decimals),
            )
            for step in rule.steps
        ]
        facts.append(("beyond", fixed(rule.lowest_factor, rule.factor_decimals)))
    else:
        facts += [
            ("Full price", f"within {rule.allowance:g}{unit} of the limit"),
            ("Each unit beyond", f"costs {rule.loss_per_unit:g} of the price"),
        ]
    if rule.defective_at_most is not None:
        facts.append(("May be defective", f"with a factor of {rule.defective_at_most:g} or less"))
    notes = [bullet_line(note) for note in rule.notes]
    head = title_line(f"{rule.identifier}: {rule.title}")
    return sheet_of([head, "", *fact_lines(tuple(facts)), "", *notes, small_line(PREVAILS)])
