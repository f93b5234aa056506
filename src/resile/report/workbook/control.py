"""Production under control as an XLSX workbook: the answer, and what it rests on lot by lot."""

from __future__ import annotations

import io
from collections.abc import Sequence
from typing import Any

from resile.records.archive_answers import AnswerTable
from resile.records.finding import Finding
from resile.report.paper.models.model import Page
from resile.report.words import heaviest_first
from resile.report.workbook.book import new_book
from resile.report.workbook.cells import set_widths, write_cell, write_head, write_pairs
from resile.report.workbook.told import write_finding_rows

_MOST_ROWS = 1_048_575
_WIDEST = 60


def control_workbook(page: Page, tables: Sequence[AnswerTable], findings: Sequence[Finding]) -> bytes:
    """Set an answer on production as a workbook.

    Parameters
    ----------
    page : Page
        Its page, for identity, answer, facts and date.
    tables : sequence of AnswerTable
        A sheet each, named by its title.
    findings : sequence of Finding
        Doubts.

    Returns
    -------
    bytes
        Sheets Answer, one for each table, Findings; the same answer gives the same bytes.
    """
    file = io.BytesIO()
    book, formats = new_book(file, page.title, page.date)
    _write_answer(book.add_worksheet("Answer"), formats, page)
    for table in tables:
        _write_table(book.add_worksheet(table.title), formats, table)
    if findings:
        write_finding_rows(book.add_worksheet("Findings"), formats, heaviest_first(tuple(findings)))
    book.close()
    return file.getvalue()


def _write_answer(sheet: Any, formats: dict[str, Any], page: Page) -> None:
    set_widths(sheet, (30, 100))
    sheet.write_string(0, 0, page.title, formats["title"])
    row = write_pairs(sheet, formats, 2, page.identity)
    row = write_pairs(sheet, formats, row + 1, (("Answer", page.answer),))
    row = write_pairs(sheet, formats, row, tuple(("", words) for words in page.answer_more))
    for section in page.sections:
        told = tuple(("", words) for words in (*section.paragraphs, *section.bullets))
        if section.facts or told:
            row = write_pairs(sheet, formats, row + 1, ((section.title, ""), *section.facts, *told))


def _write_table(sheet: Any, formats: dict[str, Any], table: AnswerTable) -> None:
    write_head(sheet, formats, 0, table.columns)
    sheet.freeze_panes(1, 0)
    widths = [len(name) + 2 for name in table.columns]
    for place, row in enumerate(table.rows[:_MOST_ROWS]):
        for column, value in enumerate(row):
            shown = ("yes" if value else "no") if isinstance(value, bool) else value
            text = isinstance(shown, str)
            write_cell(sheet, place + 1, column, shown, formats["text" if text else "number"])
            if text:
                widths[column] = min(max(widths[column], len(shown) + 2), _WIDEST)
    set_widths(sheet, tuple(max(width, 12) for width in widths))
