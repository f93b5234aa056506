"""A small table with known headings, one thing a row: separated text or a sheet, to texts by name.

For lists that a person keeps (binders, sites), not for measurements. Whoever reads the list gives the words
of its headings; what a heading prints in brackets (a unit, a currency) is kept.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path

from resile.errors import FileFormatError
from resile.readers.grids.cells import Cell, cell_text
from resile.readers.grids.grid import Grid
from resile.readers.grids.number_marks import decide_marks, looks_like_number
from resile.readers.grids.number_text import parse_number
from resile.readers.grids.vocabulary import fold
from resile.readers.source_file import read_source
from resile.readers.text.encodings import decode
from resile.readers.text.separated_words import grids_by_separator
from resile.readers.workbooks.workbook import read_workbook
from resile.records.reading import SourceFile

_ROWS_SEARCHED = 30
_BRACKETS = re.compile(r"[\[(]([^\])]*)[\])]")


@dataclass(frozen=True, slots=True)
class NamedRow:
    """One row: texts by the name of their column.

    Attributes
    ----------
    place : str
        ``line 7``, or ``sheet Range, row 7``.
    cells : mapping of str to str
        Text of every column that has a name; empty where the cell is.
    numbers : mapping of str to float
        Those texts that are numbers.
    """

    place: str
    cells: Mapping[str, str]
    numbers: Mapping[str, float]

    def text(self, name: str) -> str:
        """Give the text of a column; empty where there is none."""
        return self.cells.get(name, "")


@dataclass(frozen=True, slots=True)
class NamedTable:
    """Rows under known headings.

    Attributes
    ----------
    rows : tuple of NamedRow
        Rows that are not blank.
    brackets : mapping of str to str
        What the heading of a column prints in brackets.
    unused : tuple of str
        Headings that are not known.
    notes : tuple of str
        Lines above the headings.
    """

    rows: tuple[NamedRow, ...]
    brackets: Mapping[str, str] = field(default_factory=dict)
    unused: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()


def read_named_rows(
    path: Path, words: Mapping[str, Sequence[str]], *, needed: Sequence[str], what: str, max_bytes: int
) -> tuple[NamedTable, SourceFile]:
    """Read a list with known headings.

    Parameters
    ----------
    path : Path
        Separated text or a workbook (.xlsx); the first sheet with the headings is read.
    words : mapping of str to sequence of str
        Spellings by the name of the column.
    needed : sequence of str
        Names that a heading row must have.
    what : str
        What the file is, for messages.
    max_bytes : int
        A larger file is refused.

    Returns
    -------
    tuple of (NamedTable, SourceFile)
        Rows, and the bytes they came from.

    Raises
    ------
    RecordNotFoundError
        No such file.
    FileFormatError
        No such headings, a heading twice, or no row.
    AmbiguousFileError
        A decimal mark can be read in two ways.
    """
    data, source = read_source(path, what, max_bytes)
    if not data.strip():
        raise FileFormatError(f"{path}: the file is empty; {_needed(needed, words)}")
    spelt = {fold(spelling): name for name, spellings in words.items() for spelling in spellings}
    for grid, sheet in _grids(data, path):
        found = _heading_row(grid, spelt, needed, str(path))
        if found is not None:
            return _rows(grid, sheet, *found, str(path)), source
    raise FileFormatError(f"{path}: no row of headings was found; {_needed(needed, words)}")


def _needed(needed: Sequence[str], words: Mapping[str, Sequence[str]]) -> str:
    others = [name for name in words if name not in needed]
    return f"needed is a row of headings with {' and '.join(needed)} (known beside: {', '.join(others)})"


def _grids(data: bytes, path: Path) -> list[tuple[Grid, bool]]:
    if data.startswith((b"PK", b"\xd0\xcf\x11\xe0")):
        return [(grid, True) for grid in read_workbook(data, str(path), sheet=None)]
    text = decode(data, str(path)).text
    return [(grid, False) for _, grid in grids_by_separator(text)]


def _heading_row(
    grid: Grid, spelt: Mapping[str, str], needed: Sequence[str], path: str
) -> tuple[int, dict[int, str]] | None:
    for index, row in enumerate(grid.rows[:_ROWS_SEARCHED]):
        named: dict[int, str] = {}
        for place, cell in enumerate(row):
            name = spelt.get(fold(_BRACKETS.sub("", cell_text(cell)).strip()))
            if name is None:
                continue
            if name in named.values():
                raise FileFormatError(f"{path}: two columns are headed as {name}; one is needed")
            named[place] = name
        if set(needed) <= set(named.values()):
            return index, named
    return None


def _rows(grid: Grid, sheet: bool, heading: int, named: Mapping[int, str], path: str) -> NamedTable:
    headings = [cell_text(cell) for cell in grid.rows[heading]]
    body = [
        (number, [cell_text(cell).strip() for cell in row])
        for number, row in enumerate(grid.rows[heading + 1 :], grid.first_row + heading + 1)
    ]
    body = [(number, row) for number, row in body if any(row)]
    printed = [row[at] for _, row in body for at in named if at < len(row) and looks_like_number(row[at])]
    decimal, thousands = (".", "") if sheet and not printed else decide_marks(printed, path)
    rows = []
    for number, row in body:
        cells = {name: row[at] if at < len(row) else "" for at, name in named.items()}
        values = {name: parse_number(text, decimal, thousands) for name, text in cells.items() if text}
        rows.append(
            NamedRow(
                f"sheet {grid.name}, row {number}" if sheet else f"line {number}",
                cells,
                {name: value for name, value in values.items() if value is not None},
            )
        )
    if not rows:
        raise FileFormatError(f"{path}: there is a row of headings, and no row below it")
    inside = {name: _BRACKETS.search(headings[at]) for at, name in named.items()}
    return NamedTable(
        tuple(rows),
        {name: match.group(1).strip() for name, match in inside.items() if match},
        tuple(text for at, text in enumerate(headings) if text and at not in named),
        tuple(_note(row) for row in grid.rows[:heading] if _note(row)),
    )


def _note(row: Sequence[Cell]) -> str:
    return ", ".join(text for cell in row if (text := cell_text(cell).strip()))
