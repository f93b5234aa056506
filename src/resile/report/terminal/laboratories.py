"""Sheets about laboratories in the terminal: the same sentences and tables as on paper."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from resile.records.finding import Finding
from resile.report.paper.models.model import Page, Section
from resile.report.terminal.grids import (
    bullet_line,
    fact_lines,
    finding_lines,
    heading_line,
    page_table,
    sheet_of,
    small_line,
    title_line,
)

if TYPE_CHECKING:
    from rich.console import Group

_LEFT_OUT = frozenset({"findings", "basis", "cautions"})


def render_laboratory_sheet(page: Page, findings: tuple[Finding, ...], *, full: bool = False) -> Group:
    """Give a sheet about laboratories.

    Parameters
    ----------
    page : Page
        As it is set on paper.
    findings : tuple of Finding
        Shown right below the answer.
    full : bool
        Show tables of single results and steps too.

    Returns
    -------
    rich.console.Group
        Answer, findings, sections with their facts and tables.
    """
    parts: list[Any] = [title_line(page.answer), *page.answer_more]
    parts += finding_lines(findings)
    for section in page.sections:
        if section.key not in _LEFT_OUT:
            parts += _section(section, full)
    return sheet_of([*parts, ""])


def _section(section: Section, full: bool) -> list[Any]:
    tables = [table for table in section.tables if full or not table.dense]
    if not (tables or section.paragraphs or section.facts or section.bullets):
        return []
    parts: list[Any] = ["", heading_line(section.title), *section.paragraphs]
    if section.facts:
        parts += fact_lines(section.facts)
    for table in tables:
        parts += [small_line(table.caption), page_table(table)]
        parts += [small_line(table.note)] if table.note else []
    return [*parts, *(bullet_line(one) for one in section.bullets)]
