"""The money view: what a price rule of the contract makes of a result, apart from the verdict."""

from __future__ import annotations

from collections.abc import Sequence

from resile.records.price import PriceView
from resile.report.numbers import NOT_KNOWN, fixed, shown, shown_limit, shown_probability, shown_temperature
from resile.report.paper.models.model import RIGHT, Column, Section, Table
from resile.report.words import CONDITION_WORDS, symbol_of

PREVAILS = (
    "An aid to talk about money, not part of the statement of conformity. The contract prevails: its rule, "
    "its edition, its rounding, its way to settle a dispute."
)


def price_sentence(view: PriceView) -> str:
    """Say factor, value and rule in one sentence.

    Parameters
    ----------
    view : PriceView
        A price factor.

    Returns
    -------
    str
        Ends with what it may mean for the lot.
    """
    rule, result = view.rule, view.result
    at = f" at {shown_temperature(result.temperature_c)}" if result.temperature_c is not None else ""
    unit = f" {rule.unit}" if rule.unit else ""
    value = shown(result.value, rule.quantity)
    against = f", limit {shown_limit(view.limit, rule.quantity)}{unit}" if view.limit is not None else ""
    lot = "; the lot may be declared defective" if view.may_be_defective else ""
    return (
        f"{result.sample}: price factor {fixed(view.factor, rule.factor_decimals)} by {rule.identifier}, "
        f"from {symbol_of(rule.quantity)} {value}{unit}, {CONDITION_WORDS[result.condition]}{at}{against}"
        f"{lot}."
    )


def price_more(view: PriceView) -> tuple[str, ...]:
    """Say how surely: the expected factor, and where the rule comes from.

    Parameters
    ----------
    view : PriceView
        A price factor.

    Returns
    -------
    tuple of str
        Sentences.
    """
    rule = view.rule
    sentences = []
    if view.expected_factor is None:
        sentences.append("No uncertainty is known for this value, so no expected factor is given.")
    else:
        uncertainty = view.result.uncertainty
        basis = f" ({uncertainty.basis})" if uncertainty else ""
        mean = fixed(view.expected_factor, 2)
        words = f"Over the uncertainty of the value{basis} the factor is {mean} on average"
        words += f"; full price with probability {shown_probability(view.full_price_probability)}"
        if view.defective_probability is not None:
            words += f", defective with {shown_probability(view.defective_probability)}"
        sentences.append(f"{words}.")
    unchecked = "" if rule.checked else ", not checked against the document"
    edition = f" ({rule.edition})" if rule.edition else ""
    sentences.append(
        f"Rule: {rule.title}. Source: {rule.document}{edition}, {rule.evidence or 'own'}{unchecked}."
    )
    return tuple(sentences)


def price_table(views: Sequence[PriceView]) -> Table:
    """Give the factor of every view with what would change it.

    Parameters
    ----------
    views : sequence of PriceView
        Of one or two laboratories.

    Returns
    -------
    Table
        One row a value.
    """
    rows: list[tuple[str, ...]] = []
    strong = []
    for view in views:
        strong.append(len(rows))
        rows.append(_row(view, "as found", view.result.value, view.factor))
        rows += [_row(view, one.title, one.value, one.factor) for one in view.changes]
    columns = (
        Column("Rule", share=2.4),
        Column("Sample", share=1.2),
        Column("Property", share=1.0),
        Column("At", RIGHT, 0.9),
        Column("Change", share=2.0),
        Column("Value", RIGHT, 1.0),
        Column("Factor", RIGHT, 0.8),
    )
    return Table("Price factor, and what would change it", columns, tuple(rows), PREVAILS, tuple(strong))


def _row(view: PriceView, title: str, value: float | None, factor: float) -> tuple[str, ...]:
    rule, result = view.rule, view.result
    at = shown_temperature(result.temperature_c) if result.temperature_c is not None else NOT_KNOWN
    unit = f" {rule.unit}" if rule.unit else ""
    return (
        rule.identifier,
        result.sample,
        symbol_of(rule.quantity),
        at,
        title,
        f"{shown(value, rule.quantity)}{unit}",
        fixed(factor, rule.factor_decimals),
    )


def price_sections(views: Sequence[PriceView]) -> tuple[Section, ...]:
    """Give the money view as a section of the page; none where no price rule was agreed.

    Parameters
    ----------
    views : sequence of PriceView
        Price factors.

    Returns
    -------
    tuple of Section
        One or none.
    """
    if not views:
        return ()
    sentences = [words for view in views for words in (price_sentence(view), *price_more(view))]
    notes = tuple(dict.fromkeys(note for view in views for note in view.rule.notes))
    return (
        Section(
            key="money",
            title="Money view",
            paragraphs=tuple(dict.fromkeys(sentences)),
            tables=(price_table(views),),
            bullets=notes,
            bullets_title="How the rule was read" if notes else "",
        ),
    )
