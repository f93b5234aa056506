"""The account of a reading in plain words, line by line."""

from __future__ import annotations

from resile.records.reading import ColumnReading, ReadingAccount
from resile.records.signal import Signal

_MARKS = {".": "point", ",": "comma"}


def explain(signal: Signal) -> list[str]:
    """Say how a signal was read.

    Parameters
    ----------
    signal : Signal
        With its account.

    Returns
    -------
    list of str
        One sentence a line, in the order in which the file was understood.
    """
    account = signal.account
    lines = [_form(account)]
    if signal.label:
        lines.append(f"this run: {signal.label}")
    lines.append(_rows_of_headings(account))
    lines += [_column(column) for column in account.columns]
    lines.append(
        f"rows: {account.rows_kept} kept, {account.rows_converted} of them converted, "
        f"{account.rows_refused_count} refused"
    )
    lines += [f"refused, {row.place}: {row.reason}  [{row.text}]" for row in account.rows_refused]
    if account.rows_refused_count > len(account.rows_refused):
        lines.append(f"… and {account.rows_refused_count - len(account.rows_refused)} more rows refused")
    lines += [f"note: {remark}" for remark in account.remarks]
    lines += [
        f"above the columns: {name} = {value}" if value else f"above the columns: {name}"
        for name, value in signal.details.items()
    ]
    return lines


def _form(account: ReadingAccount) -> str:
    layout = f"; layout {account.layout!r} applied" if account.layout else ""
    if account.form == "workbook":
        return f"workbook, sheet {account.sheet!r}{layout}"
    mark = _MARKS.get(account.decimal_mark, account.decimal_mark)
    return (
        f"{account.form}, {account.encoding}, cells separated by {account.separator}, decimal {mark}{layout}"
    )


def _rows_of_headings(account: ReadingAccount) -> str:
    if not account.heading_rows:
        return f"no heading rows; data start in row {account.first_data_row}"
    numbers = ", ".join(str(row) for row in account.heading_rows)
    rows = "rows" if len(account.heading_rows) > 1 else "row"
    return f"headings and units in {rows} {numbers}; data start in row {account.first_data_row}"


def _column(column: ColumnReading) -> str:
    heading = repr(column.heading) if column.heading else "(no heading)"
    if column.quantity is None:
        return f"column {column.position} {heading}: {column.remark or 'not used'}"
    unit = f" in {column.unit_found.strip()}" if column.unit_found.strip() else ""
    kept = f", kept in {column.unit_taken}" if column.unit_taken else ""
    remark = f" ({column.remark})" if column.remark else ""
    return f"column {column.position} {heading}: {column.quantity}{unit}{kept}{remark}"
