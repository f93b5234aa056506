"""A block of columns with how it was read: what text and workbook readers hand on to become signals."""

from __future__ import annotations

import re
from bisect import bisect_right
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from resile.readers.grids.grid import Block, Column, place_of_row
from resile.readers.grids.headings import read_heading
from resile.readers.grids.vocabulary import fold
from resile.records.signal import RowsOfFile

_NUMBERS = re.compile(r"\d+")


@dataclass(frozen=True, slots=True)
class Table:
    """Columns as printed, segments under repeated headings joined.

    Attributes
    ----------
    form, encoding, separator, decimal_mark, sheet : str
        As in `resile.records.reading.ReadingAccount`.
    heading_rows : tuple of int
        Rows of headings and units; of the first segment where they repeat.
    first_data_row : int
        First row of numbers.
    columns : tuple of Column
        Values as printed; `texts` is empty where every cell is a number.
    row_numbers : ndarray of int, shape (n,)
        Row number in the file of each data row.
    starts : tuple of int
        Data rows at which a repeated heading begins a new segment.
    details : mapping of str to str
        Name/value lines above.
    label : str
        What tells this table from others in the file.
    remarks : tuple of str
        What was noticed while reading.
    sheets : tuple of str
        Where the segments stand on sheets of their own: the names, in the order of the segments.
    """

    form: str
    columns: tuple[Column, ...]
    row_numbers: NDArray[np.int64]
    heading_rows: tuple[int, ...] = ()
    first_data_row: int = 0
    encoding: str = ""
    separator: str = ""
    decimal_mark: str = "."
    sheet: str = ""
    starts: tuple[int, ...] = ()
    details: Mapping[str, str] = field(default_factory=dict)
    label: str = ""
    remarks: tuple[str, ...] = ()
    sheets: tuple[str, ...] = ()

    def columns_of(self, quantity: str) -> list[Column]:
        """Give the columns read as a quantity, from left to right."""
        return [column for column in self.columns if column.reading.quantity == quantity]

    def place(self, index: int) -> str:
        """Give where data row `index` stands, for a person."""
        number = int(self.row_numbers[index])
        sheet = self.sheets[bisect_right(self.starts, index)] if self.sheets else self.sheet
        return place_of_row(sheet, number)

    def rows_at(self, places: NDArray[np.int64]) -> RowsOfFile:
        """Give where in the file the data rows at `places` stand.

        Parameters
        ----------
        places : ndarray of int, shape (m,)
            Data rows, counted from 0, in the order of a signal.

        Returns
        -------
        RowsOfFile
            One entry a place.
        """
        numbers = self.row_numbers[places]
        if not self.sheets:
            return RowsOfFile(numbers, (self.sheet,))
        return RowsOfFile(numbers, self.sheets, np.searchsorted(self.starts, places, side="right"))


def _signature(block: Block) -> tuple[tuple[int, str], ...]:
    return tuple((column.position, fold(column.reading.heading)) for column in block.columns)


_IDENTITY = frozenset({"sample", "replicate", "set_temperature_c", "temperature_c", "condition"})


def identity_of(lines: Mapping[str, str]) -> dict[str, str]:
    """Give the details that say which specimen a block belongs to.

    Parameters
    ----------
    lines : mapping of str to str
        Name/value lines above the columns.

    Returns
    -------
    dict of str to str
        Those that name the sample, the replicate, the temperature or the condition, by quantity.
    """
    named = ((read_heading([name]).quantity, value) for name, value in lines.items())
    return {quantity: value for quantity, value in named if quantity in _IDENTITY}


def _belongs(block: Block, to: list[Block]) -> bool:
    """Tell whether a block is a further segment of the blocks before it."""
    if _signature(block) != _signature(to[0]):
        return False
    before: dict[str, str] = {}
    for earlier in to:
        before.update(identity_of(earlier.details))
    return all(before.get(name, value) == value for name, value in identity_of(block.details).items())


def _joined_columns(blocks: Sequence[Block]) -> tuple[Column, ...]:
    joined = []
    for place, column in enumerate(blocks[0].columns):
        parts = [block.columns[place] for block in blocks]
        texts = tuple(text for part in parts for text in part.texts)
        joined.append(
            Column(column.position, column.reading, np.concatenate([p.values for p in parts]), texts)
        )
    return tuple(joined)


def join_segments(blocks: Iterable[Block]) -> list[list[Block]]:
    """Gather blocks one under another that are segments of one record.

    Parameters
    ----------
    blocks : iterable of Block
        From the top.

    Returns
    -------
    list of list of Block
        Blocks with the same headings in the same columns, unless the lines above them name another specimen.
    """
    gathered: list[list[Block]] = []
    for block in blocks:
        home = next(
            (group for group in reversed(gathered) if _signature(group[0]) == _signature(block)), None
        )
        if home is not None and _belongs(block, home):
            home.append(block)
        else:
            gathered.append([block])
    return gathered


def table_of(
    blocks: Sequence[Block],
    *,
    form: str,
    encoding: str = "",
    separator: str = "",
    decimal_mark: str = ".",
    sheet: str = "",
    remarks: tuple[str, ...] = (),
) -> Table:
    """Make one table of the segments of a record.

    Parameters
    ----------
    blocks : sequence of Block
        The segments, from the top.
    form, encoding, separator, decimal_mark, sheet : str
        How the file was read.
    remarks : tuple of str
        What was noticed.

    Returns
    -------
    Table
        With the details of all segments.
    """
    details = dict(blocks[0].details)
    for block in blocks[1:]:
        add_details(details, block.details)
    lengths = np.cumsum([len(block.row_numbers) for block in blocks])
    label = blocks[0].label
    return Table(
        form,
        _joined_columns(blocks),
        np.concatenate([block.row_numbers for block in blocks]),
        blocks[0].heading_rows,
        blocks[0].first_data_row,
        encoding,
        separator,
        decimal_mark,
        sheet,
        tuple(int(length) for length in lengths[:-1]),
        details,
        label,
        (*remarks, *joined_remark(len(blocks))),
    )


def joined_remark(segments: int) -> tuple[str, ...]:
    """Say that segments were joined, where there is more than one."""
    return (f"{segments} segments under repeated headings were joined",) if segments > 1 else ()


def add_details(details: dict[str, str], more: Mapping[str, str]) -> None:
    """Add name/value lines of a further segment, except those that only count on, as "Segment 2" does.

    Parameters
    ----------
    details : dict of str to str
        The lines found so far; added to.
    more : mapping of str to str
        The lines above a further segment.
    """
    seen = {_NUMBERS.sub("", name) for name in details}
    for name, value in more.items():
        if _NUMBERS.sub("", name) not in seen:
            details[name] = value
