"""Stored runs reduced again, from the stored bytes, read as they were read when they were kept.

A process remembers the files it reduced last, up to a bound of rows.
"""

from __future__ import annotations

import threading
from collections import OrderedDict
from dataclasses import replace

from resile.errors import RecordNotFoundError
from resile.readers.layout import Layout, layout_from_toml
from resile.records import register
from resile.records.file_statement import FileStatement
from resile.records.reading import HeldFile
from resile.storage.reading import Reading
from resile.workflows.laboratory.files.reading_files import named_parts
from resile.workflows.orders.ordered_records import reduce_with_plates
from resile.workflows.reducing.across_runs import with_findings_across
from resile.workflows.reducing.reduction import Run
from resile.workflows.reducing.told_of_file import with_contradictions

_MOST_ROWS = 400_000


class _Remembered:
    """The runs a process reduced last."""

    def __init__(self, most_rows: int) -> None:
        self.most_rows = most_rows
        self._lock = threading.Lock()
        self._files: OrderedDict[tuple[object, ...], list[Run]] = OrderedDict()

    def get(self, key: tuple[object, ...]) -> list[Run] | None:
        with self._lock:
            if key in self._files:
                self._files.move_to_end(key)
            return self._files.get(key)

    def keep(self, key: tuple[object, ...], runs: list[Run]) -> None:
        with self._lock:
            self._files[key] = runs
            while len(self._files) > 1 and sum(map(_rows_of, self._files.values())) > self.most_rows:
                self._files.popitem(last=False)


def _rows_of(runs: list[Run]) -> int:
    return sum(len(run.signal) for run in runs if run.signal is not None)


_remembered = _Remembered(_MOST_ROWS)


def reduced_run(reading: Reading, run: register.Run) -> Run:
    """Reduce a stored run again: its file, read as it was read when it was kept.

    Parameters
    ----------
    reading : Reading
        The record, inside a transaction.
    run : Run
        As kept.

    Returns
    -------
    CreepRecoveryRun, OscillationRun, BeamRun or ViscosityRun
        With its signal.

    Raises
    ------
    RecordNotFoundError
        The file holds no run of that name.
    ResileError
        The file cannot be reduced.
    """
    key = (
        run.file, run.layout, run.sheet, run.temperature_c, run.plate_diameter_mm, run.gap_mm, run.file_name
    )  # fmt: skip
    runs = _remembered.get(key)
    if runs is None:
        lengths = {"plate_diameter_mm": run.plate_diameter_mm, "gap_mm": run.gap_mm}
        file = HeldFile(run.file_name, reading.file(run.file))
        runs = list(with_findings_across(reduce_with_plates(file, layout_of_run(reading, run), lengths, ())))
        _remembered.keep(key, runs)
    return with_contradictions(_part(runs, run), said_of_run(reading, run))


def said_of_run(reading: Reading, run: register.Run) -> FileStatement:
    """Give what the record says of a run, to be held against what its file says."""
    instrument = reading.get(register.Instrument, run.instrument).value if run.instrument else None
    named = (instrument.name, instrument.serial) if instrument else ()
    return FileStatement(
        condition=run.condition,
        temperatures_c=() if run.temperature_c is None else (run.temperature_c,),
        tested=run.tested,
        instruments=tuple(one for one in named if one),
    )


def layout_of_run(reading: Reading, run: register.Run) -> Layout:
    """Give how a stored run was read: the layout kept with it, and what was given beside it."""
    base = (
        layout_from_toml(reading.file(run.layout).decode("utf-8"), "the layout kept with this run")
        if run.layout
        else Layout()
    )
    return replace(
        base,
        sheet=run.sheet or base.sheet,
        temperature_c=base.temperature_c if run.temperature_c is None else run.temperature_c,
    )


def _part(runs: list[Run], run: register.Run) -> Run:
    of_test = [one for one in runs if one.method == run.test]
    found = [part.run for part in named_parts(runs) if part.name == run.part and part.run.method == run.test]
    if not found:
        found = [one for one in of_test if one.label == run.part]
    if not found and not run.part and len(of_test) == 1:
        found = of_test
    if not found:
        had = ", ".join(repr(one.label) for one in of_test) or "none of this test"
        raise RecordNotFoundError(
            f"{run.file_name}: there is no run '{run.part}' in this file; it has: {had}"
        )
    return found[0]
