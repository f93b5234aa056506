"""Refusals where columns are wanted that a file does not have."""

from __future__ import annotations

from collections.abc import Sequence

from resile.errors import FileFormatError
from resile.readers.grids.table import Table
from resile.readers.grids.vocabulary import fold
from resile.readers.layout import Layout
from resile.readers.signals.chosen_columns import named


def refuse_missing(table: Table, missing: list[str], path: str) -> FileFormatError:
    """Give the refusal for a record that lacks a column.

    Parameters
    ----------
    table : Table
        Columns as printed.
    missing : list of str
        What is missing, in words.
    path : str
        The file.

    Returns
    -------
    FileFormatError
        Says where the headings stand, what they are, and what is needed.
    """
    seen = ", ".join(repr(column.reading.heading) for column in table.columns if column.reading.heading)
    hints = [
        f"{named(c)}: {c.reading.remark}" for c in table.columns if c.reading.candidates and c.reading.remark
    ]
    where = f"{path}, sheet {table.sheet}" if table.sheet else path
    row = f"row {table.heading_rows[0]}" if table.heading_rows else f"row {table.first_data_row}"
    hint = f" ({'; '.join(hints[:3])})" if hints else ""
    return FileFormatError(
        f"{where}, {row}: no column for {' or '.join(missing)} among the headings {seen or '(none)'}{hint}; "
        "time, stress and strain (or torque and angle) are needed; name a column with --column"
    )


def refuse_unknown_columns(tables: Sequence[Table], layout: Layout, path: str) -> None:
    """Refuse a column named by the user that the file does not have: it would change nothing in silence.

    Parameters
    ----------
    tables : sequence of Table
        All tables of the file.
    layout : Layout
        What the user said.
    path : str
        The file.

    Raises
    ------
    FileFormatError
        Names the column asked for and those there are.
    """
    columns = [column for table in tables for column in table.columns]
    known = {fold(column.reading.heading) for column in columns} | {
        str(column.position) for column in columns
    }
    for asked in layout.columns:
        if asked.quantity != "ignore" and asked.column not in known and fold(asked.column) not in known:
            there = ", ".join(dict.fromkeys(f"{c.position} {c.reading.heading!r}" for c in columns))
            raise FileFormatError(
                f"{path}: there is no column {asked.column!r}, which was to be {asked.quantity}; "
                f"there are {there}"
            )
