"""Lists of the pages on control to take away: for a spreadsheet, and for programs; numbers in full."""

from __future__ import annotations

import json
import math
from collections.abc import Iterable, Sequence
from typing import Any

from resile.errors import InputError
from resile.records.archive_answers import AnswerTable
from resile.records.control.chart import ControlChart
from resile.records.control.month import MonthReport
from resile.report.machine.answers import answer_csv, answer_workbook
from resile.storage.lists.deliveries import DeliveryRow
from resile.workflows.laboratory.control.pictures import numbered_signals
from resile.workflows.laboratory.control.reconciliation import Misfit
from resile.workflows.laboratory.control.shown import SeenChart, said_of

TABLE_FORMS = {
    "csv": "text/csv; charset=utf-8",
    "xlsx": "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
    "json": "application/json",
}
"""Forms in which a list is given out."""
_LOADS = (
    "number", "sent", "product_name", "grade", "lot", "tank_name", "quantity_t", "customer_name", "plant",
    "certificate", "note", "key",
)  # fmt: skip


def table_file(table: AnswerTable, form: str, *, date: str) -> bytes:
    """Give a list as a file.

    Parameters
    ----------
    table : AnswerTable
        Columns and rows.
    form : str
        One of `TABLE_FORMS`.
    date : str
        Day that dates a workbook, YYYY-MM-DD.

    Raises
    ------
    InputError
        Where the form is none of them.
    """
    if form == "csv":
        return b"\xef\xbb\xbf" + answer_csv(table)  # spreadsheets know by the mark that it is UTF-8
    if form == "xlsx":
        return answer_workbook(table, date=date)
    if form != "json":
        raise InputError(f"'{form}' is no form of list; there are {', '.join(TABLE_FORMS)}")
    rows = [dict(zip(table.columns, row, strict=True)) for row in table.rows]
    return json.dumps(rows, ensure_ascii=False, indent=1).encode()


def charts_table(seen: Iterable[SeenChart]) -> AnswerTable:
    """Give the charts with the state they are in, a row a chart."""
    columns = (
        "chart", "product", "property", "kind", "limit_is", "limit", "unit", "state", "words", "lots",
        "open_lots",
    )  # fmt: skip
    rows = tuple(
        (
            one.kept.key, one.product, one.title, one.kept.value.chart, one.kept.value.limit_is,
            one.kept.value.limit, one.chart.property.unit if one.chart else "", one.state, one.words,
            len(one.chart.points) if one.chart else 0, " ".join(one.open_lots),
        )
        for one in seen
    )  # fmt: skip
    return AnswerTable(columns, rows, title="Control charts")


def points_table(chart: ControlChart) -> AnswerTable:
    """Give the points of a chart, a row a lot; a control limit that does not exist is empty."""
    columns = (
        "lot", "taken", "values", "plotted", "lower", "centre", "upper", "scatter", "part", "excluded",
        "signals", "results",
    )  # fmt: skip
    scatter = {one.label: one.plotted for one in chart.beside.points} if chart.beside else {}
    marks: dict[str, list[str]] = {}
    for one in reversed(numbered_signals(chart)):
        marks.setdefault(one.point.label, []).append(one.mark)
    rows = tuple(
        (
            one.label, one.when, " ".join(map(repr, one.values)),
            *map(_finite, (one.plotted, one.lower, one.centre, one.upper)), scatter.get(one.label),
            one.phase, one.excluded, " ".join(marks.get(one.label, ())), " ".join(one.keys),
        )
        for one in chart.points
    )  # fmt: skip
    return AnswerTable(columns, rows, title=chart.title)


def signals_table(seen: SeenChart) -> AnswerTable:
    """Give the signals of a chart by the numbers of its picture, the newest first."""
    columns = ("number", "lot", "taken", "open", "rule", "seen", "source")
    rows = tuple(
        (
            one.mark, one.point.label, one.point.when, one.signal in (*seen.open, *seen.open_beside),
            one.signal.rule, said_of(one.chart, one.signal), one.signal.source,
        )
        for one in numbered_signals(seen.chart)
    )  # fmt: skip
    return AnswerTable(columns, rows, title="Signals")


def loads_table(loads: Sequence[DeliveryRow]) -> AnswerTable:
    """Give loads, a row a load."""
    rows = tuple(tuple(getattr(one, name) for name in _LOADS) for one in loads)
    return AnswerTable(tuple(name.removesuffix("_name") for name in _LOADS), rows, title="Loads")


def misfits_table(misfits: Sequence[Misfit]) -> AnswerTable:
    """Give what does not fit, a row a thing that was found."""
    columns = (
        "weight", "kind", "load", "sent", "product", "lot", "certificate", "customer", "found", "to_do",
    )  # fmt: skip
    rows = tuple(
        (
            one.weight, one.kind, one.delivery.number, one.delivery.sent, one.delivery.product_name,
            one.delivery.lot, one.delivery.certificate, one.delivery.customer_name, one.said, one.action,
        )
        for one in misfits
    )  # fmt: skip
    return AnswerTable(columns, rows, title="Loads, lots and certificates")


def month_table(report: MonthReport) -> AnswerTable:
    """Give everything that happened in a month, a row each, with what was found or is to be done."""
    rows: list[tuple[Any, ...]] = []
    for product in report.products:
        rows += [(product.name, "to do", "", "", "", "", one) for one in product.to_do]
        for chart in product.charts:
            for signal in chart.signals:
                found = (signal.lot, signal.day, signal.text, signal.answer)
                rows.append((product.name, "signal", chart.title, *found))
            for change in chart.changes:
                said = f"from {change.before:.3g} to {change.after:.3g}"
                perhaps = "; ".join(f"{one.kind}: {one.test_to_confirm}" for one in change.suggestions)
                rows.append((product.name, "change", chart.title, "", change.when[:10], said, perhaps))
        rows += [
            (product.name, "failed", "", one.lot, one.day, f"sample {one.numbers}", "")
            for one in product.failed
        ]
        rows += [
            (product.name, "load", "", one.load, one.day, one.said, one.action) for one in product.misfits
        ]
    rows += [("", "to do", "the laboratory itself", "", "", "", one) for one in report.laboratory_to_do]
    rows += [("", "laboratory", "", "", "", one, "") for one in report.laboratory_lines]
    columns = ("product", "what", "property", "lot_or_load", "day", "seen", "found_or_to_do")
    return AnswerTable(columns, tuple(rows), title=f"Production in {report.month}")


def _finite(value: float) -> float | None:
    return value if math.isfinite(value) else None
