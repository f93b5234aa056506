"""Answers of an archive as a page shows and gives them out."""

from __future__ import annotations

from typing import Any

from resile.records.archive_answers import AnswerTable
from resile.records.quantity import QUANTITIES
from resile.report.paper.archive.answers import cell_words
from resile.workflows.archive.written import (
    answer_bytes,
    page_of_rejudging,
    picture_of_trend,
    table_of,
)

Cell = str | dict[str, Any]

__all__ = [
    "answer_bytes",
    "columns_of",
    "page_of_rejudging",
    "pdf_of_rejudging",
    "picture_of_trend",
    "quantities_offered",
    "rows_of",
    "table_of",
]

_HEADS = {
    "temperature_c": "°C",
    "sd": "scatter",
    "p05": "5 %",
    "p25": "25 %",
    "p75": "75 %",
    "p95": "95 %",
    "decision_rule": "rule",
}


def columns_of(found: AnswerTable) -> list[tuple[str, str]]:
    """Give the headings of an answer with the kind of their cells."""
    heads = []
    for place, name in enumerate(found.columns):
        values = [row[place] for row in found.rows if row[place] is not None]
        number = bool(values) and all(isinstance(value, int | float) for value in values)
        kind = "number" if number else "date" if name in ("tested", "month", "first", "last") else "text"
        heads.append((_HEADS.get(name, name.replace("_", " ")), kind))
    return heads


def rows_of(found: AnswerTable) -> list[list[Cell]]:
    """Give the rows of an answer: numbers to three figures, sorted by what they are in full."""
    return [[_cell(value) for value in row] for row in found.rows]


def _cell(value: Any) -> Cell:
    if isinstance(value, int | float) and not isinstance(value, bool):
        return {"text": cell_words(value), "sort": value}
    return cell_words(value)


def quantities_offered(named: tuple[tuple[str, int], ...]) -> list[tuple[str, str]]:
    """Give the properties that an archive holds, in words."""
    return [(name, QUANTITIES[name].title) for name, _ in named if name in QUANTITIES]


def pdf_of_rejudging(found: Any, *, date: str) -> bytes:
    """Give the report of a record judged anew on paper."""
    from resile.report.page import pdf_of_page

    return pdf_of_page(page_of_rejudging(found, date=date))
