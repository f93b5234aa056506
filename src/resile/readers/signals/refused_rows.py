"""Rows that cannot be used: which, and why, in words."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from resile.errors import FileFormatError
from resile.readers.grids.number_text import MISSING_WORDS, why_no_number
from resile.readers.grids.table import Table
from resile.readers.layout import Layout
from resile.readers.signals.chosen_columns import ChosenColumns, unused_readings
from resile.records.reading import ReadingAccount, RefusedRow

MOST_REFUSED_LISTED = 50
MOST_MISPRINTED = 0.1
"""Share of rows with one illegible number above which the whole file is refused (common practice)."""
BESIDE = ("cycle_number", "segment_number")
"""Columns that are useful but never needed."""


@dataclass(frozen=True, slots=True)
class Refused:
    """Rows that are not used.

    Attributes
    ----------
    listed : tuple of RefusedRow
        The first fifty, with reasons.
    count : int
        How many there are.
    """

    listed: tuple[RefusedRow, ...] = ()
    count: int = 0


def _drop_hopeless(chosen: ChosenColumns) -> None:
    """Leave out columns beside the needed ones that are mostly empty or are no numbers."""
    for quantity in ("temperature_c", *BESIDE):
        values = chosen.values.get(quantity)
        if values is None:
            continue
        bad = np.count_nonzero(~np.isfinite(values))
        if bad and (quantity in BESIDE or bad > 0.5 * len(values)):
            del chosen.values[quantity]
            chosen.readings.pop(chosen.taken.pop(quantity).position, None)
            chosen.remarks.append(f"{quantity}: {bad} cells are no numbers; the column was not used")


def refuse_rows(table: Table, chosen: ChosenColumns, path: str) -> tuple[NDArray[np.int64], Refused]:
    """Give the rows in which every used column has a number, and the others with reasons.

    Parameters
    ----------
    table : Table
        Columns as printed.
    chosen : ChosenColumns
        What was taken of them; a column that is not needed and is mostly empty is taken out again.
    path : str
        Named in a refusal.

    Returns
    -------
    tuple of (ndarray of int, Refused)
        Row indices that can be used, and what was refused.

    Raises
    ------
    FileFormatError
        So many cells are illegible that what is left would be another test.
    """
    count = len(table.row_numbers)
    if all(not column.texts for column in table.columns):
        return np.arange(count), Refused()
    _drop_hopeless(chosen)
    good = np.ones(count, dtype=bool)
    for values in chosen.values.values():
        good &= np.isfinite(values)
    refused = np.flatnonzero(~good)
    _refuse_misprints(table, chosen, refused, path)
    listed = tuple(_refused_row(table, chosen, int(row)) for row in refused[:MOST_REFUSED_LISTED])
    return np.flatnonzero(good), Refused(listed, len(refused))


def _refuse_misprints(table: Table, chosen: ChosenColumns, refused: NDArray[np.int64], path: str) -> None:
    """Refuse a file in which many rows of numbers hold one cell that is neither a number nor a blank."""
    count = len(table.row_numbers)
    if len(refused) <= MOST_MISPRINTED * count:
        return
    taken = list(chosen.taken.values())
    shown, misprinted = "", 0
    for row in refused.tolist():
        bad = [column for column in taken if not np.isfinite(column.values[row])]
        legible = len(bad) == 1 and bad[0].texts[row].strip().casefold() not in MISSING_WORDS
        if legible and " cells under " not in bad[0].texts[row]:
            misprinted += 1
            heading = bad[0].reading.heading
            shown = shown or f"{table.place(row)}: {bad[0].texts[row][:24]!r} under {heading!r}"
    if misprinted > MOST_MISPRINTED * count:
        raise FileFormatError(
            f"{path}, {shown} is not a number, and so in {misprinted} of {count} rows; what is left would "
            "be another test; correct the cells, or say how numbers are printed (--decimal-mark, "
            "--thousands-mark)"
        )


def _refused_row(table: Table, chosen: ChosenColumns, row: int) -> RefusedRow:
    reasons = []
    for column in chosen.taken.values():
        if not np.isfinite(column.values[row]):
            text = column.texts[row]
            reason = text if " cells under " in text else why_no_number(text)
            reasons.append(f"{column.reading.heading or f'column {column.position}'}: {reason}")
    printed = " | ".join(column.texts[row] for column in table.columns)[:80]
    return RefusedRow(table.place(row), printed, "; ".join(dict.fromkeys(reasons)))


def account_of(table: Table, chosen: ChosenColumns, refused: Refused, layout: Layout) -> ReadingAccount:
    """Give the account of a table before its rows are parted into runs.

    Parameters
    ----------
    table : Table
        Columns as printed.
    chosen : ChosenColumns
        What was taken of them.
    refused : Refused
        Rows that were not used.
    layout : Layout
        What the user said.

    Returns
    -------
    ReadingAccount
        Columns that were not used; the rows kept are counted where the runs are made.
    """
    return ReadingAccount(
        table.form,
        table.encoding,
        table.separator,
        table.decimal_mark,
        table.heading_rows,
        table.first_data_row,
        unused_readings(table, chosen),
        rows_refused=refused.listed,
        rows_refused_count=refused.count,
        remarks=(*table.remarks, *chosen.remarks),
        sheet=table.sheet,
        layout=layout.name,
    )
