"""Cells of a results form: which sheet a sheet is, its lines of label and value, and where a cell stands."""

from __future__ import annotations

from collections.abc import Sequence

from resile.readers.grids.cells import Cell, cell_text
from resile.readers.grids.grid import Grid
from resile.readers.grids.vocabulary import fold
from resile.readers.summaries.values import read_printed
from resile.records.form import FORM_MARK, FormField


def sheet_mark(grid: Grid) -> str:
    """Give the name that cell A1 gives to a sheet of the form; empty for any other sheet."""
    first = cell_text(grid.rows[0][0]) if grid.rows and grid.rows[0] else ""
    return first.removeprefix(FORM_MARK).lstrip(": ") if first.startswith(FORM_MARK) else ""


def cell_at(grid: Grid, row: int, column: int) -> Cell:
    """Give a cell as stored; None beyond the end of the sheet."""
    return grid.rows[row][column] if row < len(grid.rows) and column < len(grid.rows[row]) else None


def text_at(grid: Grid, row: int, column: int) -> str:
    """Give a cell as text; of a date without a time of day, the date."""
    return cell_text(cell_at(grid, row, column)).strip().removesuffix(" 00:00:00")


def place_of(grid: Grid, row: int, column: int) -> str:
    """Name sheet and cell, for a message."""
    return f"sheet {grid.name!r}, cell {chr(ord('A') + column)}{row + grid.first_row}"


def fields_of(
    grid: Grid, fields: Sequence[FormField], problems: list[str], *, until: str = ""
) -> tuple[tuple[str, str], ...]:
    """Give key and text of each line that was filled in, down to the line that `until` begins.

    A label that is no line of the form, or stands twice, is added to `problems`.
    """
    known = {fold(field.label): field for field in fields}
    found: dict[str, str] = {}
    for row in range(2, len(grid.rows)):
        label = text_at(grid, row, 0)
        if until and fold(label) == fold(until):
            break
        value = text_at(grid, row, 1)
        if not value:
            continue
        field = known.get(fold(label))
        if field is None:
            problems.append(f"{place_of(grid, row, 0)}: {label or 'an empty label'!r} is no line of the form")
        elif field.key in found:
            problems.append(f"{place_of(grid, row, 0)}: {label!r} stands twice")
        else:
            found[field.key] = value
    return tuple(found.items())


def heading_row(grid: Grid, titles: Sequence[str]) -> int | None:
    """Find the row that begins with these headings; None where there is none."""
    wanted = [fold(title) for title in titles]
    for row in range(len(grid.rows)):
        if [fold(text_at(grid, row, column)) for column in range(len(titles))] == wanted:
            return row
    return None


def doubt_of_number(grid: Grid, row: int, column: int, cell: Cell, unit: str) -> list[str]:
    """Say with its cell that a number is needed; an empty list where there is one, or nothing."""
    printed = read_printed(cell, grid)
    if printed.missing or printed.number is not None:
        return []
    return [f"{place_of(grid, row, column)}: {printed.reason or f'{cell!r}'}; a number in {unit} is needed"]
