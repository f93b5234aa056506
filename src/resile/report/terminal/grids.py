"""Lines and tables that the sheets are built from."""

from __future__ import annotations

import io
from collections.abc import Mapping
from types import MappingProxyType
from typing import TYPE_CHECKING, Any

from resile.records.finding import Finding, Severity
from resile.report.paper.models.model import Column, Table, finding_entry
from resile.report.words import SEVERITY_MARKS, heaviest_first

if TYPE_CHECKING:
    from rich.console import Group, RenderableType

PLAIN_WIDTH = 80
_WORD_KEPT = 16  # a word up to this long is never broken inside a table
SEVERITY_STYLES = {Severity.INVALID: "bold red", Severity.CAUTION: "bold yellow", Severity.NOTE: "bold"}


def plain_text(sheet: RenderableType, *, width: int = PLAIN_WIDTH) -> str:
    """Give a sheet as plain text without colour.

    Parameters
    ----------
    sheet : renderable
        From one of the `render_…` functions.
    width : int
        Columns.

    Returns
    -------
    str
        Lines without trailing blanks, ending with a newline.
    """
    from rich.console import Console

    file = io.StringIO()
    Console(file=file, width=width, color_system=None, force_terminal=False, legacy_windows=False).print(
        sheet
    )
    return "\n".join(line.rstrip() for line in file.getvalue().splitlines()).rstrip() + "\n"


def sheet_of(parts: list[Any]) -> Group:
    """Put lines and tables below one another."""
    from rich.console import Group

    return Group(*parts)


def words_of(words: str, style: str = "") -> Any:
    """Give words that are never read as markup."""
    from rich.text import Text

    return Text(words, style=style)


def title_line(words: str) -> Any:
    """Give the first line of a sheet."""
    return words_of(words, "bold")


def heading_line(words: str) -> Any:
    """Give the heading of a part."""
    return words_of(words.upper(), "bold")


def small_line(words: str) -> Any:
    """Give a line of small print."""
    return words_of(words, "dim")


def bullet_line(words: str) -> Any:
    """Give one point of a list."""
    from rich.padding import Padding
    from rich.table import Table as Grid

    grid = Grid.grid(padding=(0, 1))
    grid.add_row(words_of("–"), words_of(words))
    return Padding(grid, (0, 0, 0, 1))


def finding_lines(findings: tuple[Finding, ...]) -> list[Any]:
    """Severity word and mark, the sentence, what to do; always there, even when there are none."""
    from rich.table import Table as Grid

    grid = Grid.grid(padding=(0, 2, 0, 0))
    grid.add_column(no_wrap=True)
    grid.add_column(ratio=1)
    for finding in heaviest_first(findings):
        entry = finding_entry(finding)
        words = words_of(entry.message)
        for more in (entry.advice, entry.details):
            if more:
                words.append(f"\n{more}", "dim" if more is entry.details else "")
        mark = f"{SEVERITY_MARKS[finding.severity]} {finding.severity}"
        grid.add_row(words_of(mark, SEVERITY_STYLES[finding.severity]), words)
    if not findings:
        return ["", heading_line("Findings"), "none: no check raised a doubt"]
    return ["", heading_line("Findings"), grid]


def fact_lines(pairs: tuple[tuple[str, str], ...]) -> list[Any]:
    """Give labels with their values."""
    from rich.table import Table as Grid

    grid = Grid.grid(padding=(0, 2, 0, 0))
    grid.add_column(no_wrap=True)
    grid.add_column(overflow="fold")
    for label, value in pairs:
        grid.add_row(words_of(label), words_of(value))
    return [grid]


def page_table(
    table: Table, *, skip: tuple[str, ...] = (), shorter: Mapping[str, str] = MappingProxyType({})
) -> Any:
    """Set a table of the page for the terminal.

    Parameters
    ----------
    table : Table
        As for the page.
    skip : tuple of str
        Headings of the columns left out.
    shorter : mapping of str to str
        Shorter words for headings, so that the table fits 80 columns.

    Returns
    -------
    renderable
        A table.
    """
    kept = [place for place, column in enumerate(table.columns) if column.title not in skip]
    columns = [table.columns[place] for place in kept]
    columns = [Column(shorter.get(column.title, column.title), column.align) for column in columns]
    rows = [[row[place] for place in kept] for row in table.rows]
    return grid_of(columns, rows, strong=table.strong)


def grid_of(columns: list[Column], rows: list[list[Any]], *, strong: tuple[int, ...] = ()) -> Any:
    """Set columns and rows for the terminal; rows named in `strong` are bold."""
    from rich.box import SIMPLE_HEAD
    from rich.table import Table as Grid

    grid = Grid(box=SIMPLE_HEAD, pad_edge=False, padding=(0, 1, 0, 0), show_edge=False)
    widths = [_longest_word(column, place, rows) for place, column in enumerate(columns)]
    fits = sum(widths) + 2 * len(widths) <= PLAIN_WIDTH
    for column, width in zip(columns, widths, strict=True):
        grid.add_column(
            column.title,
            justify="right" if column.align == "right" else "left",
            overflow="fold",
            min_width=width if fits else None,
        )
    for place, row in enumerate(rows):
        cells = [cell if not isinstance(cell, str) else words_of(cell) for cell in row]
        grid.add_row(*cells, style="bold" if place in strong else None)
    return grid


def _longest_word(column: Column, place: int, rows: list[list[Any]]) -> int:
    texts = [column.title, *(str(row[place]) for row in rows)]
    return min(_WORD_KEPT, max(len(word) for text in texts for word in text.split() or [""]))
