"""Tables of results without a raw record: typed, exported, or from a supplier's certificate.

Two forms are read, from separated text or a workbook. A *long* table has one value a row under the headings
``sample, condition, temperature_c, quantity, value, unit`` (``replicate`` and ``stress_kpa`` may be added);
a *wide* table has one specimen a row, and its headings name the quantities. Words, spellings and units are
those of ``headings.toml``, ``conditions.toml`` and ``summaries/words.toml``.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from pathlib import Path

from resile.errors import AmbiguousFileError, FileFormatError, ResileError
from resile.readers.candidate_grids import WORKBOOK, candidate_grids
from resile.readers.forms.results_form import is_form, read_form
from resile.readers.grids.grid import Column, Grid
from resile.readers.grids.number_marks import decide_marks
from resile.readers.grids.stated import what_is_stated
from resile.readers.grids.vocabulary import fold
from resile.readers.layout import Layout
from resile.readers.source_file import read_source
from resile.readers.summaries.account import account_of
from resile.readers.summaries.columns import (
    BASES,
    Table,
    find_tables,
    is_frequency,
)
from resile.readers.summaries.ledger import Ledger, summarise_refusals
from resile.readers.summaries.rows import Defaults, read_rows
from resile.records.determination import Condition
from resile.records.quantity import RESULT_QUANTITIES, WORD_QUANTITIES
from resile.records.reading import HeldFile, ReadingAccount, SourceFile
from resile.records.summary import SummaryTable

MAX_BYTES = 50_000_000
_NEEDED = (
    "a table with the headings sample, condition, temperature_c, quantity, value, unit is needed, "
    "or one whose headings name results, such as 'Jnr3.2, 1/kPa'"
)


def read_summary_table(
    path: Path | HeldFile,
    *,
    layout: Layout | None = None,
    sample: str = "",
    condition: Condition | None = None,
) -> SummaryTable:
    """Read a table of results.

    Parameters
    ----------
    path : Path or HeldFile
        Separated text or a workbook (.xlsx).
    layout : Layout, optional
        What is known of the file (encoding, separator, decimal mark, sheet); the rest is found.
    sample : str
        Sample of rows that name none; the file's name where this is empty as well.
    condition : Condition, optional
        State of the binder for rows that give none.

    Returns
    -------
    SummaryTable
        Every value in the unit of the glossary, with its place and what was printed; rows that could not be
        used stand in the account with their reason.

    Raises
    ------
    RecordNotFoundError
        No such file or sheet.
    AmbiguousFileError
        A decimal mark, or two columns of one quantity, can be read in two ways.
    FileFormatError
        No table of results, or no row of it could be used.
    """
    return read_summary_with_tables(path, layout=layout, sample=sample, condition=condition)[0]


def read_summary_with_tables(
    path: Path | HeldFile,
    *,
    layout: Layout | None = None,
    sample: str = "",
    condition: Condition | None = None,
    beside: frozenset[str] = frozenset(),
) -> tuple[SummaryTable, list[Table]]:
    """Read a table of results, and give its cells too: for readers of what stands beside the values.

    Parameters
    ----------
    path, layout, sample, condition
        As in `read_summary_table`.
    beside : frozenset of str
        Folded headings that this kind of table has beside its results.

    Returns
    -------
    tuple of (SummaryTable, list of Table)
        The determinations; the tables whose rows they name by place.
    """
    given = layout or Layout()
    data, source = read_source(path, "table of results (.csv, .xlsx)", MAX_BYTES)
    if not data.strip():
        raise FileFormatError(f"{path}: the file is empty; {_NEEDED}")
    ledger = Ledger()
    opened = candidate_grids(data, str(path), layout=given)
    account = ReadingAccount(opened.form, encoding=opened.encoding)
    ledger.remark(opened.remark)
    if opened.form == WORKBOOK:
        tables = _workbook_tables([grid for _, grid in opened.grids], str(path), given, ledger, beside)
    else:
        account, tables = _text_tables(opened.grids, account, str(path), given, beside)
    summary = summary_of_tables(
        tables, source, account, layout=given, sample=sample, condition=condition, ledger=ledger
    )
    return summary, tables


def summary_of_tables(
    tables: list[Table],
    source: SourceFile,
    account: ReadingAccount,
    *,
    layout: Layout,
    sample: str = "",
    condition: Condition | None = None,
    ledger: Ledger | None = None,
) -> SummaryTable:
    """Give the determinations of tables already found.

    Parameters
    ----------
    tables : list of Table
        Headings and rows.
    source : SourceFile
        The file they stand in.
    account : ReadingAccount
        How the file was opened.
    layout, sample, condition
        As in `read_summary_table`.
    ledger : Ledger, optional
        Holds what was noticed so far.

    Returns
    -------
    SummaryTable
        As `read_summary_table` gives it.

    Raises
    ------
    FileFormatError
        No table, or no row that could be used.
    """
    ledger = ledger or Ledger()
    path = Path(source.path)
    if not tables:
        _refuse_raw_record(path, layout)
        raise FileFormatError(f"{path}: no table of results was found; {_NEEDED}")
    _refuse_unmatched(tables, layout, str(path))
    for table in tables:
        _refuse_doubled(table, str(path))
        read_rows(table, source, _defaults(table, path, sample, condition, ledger), ledger)
    if not ledger.entries:
        raise FileFormatError(f"{path}: no row could be used: {summarise_refusals(ledger.refused)}")
    ledger.settle_repeats(is_long=all(table.is_long for table in tables))
    ledger.restore_fineness()
    ledger.doubt_units()
    ledger.remark_missing()
    determinations = tuple(determination for determination, _ in ledger.entries)
    return SummaryTable(determinations, source, account_of(account, tables, ledger, layout))


def _refuse_raw_record(path: Path, layout: Layout) -> None:
    """Name the way on where a file without results is the raw record of a test."""
    from resile.readers.raw_record import methods_of_record

    try:
        methods = sorted(methods_of_record(path, layout=layout))
    except ResileError:
        return
    if methods:
        names = " and ".join(method.replace("_", " ") for method in methods)
        raise FileFormatError(
            f"{path}: this is a raw record ({names}), not a table of results; reduce it first "
            "(resile reduce), or name it in a test order, which judges raw records (resile report)"
        )


def _workbook_tables(
    grids: Sequence[Grid], path: str, layout: Layout, ledger: Ledger, beside: frozenset[str]
) -> list[Table]:
    tables: list[Table] = []
    if is_form(grids):
        ledger.remark("read as a results form: a value a row; its ageing records go with it")
        grids = read_form(grids, path).result_grids
    for grid in grids:
        mark = layout.decimal_mark or grid.decimal_mark
        found = find_tables(
            replace(grid, decimal_mark=mark, thousands_mark=layout.thousands_mark),
            layout.rules,
            beside=beside,
        )
        for remark in grid.remarks:
            ledger.remark(remark)
        if not found:
            ledger.remark(f"sheet {grid.name!r} holds no table of results; it was not used")
        tables += found
    return tables


def _text_tables(
    grids: Iterable[tuple[str, Grid]],
    account: ReadingAccount,
    path: str,
    layout: Layout,
    beside: frozenset[str],
) -> tuple[ReadingAccount, list[Table]]:
    best: tuple[int, ReadingAccount, list[Table]] = (0, account, [])
    for separator, grid in grids:
        tables = find_tables(grid, layout.rules, beside=beside)
        named = sum(column.reading.quantity is not None for table in tables for column in table.block.columns)
        if named > best[0]:
            best = (named, replace(account, separator=separator), tables)
    _, account, tables = best
    if not tables:
        return account, []
    decimal, thousands = _marks(tables, account.separator, path, layout)
    marked = replace(tables[0].grid, decimal_mark=decimal, thousands_mark=thousands)
    return replace(account, decimal_mark=decimal), find_tables(marked, layout.rules, beside=beside)


def _marks(tables: Sequence[Table], separator: str, path: str, layout: Layout) -> tuple[str, str]:
    """Give decimal and thousands mark, decided from the columns that hold numbers."""
    if layout.decimal_mark:
        return layout.decimal_mark, layout.thousands_mark
    cells = [
        table.text(index, column)
        for table in tables
        for column in table.block.columns
        if _holds_numbers(column)
        for index in range(len(table.block.row_numbers))
    ]
    if separator == "comma" and not any("," in cell for cell in cells):
        return ".", layout.thousands_mark  # the comma is taken, so 2.039 is not two thousand
    return decide_marks(cells, path)


def _holds_numbers(column: Column) -> bool:
    quantity = column.reading.quantity
    if quantity in RESULT_QUANTITIES:
        return quantity not in WORD_QUANTITIES
    return quantity in {"value", "temperature_c", "stress_kpa", *BASES} or is_frequency(column)


def _refuse_unmatched(tables: Sequence[Table], layout: Layout, path: str) -> None:
    """Refuse a column named by the user that is not there: it would be passed over in silence."""
    columns = [column for table in tables for column in table.block.columns]
    known = {str(column.position) for column in columns} | {
        fold(column.reading.heading) for column in columns
    }
    for name in layout.rules:
        if name not in known and fold(name) not in known:
            headings = ", ".join(f"{c.position} {c.reading.heading!r}" for c in columns)
            raise FileFormatError(f"{path}: there is no column {name!r}; the columns are {headings}")


def _refuse_doubled(table: Table, path: str) -> None:
    """Refuse two columns for one thing: which of them counts cannot be guessed."""
    seen: dict[tuple[str, float | None, str], Column] = {}
    once = {"quantity", "value", "unit", "temperature_c", "condition", "replicate", *BASES}
    once |= {"stress_kpa"} if table.stress else set()
    for column in table.block.columns:
        quantity = column.reading.quantity or ""
        if quantity not in once and (table.is_long or quantity not in RESULT_QUANTITIES):
            continue
        stated = what_is_stated(column.reading.heading)
        key = (quantity, stated.temperature_c, stated.replicate)
        earlier = seen.setdefault(key, column)
        if earlier is not column:
            raise AmbiguousFileError(
                f"{path}: columns {earlier.position} ({earlier.reading.heading!r}) and {column.position} "
                f"({column.reading.heading!r}) both read as {quantity}; which of them counts?",
                option="--column",
            )


def _defaults(table: Table, path: Path, sample: str, condition: Condition | None, ledger: Ledger) -> Defaults:
    if sample or table.identity:
        return Defaults(sample, condition)
    ledger.remark(
        f"no column names the sample: {path.stem!r}, the name of the file, is taken where none is given"
    )
    return Defaults(path.stem, condition)
