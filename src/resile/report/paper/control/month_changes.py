"""What a month changed, in sentences, and where every property stood beside the month before."""

from __future__ import annotations

from collections.abc import Iterator

from resile.records.control.month import MonthChart, MonthLevel, MonthOfProduct, MonthReport
from resile.report.figures.control.scales import limit_words
from resile.report.numbers import shown
from resile.report.paper.control.month_tables import unit_words
from resile.report.paper.models.model import RIGHT, Column, Table

_MOVED = {"up": "\N{BLACK UP-POINTING TRIANGLE} up", "down": "\N{BLACK DOWN-POINTING TRIANGLE} down"}
_SIGNALS_NAMED = 5


def month_changes(report: MonthReport) -> Iterator[str]:
    """Say what a month changed, a sentence each; what stayed is told in one.

    Parameters
    ----------
    report : MonthReport
        As gathered.
    """
    stayed = []
    for product in report.products:
        for chart in product.charts:
            said = list(_of_chart(chart))
            yield from (f"{product.name}, {chart.title}: {one}" for one in said)
            if not said and chart.changed and chart.changed.level is not None:
                stayed.append(f"{product.name}, {chart.title}")
    if stayed:
        yield f"As before: {'; '.join(stayed)}."


def _of_chart(chart: MonthChart) -> Iterator[str]:
    unit = unit_words(chart)
    for change in chart.changes:
        verb = "drifted" if change.kind == "drift" else "stepped"
        why = "back to the level of the set-up" if change.when in chart.back else ""
        if not why and change.suggestions:
            why = f"perhaps {change.suggestions[0].kind}"
        yield (
            f"{verb} from {change.before:.3g} to {change.after:.3g}{unit} about {change.when[:10]}"
            f"{f', {why}' if why else ''}."
        )
    level = chart.changed
    if not chart.changes and level and level.moved and level.level is not None and level.before is not None:
        yield (
            f"{_value(level.level, chart)}{unit} on average, {_value(level.before, chart)}{unit} the month "
            "before: more than the scatter of lots explains."
        )
    lots = list(dict.fromkeys(one.lot for one in chart.signals))
    if lots:
        answered = sum(bool(one.answer) for one in chart.signals)
        fate = "all looked into" if answered == len(chart.signals) else "not all looked into"
        yield (
            f"{len(lots)} {'lot' if len(lots) == 1 else 'lots'} with a signal, "
            f"{', '.join(lots[:_SIGNALS_NAMED])}{' …' if len(lots) > _SIGNALS_NAMED else ''}; {fate}."
        )


def level_tables(report: MonthReport) -> Iterator[Table]:
    """Give where every property stood in the month and in the one before; nothing without charts.

    Parameters
    ----------
    report : MonthReport
        As gathered.
    """
    rows = tuple(
        _row(product, chart, chart.changed)
        for product in report.products
        for chart in product.charts
        if chart.changed
    )
    if rows:
        yield Table(
            "This month and the month before",
            (
                Column("Product", share=2.0),
                Column("Property", share=2.2),
                Column("This month", RIGHT, 1.0),
                Column("Month before", RIGHT, 1.0),
                Column("Moved", share=0.9),
                Column("Limit", RIGHT, 1.5),
            ),
            rows,
            "Means of the lots that count, geometric for Jnr and what else scatters by a share. Moved: "
            "further apart than the scatter of the set-up explains.",
        )


def _row(product: MonthOfProduct, chart: MonthChart, level: MonthLevel) -> tuple[str, ...]:
    unit = unit_words(chart)
    now, before = (
        f"{_value(one, chart)}{unit}" if one is not None else "no lot" for one in (level.level, level.before)
    )
    known = level.level is not None and level.before is not None
    moved = _MOVED.get(level.moved, "as before" if known else "not known")
    limit = limit_words(chart.chart.property) if chart.chart else ""
    return (product.name, chart.title, now, before, moved, limit or "none")


def _value(value: float, chart: MonthChart) -> str:
    return shown(value, chart.chart.property.quantity) if chart.chart else f"{value:.3g}"
