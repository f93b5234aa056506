"""Which row of a grid heads a summary table, and what each column is for."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cache
from importlib import resources

from resile.readers.grid import Block, Column, Grid, find_blocks, read_details
from resile.readers.heading_rows import Cell, cell_text, is_blank, windows_at
from resile.readers.headings import HeadingReading, fold, read_heading
from resile.readers.number_text import parse_number
from resile.records.quantity import RESULT_QUANTITIES

STRUCTURE = frozenset({"sample", "replicate", "condition", "temperature_c", "quantity", "value", "unit"})
BASES = {"jnr": "jnr_3.2", "percent_recovery": "percent_recovery_3.2"}
"""Quantities that still need the stress of their row, and one that has the same unit."""
_ROWS_SEARCHED = 60
_HEADING_ROWS = 4
_STRESS_HEADINGS = frozenset({0.1, 3.2, 100.0, 3200.0})
_TEMPERATURE_IN_HEADING = re.compile(r"(-?\d+(?:[.,]\d+)?)\s*(?:°|º|deg)\s*C", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Table:
    """The columns of one summary table.

    Attributes
    ----------
    grid : Grid
        Where it stands.
    block : Block
        Its columns and rows.
    is_long : bool
        One value a row, named in a quantity column; otherwise the headings carry the quantities.
    """

    grid: Grid
    block: Block
    is_long: bool

    def cell(self, index: int, column: Column) -> Cell:
        """Give the cell of data row `index` (from 0) as it stands in the grid."""
        row = self.grid.rows[int(self.block.row_numbers[index]) - self.grid.first_row]
        return row[column.position - 1] if column.position <= len(row) else None

    def text(self, index: int, column: Column | None) -> str:
        """Give a cell of words as text; empty where there is no such column."""
        return "" if column is None else exact_text(self.cell(index, column))

    def place(self, index: int) -> str:
        """Name a data row as a person counts."""
        number = int(self.block.row_numbers[index])
        return f"sheet {self.grid.name}, row {number}" if self.grid.name else f"line {number}"

    @property
    def identity(self) -> tuple[Column, ...]:
        """The columns that together name the sample."""
        return tuple(column for column in self.block.columns if names_sample(column))

    @property
    def stress(self) -> Column | None:
        """The column that tells the stress of each row; None in a wide table whose headings tell it."""
        bases = {column.reading.quantity for column in self.block.columns} & BASES.keys()
        return self.block.column_of("stress_kpa") if self.is_long or bases else None

    @property
    def frequency(self) -> Column | None:
        """The column of the oscillation frequency, if there is one."""
        return next((column for column in self.block.columns if is_frequency(column)), None)


def exact_text(cell: Cell) -> str:
    """Give a cell as text with every digit it holds."""
    return f"{cell:.15g}" if isinstance(cell, float) else cell_text(cell)


def find_tables(grid: Grid) -> list[Table]:
    """Find the summary table of a grid; side-by-side tables are given from left to right.

    Parameters
    ----------
    grid : Grid
        Rows of a text or a sheet.

    Returns
    -------
    list of Table
        Empty where no row of headings names a result.
    """
    long_row = next((number for number, row in _searched(grid) if _is_long_heading(row)), None)
    span = (long_row, long_row) if long_row is not None else _wide_span(grid)
    if span is None:
        return []
    first, last = span
    units_row = last if last > first else None
    blocks = find_blocks(grid, heading_row=first, units_row=units_row, first_data_row=last + 1)
    details, _ = read_details(grid.rows[: first - grid.first_row])
    return [
        Table(grid, _with_levels(replace(block, details=details)), long_row is not None) for block in blocks
    ]


def column_temperature(reading: HeadingReading) -> float | None:
    """Give the temperature a heading names ("viscosity at 135 °C") [°C], or None."""
    found = _TEMPERATURE_IN_HEADING.search(reading.heading)
    return float(found[1].replace(",", ".")) if found else None


def is_frequency(column: Column) -> bool:
    """Tell whether a column gives the frequency of an oscillation test."""
    folded = fold(column.reading.heading)
    return any(
        folded == word or folded.startswith((f"{word} ", f"{word},")) for word in word_list("frequency")
    )


def levelled_base(heading: str) -> str:
    """Give ``jnr`` or ``percent_recovery`` for a heading that lacks its stress, or an empty text."""
    quantity = read_heading([f"3.2 kPa {heading}"]).quantity or ""
    base, _, level = quantity.rpartition("_")
    return base if level == "3.2" else ""


@cache
def word_list(section: str) -> frozenset[str]:
    """Give the folded words of one section of ``words.toml``."""
    raw = resources.files("resile.readers.summaries").joinpath("words.toml").read_text(encoding="utf-8")
    return frozenset(fold(word) for word in tomllib.loads(raw)[section]["words"])


def _searched(grid: Grid) -> Iterator[tuple[int, Sequence[Cell]]]:
    for index, row in enumerate(grid.rows[:_ROWS_SEARCHED]):
        yield index + grid.first_row, row


def _is_long_heading(row: Sequence[Cell]) -> bool:
    found = {read_heading([cell]).quantity for cell in row if isinstance(cell, str) and len(cell) < 60}
    return {"quantity", "value"} <= found


def _is_plain_number(cell: Cell, grid: Grid) -> bool:
    """Tell whether a cell is a number, the two stress levels (which may head columns) apart."""
    number = parse_number(cell, grid.decimal_mark) if isinstance(cell, str) else cell
    return number is not None and number not in _STRESS_HEADINGS


def _wide_span(grid: Grid) -> tuple[int, int] | None:
    """Give first and last heading row of a wide table: the fewest rows that name the most results."""
    best: tuple[int, int] | None = None
    best_score = (0, 0)
    for top, _ in _searched(grid):
        for bottom in range(top, min(top + _HEADING_ROWS, grid.first_row + len(grid.rows))):
            cells = grid.rows[bottom - grid.first_row]
            if all(is_blank(cell) for cell in cells) or any(_is_plain_number(cell, grid) for cell in cells):
                break
            start, stop = top - grid.first_row, bottom - grid.first_row
            windows = windows_at(grid.rows, start, stop, {}, stop + 1)
            score = _score(windows[0].readings) if windows and windows[0].first == start else (0, 0)
            if score > best_score:
                best, best_score = (top, bottom), score
    return best


def _score(readings: Sequence[HeadingReading]) -> tuple[int, int]:
    results = [reading for reading in readings if reading.quantity in RESULT_QUANTITIES]
    bases = [reading for reading in readings if _carries_stress(readings) and levelled_base(reading.heading)]
    if not results and not bases:
        return 0, 0
    named = len(results) + len(bases) + sum(reading.quantity in STRUCTURE for reading in readings)
    return named, sum(reading.unit is not None for reading in readings)


def _carries_stress(readings: Sequence[HeadingReading]) -> bool:
    return any(reading.quantity == "stress_kpa" for reading in readings)


def _with_levels(block: Block) -> Block:
    """Where a stress column tells the level of each row, read "Jnr" and "recovery" as such."""
    if not _carries_stress([column.reading for column in block.columns]):
        return block
    columns = []
    for column in block.columns:
        base = "" if column.reading.quantity else levelled_base(column.reading.heading)
        if base:
            again = read_heading([f"3.2 kPa {column.reading.heading}"])
            if again.unit is None:  # then a row of units may hold it
                again = read_heading([f"3.2 kPa {column.reading.heading}"], column.reading.unit_text)
            column = replace(column, reading=replace(again, heading=column.reading.heading, quantity=base))
        columns.append(column)
    return replace(block, columns=tuple(columns))


def names_sample(column: Column) -> bool:
    """Tell whether a column is part of the sample's name."""
    return column.reading.quantity == "sample" or (
        column.reading.quantity is None and fold(column.reading.heading) in word_list("identity")
    )
