"""Text to tables: the fast path where the text is regular, the tolerant one everywhere else."""

from __future__ import annotations

import codecs
from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from resile.errors import FileFormatError
from resile.readers.grids.cells import Cell, carries_unit, is_blank
from resile.readers.grids.grid import Grid, find_blocks
from resile.readers.grids.headings import read_heading
from resile.readers.grids.number_marks import with_plain_apostrophes
from resile.readers.grids.table import Table, join_segments, table_of
from resile.readers.layout import Layout
from resile.readers.text.delimited import Dialect, join_quoted, sniff, split_cells, split_lines, to_grid
from resile.readers.text.encodings import decode, refuse_other_kinds
from resile.readers.text.regular_text import read_regular

_WIDE = (codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)
_SHOWN = 60
_MANY_ACROSS = 50


def read_text(data: bytes, path: str, layout: Layout) -> list[Table]:
    """Read the tables of a separated text.

    Parameters
    ----------
    data : bytes
        The file.
    path : str
        Named in refusals.
    layout : Layout
        What the user said.

    Returns
    -------
    list of Table
        From the top, side-by-side blocks from left to right.

    Raises
    ------
    FileFormatError
        It is no text, or has no columns under known headings.
    AmbiguousFileError
        It can be read in two ways.
    """
    if not data.strip(b"\x00 \t\r\n\xef\xbb\xbf\xff\xfe"):
        raise FileFormatError(f"{path}: the file is empty; a record with time, stress and strain is needed")
    table = _read_fast(data, path, layout)
    return [table] if table is not None else read_tolerant(data, path, layout)


def _read_fast(data: bytes, path: str, layout: Layout) -> Table | None:
    """Try the fast path, on the bytes as they are or, for UTF-16, on the same text in UTF-8."""
    refuse_other_kinds(data[:512], path)
    if not data.startswith(_WIDE):
        return read_regular(data, layout)
    if layout.encoding:
        return None
    decoded = decode(data, path)
    table = read_regular(decoded.text.encode(), layout)
    return None if table is None else replace(table, encoding=decoded.encoding)


def read_tolerant(data: bytes, path: str, layout: Layout) -> list[Table]:
    """Read the tables of a text cell by cell.

    Parameters
    ----------
    data : bytes
        The file.
    path : str
        Named in refusals.
    layout : Layout
        What the user said.

    Returns
    -------
    list of Table
        The same tables as the fast path gives, where that can read the text.

    Raises
    ------
    FileFormatError
        There are no columns under known headings.
    """
    decoded = decode(data, path, encoding=layout.encoding)
    lines = join_quoted(split_lines(with_plain_apostrophes(decoded.text)))
    while lines and not lines[-1].strip():
        lines.pop()
    if not lines:
        raise FileFormatError(f"{path}: the file is empty; a record with time, stress and strain is needed")
    dialect = _sniff_or_explain(lines, path, layout)
    grid = to_grid(lines, dialect)
    blocks = find_blocks(
        grid,
        rules=layout.rules,
        heading_row=layout.heading_row,
        units_row=layout.units_row,
        first_data_row=layout.first_data_row,
    )
    for row in (layout.heading_row, layout.first_data_row):
        if row is not None and row > len(lines):
            raise FileFormatError(f"{path}: row {row} was asked for, but the file has {len(lines)} lines")
    if not blocks:
        raise FileFormatError(f"{path}: {_what_stands_there(lines, dialect)}")
    remarks = (decoded.remark,) if decoded.remark else ()
    tables = []
    for group in join_segments(blocks):
        table = table_of(
            group,
            form="delimited text",
            encoding=decoded.encoding,
            separator=dialect.separator,
            decimal_mark=dialect.decimal_mark,
            remarks=remarks,
        )
        tables.append(_refuse_wide_rows(table, grid))
    return tables


def _sniff_or_explain(lines: Sequence[str], path: str, layout: Layout) -> Dialect:
    """Sniff the dialect; where there are no numbers, say whether headings stand alone."""
    try:
        return sniff(lines, path, layout)
    except FileFormatError as error:
        if type(error) is not FileFormatError:
            raise
        filled = [line for line in lines if line.strip()]
        _refuse_cells_with_units(lines, path)
        for mark in ("\t", ";", ","):
            rows: list[list[Cell]] = [[*line.split(mark)] for line in filled]
            grid = Grid("", [*rows, ["1"] * len(rows[-1])])
            if find_blocks(grid, rules=layout.rules):
                raise FileFormatError(
                    f"{path}, line {lines.index(filled[-1]) + 1}: "
                    "headings were found but no data rows below them"
                ) from None
        raise


def _refuse_cells_with_units(lines: Sequence[str], path: str) -> None:
    """Refuse rows such as "0.1 s; 100 Pa; 2.5 %" with the remedy."""
    for number, line in enumerate(lines, start=1):
        for mark in ("\t", ";", ","):
            cells = [cell for cell in line.split(mark) if cell.strip()]
            if len(cells) > 2 and all(carries_unit(cell) for cell in cells):
                raise FileFormatError(
                    f"{path}, line {number}: every cell carries its unit ({cells[0].strip()!r}); "
                    "write the unit in the heading and only numbers below it"
                )


def _what_stands_there(lines: Sequence[str], dialect: Dialect) -> str:
    """Say what was found where headings were looked for."""
    wordy = [(n, line.strip()) for n, line in enumerate(lines, start=1) if any(c.isalpha() for c in line)]
    needed = (
        "headings for time, stress and strain are needed, or name the columns (--column) and --first-data-row"
    )
    if not wordy:
        return f"numbers without headings in {dialect.width} columns; {needed}"
    number, text = wordy[0]
    lying = [cells for _, line in wordy if len(cells := _cells_of(line, dialect)) > _MANY_ACROSS]
    if sum(read_heading([cells[0]]).quantity is not None for cells in lying) > 1:
        return (
            f"the quantities stand one below another (line {number}: {text[:24]!r} with {len(lying[0]) - 1} "
            "numbers to its right); a column for each is needed: turn the table (transpose it) and save it"
        )
    return f"no known headings above the numbers (line {number}: {text[:_SHOWN]!r}); {needed}"


def _cells_of(line: str, dialect: Dialect) -> list[str]:
    return split_cells(line, dialect.separator, quoted=dialect.quoted)


def _refuse_wide_rows(table: Table, grid: Grid) -> Table:
    """Blank out rows with more cells than headings: which cell belongs to which heading is anyone's guess."""
    last = max(len(grid.rows[row - 1]) for row in table.heading_rows) if table.heading_rows else 0
    if not last:
        return table
    wide = np.array(
        [any(not is_blank(cell) for cell in grid.rows[number - 1][last:]) for number in table.row_numbers]
    )
    if not wide.any() or wide.mean() > 0.5:
        return table
    columns = []
    for column in table.columns:
        values = np.where(wide, np.nan, column.values)
        texts = tuple(
            f"{len(grid.rows[number - 1])} cells under {last} headings" if bad else text
            for bad, number, text in zip(wide, table.row_numbers, column.texts, strict=True)
        )
        columns.append(replace(column, values=values, texts=texts))
    return replace(table, columns=tuple(columns))
