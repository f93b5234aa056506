"""A table of loads, from separated text or a workbook: what each load paper says, with its place."""

from __future__ import annotations

import math
import tomllib
from functools import cache
from importlib import resources
from pathlib import Path
from typing import Any

from resile.errors import FileFormatError
from resile.readers.grids.vocabulary import fold
from resile.readers.named_rows import NamedRow, read_named_rows
from resile.readers.weather.dates import read_dates
from resile.records.delivered import LoadRow, LoadTable
from resile.records.reading import HeldFile

MAX_BYTES = 20_000_000
WHAT = "table of loads (.csv, .xlsx)"
_TEXTS = ("number", "product", "grade", "lot", "tank", "customer", "certificate", "plant", "note")


def read_load_table(path: Path | HeldFile) -> LoadTable:
    """Read a table of loads.

    Parameters
    ----------
    path : Path or HeldFile
        Separated text or a workbook with a row of headings; a number of the load paper and its day are
        needed. A day may carry a time: ``2026-03-02 06:30``. Lines that begin with ``#`` are comments.

    Returns
    -------
    LoadTable
        In the order of the file.

    Raises
    ------
    RecordNotFoundError
        No such file.
    FileFormatError
        No table of loads; a day, a unit or a mass that cannot be read, with its place.
    AmbiguousFileError
        A decimal mark, or the order of day and month, can be read in two ways.
    """
    words = _words()
    table, source = read_named_rows(
        path, words["heading"], needed=("number", "sent"), what=WHAT, max_bytes=MAX_BYTES, thousands=False
    )
    factor = _factor(path, table.brackets.get("quantity_t", "t"))
    days = _days(path, table.rows)
    rows = tuple(
        LoadRow(
            place=row.place,
            sent=day,
            quantity_t=_mass(path, row, factor),
            **{name: row.text(name) for name in _TEXTS},
        )
        for row, day in zip(table.rows, days, strict=True)
    )
    _each_has_a_number(path, rows)
    return LoadTable(rows, source, table.unused)


def _days(path: Path | HeldFile, rows: tuple[NamedRow, ...]) -> list[str]:
    parts = [row.text("sent").replace("T", " ").partition(" ") for row in rows]
    dates = read_dates([day for day, _, _ in parts], str(path))
    days = []
    for row, date, (_, _, time) in zip(rows, dates, parts, strict=True):
        if date is None:
            raise FileFormatError(
                f"{path}, {row.place}: '{row.text('sent')}' is no day; "
                "needed: year-month-day, such as 2026-03-02"
            )
        clock = time.strip()[:5]
        days.append(
            f"{date.isoformat()}T{clock}" if len(clock) == 5 and clock != "00:00" else date.isoformat()
        )
    return days


def _mass(path: Path | HeldFile, row: NamedRow, factor: float) -> float | None:
    text = row.text("quantity_t")
    if not text:
        return None
    printed = row.numbers.get("quantity_t")
    if printed is None or not math.isfinite(printed) or printed <= 0.0:
        raise FileFormatError(f"{path}, {row.place}: '{text}' is no mass; needed is a number above zero")
    return printed * factor


def _factor(path: Path | HeldFile, printed: str) -> float:
    units: dict[str, float] = _words()["unit"]["quantity_t"]
    for spelling, factor in units.items():
        if fold(spelling) == fold(printed):
            return factor
    raise FileFormatError(
        f"{path}: the mass is headed in '{printed}', which is not known; known are {', '.join(units)}"
    )


def _each_has_a_number(path: Path | HeldFile, rows: tuple[LoadRow, ...]) -> None:
    seen: dict[str, str] = {}
    for row in rows:
        if not row.number:
            raise FileFormatError(f"{path}, {row.place}: the load has no number; every load paper has one")
        if row.number in seen:
            raise FileFormatError(
                f"{path}, {row.place}: load {row.number} stands at {seen[row.number]} as well; "
                "needed is one row a load"
            )
        seen[row.number] = row.place


@cache
def _words() -> dict[str, Any]:
    raw = resources.files("resile.readers.deliveries").joinpath("words.toml").read_text(encoding="utf-8")
    return tomllib.loads(raw)
