"""The monthly report on paper: one page for a manager in plain words, then product by product."""

from __future__ import annotations

import calendar
from collections.abc import Iterator

from resile.records.control.month import MonthChart, MonthOfProduct, MonthReport
from resile.report.figures.control.small_chart import figure_small_chart
from resile.report.paper.assemble import BANNER
from resile.report.paper.control.month_tables import month_tables, share_words, unit_words
from resile.report.paper.models.model import RIGHT, Column, Page, Picture, Section, Table

_MOST_TO_DO = 9


def month_page(report: MonthReport, *, date: str) -> Page:
    """Give the monthly report.

    Parameters
    ----------
    report : MonthReport
        As gathered.
    date : str
        Date on the page, YYYY-MM-DD.

    Returns
    -------
    Page
        The cover fits one sheet; every product begins a sheet of its own.
    """
    answer, more = _answer(report)
    return Page(
        title="Production in the month",
        number=report.month,
        date=date,
        sample=month_words(report.month),
        laboratory=report.laboratory,
        banner=BANNER if report.invented else "",
        identity=(("Month", month_words(report.month)), ("Products", str(len(report.products)))),
        answer=answer,
        answer_more=more,
        sections=(
            *_cover(report),
            *(_product(one, alone=len(report.products) == 1) for one in report.products),
        ),
        signatures=(),
    )


def month_words(month: str) -> str:
    """Give a month in words: ``March 2026``."""
    return f"{calendar.month_name[int(month[5:])]} {month[:4]}"


def _answer(report: MonthReport) -> tuple[str, tuple[str, ...]]:
    lots = sum(one.lots for one in report.products)
    failed = sum(len(one.failed) for one in report.products)
    signals = sum(one.signals for one in report.products)
    open_ = sum(bool(chart.open_lots) for one in report.products for chart in one.charts)
    if not report.products:
        return f"Nothing was sampled or loaded in {month_words(report.month)}.", ()
    told = f"{_many(lots, 'lot was', 'lots were')} sampled and {failed or 'none'} failed"
    seen = (
        f"; {_many(signals, 'signal', 'signals')} on the charts" if signals else "; no signal on the charts"
    )
    left = f", {_many(open_, 'chart waits', 'charts wait')} for an answer" if open_ else ""
    loads, fit = (sum(getattr(one, name) for one in report.products) for name in ("loads", "loads_in_order"))
    more = (f"{fit} of {_many(loads, 'load fits', 'loads fit')} lot and certificate.",) if loads else ()
    return f"{told}{seen}{left}.", more


def _cover(report: MonthReport) -> Iterator[Section]:
    to_do = [
        f"{one.name}: {words}" if len(report.products) > 1 else words
        for one in report.products
        for words in one.to_do
    ]
    more = (
        (f"{len(to_do) - _MOST_TO_DO} more stand with their products.",) if len(to_do) > _MOST_TO_DO else ()
    )
    yield Section(
        key="to-do",
        title="What to do",
        paragraphs=() if to_do else ("Nothing calls for a decision.",),
        bullets=tuple(to_do[:_MOST_TO_DO]) + more,
    )
    changed = list(_changed(report))
    yield Section(
        key="changed",
        title="What changed",
        paragraphs=() if changed else ("Nothing that the charts show.",),
        bullets=tuple(changed),
    )
    if report.products:
        yield Section(key="products", title="Product by product", tables=(_overview(report),))
    if report.laboratory_lines:
        yield Section(key="laboratory", title="The laboratory itself", bullets=report.laboratory_lines)


def _changed(report: MonthReport) -> Iterator[str]:
    for product in report.products:
        for chart in product.charts:
            for change in chart.changes:
                about = f"; perhaps {change.suggestions[0].kind}" if change.suggestions else ""
                yield (
                    f"{product.name}, {chart.title}: from {change.before:.3g} to {change.after:.3g}"
                    f"{unit_words(chart)} about {change.when[:10]}{about}."
                )
            if chart.signals and not chart.changes:
                lots = list(dict.fromkeys(one.lot for one in chart.signals))
                yield (
                    f"{product.name}, {chart.title}: {_many(len(lots), 'lot', 'lots')} with a signal, "
                    f"{', '.join(lots[:5])}{' …' if len(lots) > 5 else ''}."
                )


def _overview(report: MonthReport) -> Table:
    rows = tuple(
        (
            one.name,
            str(one.lots),
            str(one.judged),
            str(len(one.failed)),
            str(one.signals),
            f"{one.loads_in_order} of {one.loads}" if one.loads else "none",
            _margin_words(one),
        )
        for one in report.products
    )
    columns = (
        Column("Product", share=2.0),
        Column("Lots", RIGHT, 0.6),
        Column("Judged", RIGHT, 0.8),
        Column("Failed", RIGHT, 0.7),
        Column("Signals", RIGHT, 0.8),
        Column("Loads in order", RIGHT, 1.3),
        Column("Expected beyond the limit", RIGHT, 1.6),
    )
    note = (
        "Expected beyond the limit: share of results beyond it, at the level and scatter of the lots charted."
    )
    return Table("The month", columns, rows, note)


def _margin_words(product: MonthOfProduct) -> str:
    found = [one.capability for one in product.charts if one.capability]
    return share_words(max(one.share_beyond for one in found)) if found else "no limit"


def _product(product: MonthOfProduct, *, alone: bool) -> Section:
    grade = f", {product.grade}" if product.grade else ""
    lots = _many(product.lots, "lot", "lots")
    said = f"{lots} sampled, {product.judged} judged, {len(product.failed)} failed."
    pictures = tuple(
        Picture(
            f"chart-{one.key}",
            figure_small_chart(one.chart, open_lots=one.open_lots, wide=True),
            _caption(one),
        )
        for one in product.charts
        if one.chart
    )
    return Section(
        key=f"product-{product.key}",
        title=f"{product.name}{grade}",
        paragraphs=(said, *product.sampling),
        pictures=pictures,
        tables=tuple(month_tables(product)),
        bullets=() if alone else product.to_do,  # the cover says it already
        bullets_title="What to do" if product.to_do and not alone else "",
        new_page=True,
    )


def _caption(chart: MonthChart) -> str:
    unit = f" [{chart.chart.property.unit}]" if chart.chart and chart.chart.property.unit else ""
    return f"{chart.title}{unit}: {chart.state}."


def _many(count: int, one: str, many: str) -> str:
    return f"{count} {one if count == 1 else many}"
