"""A page as a sheet for the terminal: the same sentences and tables, without its pictures."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from resile.report.paper.models.model import Page, Section
from resile.report.terminal.grids import (
    bullet_line,
    fact_lines,
    heading_line,
    page_table,
    sheet_of,
    small_line,
    title_line,
    words_of,
)

if TYPE_CHECKING:
    from rich.console import Group

_STYLES = {"invalid": "bold red", "caution": "bold yellow", "note": "bold"}


def render_page(page: Page) -> Group:
    """Give a page as a sheet.

    Parameters
    ----------
    page : Page
        Its answer, tables, findings and lists; pictures are told by their description.

    Returns
    -------
    rich.console.Group
        Answer first, then the sections in their order.
    """
    parts: list[Any] = [title_line(page.answer), *(small_line(one) for one in page.answer_more), ""]
    parts += fact_lines(tuple(pair for pair in page.identity if pair[1]))
    for section in page.sections:
        parts += section_lines(section)
    return sheet_of(parts)


def section_lines(section: Section) -> list[Any]:
    """Give one section; nothing for one that holds pictures alone."""
    body: list[Any] = [words_of(section.notice)] if section.notice else []
    body += fact_lines(section.facts) if section.facts else []
    body += _findings(section)
    for table in section.tables:
        body.append(page_table(table))
        body += [small_line(table.note)] if table.note else []
    body += [bullet_line(one) for one in section.bullets]
    body += [small_line(one) for one in (*section.paragraphs, *section.closing)]
    return ["", heading_line(section.title), *body] if body else []


def _findings(section: Section) -> list[Any]:
    from rich.table import Table as Grid

    if section.key != "findings":
        return []
    if not section.findings:
        return [words_of("none: no check raised a doubt")]
    grid = Grid.grid(padding=(0, 2, 0, 0))
    grid.add_column(no_wrap=True)
    grid.add_column(ratio=1)
    for entry in section.findings:
        words = words_of(entry.message)
        if entry.advice:
            words.append(f"\n{entry.advice}")
        if entry.details:
            words.append(f"\n{entry.details}", "dim")
        grid.add_row(
            words_of(f"{entry.mark} {entry.severity}", _STYLES.get(str(entry.severity), "bold")), words
        )
    return [grid]
