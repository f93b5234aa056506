"""The top of a file as a table, whether or not it can be read: for people to name its columns, and to know
the next file of its kind by its headings.
"""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from dataclasses import dataclass

from resile.errors import FileFormatError
from resile.readers.candidate_grids import is_workbook
from resile.readers.grids.cells import Cell, cell_text, count_numbers, exact_text, is_blank
from resile.readers.layout import Layout
from resile.readers.text.delimited import Dialect, sniff, split_lines, to_grid
from resile.readers.text.encodings import decode, refuse_other_kinds
from resile.readers.text.separated_words import SEPARATORS
from resile.records.reading import HeldFile

_TOP_BYTES = 131_072
_STEADY = 3
_MOST_HEADINGS = 3


@dataclass(frozen=True, slots=True)
class FirstRows:
    """The top of a file, cut into cells.

    Attributes
    ----------
    rows : tuple of tuple of str
        Cells as printed, from row 1; rows are as long as the longest.
    separator : str
        Name of the separator of a text; empty for a workbook.
    sheet : str
        Sheet of a workbook that is shown.
    sheets : tuple of str
        All its sheets that hold something.
    first_data_row : int
        Row, counted from 1, from which rows of numbers follow; 0 where none do.
    """

    rows: tuple[tuple[str, ...], ...]
    separator: str = ""
    sheet: str = ""
    sheets: tuple[str, ...] = ()
    first_data_row: int = 0

    @property
    def headings(self) -> tuple[tuple[str, ...], ...]:
        """Rows directly above the numbers that fill as many columns: headings and units."""
        if not self.first_data_row:
            return ()
        width = sum(bool(cell) for cell in self.rows[self.first_data_row - 1])
        found: list[tuple[str, ...]] = []
        for row in reversed(self.rows[: self.first_data_row - 1]):
            if len(found) == _MOST_HEADINGS or 2 * sum(bool(cell) for cell in row) < width:
                break
            found.insert(0, row)
        return tuple(found)

    @property
    def digest(self) -> str:
        """SHA-256 of the headings: files of one kind share it; empty where there are none."""
        headings = self.headings
        if not headings:
            return ""
        told = "\n".join("\t".join(" ".join(cell.casefold().split()) for cell in row) for row in headings)
        return hashlib.sha256(told.encode()).hexdigest()


def read_first_rows(file: HeldFile, *, layout: Layout | None = None, count: int = 60) -> FirstRows:
    """Give the top of a file as a table.

    Parameters
    ----------
    file : HeldFile
        The file.
    layout : Layout, optional
        What is known of it: encoding, separator, sheet.
    count : int
        Rows wanted.

    Returns
    -------
    FirstRows
        Of a workbook, those of the sheet named, or of the one with the most numbers.

    Raises
    ------
    FileFormatError
        It is neither a text nor a workbook.
    """
    known = layout or Layout()
    if is_workbook(file.content):
        return _of_workbook(file, known, count)
    refuse_other_kinds(file.content[:512], file.name)
    top = file.content[:_TOP_BYTES]
    if len(top) < len(file.content):
        top = top[: top.rfind(b"\n") + 1] or top
    lines = split_lines(decode(top, file.name, encoding=known.encoding).text)[: max(count, 200)]
    if not any(line.strip() for line in lines):
        raise FileFormatError(f"{file.name}: the file is empty")
    dialect = _dialect(lines, file.name, known)
    rows = to_grid(lines, dialect).rows
    return _shown(rows, count, separator=dialect.separator)


def _dialect(lines: Sequence[str], name: str, layout: Layout) -> Dialect:
    try:
        return sniff(lines, name, layout)
    except FileFormatError:
        quoted = any('"' in line for line in lines)
        cuts = [
            Dialect(one, ".", "", quoted, 0)
            for one in ((layout.separator,) if layout.separator else SEPARATORS)
        ]
        return max(cuts, key=lambda cut: sum(len(row) for row in to_grid(lines, cut).rows))


def _of_workbook(file: HeldFile, layout: Layout, count: int) -> FirstRows:
    from resile.readers.workbooks.workbook import read_workbook

    grids = [grid for grid in read_workbook(file.content, file.name) if grid.rows]
    if not grids:
        raise FileFormatError(f"{file.name}: the workbook holds no filled sheet")
    named = [grid for grid in grids if grid.name == layout.sheet]
    chosen = named[0] if named else max(grids, key=lambda grid: sum(map(count_numbers, grid.rows[:500])))
    above: list[list[Cell]] = [[] for _ in range(chosen.first_row - 1)]
    return _shown(
        [*above, *chosen.rows[: max(count, 200)]],
        count,
        sheet=chosen.name,
        sheets=tuple(grid.name for grid in grids),
    )


def _shown(
    rows: Sequence[Sequence[Cell]],
    count: int,
    *,
    separator: str = "",
    sheet: str = "",
    sheets: tuple[str, ...] = (),
) -> FirstRows:
    first = _first_data_row(rows)
    cut = rows[: max(count, first)]
    width = max((len(row) for row in cut), default=0)
    texts = tuple(tuple(exact_text(row[at]) if at < len(row) else "" for at in range(width)) for row in cut)
    return FirstRows(texts, separator, sheet, sheets, first)


def _first_data_row(rows: Sequence[Sequence[Cell]]) -> int:
    """Give the first of several rows that hold more numbers than words."""
    steady = 0
    for place, row in enumerate(rows, start=1):
        numbers = count_numbers(row)
        words = sum(not is_blank(cell) and bool(cell_text(cell)) for cell in row) - numbers
        steady = steady + 1 if numbers >= 2 and numbers > words else 0
        if steady == _STEADY:
            return place - _STEADY + 1
    return 0
