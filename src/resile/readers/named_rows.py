"""A small table with known headings, one thing a row: separated text or a sheet, to texts by name.

For lists that a person keeps (binders, sites), not for measurements. Whoever reads the list gives the words
of its headings; what a heading prints in brackets (a unit, a currency) is kept.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path

from resile.errors import FileFormatError
from resile.readers.candidate_grids import is_workbook
from resile.readers.grids.cells import Cell, cell_text, exact_text
from resile.readers.grids.grid import Grid
from resile.readers.grids.number_marks import decide_marks, looks_like_number
from resile.readers.grids.number_text import parse_number
from resile.readers.grids.vocabulary import fold
from resile.readers.source_file import read_source
from resile.readers.text.delimited import split_lines
from resile.readers.text.encodings import decode
from resile.readers.text.separated_words import grids_by_separator
from resile.readers.workbooks.workbook import read_workbook
from resile.records.reading import HeldFile, SourceFile

_ROWS_SEARCHED = 30
_BRACKETS = re.compile(r"[\[(]([^\])]*)[\])]")
_DOTTED_DAY = re.compile(r"\d{1,2}\.\d{1,2}\.(\d{4}|\d{2})$")
"""A day such as 10.02.2025: it says nothing about the decimal mark."""


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
    path: Path | HeldFile,
    words: Mapping[str, Sequence[str]],
    *,
    needed: Sequence[str],
    what: str,
    max_bytes: int,
    one_of: Sequence[str] = (),
    thousands: bool = True,
) -> tuple[NamedTable, SourceFile]:
    """Read a list with known headings.

    Parameters
    ----------
    path : Path or HeldFile
        Separated text or a workbook (.xlsx); the first sheet with the headings is read.
    words : mapping of str to sequence of str
        Spellings by the name of the column.
    needed : sequence of str
        Names that a heading row must have.
    what : str
        What the file is, for messages.
    max_bytes : int
        A larger file is refused.
    one_of : sequence of str
        Names of which a heading row must have at least one, beside another known heading.
    thousands : bool
        False where no number of the list needs a thousands mark: a comma alone is then a decimal mark.

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
        raise FileFormatError(f"{path}: the file is empty; {_needed(needed, one_of, words)}")
    spelt = {fold(spelling): name for name, spellings in words.items() for spelling in spellings}
    for grid, sheet, comments in _grids(data, path):
        found = _heading_row(grid, spelt, needed, one_of, str(path))
        if found is not None:
            return _rows(grid, sheet, comments, *found, str(path), thousands), source
    raise FileFormatError(f"{path}: no row of headings was found; {_needed(needed, one_of, words)}")


def _needed(needed: Sequence[str], one_of: Sequence[str], words: Mapping[str, Sequence[str]]) -> str:
    others = [name for name in words if name not in (*needed, *one_of)]
    asked = " and ".join([*needed, *([" or ".join(one_of)] if one_of else [])])
    return f"needed is a row of headings with {asked} (known beside: {', '.join(others)})"


def _grids(data: bytes, path: Path | HeldFile) -> list[tuple[Grid, bool, frozenset[int]]]:
    """Give each grid, whether it is a sheet, and the numbers of its rows that are comments."""
    if is_workbook(data):
        sheets = read_workbook(data, str(path), sheet=None)
        return [(grid, True, _comments(grid.first_row, map(_first_text, grid.rows))) for grid in sheets]
    text = decode(data, str(path)).text
    # Grids of text have their comment signs taken off already: they are looked for in the lines.
    comments = _comments(1, map(str.strip, split_lines(text)))
    return [(grid, False, comments) for _, grid in grids_by_separator(text)]


def _comments(first: int, begins: Iterable[str]) -> frozenset[int]:
    """Give the rows that begin with '#' and words; a lone '#' heads a column of running numbers."""
    return frozenset(
        number
        for number, text in enumerate(begins, first)
        if text.startswith("#") and text[1:].lstrip()[:1] not in ("", ",", ";", "\t")
    )


def _first_text(row: Sequence[Cell]) -> str:
    return next((text for cell in row if (text := cell_text(cell).strip())), "")


def _heading_row(
    grid: Grid, spelt: Mapping[str, str], needed: Sequence[str], one_of: Sequence[str], path: str
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
        names = set(named.values())
        if set(needed) <= names and (not one_of or (len(names) > 1 and not names.isdisjoint(one_of))):
            return index, named
    return None


def _rows(
    grid: Grid,
    sheet: bool,
    comments: frozenset[int],
    heading: int,
    named: Mapping[int, str],
    path: str,
    thousands: bool,
) -> NamedTable:
    headings = [cell_text(cell) for cell in grid.rows[heading]]
    filled = [
        (number, row)
        for number, row in enumerate(grid.rows[heading + 1 :], grid.first_row + heading + 1)
        if any(cell_text(cell).strip() for cell in row)
    ]
    body = [(number, row) for number, row in filled if number not in comments]
    number_of = _number_reader(body, named, path, thousands)
    rows = []
    for number, row in body:
        given = {name: row[at] if at < len(row) else None for at, name in named.items()}
        values = {name: number_of(cell) for name, cell in given.items()}
        rows.append(
            NamedRow(
                f"sheet {grid.name}, row {number}" if sheet else f"line {number}",
                {name: exact_text(cell).strip() for name, cell in given.items()},
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
        tuple(
            _note(row)
            for row in (*grid.rows[:heading], *(row for number, row in filled if number in comments))
            if _note(row)
        ),
    )


def _number_reader(
    body: Sequence[tuple[int, Sequence[Cell]]], named: Mapping[int, str], path: str, thousands: bool
) -> Callable[[Cell], float | None]:
    """Give what turns a cell into a number: cells of a sheet are numbers already."""
    texts = [row[at] for _, row in body for at in named if at < len(row)]
    printed = [
        text
        for text in texts
        if isinstance(text, str) and looks_like_number(text) and not _DOTTED_DAY.match(text.strip())
    ]
    marks = decide_marks(printed, path) if printed and thousands else None

    def read(cell: Cell) -> float | None:
        if isinstance(cell, float):
            return cell
        text = cell_text(cell).strip()
        if not text:
            return None
        decimal, apart = marks or ("," if "," in text and "." not in text else ".", "")
        return parse_number(text, decimal, apart)

    return read


def _note(row: Sequence[Cell]) -> str:
    return ", ".join(text for cell in row if (text := cell_text(cell).strip()))
