"""Where the headings of a grid stand: one to four rows, a units row, side by side, repeated further down."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

from resile.readers.grids.cells import Cell, cell_text, count_numbers, holds_number, is_blank
from resile.readers.grids.headings import HeadingReading, read_heading
from resile.readers.grids.printed_units import read_unit
from resile.readers.grids.vocabulary import fold

MOST_HEADING_ROWS = 4
FEWEST_RECOGNISED = 2


@dataclass(frozen=True, slots=True)
class ColumnRule:
    """What a user said of one column.

    Attributes
    ----------
    quantity : str
        Name of the quantity; ``"ignore"`` to leave the column out.
    unit : str
        Unit as text; empty to keep the one printed.
    """

    quantity: str
    unit: str = ""


@dataclass(frozen=True, slots=True)
class HeadingWindow:
    """The heading of one block: all indices are of rows and columns in the grid, counted from 0.

    Attributes
    ----------
    first, last : int
        First and last heading row, the units row included.
    units_row : int or None
        Index of the row of units.
    first_data : int
        First row below that holds data.
    columns : tuple of int
        Columns of the block.
    readings : tuple of HeadingReading
        One for each column.
    label : str
        Group title above the columns of this block; empty where there is one block only.
    """

    first: int
    last: int
    units_row: int | None
    first_data: int
    columns: tuple[int, ...]
    readings: tuple[HeadingReading, ...]
    label: str = ""

    @property
    def recognised(self) -> int:
        """How many columns were recognised."""
        return sum(reading.quantity is not None for reading in self.readings)


def without_echoes(texts: Sequence[str]) -> list[str]:
    """Give texts without those that repeat the one before: merged cells, read once."""
    return [text for place, text in enumerate(texts) if place == 0 or text != texts[place - 1]]


def _is_units_row(row: Sequence[Cell]) -> bool:
    """Tell whether every cell that holds anything is a unit."""
    printed = [cell_text(cell) for cell in row if not is_blank(cell)]
    return bool(printed) and all(read_unit(text)[0] is not None for text in printed)


def _width(rows: Sequence[Sequence[Cell]]) -> int:
    return max((len(row) for row in rows), default=0)


def _at(row: Sequence[Cell], column: int) -> str:
    return cell_text(row[column]) if column < len(row) else ""


def _filled_forward(row: Sequence[Cell], width: int, gaps: frozenset[int]) -> list[str]:
    """Give a heading row with merged titles repeated over the columns they span."""
    filled, last = [], ""
    for column in range(width):
        text = _at(row, column)
        last = "" if column in gaps else (text or last)
        filled.append(last)
    return filled


def _column_parts(rows: Sequence[Sequence[Cell]], width: int) -> list[list[str]]:
    """Give the heading cells above each column, from the top; only the upper rows are taken as merged."""
    lowest = rows[-1]
    gaps = frozenset(column for column in range(width) if all(not _at(row, column) for row in rows))
    upper = [_filled_forward(row, width, gaps) for row in rows[:-1]]
    parts = []
    for column in range(width):
        own = [*(row[column] for row in upper), _at(lowest, column)]
        parts.append([] if column in gaps else without_echoes([text for text in own if text]))
    return parts


def _read_window(
    rows: Sequence[Sequence[Cell]], units: Sequence[Cell] | None, rules: Mapping[str, ColumnRule]
) -> tuple[HeadingReading, ...]:
    """Read the headings of all columns of one window."""
    width = _width([*rows, *([units] if units is not None else [])])
    parts = _column_parts(rows, width) if rows else [[] for _ in range(width)]
    printed = [_at(units, column) if units is not None else "" for column in range(width)]
    return tuple(
        apply_rule(read_heading(parts[column], printed[column]), column + 1, rules) for column in range(width)
    )


def apply_rule(reading: HeadingReading, position: int, rules: Mapping[str, ColumnRule]) -> HeadingReading:
    """Put what the user said of a column in the place of what its heading says.

    Parameters
    ----------
    reading : HeadingReading
        What the heading says.
    position : int
        Column number, counted from 1.
    rules : mapping of str to ColumnRule
        Keyed by heading text or column number.

    Returns
    -------
    HeadingReading
        With the remark that it was given, where a rule names the column.
    """
    rule = rules.get(str(position)) or rules.get(reading.heading)
    if rule is None:
        folded = fold(reading.heading)
        rule = next((given for key, given in rules.items() if folded and fold(key) == folded), None)
    if rule is None:
        return reading
    unit = read_unit(rule.unit)[0] if rule.unit else reading.unit
    quantity = None if rule.quantity == "ignore" else rule.quantity
    return HeadingReading(
        reading.heading, quantity, unit, rule.unit or reading.unit_text, remark="as given for this column"
    )


def _score(readings: Sequence[HeadingReading]) -> tuple[int, int]:
    named = sum(reading.quantity is not None for reading in readings)
    return named, sum(reading.quantity is not None and reading.unit is not None for reading in readings)


def _best_window(
    rows: Sequence[Sequence[Cell]],
    top: int,
    bottom: int,
    rules: Mapping[str, ColumnRule],
    fewest: int = FEWEST_RECOGNISED,
) -> tuple[int, int | None, tuple[HeadingReading, ...]] | None:
    """Choose how many of the rows top..bottom are headings: the fewest that recognise the most columns."""
    units_row = bottom if _is_units_row(rows[bottom]) and bottom > top else None
    last = bottom - 1 if units_row is not None else bottom
    while last > top and all(is_blank(cell) for cell in rows[last]):
        last -= 1
    best: tuple[int, int | None, tuple[HeadingReading, ...]] | None = None
    for first in range(last, max(top, last - MOST_HEADING_ROWS + 1) - 1, -1):
        units = rows[units_row] if units_row is not None else None
        readings = _read_window(rows[first : last + 1], units, rules)
        if best is None or _score(readings) > _score(best[2]):
            best = (first, units_row, readings)
    if best is None or _score(best[2])[0] + _can_be_supposed(best[2]) < fewest:
        return None
    return best


def _can_be_supposed(readings: Sequence[HeadingReading]) -> int:
    """Count the headings that name a quantity in part, and print a unit of it: "viscosity (mPa·s)"."""
    return sum(bool(reading.candidates) and reading.unit is not None for reading in readings)


def _side_by_side(readings: Sequence[HeadingReading]) -> list[tuple[int, ...]]:
    """Split columns into blocks where the sequence of headings starts again to the right."""
    used = [column for column, reading in enumerate(readings) if reading.heading or reading.unit_text]
    everything = [tuple(used)]
    names = [(readings[column].quantity, fold(readings[column].heading)) for column in used]
    anchor = next((name for name in names if name[0] == "time_s"), names[0] if names else None)
    starts = [
        i for i, name in enumerate(names) if name == anchor or (name[0] == "time_s" == (anchor or name)[0])
    ]
    if len(starts) < 2:
        return everything
    period = starts[1] - starts[0]
    first = [quantity for quantity, _ in names[starts[0] : starts[1]]]
    bounds = [*starts, len(names)]
    for begin, end in pairwise(bounds):
        if [quantity for quantity, _ in names[begin:end]][:period] != first:
            return everything
    if period < FEWEST_RECOGNISED:
        return everything
    blocks = [tuple(used[b:e]) for b, e in pairwise(bounds)]
    return [tuple(used[: starts[0]]) + blocks[0], *blocks[1:]] if starts[0] else blocks


def _label_above(rows: Sequence[Sequence[Cell]], first: int, columns: Sequence[int]) -> str:
    """Give the group title that stands right above the columns of a block."""
    if first == 0:
        return ""
    texts = [_at(rows[first - 1], column) for column in range(columns[0], columns[-1] + 1)]
    return " ".join(without_echoes([text for text in texts if text]))


def _next_filled(rows: Sequence[Sequence[Cell]], start: int) -> int | None:
    for index in range(start, len(rows)):
        if not all(is_blank(cell) for cell in rows[index]):
            return index
    return None


def windows_at(
    rows: Sequence[Sequence[Cell]],
    top: int,
    bottom: int,
    rules: Mapping[str, ColumnRule],
    first_data: int,
    *,
    fewest: int = FEWEST_RECOGNISED,
) -> list[HeadingWindow]:
    """Give the blocks headed by the text rows top..bottom, from left to right.

    Parameters
    ----------
    rows : sequence of rows
        The grid.
    top, bottom : int
        First and last row of an unbroken run of text rows.
    rules : mapping of str to ColumnRule
        What the user said of columns.
    first_data : int
        Row below where data start.
    fewest : int
        Columns that must be recognised.

    Returns
    -------
    list of HeadingWindow
        Empty where too few headings are known.
    """
    best = _best_window(rows, top, bottom, rules, fewest)
    if best is None:
        return []
    first, units_row, readings = best
    blocks = _side_by_side(readings)
    return [
        HeadingWindow(
            first,
            bottom,
            units_row,
            first_data,
            columns,
            tuple(readings[column] for column in columns),
            _label_above(rows, first, columns) if len(blocks) > 1 else "",
        )
        for columns in blocks
    ]


def _units_follow(rows: Sequence[Sequence[Cell]], index: int) -> bool:
    """Tell whether the next filled row below a blank one is the row of units of the headings above it."""
    below = _next_filled(rows, index)
    return below is not None and not count_numbers(rows[below]) and _is_units_row(rows[below])


def find_windows(
    rows: Sequence[Sequence[Cell]], *, rules: Mapping[str, ColumnRule] | None = None
) -> list[list[HeadingWindow]]:
    """Find every heading of a grid, from the top; side-by-side blocks share one entry.

    Parameters
    ----------
    rows : sequence of rows
        The grid.
    rules : mapping of str to ColumnRule, optional
        What the user said of columns.

    Returns
    -------
    list of list of HeadingWindow
        One inner list for each place where headings stand.
    """
    found: list[list[HeadingWindow]] = []
    top: int | None = None
    for index, row in enumerate(rows):
        blank = all(is_blank(cell) for cell in row)
        wordy = not blank and not any(holds_number(cell) for cell in row)
        if blank and top is not None and _units_follow(rows, index):
            continue
        if wordy and top is None:
            top = index
        if not wordy and top is not None:
            data = index if not blank else _next_filled(rows, index)
            if data is not None and count_numbers(rows[data]):
                windows = windows_at(rows, top, index - 1, rules or {}, data)
                found += [windows] if windows else []
            top = None
    return found
