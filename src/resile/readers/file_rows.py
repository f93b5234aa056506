"""The very rows of a file, cut into the cells in which they were read: the last link of the chain."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

from resile.readers.grids.cells import Cell, exact_text
from resile.readers.grids.grid import place_of_row
from resile.readers.layout import Layout
from resile.readers.source_file import read_source
from resile.readers.tables_of_file import MOST_BYTES
from resile.readers.text.delimited import Dialect, join_quoted, split_lines, to_grid
from resile.readers.text.encodings import decode
from resile.records.reading import FileRow, HeldFile, ReadingAccount

_NO_LAYOUT = Layout()


def read_file_rows(
    path: Path | HeldFile,
    wanted: Iterable[tuple[str, int]],
    *,
    account: ReadingAccount,
    layout: Layout = _NO_LAYOUT,
) -> tuple[FileRow, ...]:
    """Give rows of a record as they stand in its file.

    Parameters
    ----------
    path : Path or HeldFile
        The file, on the disk or in hand.
    wanted : iterable of (str, int)
        Sheet (empty for a text) and row number, counted from 1, of each row.
    account : ReadingAccount
        How the file was understood: how its lines are cut into cells.
    layout : Layout
        What the user said of it.

    Returns
    -------
    tuple of FileRow
        In the order asked for; rows beyond the end of the file are left out.

    Raises
    ------
    ResileError
        As in `resile.readers.raw_record.read_raw_record`.
    """
    data, source = read_source(path, "record of one test (.csv, .txt, .xlsx)", MOST_BYTES)
    places = list(wanted)
    if account.form == "workbook":
        return _of_workbook(data, source.path, places)
    lines = split_lines(decode(data, source.path, encoding=layout.encoding).text)
    whole = join_quoted(lines)
    width = max((column.position for column in account.columns), default=1)
    dialect = Dialect(account.separator or "comma", account.decimal_mark, "", quoted=True, width=width)
    inside = [number for _, number in places if 0 < number <= len(lines)]
    cut = to_grid([whole[number - 1] for number in inside], dialect).rows
    return tuple(
        _row("", number, lines[number - 1], cells) for number, cells in zip(inside, cut, strict=True)
    )


def _of_workbook(data: bytes, path: str, places: list[tuple[str, int]]) -> tuple[FileRow, ...]:
    from resile.readers.workbooks.workbook import read_workbook

    grids = {grid.name: grid.rows for grid in read_workbook(data, path)}
    return tuple(
        _row(sheet, number, "", grids[sheet][number - 1])
        for sheet, number in places
        if sheet in grids and 0 < number <= len(grids[sheet])
    )


def _row(sheet: str, number: int, text: str, cells: list[Cell]) -> FileRow:
    return FileRow(place_of_row(sheet, number), number, tuple(map(exact_text, cells)), text, sheet)
