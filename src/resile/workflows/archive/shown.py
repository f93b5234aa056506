"""Answers of an archive as a page shows and gives them out."""

from __future__ import annotations

from dataclasses import replace
from typing import Any
from urllib.parse import quote

from resile.records.archive_answers import AnswerTable
from resile.records.quantity import QUANTITIES
from resile.report.archive_words import brief_notes, in_words, property_title
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
    "brief_notes",
    "columns_of",
    "page_of_rejudging",
    "pdf_of_rejudging",
    "picture_of_trend",
    "property_title",
    "quantities_offered",
    "rows_of",
    "titled_answer",
    "table_of",
]

_DAYS = ("tested", "month", "first", "last")


def columns_of(found: AnswerTable) -> list[tuple[str, str]]:
    """Give the headings of an answer in words, with the kind of their cells."""
    told = in_words(found, brief=True)
    heads = []
    for place, head in enumerate(told.columns):
        values = [row[place] for row in told.rows if row[place] is not None]
        number = bool(values) and all(isinstance(value, int | float) for value in values)
        heads.append((head, "number" if number else "date" if head.lower() in _DAYS else "text"))
    return heads


def titled_answer(found: AnswerTable) -> AnswerTable:
    """Give an answer with the title it is shown under: what all rows share stands there."""
    return replace(found, title=in_words(found, brief=True).title)


def rows_of(found: AnswerTable) -> list[list[Cell]]:
    """Give the rows of an answer: numbers to three figures, sorted by what they are in full."""
    told = in_words(found, brief=True)
    rows = [[_cell(value) for value in row] for row in told.rows]
    if "finding" in found.columns and found.rows:
        place = told.columns.index("Finding")
        for row, given in zip(rows, told.rows, strict=True):
            row[place] = {"text": given[place], "href": f"/archive/findings?code={quote(given[place])}"}
    return rows


def _cell(value: Any) -> Cell:
    if isinstance(value, int | float) and not isinstance(value, bool):
        return {"text": cell_words(value), "sort": value}
    return cell_words(value)


def quantities_offered(named: tuple[tuple[str, int], ...]) -> list[tuple[str, str]]:
    """Give the properties that an archive holds; the symbol in front tells near ones apart."""
    return [(name, _with_symbol(name)) for name in QUANTITIES if name in {one for one, _ in named}]


def _with_symbol(quantity: str) -> str:
    symbol = QUANTITIES[quantity].symbol
    return f"{symbol}: {QUANTITIES[quantity].title}" if symbol else property_title(quantity, unit=False)


def pdf_of_rejudging(found: Any, *, date: str) -> bytes:
    """Give the report of a record judged anew on paper."""
    from resile.report.page import pdf_of_page

    return pdf_of_page(page_of_rejudging(found, date=date))
