"""Tables of a product in the monthly report."""

from __future__ import annotations

from collections.abc import Iterator

from resile.records.control.month import MonthChart, MonthOfProduct
from resile.report.paper.models.model import RIGHT, Column, Table

_WEIGHTS = {"wrong": "wrong", "missing": "papers missing", "look": "to find out"}
_BOUNDS = {"at_most": "at most", "at_least": "at least"}


def month_tables(product: MonthOfProduct) -> Iterator[Table]:
    """Give the tables of a product: signals, changes, margins, failures, loads, settings.

    Parameters
    ----------
    product : MonthOfProduct
        As gathered; a table without rows is left out.
    """
    for table in (
        _signals(product),
        _changes(product),
        _margins(product),
        _failed(product),
        _misfits(product),
        _settings(product),
    ):
        if table.rows:
            yield table


def _signals(product: MonthOfProduct) -> Table:
    return Table(
        "Signals of the month",
        (
            Column("No.", RIGHT, 0.4),
            Column("Property", share=1.4),
            Column("Lot", share=0.8),
            Column("Day", share=0.9),
            Column("What was seen", share=2.6),
            Column("What was found", share=2.0),
        ),
        tuple(
            (one.mark, chart.title, one.lot, one.day, one.text, one.answer or "not looked into yet")
            for chart in product.charts
            for one in chart.signals
        ),
    )


def _changes(product: MonthOfProduct) -> Table:
    return Table(
        "Changes of level",
        (
            Column("Property", share=1.5),
            Column("Between", share=1.4),
            Column("Before", RIGHT, 0.8),
            Column("After", RIGHT, 0.8),
            Column("Perhaps, and the test that tells", share=3.0),
        ),
        tuple(
            (
                chart.title,
                f"{one.earliest[:10]} and {one.latest[:10]}",
                f"{one.before:.3g}",
                f"{one.after:.3g}",
                "; ".join(f"{each.kind}: {each.test_to_confirm}" for each in one.suggestions)
                or ("back to the level of the set-up" if one.when in chart.back else "no known pattern"),
            )
            for chart in product.charts
            for one in chart.changes
        ),
        "What may have caused a change is a suggestion with the test that would confirm it, never a verdict.",
    )


def _margins(product: MonthOfProduct) -> Table:
    return Table(
        "Against the limit",
        (
            Column("Property", share=2.0),
            Column("Limit", RIGHT, 1.2),
            Column("Lies at", RIGHT, 0.8),
            Column("Aim at", RIGHT, 0.8),
            Column("Ppk", RIGHT, 0.6),
            Column("Expected beyond", RIGHT, 1.2),
        ),
        tuple(
            (
                chart.title,
                f"{_BOUNDS[stated.watched.limit_is]} {stated.watched.limit:g}{unit_words(chart)}",
                f"{stated.centre:.3g}",
                f"{chart.target.target:.3g}" if chart.target else "not known",
                f"{stated.performance.index:.2f}",
                share_words(stated.share_beyond),
            )
            for chart in product.charts
            if (stated := chart.capability) is not None
        ),
    )


def _failed(product: MonthOfProduct) -> Table:
    return Table(
        "Lots that failed",
        (Column("Lot"), Column("Samples"), Column("Sampled on"), Column("Loads", RIGHT)),
        tuple((one.lot, one.numbers, one.day, str(one.loads)) for one in product.failed),
    )


def _misfits(product: MonthOfProduct) -> Table:
    return Table(
        "Loads that do not fit their papers",
        (
            Column("Load", share=0.8),
            Column("Left", share=0.9),
            Column("Weighs", share=0.9),
            Column("Found", share=2.6),
            Column("What to do", share=2.8),
        ),
        tuple((one.load, one.day, _WEIGHTS[one.weight], one.said, one.action) for one in product.misfits),
    )


def _settings(product: MonthOfProduct) -> Table:
    return Table(
        "Changes of the charts",
        (Column("Chart", share=1.5), Column("What and why", share=3.0)),
        tuple((chart.title, words) for chart in product.charts for words in chart.settings),
    )


def unit_words(chart: MonthChart) -> str:
    """Give the unit of a chart behind a blank; empty for a bare number."""
    unit = chart.chart.property.unit if chart.chart else ""
    return f" {unit}" if unit else ""


def share_words(share: float) -> str:
    """Give a share in per cent, as few digits as tell it."""
    return "under 0.01 %" if share < 1e-4 else f"{100.0 * share:.2g} %"
