"""Answers of an archive as CSV, Parquet or a workbook: numbers in full."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable
from dataclasses import asdict, fields, replace
from typing import Any

from resile.errors import MissingDependencyError
from resile.records.archive_answers import AnswerTable, Trend, TrendMonth
from resile.records.rejudging import SampleChange
from resile.report.archive_words import in_words, trend_title
from resile.report.machine.record_tables import cell

_MOST_ROWS_OF_A_SHEET = 1_048_575


def trend_answer(trend: Trend) -> AnswerTable:
    """Give the months of a trend as an answer."""
    found = _of(TrendMonth, trend.months, trend_title(trend))
    words = {"column mean": "Geometric mean"} if trend.scale == "log" else {}
    return replace(found, unit=trend.unit, words=words)


def changes_answer(changes: Iterable[SampleChange]) -> AnswerTable:
    """Give the samples that stand otherwise as an answer."""
    return _of(SampleChange, changes, "Samples that stand otherwise")


def _of(kind: type[Any], rows: Iterable[Any], title: str) -> AnswerTable:
    columns = tuple(field.name for field in fields(kind))
    return AnswerTable(columns, tuple(tuple(asdict(one).values()) for one in rows), title=title)


def answer_csv(found: AnswerTable) -> bytes:
    """Set an answer as CSV; what a spreadsheet would take for a formula stays text.

    Parameters
    ----------
    found : AnswerTable
        Columns and rows.

    Returns
    -------
    bytes
        UTF-8, comma, decimal point.
    """
    file = io.StringIO(newline="")
    writer = csv.writer(file)
    writer.writerow(found.columns)
    writer.writerows([cell(_plain(value)) for value in row] for row in found.rows)
    return file.getvalue().encode()


def answer_parquet(found: AnswerTable) -> bytes:
    """Set an answer as Parquet.

    Parameters
    ----------
    found : AnswerTable
        Columns and rows.

    Returns
    -------
    bytes
        One file.
    """
    try:
        import pyarrow as pa
        from pyarrow import parquet
    except ImportError as error:
        raise MissingDependencyError(
            "a Parquet file needs the library pyarrow; install it with: pip install 'resile[archive]'"
        ) from error
    columns = {name: [row[place] for row in found.rows] for place, name in enumerate(found.columns)}
    table = pa.table(columns)
    file = io.BytesIO()
    parquet.write_table(table, file)
    return file.getvalue()


def answer_workbook(found: AnswerTable, *, date: str) -> bytes:
    """Set an answer as an XLSX workbook of one sheet, its headings and names in words.

    Parameters
    ----------
    found : AnswerTable
        Columns and rows.
    date : str
        Day that dates the file.

    Returns
    -------
    bytes
        The same answer gives the same bytes.
    """
    from resile.report.workbook.book import new_book
    from resile.report.workbook.cells import set_widths, write_cell, write_head

    found = in_words(found)
    file = io.BytesIO()
    book, formats = new_book(file, found.title, date)
    sheet = book.add_worksheet("Answer")
    write_head(sheet, formats, 0, found.columns)
    for place, row in enumerate(found.rows[:_MOST_ROWS_OF_A_SHEET]):
        for column, value in enumerate(row):
            write_cell(sheet, place + 1, column, _plain(value), formats["number"])
    set_widths(sheet, (18.0,) * len(found.columns))
    book.close()
    return file.getvalue()


def _plain(value: Any) -> Any:
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, int | float | str) or value is None:
        return value
    return ", ".join(map(str, value)) if isinstance(value, list | tuple) else str(value)
