"""Days as a sheet prints them, as year-month-day, so that rounds and checks stand in their order."""

from __future__ import annotations

import re
from dataclasses import replace

from resile.errors import AmbiguousFileError, FileFormatError
from resile.readers.named_rows import NamedTable
from resile.readers.weather.dates import read_dates

_ISO = re.compile(r"\d{4}-\d{2}-\d{2}")
_DOTTED = re.compile(r"\d{1,2}\.\d{1,2}\.\d{2,4}\b")


def with_iso_days(table: NamedTable, name: str, path: str) -> NamedTable:
    """Give a table with the days of one column as year-month-day; a time behind them is kept.

    Parameters
    ----------
    table : NamedTable
        As read.
    name : str
        Column of the days.
    path : str
        Named in a question.

    Returns
    -------
    NamedTable
        A cell that is no day, or could be two, stays as it is printed. With points between, the day comes
        first.
    """
    printed = [row.text(name) for row in table.rows]
    if all(not text or _ISO.match(text) for text in printed):
        return table
    dotted = all(not text or _ISO.match(text) or _DOTTED.match(text) for text in printed)
    try:
        days = read_dates(printed, path, "day-first" if dotted else "")
    except (AmbiguousFileError, FileFormatError):
        return table
    rows = tuple(
        replace(row, cells={**row.cells, name: " ".join([day.isoformat(), *text.split()[1:]])})
        if day is not None and not _ISO.match(text)
        else row
        for row, text, day in zip(table.rows, printed, days, strict=True)
    )
    return replace(table, rows=rows)
