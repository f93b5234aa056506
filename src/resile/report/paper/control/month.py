"""The monthly report on paper: one page for a manager in plain words, then product by product."""

from __future__ import annotations

import calendar
from collections.abc import Iterator

from resile.records.control.month import MonthChart, MonthOfProduct, MonthReport
from resile.report.figures.control.chart import figure_control_chart
from resile.report.paper.assemble import BANNER
from resile.report.paper.control.month_changes import level_tables, month_changes
from resile.report.paper.control.month_tables import month_tables, share_words
from resile.report.paper.models.model import RIGHT, Column, Page, Picture, Section, Table

_MOST_TO_DO = 9
_HEIGHT = 165
"""Of a chart [px]: three of them fit one sheet."""


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
            *(_product(one, told=_told_on_cover(report)) for one in report.products),
        ),
        signatures=(),
    )


def month_words(month: str) -> str:
    """Give a month in words: ``March 2026``."""
    return f"{calendar.month_name[int(month[5:])]} {month[:4]}"


def _answer(report: MonthReport) -> tuple[str, tuple[str, ...]]:
    if not report.products:
        newest = f" The newest lots are of {month_words(report.newest_month)}." if report.newest_month else ""
        return f"Nothing was sampled or loaded in {month_words(report.month)}.", (newest.strip(),) * bool(
            newest
        )
    lots, judged = (sum(getattr(one, name) for one in report.products) for name in ("lots", "judged"))
    failed = sum(len(one.failed) for one in report.products)
    signals = sum(one.signals for one in report.products)
    open_ = sum(bool(chart.open_lots) for one in report.products for chart in one.charts)
    told = f"{_many(lots, 'lot was', 'lots were')} sampled{_judged_words(lots, judged, failed)}"
    seen = (
        f"; {_many(signals, 'signal', 'signals')} on the charts" if signals else "; no signal on the charts"
    )
    left = f"; {_many(open_, 'chart waits', 'charts wait')} for an answer" if open_ else ""
    loads, fit = (sum(getattr(one, name) for one in report.products) for name in ("loads", "loads_in_order"))
    more = (f"{fit} of {_many(loads, 'load fits', 'loads fit')} lot and certificate.",) if loads else ()
    return f"{told}{seen}{left}.", more


def _judged_words(lots: int, judged: int, failed: int) -> str:
    """Say how many lots were judged: that none failed tells nothing where none was judged."""
    if not lots:
        return ""
    if not judged:
        return ", none of them judged yet"
    fate = f"{failed or 'none'} failed"
    return f" and {fate}" if judged >= lots else f", {judged} of them judged, and {fate}"


def _cover(report: MonthReport) -> Iterator[Section]:
    to_do = [
        f"{one.name}: {words}" if len(report.products) > 1 else words
        for one in report.products
        for words in one.to_do
    ]
    more = (
        (f"{len(to_do) - _MOST_TO_DO} more stand with their products.",) if len(to_do) > _MOST_TO_DO else ()
    )
    waits = any(chart.open_lots for one in report.products for chart in one.charts)
    yield Section(
        key="to-do",
        title="What to do",
        paragraphs=() if to_do or report.laboratory_to_do else ("Nothing calls for a decision.",),
        bullets=(*to_do[:_MOST_TO_DO], *more, *(f"Laboratory: {one}" for one in report.laboratory_to_do)),
        closing=(report.how_to_look,) if waits else (),
    )
    changed = [*month_changes(report), *(f"Laboratory: {one}" for one in report.laboratory_lines)]
    yield Section(
        key="changed",
        title="What changed",
        paragraphs=() if changed else ("Nothing that the charts or the laboratory's own checks show.",),
        bullets=tuple(changed),
    )
    levels = tuple(level_tables(report))
    if levels:
        yield Section(key="levels", title="Where the properties stood", tables=levels)
    if report.products:
        yield Section(key="products", title="Product by product", tables=(_overview(report),))


def _overview(report: MonthReport) -> Table:
    rows = tuple(
        (
            one.name,
            f"{one.lots} ({one.lots_before})",
            f"{len(one.failed)} of {one.judged} judged",
            str(one.signals),
            f"{one.loads_in_order} of {one.loads}" if one.loads else "none",
            _margin_words(one),
        )
        for one in report.products
    )
    columns = (
        Column("Product", share=2.0),
        Column("Lots (month before)", RIGHT, 1.2),
        Column("Failed", RIGHT, 1.0),
        Column("Signals", RIGHT, 0.8),
        Column("Loads in order", RIGHT, 0.9),
        Column("Expected beyond the limit", RIGHT, 1.4),
    )
    note = (
        "Expected beyond the limit: share of results beyond it, at the level and scatter of the lots charted."
    )
    return Table("Lots, loads and failures", columns, rows, note)


def _margin_words(product: MonthOfProduct) -> str:
    found = [one.capability for one in product.charts if one.capability]
    return share_words(max(one.share_beyond for one in found)) if found else "no limit"


def _told_on_cover(report: MonthReport) -> bool:
    return sum(len(one.to_do) for one in report.products) <= _MOST_TO_DO


def _product(product: MonthOfProduct, *, told: bool) -> Section:
    grade = f", {product.grade}" if product.grade else ""
    lots = _many(product.lots, "lot was", "lots were")
    said = f"{lots} sampled{_judged_words(product.lots, product.judged, len(product.failed))}."
    pictures = tuple(
        Picture(
            f"chart-{one.key}",
            figure_control_chart(one.chart, looked_into=one.answered, height=_HEIGHT),
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
        bullets=() if told else product.to_do,
        bullets_title="What to do" if product.to_do and not told else "",
        new_page=True,
    )


def _caption(chart: MonthChart) -> str:
    return f"{chart.title[:1].upper()}{chart.title[1:]}: {chart.state}."


def _many(count: int, one: str, many: str) -> str:
    return f"{count} {one if count == 1 else many}"
