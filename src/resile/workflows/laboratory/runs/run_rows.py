"""From a cycle to the rows of the file: which lines hold it, and how they are cut into columns."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from resile.errors import RecordNotFoundError
from resile.readers.file_rows import read_file_rows
from resile.readers.layout import Layout
from resile.records.creep_recovery import CreepRecoveryRun
from resile.records.reading import ColumnReading, FileRow, HeldFile
from resile.records.signal import RowsOfFile
from resile.report.figures.creep_recovery_cycle import cycle_of
from resile.report.figures.creep_recovery_run import cycle_length
from resile.report.words import title_of
from resile.workflows.reducing.reduction import Run

MOST_ROWS = 500
"""Rows shown at once."""
_AROUND = 2


@dataclass(frozen=True, slots=True)
class ShownRow:
    """One row of a file beside what it is to the run.

    Attributes
    ----------
    row : FileRow
        As it stands in the file.
    inside : bool
        True for a row of the cycle or run asked for; False for one shown around it.
    mark : str
        What is read here: start of the cycle, end of creep, end of recovery; empty for the rest.
    """

    row: FileRow
    inside: bool
    mark: str = ""


@dataclass(frozen=True, slots=True)
class RowsBehind:
    """The rows of the file behind a run, or behind one cycle of it.

    Attributes
    ----------
    title : str
        What they are the rows of.
    columns : tuple of ColumnReading
        How each column was understood.
    taken : tuple of str
        The same in words, one a column: "shear strain, times 0.01".
    rows : tuple of ShownRow
        From the top of the file.
    count : int
        How many rows there are, shown or not.
    first : int
        Place of the first row shown, counted from 0.
    """

    title: str
    columns: tuple[ColumnReading, ...]
    taken: tuple[str, ...]
    rows: tuple[ShownRow, ...]
    count: int
    first: int = 0


def rows_behind(
    run: Run,
    file: Path | HeldFile,
    *,
    layout: Layout | None = None,
    cycle: tuple[float, int] | None = None,
    first: int = 0,
) -> RowsBehind:
    """Give the rows of the file from which a run, or one cycle of it, was read.

    Parameters
    ----------
    run : CreepRecoveryRun, OscillationRun, BeamRun or ViscosityRun
        A reduced run, its signal kept.
    file : Path or HeldFile
        The file it was read from.
    layout : Layout, optional
        How it was read.
    cycle : tuple of (float, int), optional
        Stress [kPa] and number of a cycle of creep recovery; the whole run when left out.
    first : int
        Place of the first row to show, counted from 0; at most 500 are shown.

    Returns
    -------
    RowsBehind
        Rows in the order of the run, with two of the file around a cycle.

    Raises
    ------
    RecordNotFoundError
        The run was typed, or has no such cycle.
    """
    signal, account = run.signal, run.account
    if signal is None or signal.rows is None or account is None:
        raise RecordNotFoundError("There are no rows of a file behind this result: it was typed in.")
    places, marks, title = _places(run, signal.columns.get("time_s"), len(signal), cycle)
    shown = places[first : first + MOST_ROWS]
    wanted = [_place(signal.rows, int(at)) for at in shown]
    inside = {place: marks.get(int(at), "") for place, at in zip(wanted, shown, strict=True)}
    if cycle is not None:
        wanted = _with_rows_around(wanted)
    rows = read_file_rows(file, wanted, account=account, layout=layout or Layout())
    return RowsBehind(
        title,
        account.columns,
        tuple(map(_taken, account.columns)),
        tuple(ShownRow(r, (r.sheet, r.number) in inside, inside.get((r.sheet, r.number), "")) for r in rows),
        len(places),
        first,
    )


def _places(
    run: Run, times: NDArray[np.float64] | None, count: int, cycle: tuple[float, int] | None
) -> tuple[NDArray[np.int64], dict[int, str], str]:
    """Give which rows of the signal are asked for, and what is read at some of them."""
    if cycle is None or not isinstance(run, CreepRecoveryRun) or times is None:
        return np.arange(count), {}, "the whole run"
    stress, number = cycle
    found = cycle_of(run, stress, number)
    length = cycle_length(run)
    creep = run.programme.creep_time_s if run.programme else 0.1 * length
    ends = (found.start_s, found.start_s + creep, found.start_s + length)
    nearest = [int(np.abs(times - at).argmin()) for at in ends]
    inside = np.arange(nearest[0], nearest[2] + 1)
    words = ("start of the cycle", "end of creep", "end of recovery")
    return inside, dict(zip(nearest, words, strict=True)), f"cycle {number} at {stress:g} kPa"


def _taken(column: ColumnReading) -> str:
    if column.quantity is None:
        return "not used"
    unit = f" in {column.unit_taken}" if column.unit_taken and column.unit_taken != "ratio" else ""
    times = f", times {column.factor:g}" if column.factor != 1.0 else ""
    return f"{title_of(column.quantity)}{unit}{times}"


def _place(rows: RowsOfFile, at: int) -> tuple[str, int]:
    sheet = rows.sheets[0 if rows.sheet_places is None else int(rows.sheet_places[at])]
    return sheet, int(rows.row_numbers[at])


def _with_rows_around(wanted: list[tuple[str, int]]) -> list[tuple[str, int]]:
    """Add the neighbours in the file before the first and behind the last row."""
    if not wanted:
        return wanted
    (sheet, first), (last_sheet, last) = wanted[0], wanted[-1]
    before = [(sheet, first - step) for step in range(_AROUND, 0, -1)]
    return [*before, *wanted, *((last_sheet, last + step) for step in range(1, _AROUND + 1))]
