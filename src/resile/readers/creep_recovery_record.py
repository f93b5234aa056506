"""Raw creep-recovery records to signals in kept units and running time.

`creep_recovery_signals` makes of the tables of a file (see `resile.readers.raw_record`, the one door) a
signal for each specimen's run with an account of how it was understood. It refuses, with one sentence, what
it cannot be sure of.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from resile.errors import FileFormatError
from resile.readers.grids.grid import Column
from resile.readers.grids.table import Table
from resile.readers.layout import Layout
from resile.readers.missing_columns import refuse_missing
from resile.readers.signals.chosen_columns import ChosenColumns, take
from resile.readers.signals.plate_geometry import find_length, rim_strain, rim_stress_kpa
from resile.readers.signals.refused_rows import BESIDE, account_of, refuse_rows
from resile.readers.signals.running_time import make_running
from resile.readers.signals.separate_runs import (
    Part,
    split_by_column,
    split_by_temperature,
    split_where_test_starts_over,
)
from resile.readers.signals.sheets_of_one_run import join_sheets
from resile.readers.signals.sign_convention import turn_upright
from resile.readers.signals.stated_temperature import add_temperature
from resile.readers.signals.told_conversions import with_remark
from resile.records.reading import ReadingAccount, SourceFile
from resile.records.signal import Signal

_NO_LAYOUT = Layout()
_NEEDED = ("time_s", "stress_kpa", "strain")
_TIMES = ("time_s", "segment_time_s", "clock_time")


def creep_recovery_signals(
    tables: Sequence[Table], source: SourceFile, layout: Layout = _NO_LAYOUT
) -> tuple[Signal, ...]:
    """Make the signals of the creep-recovery records among the tables of a file.

    Parameters
    ----------
    tables : sequence of Table
        At least one.
    source : SourceFile
        The file they stand in.
    layout : Layout
        What the user said of it.

    Returns
    -------
    tuple of Signal
        As `resile.readers.raw_record.read_raw_record` gives them.

    Raises
    ------
    FileFormatError, AmbiguousFileError
        As in `resile.readers.raw_record.read_raw_record`.
    """
    usable = [table for table in tables if is_creep_recovery(table)] or list(tables[:1])
    if len(usable) > 1:
        usable = join_sheets(usable)
    signals: list[Signal] = []
    for table in usable:
        signals += _signals_of(table, source, layout, many=len({table.sheet for table in usable}) > 1)
    if len(signals) > 1:
        signals = _without_copies(signals)
    return tuple(signals)


def is_creep_recovery(table: Table) -> bool:
    """Tell whether a table can be a creep-recovery record: time, and stress and strain in some form.

    Parameters
    ----------
    table : Table
        Columns as printed.

    Returns
    -------
    bool
        By its columns alone.
    """
    present = {column.reading.quantity for column in table.columns}
    time = present & set(_TIMES)
    stress = present & {"stress_kpa", "set_stress_kpa", "torque_nm"}
    return bool(time and stress and present & {"strain", "angle_rad"})


def _take_stress_and_strain(table: Table, chosen: ChosenColumns, layout: Layout, path: str) -> list[str]:
    """Take stress and strain, or make them from torque and angle; give what is missing."""
    missing = []
    if not take(table, "stress_kpa", chosen, layout, path):
        if take(table, "torque_nm", chosen, layout, path):
            diameter, origin = find_length(table, "plate_diameter_mm", layout, path)
            chosen.values["stress_kpa"] = rim_stress_kpa(chosen.values["torque_nm"], diameter_mm=diameter)
            _tell(
                chosen,
                "torque_nm",
                f"made stress at the rim, 2M/(πR³), plate diameter {diameter:g} mm ({origin})",
            )
        else:
            missing.append("shear stress")
    if not take(table, "strain", chosen, layout, path):
        if take(table, "angle_rad", chosen, layout, path):
            diameter, origin = find_length(table, "plate_diameter_mm", layout, path)
            gap, gap_origin = find_length(table, "gap_mm", layout, path)
            chosen.values["strain"] = rim_strain(chosen.values["angle_rad"], diameter_mm=diameter, gap_mm=gap)
            _tell(
                chosen,
                "angle_rad",
                f"made strain at the rim, Rθ/h, plate diameter {diameter:g} mm ({origin}), "
                f"gap {gap:g} mm ({gap_origin})",
            )
        else:
            missing.append("shear strain")
    return missing


def _tell(chosen: ChosenColumns, quantity: str, remark: str) -> None:
    position = chosen.taken[quantity].position
    chosen.readings[position] = with_remark(chosen.readings[position], remark)


def _choose(table: Table, layout: Layout, path: str) -> ChosenColumns:
    """Take every column that is needed or useful."""
    chosen = ChosenColumns()
    present = {column.reading.quantity for column in table.columns}
    missing = [] if present & set(_TIMES) else ["time"]
    missing += [] if present & {"stress_kpa", "set_stress_kpa", "torque_nm"} else ["shear stress"]
    missing += [] if present & {"strain", "angle_rad"} else ["shear strain"]
    if missing:
        raise refuse_missing(table, missing, path)
    _take_stress_and_strain(table, chosen, layout, path)
    take(table, "time_s", chosen, layout, path)
    if not take(table, "temperature_c", chosen, layout, path):
        add_temperature(table, chosen, layout)
    elif layout.temperature_c is not None:
        chosen.remarks.append(
            f"the temperature of {layout.temperature_c:g} °C as given was not needed: the file records one"
        )
    for quantity in BESIDE:
        take(table, quantity, chosen, layout, path)
    return chosen


def _parts(table: Table, chosen: ChosenColumns, rows: NDArray[np.int64]) -> list[Part]:
    """Split the rows of a table into runs."""
    parts = [Part(rows, table.label)]
    for quantity, name in (("sample", "sample"), ("replicate", "replicate")):
        for column in table.columns_of(quantity):
            parts = [piece for part in parts for piece in split_by_column(part, column, name)]
    for quantity in ("set_temperature_c", "temperature_c"):
        values = _temperatures(table, chosen, quantity)
        if values is not None:
            parts = [piece for part in parts for piece in split_by_temperature(part, values)]
    time, stress = chosen.values["time_s"], chosen.values["stress_kpa"]
    return [
        piece for part in parts for piece in split_where_test_starts_over(part, time, stress, table.starts)
    ]


def _temperatures(table: Table, chosen: ChosenColumns, quantity: str) -> NDArray[np.float64] | None:
    if quantity in chosen.values:
        return chosen.values[quantity]
    column: Column | None = next(iter(table.columns_of(quantity)), None)
    if column is None or not np.isfinite(column.values).all():
        return None
    return column.values


def _signals_of(table: Table, source: SourceFile, layout: Layout, *, many: bool) -> list[Signal]:
    """Make the signals of one table."""
    chosen = _choose(table, layout, source.path)
    rows, refused = refuse_rows(table, chosen, source.path)
    if len(rows) < 2:
        why = f"; {refused.listed[0].place}: {refused.listed[0].reason}" if refused.listed else ""
        raise FileFormatError(
            f"{source.path}: {len(rows)} data rows could be used of {len(table.row_numbers)}{why}; "
            "rows with numbers for time, stress and strain are needed"
        )
    account = account_of(table, chosen, refused, layout)
    parts = _parts(table, chosen, rows)
    prefix = table.sheet if many and table.sheet else ""
    return [_signal(table, chosen, part, account, source, prefix) for part in parts]


def _signal(
    table: Table, chosen: ChosenColumns, part: Part, account: ReadingAccount, source: SourceFile, prefix: str
) -> Signal:
    """Put the rows of one run into running time."""
    used = [name for name in (*_NEEDED, "temperature_c", *BESIDE) if name in chosen.values]
    whole = len(part.rows) == len(table.row_numbers)
    columns = {name: chosen.values[name] if whole else chosen.values[name][part.rows] for name in used}
    time = columns["time_s"]
    if len(time) > 1 and bool((time[1:] > time[:-1]).all()):
        kept, reordered, remarks, rows = len(time), 0, account.remarks, part.rows
    else:
        running = make_running(time, np.column_stack(list(columns.values())))
        columns = {name: values[running.order] for name, values in columns.items()}
        columns["time_s"] = running.time_s
        rows = part.rows[running.order]
        kept, reordered = len(running.order), running.reordered + running.repeated
        remarks = (*account.remarks, *running.remarks)
    columns["stress_kpa"], columns["strain"], turned = turn_upright(columns["stress_kpa"], columns["strain"])
    account = replace(
        account,
        rows_kept=kept,
        rows_converted=kept if account.decimal_mark == "," else reordered,
        remarks=(*remarks, *turned),
    )
    label = ", ".join(text for text in (prefix, part.label) if text)
    return Signal(columns, source, account, label, table.details, rows=table.rows_at(rows))


def _without_copies(signals: list[Signal]) -> list[Signal]:
    """Leave out runs that repeat an earlier one to the last digit, and say so with the one kept."""
    kept: list[Signal] = []
    for signal in signals:
        twin = next((place for place, other in enumerate(kept) if _same_numbers(signal, other)), None)
        if twin is None:
            kept.append(signal)
            continue
        name = signal.label or "a later block"
        remark = f"{name} repeats this run exactly ({len(signal)} rows) and was left out"
        account = replace(kept[twin].account, remarks=(*kept[twin].account.remarks, remark))
        kept[twin] = replace(kept[twin], account=account)
    return kept


def _same_numbers(one: Signal, other: Signal) -> bool:
    return all(np.array_equal(one.columns[name], other.columns[name]) for name in _NEEDED)
