"""Workbooks (.xlsx, .xlsm) as grids of cells, one grid a sheet.

The package is checked first (see `resile.readers.workbooks.workbook_package`): size when unpacked, locks,
error cells, formulas without a stored result. What is said here about a sheet (hidden, merged cells filled)
stands in the grid's remarks.
"""

from __future__ import annotations

import datetime
import io
import re
from typing import TYPE_CHECKING

from resile.errors import FileFormatError, RecordNotFoundError
from resile.readers.grids.cells import Cell
from resile.readers.grids.grid import Grid
from resile.readers.workbooks.workbook_cells import MAX_CELLS, refuse_blind_cells
from resile.readers.workbooks.workbook_package import (
    MAX_UNPACKED_BYTES,
    SheetPart,
    list_sheets,
    repack,
    results_are_stale,
    unpack_workbook,
)

if TYPE_CHECKING:
    from collections.abc import Sequence

# Three digits behind the mark may be thousands: such a number decides nothing.
_COMMA_NUMBER = re.compile(r"[+-]?\d+,(?!\d{3}$)\d+(?:[eE][+-]?\d+)?")
_POINT_NUMBER = re.compile(r"[+-]?\d+\.(?!\d{3}$)\d+(?:[eE][+-]?\d+)?")
MergedRange = tuple[tuple[int, int], tuple[int, int]]


def read_workbook(
    data: bytes, path: str, *, sheet: str | None = None, max_unpacked_bytes: int = MAX_UNPACKED_BYTES
) -> list[Grid]:
    """Give the cells of each sheet of a workbook.

    Parameters
    ----------
    data : bytes
        The file.
    path : str
        Path for messages.
    sheet : str or None
        Read this sheet only; all sheets with cells when None.
    max_unpacked_bytes : int
        Most that the workbook may unpack to [bytes].

    Returns
    -------
    list of Grid
        One a sheet, in the order of the tabs, starting at cell A1; sheets without cells are left out.
        Numbers are floats, numbers stored as text stay text, dates and times are text in ISO 8601,
        and a merged cell stands in every cell it covers.

    Raises
    ------
    FileFormatError
        Not a workbook, locked, damaged, too large, without cells, or with error cells or formulas whose
        result was never stored.
    RecordNotFoundError
        There is no sheet of the name asked for.
    """
    parts = unpack_workbook(data, path, max_unpacked_bytes=max_unpacked_bytes)
    listed = list_sheets(parts, path)
    chosen = listed if sheet is None else tuple(part for part in listed if part.name == sheet)
    if not chosen:
        names = ", ".join(repr(part.name) for part in listed)
        raise RecordNotFoundError(f"{path}: there is no sheet {sheet!r}; the workbook has {names}")
    stale = results_are_stale(parts, path)
    for part in chosen:
        if part.is_worksheet:
            refuse_blind_cells(parts[part.part], path, part.name, stale=stale)
    grids = _read_sheets(repack(parts), path, tuple(part for part in chosen if part.is_worksheet))
    if not grids:
        where = "every sheet" if sheet is None else f"sheet {sheet!r}"
        raise FileFormatError(f"{path}: {where} of the workbook is empty; a table of numbers is needed")
    return grids


def _read_sheets(package: bytes, path: str, chosen: Sequence[SheetPart]) -> list[Grid]:
    import python_calamine

    grids: list[Grid] = []
    try:
        with python_calamine.CalamineWorkbook.from_filelike(io.BytesIO(package)) as workbook:
            for part in chosen:
                sheet = workbook.get_sheet_by_name(part.name)
                rows = [
                    [value if type(value) is float else _cell(value) for value in row]  # mostly numbers
                    for row in sheet.to_python(skip_empty_area=False)
                ]
                filled = _fill_merged(rows, sheet.merged_cell_ranges or [], path, part.name)
                rows = _without_blank_tails(rows)
                if rows:
                    mark = _decimal_mark(rows)
                    grids.append(Grid(part.name, rows, 1, decimal_mark=mark, remarks=_remarks(part, filled)))
    except (python_calamine.CalamineError, OSError, ValueError) as error:
        raise FileFormatError(
            f"{path}: the workbook cannot be read ({error}); open it and save it as .xlsx"
        ) from error
    return grids


def _remarks(part: SheetPart, filled: list[str]) -> tuple[str, ...]:
    remarks: list[str] = []
    if part.hidden:
        remarks.append(f"sheet {part.name!r} is hidden in the workbook; it was read all the same")
    if filled:
        remarks.append(
            f"sheet {part.name!r}: {len(filled)} merged ranges (first: {filled[0]}); each content "
            "was taken for every cell it covers"
        )
    return tuple(remarks)


def _cell(value: object) -> Cell:
    if isinstance(value, bool):
        return "TRUE" if value else "FALSE"
    if isinstance(value, int | float):
        return float(value)
    if isinstance(value, datetime.datetime):
        return value.isoformat(sep=" ")
    if isinstance(value, datetime.date | datetime.time):
        return value.isoformat()
    if isinstance(value, datetime.timedelta):
        minutes, seconds = divmod(value.total_seconds(), 60.0)
        return f"{minutes // 60:.0f}:{minutes % 60:02.0f}:{seconds:09.6f}"
    text = str(value)
    return text if text.strip() else None


def _decimal_mark(rows: Sequence[Sequence[Cell]]) -> str:
    """Give the decimal mark of numbers stored as text: a comma only where nothing speaks for a point."""
    texts = [cell.strip() for row in rows for cell in row if isinstance(cell, str)]
    commas = any(_COMMA_NUMBER.fullmatch(text) for text in texts)
    points = any(_POINT_NUMBER.fullmatch(text) for text in texts)
    return "," if commas and not points else "."


def _fill_merged(rows: list[list[Cell]], ranges: Sequence[MergedRange], path: str, sheet: str) -> list[str]:
    """Write the content of each merged range into all its cells; gives the ranges filled."""
    height, width = len(rows), max((len(row) for row in rows), default=0)
    touched = 0
    filled: list[str] = []
    for (top, left), (bottom, right) in sorted(ranges):
        if top >= height or left >= width or rows[top][left] is None:
            continue
        bottom, right = min(bottom, height - 1), min(right, width - 1)
        touched += (bottom - top + 1) * (right - left + 1)
        if touched > MAX_CELLS:
            raise FileFormatError(
                f"{path}, sheet {sheet}: merged cells overlap beyond measure; unmerge the cells"
            )
        filled.append(f"{_cell_name(top, left)}:{_cell_name(bottom, right)}")
        for row in rows[top : bottom + 1]:
            row[left : right + 1] = [
                rows[top][left] if cell is None else cell for cell in row[left : right + 1]
            ]
    return filled


def _cell_name(row: int, column: int) -> str:
    letters, place = "", column + 1
    while place:
        place, letter = divmod(place - 1, 26)
        letters = chr(ord("A") + letter) + letters
    return f"{letters}{row + 1}"


def _without_blank_tails(rows: list[list[Cell]]) -> list[list[Cell]]:
    """Cut blank rows at the end and blank columns at the right, which formatting leaves behind."""
    while rows and all(cell is None for cell in rows[-1]):
        rows.pop()
    width = 0
    for row in rows:
        while width < len(row) and any(cell is not None for cell in row[width:]):
            width += 1
    return [row[:width] for row in rows]
