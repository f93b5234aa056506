"""A table of production: results are read by `summary_table`, lot, day and origin of each row here."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path

from resile.errors import FileFormatError
from resile.readers.grids.grid import Column
from resile.readers.grids.vocabulary import fold
from resile.readers.layout import Layout
from resile.readers.series.moments import read_moments
from resile.readers.summaries.columns import Table
from resile.readers.summary_table import read_summary_with_tables
from resile.readers.word_lists import load_words
from resile.records.control.production import ProductionResult, ProductionSeries, ProductionTable
from resile.records.determination import Condition, Determination
from resile.records.reading import HeldFile, ReadingAccount, RefusedRow

_ORIGINS = ("product", "tank", "operator", "instrument")
_COLUMNS = ("lot", "day", "check", *_ORIGINS)

SeriesKey = tuple[str, str, Condition, float | None]


def read_production_table(
    path: Path | HeldFile,
    *,
    layout: Layout | None = None,
    condition: Condition | None = None,
    date_order: str = "",
    days_needed: bool = True,
) -> ProductionTable:
    """Read a table of production.

    Parameters
    ----------
    path : Path or HeldFile
        Separated text or a workbook: a lot (or a replicate of a lot) a row, headings that name results as in
        a table of results, or a result a row under ``quantity`` and ``value``; columns for lot and day;
        columns for product, tank, operator, instrument and its check where known.
    layout : Layout, optional
        What is known of the file.
    condition : Condition, optional
        State of the binder for rows that give none.
    date_order : str
        ``day-first`` or ``month-first`` for days such as 03/04/2026; found where empty.
    days_needed : bool
        False where the order of the rows does as well: a table without a column of days is then read, and
        the number of the row stands for the day.

    Returns
    -------
    ProductionTable
        Series in the order in which they begin; rows without lot or day stand among those refused.

    Raises
    ------
    RecordNotFoundError
        No such file or sheet.
    AmbiguousFileError
        A decimal mark, a column or the order of day and month can be read in two ways.
    FileFormatError
        No table of results, no column of lots or days, or no row that could be used.
    """
    # The name of a sample is not asked for: lots have a column of their own.
    summary, tables = read_summary_with_tables(
        path, layout=layout, sample="production", condition=condition, beside=_words_beside()
    )
    rows: dict[str, _Row | str] = {}
    for table in tables:
        rows |= _rows_of(table, str(path), date_order, days_needed)
    made: dict[SeriesKey, list[ProductionResult]] = {}
    units: dict[SeriesKey, str] = {}
    refused: list[RefusedRow] = []
    for one in summary.determinations:
        row = rows[one.place]
        if isinstance(row, str):
            if all(one.place != earlier.place for earlier in refused):
                refused.append(RefusedRow(one.place, one.text, row))
        elif one.value is not None:
            key = (row.origin["product"], one.quantity, one.condition, one.temperature_c)
            units[key] = one.unit
            made.setdefault(key, []).append(_result(one, row, summary.source.path, len(made.get(key, ()))))
    if not made:
        raise FileFormatError(f"{path}: no row could be used: {refused[0].reason if refused else 'no value'}")
    whole = replace(summary, account=_with_refused(summary.account, refused))
    return ProductionTable(
        series=tuple(
            ProductionSeries(
                product=key[0],
                quantity=key[1],
                unit=units[key],
                condition=key[2],
                temperature_c=key[3],
                results=tuple(results),
            )
            for key, results in made.items()
        ),
        source=whole.source,
        account=whole.account,
        findings=whole.findings,
    )


@dataclass(frozen=True, slots=True)
class _Row:
    """Lot, day and origin of one row."""

    lot: str
    taken: str
    origin: Mapping[str, str]
    stamp: str = ""


def _rows_of(table: Table, path: str, date_order: str, days_needed: bool) -> dict[str, _Row | str]:
    """Give lot, day and origin of every row by its place, or the reason why it cannot be used."""
    columns = {name: _column(table, name) for name in _COLUMNS}
    for name in ("lot", "day") if days_needed else ("lot",):
        if columns[name] is None:
            headings = ", ".join(column.reading.heading for column in table.block.columns)
            spelt = ", ".join(load_words("resile.readers.series", "words.toml")[name]["words"][:6])
            raise FileFormatError(
                f"{path}: no column gives the {name} of each row (its heading would be {spelt} …); "
                f"the columns are {headings}"
            )
    count = len(table.block.row_numbers)
    printed = [table.text(index, columns["day"]) for index in range(count)]
    moments = read_moments(printed, path, date_order)
    found: dict[str, _Row | str] = {}
    for index, (moment, text) in enumerate(zip(moments, printed, strict=True)):
        place = table.place(index)
        lot = table.text(index, columns["lot"])
        if columns["day"] is None:
            moment = f"{index + 1:06d}"  # the order of the rows, as text that sorts
        if not lot:
            found[place] = "no lot is named"
        elif not moment:
            found[place] = f"{text!r} is no day" if text else "no day is given"
        else:
            origin = {name: table.text(index, columns[name]) for name in _ORIGINS}
            found[place] = _Row(lot, moment, origin, _stamp(table.text(index, columns["check"])))
    return found


def _column(table: Table, name: str) -> Column | None:
    """Give the column whose heading stands first among the words."""
    ranks = _ranks(name)
    fitting = [column for column in table.block.columns if fold(column.reading.heading) in ranks]
    return min(fitting, key=lambda column: ranks[fold(column.reading.heading)], default=None)


@cache
def _words_beside() -> frozenset[str]:
    return frozenset(word for name in _COLUMNS for word in _ranks(name))


@cache
def _ranks(name: str) -> Mapping[str, int]:
    words: Sequence[str] = load_words("resile.readers.series", "words.toml")[name]["words"]
    return {fold(word): rank for rank, word in reversed(list(enumerate(words)))}


def _stamp(check: str) -> str:
    """Give the doubt that a check of the instrument leaves on a result; empty where it was in order."""
    return "" if fold(check) in _ranks("in_order") else f"check of the instrument: {check}"


def _result(one: Determination, row: _Row, path: str, number: int) -> ProductionResult:
    stamps = "; ".join([*([row.stamp] if row.stamp else []), *(doubt.message for doubt in one.findings)])
    return ProductionResult(
        key=f"{one.place}, {one.quantity}" + (f", {one.replicate}" if one.replicate else f", {number + 1}"),
        lot=row.lot,
        taken=row.taken,
        value=float(one.value or 0.0),
        sample=row.lot,
        tank=row.origin["tank"],
        operator=row.origin["operator"],
        instrument=row.origin["instrument"],
        stamp=stamps,
        place=f"{path}, {one.place}",
    )


def _with_refused(account: ReadingAccount, refused: Sequence[RefusedRow]) -> ReadingAccount:
    return replace(
        account,
        rows_kept=account.rows_kept - len(refused),
        rows_refused=(*account.rows_refused, *refused),
        rows_refused_count=account.rows_refused_count + len(refused),
    )
