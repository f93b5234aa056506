"""Rows of cells, from a text or a sheet, and the blocks of columns that stand in them.

`find_blocks` is what both kinds of reader share: it finds headings (`heading_rows`), name/value lines above
them, and gives each block of columns as numbers with their row numbers. It judges nothing: a cell that is
no number is kept as not-a-number together with its text, so that whoever needs the column can refuse the
row with a reason.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from resile.readers.grids.cells import Cell, cell_text, count_numbers, is_blank
from resile.readers.grids.heading_rows import (
    FEWEST_RECOGNISED,
    ColumnRule,
    HeadingWindow,
    apply_rule,
    find_windows,
    windows_at,
    without_echoes,
)
from resile.readers.grids.headings import HeadingReading
from resile.readers.grids.number_text import parse_number

_LENGTH = re.compile(r"\d\s*(?:mm|мм|毫米)(?![a-z])", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Grid:
    """Rows of cells as they stand in a file.

    Attributes
    ----------
    name : str
        Sheet name; empty for text.
    rows : list of list
        Cells: text, number, or None for nothing.
    first_row : int
        Row number, as a person counts, of the first entry of `rows`.
    decimal_mark, thousands_mark : str
        How numbers kept as text are printed.
    remarks : tuple of str
        What was noticed while the grid was made.
    """

    name: str
    rows: list[list[Cell]]
    first_row: int = 1
    decimal_mark: str = "."
    thousands_mark: str = ""
    remarks: tuple[str, ...] = ()

    def place(self, index: int) -> str:
        """Name the row `index` (from 0) as a person counts."""
        return place_of_row(self.name, index + self.first_row)


def place_of_row(sheet: str, number: int) -> str:
    """Name a row of a sheet, or a line of a text where `sheet` is empty."""
    return f"sheet {sheet}, row {number}" if sheet else f"line {number}"


@dataclass(frozen=True, slots=True)
class Column:
    """One column of a block.

    Attributes
    ----------
    position : int
        Column number counted from 1.
    reading : HeadingReading
        How its heading was understood.
    values : ndarray of float, shape (n,)
        Numbers as printed, not converted; not-a-number where the cell prints none.
    texts : tuple of str, length n
        The cells as printed.
    """

    position: int
    reading: HeadingReading
    values: NDArray[np.float64]
    texts: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Block:
    """Columns under one heading.

    Attributes
    ----------
    columns : tuple of Column
        From left to right.
    row_numbers : ndarray of int, shape (n,)
        Row number in the file of each data row.
    heading_rows : tuple of int
        Row numbers of headings and units.
    first_data_row : int
        Row number of the first data row.
    details : mapping of str to str
        Name/value lines found above the heading.
    label : str
        Group title of a side-by-side block; empty otherwise.
    title : str
        Last line of words above the heading that is no name/value pair; empty where there is none.
    units_row : int or None
        Row number of the row of units.
    """

    columns: tuple[Column, ...]
    row_numbers: NDArray[np.int64]
    heading_rows: tuple[int, ...]
    first_data_row: int
    details: Mapping[str, str] = field(default_factory=dict)
    label: str = ""
    title: str = ""
    units_row: int | None = None

    def columns_of(self, quantity: str) -> list[Column]:
        """Give the columns read as a quantity, from left to right."""
        return [column for column in self.columns if column.reading.quantity == quantity]

    def column_of(self, quantity: str) -> Column | None:
        """Give the first column read as a quantity, or None."""
        return next(iter(self.columns_of(quantity)), None)


def _filled(row: Sequence[Cell]) -> list[str]:
    """Give the cells that hold something; a merged cell stands in each cell it covers and counts once."""
    return without_echoes([cell_text(cell) for cell in row if not is_blank(cell)])


def read_details(rows: Sequence[Sequence[Cell]]) -> tuple[dict[str, str], str]:
    """Read name/value lines above a heading.

    Parameters
    ----------
    rows : sequence of rows
        The rows above.

    Returns
    -------
    tuple of (dict, str)
        Names with values as printed ("name: value" and "name = value" in one cell count too; a line that
        prints a length is kept whole, with no value), and the last line that is not such a pair.
    """
    details: dict[str, str] = {}
    title = ""
    for row in rows:
        cells = _filled(row)
        if not cells:
            continue
        if len(cells) == 1:
            name, mark, value = cells[0].partition(":") if ":" in cells[0] else cells[0].partition("=")
            if mark and name.strip():
                details[name.strip()] = value.strip()
            else:
                title = cells[0]
                if _LENGTH.search(title):
                    details[title] = ""  # "parallel plates 25 mm, gap 1 mm"
        else:
            name = cells[0].rstrip(":= ")
            details[name] = " ".join(cells[1:])
    return details, title


def _preamble_start(grid: Grid, first: int, floor: int) -> int:
    """Give where the words above a heading start: after the last data row above it."""
    start = first
    while start > floor:
        row = grid.rows[start - 1]
        wordy = any(isinstance(cell, str) and parse_number(cell, grid.decimal_mark) is None for cell in row)
        if not all(is_blank(cell) for cell in row) and not (wordy and count_numbers(row) < 2):
            break
        start -= 1
    return start


_PLAIN_LETTERS = {".": frozenset("0123456789.+-eE"), ",": frozenset("0123456789,+-eE")}


def _plain_numbers(cells: Sequence[Cell], grid: Grid) -> NDArray[np.float64] | None:
    """Give a column of plainly printed numbers at once; None where a cell needs a closer look."""
    try:
        printed = "\n".join(cells)  # type: ignore[arg-type]
        if not printed.isascii() or not set(printed) - {"\n"} <= _PLAIN_LETTERS[grid.decimal_mark]:
            return None
        values = np.array([float(cell) for cell in printed.replace(",", ".").split("\n")])
    except (TypeError, ValueError):
        return None
    return values if len(values) == len(cells) and np.isfinite(values).all() else None


def _numbers(cells: Sequence[Cell], grid: Grid) -> NDArray[np.float64]:
    """Give a column as numbers; not-a-number where a cell prints none."""
    plain = _plain_numbers(cells, grid) if cells and not grid.thousands_mark else None
    if plain is not None:
        return plain
    missing = float("nan")
    values = np.empty(len(cells))
    for index, cell in enumerate(cells):
        if isinstance(cell, str):
            number = parse_number(cell, grid.decimal_mark, grid.thousands_mark)
            values[index] = missing if number is None else number
        else:
            values[index] = missing if cell is None else cell
    return values


def _extract(grid: Grid, window: HeadingWindow, stop: int, details: Mapping[str, str], title: str) -> Block:
    """Take the columns of one window down to row `stop`, blank rows and a blank tail left out."""
    indices = [
        index
        for index in range(window.first_data, stop)
        if any(c < len(grid.rows[index]) and not is_blank(grid.rows[index][c]) for c in window.columns)
    ]
    columns = []
    for column, reading in zip(window.columns, window.readings, strict=True):
        cells = [grid.rows[i][column] if column < len(grid.rows[i]) else None for i in indices]
        columns.append(
            Column(column + 1, reading, _numbers(cells, grid), tuple(cell_text(cell) for cell in cells))
        )
    return Block(
        tuple(columns),
        np.array(indices, dtype=np.int64) + grid.first_row,
        tuple(range(window.first + grid.first_row, window.last + grid.first_row + 1)),
        window.first_data + grid.first_row,
        dict(details),
        window.label,
        title,
        None if window.units_row is None else window.units_row + grid.first_row,
    )


def _given_windows(
    grid: Grid,
    rules: Mapping[str, ColumnRule],
    heading_row: int | None,
    units_row: int | None,
    data_row: int | None,
    fewest: int,
) -> list[list[HeadingWindow]]:
    """Place the heading where the user said it is; row numbers as a person counts."""
    rows = grid.rows
    if heading_row is None:
        first_data = (data_row or grid.first_row) - grid.first_row
        if not 0 <= first_data < len(rows):
            return []
        above = [windows for windows in find_windows(rows, rules=rules) if windows[0].last < first_data]
        if above:
            return [[replace(window, first_data=first_data) for window in above[-1]]]
        width = len(rows[first_data])
        readings = tuple(rule_only(position, rules) for position in range(1, width + 1))
        return [[HeadingWindow(first_data, first_data - 1, None, first_data, tuple(range(width)), readings)]]
    top = heading_row - grid.first_row
    bottom = top if units_row is None else units_row - grid.first_row
    first_data = bottom + 1 if data_row is None else data_row - grid.first_row
    if not 0 <= top < len(rows) or not top <= bottom < len(rows):
        return []
    windows = windows_at(rows, top, bottom, rules, first_data, fewest=fewest)
    return [windows] if windows else []


def rule_only(position: int, rules: Mapping[str, ColumnRule]) -> HeadingReading:
    """Give the reading of a column without heading, known by its number only."""
    return apply_rule(HeadingReading("", None), position, rules)


def find_blocks(
    grid: Grid,
    *,
    rules: Mapping[str, ColumnRule] | None = None,
    heading_row: int | None = None,
    units_row: int | None = None,
    first_data_row: int | None = None,
    fewest: int = FEWEST_RECOGNISED,
) -> list[Block]:
    """Find the blocks of columns of a grid.

    Parameters
    ----------
    grid : Grid
        Rows of cells.
    rules : mapping of str to ColumnRule, optional
        What the user said of columns, keyed by heading text or column number.
    heading_row, units_row, first_data_row : int, optional
        Where the user said they are; found where not given.
    fewest : int
        Columns that must be recognised below a heading whose row is given.

    Returns
    -------
    list of Block
        From the top, side-by-side blocks from left to right; empty where no heading is known.
    """
    given = rules or {}
    if heading_row is not None or first_data_row is not None:
        found = _given_windows(grid, given, heading_row, units_row, first_data_row, fewest)
    else:
        found = find_windows(grid.rows, rules=given)
    blocks: list[Block] = []
    floor = 0
    starts: list[int] = []
    for windows in found:
        starts.append(_preamble_start(grid, windows[0].first, floor))
        floor = windows[0].first_data
    for place, windows in enumerate(found):
        stop = starts[place + 1] if place + 1 < len(found) else len(grid.rows)
        details, title = read_details(grid.rows[starts[place] : windows[0].first])
        blocks += [_extract(grid, window, stop, details, title) for window in windows]
    return blocks
