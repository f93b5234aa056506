"""One cell of a grid: whether it is blank, its text, and whether it holds a number."""

from __future__ import annotations

import re
from collections.abc import Sequence

from resile.readers.grids.number_marks import looks_like_number
from resile.readers.grids.number_text import parse_number
from resile.readers.grids.printed_units import read_unit

Cell = str | float | None
_VALUE_WITH_UNIT = re.compile(r"^([+-]?\d[\d.,]*)\s*([^\d\s].{0,7})$")


def is_blank(cell: Cell) -> bool:
    """Tell whether a cell holds nothing."""
    return cell is None or (isinstance(cell, str) and not cell.strip())


def cell_text(cell: Cell) -> str:
    """Give a cell as printed."""
    if cell is None:
        return ""
    return cell.strip() if isinstance(cell, str) else f"{cell:g}"


def exact_text(cell: Cell) -> str:
    """Give a cell as text with every digit it holds."""
    return f"{cell:.15g}" if isinstance(cell, float) else cell_text(cell)


def carries_unit(text: str) -> bool:
    """Tell whether a text is a number with its unit."""
    valued = _VALUE_WITH_UNIT.match(text.strip())
    return bool(valued and read_unit(valued[2])[0])


def holds_number(cell: Cell) -> bool:
    """Tell whether a cell is a number under some reading of its marks, or a number with its unit."""
    if isinstance(cell, str):
        if looks_like_number(cell) or parse_number(cell) is not None:
            return True
        return carries_unit(cell)
    return cell is not None


def count_numbers(row: Sequence[Cell]) -> int:
    """Count the cells of a row that are numbers."""
    return sum(holds_number(cell) for cell in row)
