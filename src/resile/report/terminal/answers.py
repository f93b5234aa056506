"""Answers of an archive on a terminal."""

from __future__ import annotations

from typing import Any

from resile.records.archive_answers import AnswerTable, ArchiveContents, Trend
from resile.records.rejudging import Rejudging
from resile.report.archive_words import property_title
from resile.report.figures.archive.trend import trend_in_words
from resile.report.paper.archive.answers import answer_table, trend_table
from resile.report.paper.archive.rejudging import rejudging_doubt, rejudging_sentence, unchecked_notice
from resile.report.paper.archive.rejudging_tables import (
    changes_table,
    crosswise_table,
    lines_table,
    reasons_table,
    years_tables,
)
from resile.report.paper.models.model import Table
from resile.report.terminal.grids import (
    fact_lines,
    page_table,
    sheet_of,
    small_line,
    title_line,
    words_of,
)

_FEW = 20


def render_answer(found: AnswerTable) -> Any:
    """Give an answer as a sheet."""
    return sheet_of(_table(answer_table(found), nothing="Nothing in the archive fits."))


def render_contents(found: ArchiveContents) -> Any:
    """Give what is in an archive as a sheet."""
    span = f"{found.first} to {found.last}" if found.first else "no day is known"
    facts = (
        ("Made from", f"{found.made_from or 'not told'}, with resile {found.software}"),
        ("Files", f"{found.files:,}, of them {found.refused:,} refused"),
        ("Results", f"{found.results:,} of {found.samples:,} samples in {found.lots:,} lots"),
        ("Tested", span),
        ("Verdicts", f"{found.verdicts:,}"),
    )
    parts = [title_line(f"Archive {found.archive}"), *fact_lines(facts)]
    properties = tuple((property_title(name), name, count) for name, count in found.quantities)
    for columns, rows, title in (
        (("product", "results"), found.products, "Products"),
        (("property", "name in a question", "results"), properties, "Properties"),
        (("class", "samples"), found.labels, "Classes"),
    ):
        if rows:
            parts += _table(answer_table(AnswerTable(columns, rows[:_FEW], title=title)), nothing="")
            parts += [small_line(f"{len(rows) - _FEW} more are not shown.")] if len(rows) > _FEW else []
    return sheet_of(parts)


def render_trend(found: Trend) -> Any:
    """Give a trend as a sheet."""
    parts = [words_of(trend_in_words(found))] if found.months else []
    return sheet_of([*parts, *_table(trend_table(found), nothing="No result with a day fits.")])


def render_rejudging(found: Rejudging) -> Any:
    """Give what would change as a sheet."""
    parts = [title_line(rejudging_sentence(found))]
    parts += [words_of(words) for words in (rejudging_doubt(found), unchecked_notice(found)) if words]
    for table in (crosswise_table(found), reasons_table(found), lines_table(found), *years_tables(found)):
        if table.rows:
            parts += _table(table, nothing="")
    if found.changes:
        parts += _table(changes_table(found, most=_FEW), nothing="", skip=("Lot", "Tested"))
    return sheet_of(parts)


def _table(table: Table, *, nothing: str, skip: tuple[str, ...] = ()) -> list[Any]:
    if not table.rows:
        return [words_of(nothing)]
    notes = [small_line(table.note)] if table.note else []
    return [words_of(""), title_line(table.caption), page_table(table, skip=skip), *notes]
