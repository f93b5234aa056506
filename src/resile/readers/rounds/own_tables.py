"""Tables that a laboratory keeps of itself: duplicates, checks of known materials, results by operator and
day.
"""

from __future__ import annotations

import math
from pathlib import Path

from resile.errors import FileFormatError
from resile.readers.grids.vocabulary import fold
from resile.readers.named_rows import NamedRow, NamedTable, read_named_rows
from resile.readers.rounds.days import with_iso_days
from resile.readers.rounds.headings import MOST_BYTES, headings_of, says_nothing
from resile.records.laboratories import Replicates
from resile.records.reading import HeldFile
from resile.records.register.laboratories import CheckResult


def read_duplicates(path: Path | HeldFile) -> tuple[Replicates, ...]:
    """Read a table of duplicates: sample, day, operator, instrument, first, second, perhaps third.

    Parameters
    ----------
    path : Path or HeldFile
        Separated text or a workbook (.xlsx).

    Returns
    -------
    tuple of Replicates
        In the order of the file.

    Raises
    ------
    RecordNotFoundError
        No such file.
    FileFormatError
        No such headings, or a number that cannot be read, with its place.
    """
    table = _rows(path, "duplicates", ("first", "second"), "table of duplicates (.csv, .xlsx)")
    table = with_iso_days(table, "when", str(path))
    found = []
    for row in table.rows:
        numbers = [_number(path, row, name) for name in ("first", "second", "third")]
        values = tuple(number for number in numbers if number is not None)
        if len(values) < 2:
            raise FileFormatError(f"{path}, {row.place}: {len(values)} result; duplicates need two at least")
        found.append(
            Replicates(
                values=values,
                when=row.text("when"),
                sample=row.text("sample"),
                operator=row.text("operator"),
                instrument=row.text("instrument"),
            )
        )
    return tuple(found)


def read_checks(path: Path | HeldFile) -> tuple[CheckResult, ...]:
    """Read a table of checks of known materials: day, measured, perhaps material, instrument, operator.

    Parameters
    ----------
    path : Path or HeldFile
        Separated text or a workbook (.xlsx).

    Returns
    -------
    tuple of CheckResult
        In the order of the file.

    Raises
    ------
    RecordNotFoundError
        No such file.
    FileFormatError
        No such headings, or a number that cannot be read, with its place.
    """
    table = _rows(path, "checks", ("done", "measured"), "table of checks (.csv, .xlsx)")
    table = with_iso_days(table, "done", str(path))
    found = []
    for row in table.rows:
        measured = _number(path, row, "measured")
        if measured is None:
            continue
        found.append(
            CheckResult(
                material=row.text("material"),
                instrument=row.text("instrument"),
                measured=measured,
                done=row.text("done"),
                operator=row.text("operator"),
                note=row.text("note"),
            )
        )
    if not found:
        raise FileFormatError(f"{path}: the table has headings and no check")
    return tuple(found)


def read_factors(
    path: Path | HeldFile, factors: tuple[str, ...], value: str
) -> tuple[tuple[float, ...], tuple[tuple[str, tuple[str, ...]], ...]]:
    """Read results with the factors that they were found under, one result a row.

    Parameters
    ----------
    path : Path or HeldFile
        Separated text or a workbook (.xlsx).
    factors : tuple of str
        Headings of the columns of the factors, from the outermost.
    value : str
        Heading of the column of results.

    Returns
    -------
    tuple of float, tuple of (str, tuple of str)
        Results, and each factor with one label a result.

    Raises
    ------
    RecordNotFoundError
        No such file.
    FileFormatError
        No such headings, an empty label, or a number that cannot be read, with its place.
    """
    names = [*factors, value]
    if len({fold(name) for name in names}) != len(names):
        raise FileFormatError(
            f"{path}: factors and value need headings that differ; found {', '.join(names)}"
        )
    table, _ = read_named_rows(
        path,
        {name: [name] for name in names},
        needed=names,
        what="table of results with factors (.csv, .xlsx)",
        max_bytes=MOST_BYTES,
    )
    values, labels = [], []
    for row in table.rows:
        number = _number(path, row, value)
        if number is None:
            continue
        for name in factors:
            if not row.text(name):
                raise FileFormatError(f"{path}, {row.place}: no {name} is named beside a result")
        values.append(number)
        labels.append([row.text(name) for name in factors])
    if not values:
        raise FileFormatError(f"{path}: the table has headings and no result")
    return tuple(values), tuple(
        (name, tuple(row[place] for row in labels)) for place, name in enumerate(factors)
    )


def _rows(path: Path | HeldFile, section: str, needed: tuple[str, ...], what: str) -> NamedTable:
    table, _ = read_named_rows(path, headings_of(section), needed=needed, what=what, max_bytes=MOST_BYTES)
    return table


def _number(path: Path | HeldFile, row: NamedRow, name: str) -> float | None:
    text = row.text(name)
    if says_nothing(text):
        return None
    number = row.numbers.get(name)
    if number is None or not math.isfinite(number):
        raise FileFormatError(f"{path}, {row.place}: '{text}' under {name} is no number")
    return number
