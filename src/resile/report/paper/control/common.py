"""What pages on production under control share."""

from __future__ import annotations

from collections.abc import Sequence

from resile.records.control.production import WatchedProperty
from resile.records.finding import Finding
from resile.report.figures.control.scales import limit_words, property_words
from resile.report.numbers import fixed, shown
from resile.report.paper.models.model import Section, finding_entry
from resile.report.words import heaviest_first

NOT_A_VERDICT = "This looks at production. It is no verdict on any lot, and no certificate."


def findings_section(findings: Sequence[Finding]) -> Section:
    """Give the findings, the heaviest first."""
    doubts = heaviest_first(tuple(findings))
    return Section(key="findings", title="Findings", findings=tuple(finding_entry(one) for one in doubts))


def basis_section(paragraphs: Sequence[str], version: str) -> Section:
    """Give how it was worked out."""
    made = f"Worked out by resile {version}. A calculation aid: the contract and licensed practice prevail."
    return Section(key="basis", title="How it was worked out", paragraphs=(*paragraphs, made))


def identity_of(watched: WatchedProperty, date: str, *more: tuple[str, str]) -> tuple[tuple[str, str], ...]:
    """Give product, property, limit and date for the head of a page."""
    limit = limit_words(watched)
    return (
        ("Product", watched.product),
        ("Property", property_words(watched)),
        *((("Limit", limit),) if limit else ()),
        *more,
        ("Date", date),
    )


def with_unit(value: float, watched: WatchedProperty) -> str:
    """Show a value of a watched property with its unit."""
    return f"{shown(value, watched.quantity)}{f' {watched.unit}' if watched.unit else ''}"


def scatter_words(deviation: float, watched: WatchedProperty) -> str:
    """Show a standard deviation of the watched scale: as a factor and in per cent where that is a "
    "logarithm.
    """
    if watched.scale != "log":
        return f"{deviation:.3g}{f' {watched.unit}' if watched.unit else ''}"
    factor = 10.0**deviation
    return f"× {fixed(factor, 3)} (about {fixed(100.0 * (factor - 1.0), 1)} %)"


def scale_words(watched: WatchedProperty) -> str:
    """Say on which scale the property is judged."""
    if watched.scale == "log":
        return (
            "On a log scale: the logarithm is taken as normal, the product as lognormal; its centre is the "
            "median."
        )
    return "On a linear scale: values are taken as normal."
