"""Which row of a grid heads a summary table, and what each column is for."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache, lru_cache

from resile.readers.grids.cells import Cell, cell_text, exact_text, is_blank
from resile.readers.grids.grid import Block, Column, Grid, find_blocks, place_of_row, read_details
from resile.readers.grids.heading_rows import ColumnRule, apply_rule
from resile.readers.grids.headings import read_heading
from resile.readers.grids.number_text import parse_number
from resile.readers.grids.printed_units import read_unit
from resile.readers.grids.vocabulary import fold
from resile.readers.word_lists import load_words
from resile.records.quantity import RESULT_QUANTITIES

STRUCTURE = frozenset({"sample", "replicate", "condition", "temperature_c", "quantity", "value", "unit"})
BASES = {"jnr": "jnr_3.2", "percent_recovery": "percent_recovery_3.2"}
"""Quantities that still need the stress of their row, and one that has the same unit."""
_ROWS_SEARCHED = 60
_HEADING_ROWS = 4
_LONGEST = 60
_STRESS_HEADINGS = frozenset({0.1, 3.2, 100.0, 3200.0})
_BARE_LEVELS = frozenset({"0.1", "0,1", "3.2", "3,2"})


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
        return place_of_row(self.grid.name, int(self.block.row_numbers[index]))

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
    def laboratory(self) -> Column | None:
        """The column that names the laboratory of each row, if there is one."""
        return next((column for column in self.block.columns if names_laboratory(column)), None)

    @property
    def bath(self) -> tuple[Column | None, Column | None]:
        """The columns of the hours and of the temperature at which beams were kept before the test."""
        return self._headed("bath_hours"), self._headed("bath_temperature")

    def _headed(self, section: str) -> Column | None:
        words = word_list(section)
        return next((c for c in self.block.columns if fold(c.reading.heading) in words), None)

    @property
    def frequency(self) -> Column | None:
        """The column of the oscillation frequency, if there is one."""
        return next((column for column in self.block.columns if is_frequency(column)), None)


def find_tables(
    grid: Grid, rules: Mapping[str, ColumnRule] | None = None, *, beside: frozenset[str] = frozenset()
) -> list[Table]:
    """Find the summary table of a grid; side-by-side tables are given from left to right.

    Parameters
    ----------
    grid : Grid
        Rows of a text or a sheet.
    rules : mapping of str to ColumnRule, optional
        What the user said of columns.
    beside : frozenset of str
        Folded headings that a kind of table has beside its results: a row of headings is known by them too.

    Returns
    -------
    list of Table
        Empty where no row of headings names a result.
    """
    given = rules or {}
    long_row = next((index for index, row in _searched(grid) if _is_long_heading(row, given)), None)
    headings = (
        _one_row(grid, long_row, long_row) if long_row is not None else _wide_headings(grid, given, beside)
    )
    if headings is None:
        return []
    first = headings.first + grid.first_row
    row, units_row = headings.row + grid.first_row, headings.units_row
    blocks = find_blocks(
        replace(
            grid, rows=[*grid.rows[: headings.row], list(headings.texts), *grid.rows[headings.row + 1 :]]
        ),
        rules=rules,
        heading_row=row,
        units_row=None if units_row is None else units_row + grid.first_row,
        first_data_row=headings.last + grid.first_row + 1,
        fewest=1,  # one result with its unit is enough: lots and days are not of the vocabulary
    )
    details, _ = read_details(grid.rows[: headings.first])
    rows = tuple(range(first, headings.last + grid.first_row + 1))
    return [
        Table(grid, _with_bases(replace(block, details=details, heading_rows=rows)), long_row is not None)
        for block in blocks
    ]


def is_frequency(column: Column) -> bool:
    """Tell whether a column gives the frequency of an oscillation test."""
    return _heads_frequency(column.reading.heading)


def levelled_base(heading: str) -> str:
    """Give ``jnr`` or ``percent_recovery`` for a heading that lacks its stress, or an empty text."""
    quantity = read_heading([f"3.2 kPa {heading}"]).quantity or ""
    base, _, level = quantity.rpartition("_")
    return base if level == "3.2" else ""


@cache
def word_list(section: str) -> frozenset[str]:
    """Give the folded words of one section of ``words.toml``."""
    words = load_words("resile.readers.summaries", "words.toml")
    return frozenset(fold(word) for word in words[section]["words"])


@dataclass(frozen=True, slots=True)
class _Headings:
    """One heading text for each column, made of one to four rows; all indices count from 0."""

    first: int
    last: int
    row: int
    units_row: int | None
    texts: tuple[str, ...]

    def score(
        self, grid: Grid, rules: Mapping[str, ColumnRule], beside: frozenset[str]
    ) -> tuple[int, int, int]:
        """Count the columns named and those with a unit, then favour fewer rows; zeros without a result."""
        pairs = zip(self.texts, self._units(grid), strict=True)
        readings = [
            apply_rule(read_heading([text], unit), position, rules) if text else read_heading([text], unit)
            for position, (text, unit) in enumerate(pairs, start=1)
        ]
        stress = any(reading.quantity == "stress_kpa" for reading in readings)
        results = [r for r in readings if r.quantity in RESULT_QUANTITIES]
        results += [r for r in readings if stress and r.quantity is None and levelled_base(r.heading)]
        if not results:
            return 0, 0, 0
        named = len(results) + sum(
            reading.quantity in STRUCTURE or fold(reading.heading) in beside for reading in readings
        )
        return named, sum(reading.unit is not None for reading in readings), self.first - self.last

    def _units(self, grid: Grid) -> list[str]:
        units = grid.rows[self.units_row] if self.units_row is not None else []
        return [cell_text(cell) for cell in [*units, *[None] * len(self.texts)][: len(self.texts)]]


def _searched(grid: Grid) -> Iterator[tuple[int, Sequence[Cell]]]:
    yield from enumerate(grid.rows[:_ROWS_SEARCHED])


def gives_one_result_a_row(grid: Grid) -> bool:
    """Tell whether a grid names a quantity and a value in its headings: one result a row."""
    return any(_is_long_heading(row, {}) for _, row in _searched(grid))


def _is_long_heading(row: Sequence[Cell], rules: Mapping[str, ColumnRule]) -> bool:
    found = {
        apply_rule(read_heading([cell]), position, rules).quantity
        for position, cell in enumerate(row, start=1)
        if isinstance(cell, str) and len(cell) < _LONGEST
    }
    return {"quantity", "value"} <= found


def _wide_headings(grid: Grid, rules: Mapping[str, ColumnRule], beside: frozenset[str]) -> _Headings | None:
    """Give the rows that name the most columns, the fewest of them."""
    best, best_score = None, (1, 0, 0)
    for top, _ in _searched(grid):
        for bottom in range(top, min(top + _HEADING_ROWS, len(grid.rows))):
            cells = grid.rows[bottom]
            if all(is_blank(cell) for cell in cells) or any(_is_data(cell, grid) for cell in cells):
                break
            headings = _one_row(grid, top, bottom)
            score = headings.score(grid, rules, beside)
            if score > best_score:
                best, best_score = headings, score
    return best


def _is_data(cell: Cell, grid: Grid) -> bool:
    """Tell whether a cell cannot be part of a heading: a number, the stress levels apart, or a long text."""
    number = parse_number(cell, grid.decimal_mark) if isinstance(cell, str) else cell
    if number is None:
        return isinstance(cell, str) and len(cell) > _LONGEST
    return number not in _STRESS_HEADINGS


def _one_row(grid: Grid, first: int, last: int) -> _Headings:
    """Join the heading rows first..last into one text a column, the row of units apart."""
    rows = [[cell_text(cell) for cell in row] for row in grid.rows[first : last + 1]]
    has_units = len(rows) > 1 and all(read_unit(text)[0] for text in rows[-1] if text)
    texts = rows[:-1] if has_units else rows
    width = max(len(row) for row in rows)
    padded = [row + [""] * (width - len(row)) for row in texts]
    used = [any(row[column] for row in padded) for column in range(width)]
    for row in padded[:-1]:  # a title over several columns stands in the first of them
        for column in range(1, width):
            row[column] = row[column] or (row[column - 1] if used[column] else "")
    headings = tuple(_best_text([row[column] for row in padded if row[column]]) for column in range(width))
    return _Headings(first, last, first + len(texts) - 1, last if has_units else None, headings)


def _best_text(parts: Sequence[str]) -> str:
    """Give the heading that the cells above one column make: joined, the stress first, or one cell alone."""
    parts = list(dict.fromkeys(parts))
    joined = " ".join(parts)
    if len(parts) < 2:
        return joined
    level_first = " ".join([f"{parts[-1]} kPa" if parts[-1] in _BARE_LEVELS else parts[-1], *parts[:-1]])
    for text in (joined, level_first, *(" ".join(parts[start:]) for start in range(1, len(parts))), *parts):
        if read_heading([text]).quantity:
            return text
    return joined


def _with_bases(block: Block) -> Block:
    """Where a stress column tells the level of each row, read "Jnr" and "recovery" as such."""
    if block.column_of("stress_kpa") is None:
        return block
    columns = []
    for column in block.columns:
        heading = column.reading.heading
        base = "" if column.reading.quantity else levelled_base(heading)
        if base:
            again = read_heading([f"3.2 kPa {heading}"])
            if again.unit is None:  # then a row of units may hold it
                again = read_heading([f"3.2 kPa {heading}"], column.reading.unit_text)
            column = replace(column, reading=replace(again, heading=heading, quantity=base))
        columns.append(column)
    return replace(block, columns=tuple(columns))


def names_sample(column: Column) -> bool:
    """Tell whether a column is part of the sample's name."""
    return column.reading.quantity == "sample" or (
        column.reading.quantity is None and _heads_identity(column.reading.heading)
    )


def heads_sample(heading: str) -> bool:
    """Tell whether words head a sample's name, in a column or a line above the columns."""
    return fold(heading) == "sample" or _heads_identity(heading)


def names_laboratory(column: Column) -> bool:
    """Tell whether a column names the laboratory that made the determinations."""
    return column.reading.quantity is None and _heads_laboratory(column.reading.heading)


@lru_cache(maxsize=512)
def _heads_laboratory(heading: str) -> bool:
    return fold(heading) in word_list("laboratory")


@lru_cache(maxsize=512)
def _heads_identity(heading: str) -> bool:
    return fold(heading) in word_list("identity")


@lru_cache(maxsize=512)
def _heads_frequency(heading: str) -> bool:
    folded = fold(heading)
    words = word_list("frequency")
    return any(folded == word or folded.startswith((f"{word} ", f"{word},")) for word in words)
