"""The account of a reading in plain words, line by line."""

from __future__ import annotations

from collections.abc import Sequence

from resile.records.reading import ColumnReading, ReadingAccount
from resile.records.signal import Signal

_METHODS = {
    "oscillation": "oscillation",
    "bending_beam": "bending beam",
    "rotational_viscosity": "rotational viscosity",
}
_SPANS = {
    "oscillation": (
        ("temperature_c", "°C"),
        ("angular_frequency_rad_s", "rad/s"),
        ("complex_modulus", "kPa"),
        ("phase_angle", "°"),
    ),
    "bending_beam": (("time_s", "s"), ("load_mn", "mN"), ("deflection_mm", "mm")),
    "rotational_viscosity": (("temperature_c", "°C"), ("rotational_viscosity", "Pa·s")),
}
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
    lines = [_form(account), _rows_of_headings(account)]
    lines += [_column(column) for column in account.columns]
    lines += explain_rows(signal)
    lines += [
        f"above the columns: {name} = {value}" if value else f"above the columns: {name}"
        for name, value in signal.details.items()
    ]
    return lines


def overview(path: str, signals: Sequence[Signal]) -> list[str]:
    """Say which runs a file holds.

    Parameters
    ----------
    path : str
        The file.
    signals : sequence of Signal
        What was read from it.

    Returns
    -------
    list of str
        A line for the file and one for each run.
    """
    count = "1 run" if len(signals) == 1 else f"{len(signals)} runs"
    return [
        f"{path}: {count} found",
        *(_run(number, signal) for number, signal in enumerate(signals, start=1)),
    ]


def _run(number: int, signal: Signal) -> str:
    if signal.method != "creep_recovery":
        return _other_test(number, signal)
    time, stress = signal.columns["time_s"], signal.columns["stress_kpa"]
    name = f"run {number}" + (f" ({signal.label})" if signal.label else "")
    return (
        f"{name}: {len(signal)} rows, {time[0]:g} to {time[-1]:g} s, "
        f"stress up to {stress.max():.4g} kPa, strain up to {signal.columns['strain'].max():.4g} (ratio)"
    )


def _other_test(number: int, signal: Signal) -> str:
    """Say of a run that is not creep recovery which test it is and what its columns span."""
    name = f"run {number}" + (f" ({signal.label})" if signal.label else "")
    spans = []
    for quantity, unit in _SPANS[signal.method]:
        values = signal.columns.get(quantity)
        if values is not None:
            spans.append(f"{quantity} {values.min():.5g} to {values.max():.5g} {unit}")
    return f"{name}: {_METHODS[signal.method]}, {len(signal)} rows, {', '.join(spans)}"


def reads_alike(one: Signal, other: Signal) -> bool:
    """Tell whether two runs stand under the same headings, so that the columns need telling once.

    Parameters
    ----------
    one, other : Signal
        Runs of one file.

    Returns
    -------
    bool
        True where all that is said of headings and columns is the same.
    """
    return (_form(one.account), _rows_of_headings(one.account), one.account.columns) == (
        _form(other.account),
        _rows_of_headings(other.account),
        other.account.columns,
    )


def explain_rows(signal: Signal) -> list[str]:
    """Say what became of the rows of a run.

    Parameters
    ----------
    signal : Signal
        With its account.

    Returns
    -------
    list of str
        Rows kept, converted and refused, and what was noticed.
    """
    account = signal.account
    lines = [f"this run: {signal.label}"] if signal.label else []
    lines.append(
        f"rows: {account.rows_kept} kept, {account.rows_converted} of them converted, "
        f"{account.rows_refused_count} refused"
    )
    lines += [f"refused, {row.place}: {row.reason}  [{row.text}]" for row in account.rows_refused]
    if account.rows_refused_count > len(account.rows_refused):
        lines.append(f"… and {account.rows_refused_count - len(account.rows_refused)} more rows refused")
    return lines + [f"note: {remark}" for remark in account.remarks]


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
