"""Raw creep-recovery records, text or workbook, to signals in kept units and running time.

`read_record` is the one door. It takes the file as it is, or as a `Layout` says, and returns a signal for
each specimen's run with an account of how it was understood. It refuses, with one sentence, what it cannot
be sure of.
"""

from __future__ import annotations

import hashlib
from dataclasses import replace
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from resile.errors import FileFormatError, InputError, RecordNotFoundError
from resile.readers.grids.grid import Column
from resile.readers.grids.headings import read_heading, read_unit
from resile.readers.grids.number_text import parse_number
from resile.readers.grids.table import Table, join_segments, table_of
from resile.readers.layout import Layout
from resile.readers.missing_columns import refuse_missing, refuse_unknown_columns
from resile.readers.signals.chosen_columns import ChosenColumns, take, unused_readings, with_remark
from resile.readers.signals.plate_geometry import find_length, rim_strain, rim_stress_kpa
from resile.readers.signals.refused_rows import BESIDE, refuse_rows
from resile.readers.signals.running_time import make_running
from resile.readers.signals.separate_runs import (
    Part,
    split_by_column,
    split_by_temperature,
    split_where_test_starts_over,
)
from resile.readers.signals.sheets_of_one_run import join_sheets
from resile.readers.signals.sign_convention import turn_upright
from resile.readers.text.text_record import read_text
from resile.records.reading import ReadingAccount, SourceFile
from resile.records.signal import Signal

MOST_BYTES = 256 * 2**20
_NO_LAYOUT = Layout()
_NEEDED = ("time_s", "stress_kpa", "strain")
_TIMES = ("time_s", "segment_time_s", "clock_time")
_ZIP = b"PK\x03\x04"


def read_record(
    path: Path, *, layout: Layout = _NO_LAYOUT, max_bytes: int = MOST_BYTES
) -> tuple[Signal, ...]:
    """Read a raw creep-recovery record.

    Parameters
    ----------
    path : Path
        A text file (.csv, .txt, …) or a workbook (.xlsx).
    layout : Layout
        What the user said of the file; what is not said is found in it.
    max_bytes : int
        A larger file is refused before it is read [bytes].

    Returns
    -------
    tuple of Signal
        One for each specimen's run in the file, with ``time_s``, ``stress_kpa``, ``strain`` and what else
        there is.

    Raises
    ------
    RecordNotFoundError
        There is no such file.
    InputError
        It is a folder, or cannot be opened.
    FileFormatError
        It is no record: empty, binary, too large, no headings, no stress, no numbers.
    AmbiguousFileError
        One question must be answered first; the error names the option that answers it.
    """
    data = _read_bytes(path, max_bytes)
    source = SourceFile(str(path), hashlib.sha256(data).hexdigest(), len(data))
    tables = (
        _workbook_tables(data, str(path), layout)
        if data.startswith(_ZIP)
        else read_text(data, str(path), layout)
    )
    if layout.columns:
        refuse_unknown_columns(tables, layout, str(path))
    usable = [table for table in tables if _is_record(table)] or tables[:1]
    if len(usable) > 1:
        usable = join_sheets(usable)
    signals: list[Signal] = []
    for table in usable:
        signals += _signals_of(table, source, layout, many=len({table.sheet for table in usable}) > 1)
    if len(signals) > 1:
        signals = _without_copies(signals)
    return tuple(signals)


def _read_bytes(path: Path, max_bytes: int) -> bytes:
    try:
        size = path.stat().st_size
        if size > max_bytes:
            raise FileFormatError(
                f"{path}: {size / 2**20:.0f} MiB is too large; "
                f"a record of at most {max_bytes / 2**20:.0f} MiB is read"
            )
        return path.read_bytes()
    except FileNotFoundError:
        raise RecordNotFoundError(f"{path}: there is no such file") from None
    except IsADirectoryError:
        raise InputError(f"{path}: this is a folder; the file of one record is needed") from None
    except (OSError, ValueError) as error:
        if path.is_dir():
            raise InputError(f"{path}: this is a folder; the file of one record is needed") from None
        reason = getattr(error, "strerror", None) or str(error)
        raise InputError(f"{path}: the file cannot be opened: {reason}") from None


def _workbook_tables(data: bytes, path: str, layout: Layout) -> list[Table]:
    """Read the tables of a workbook, sheet by sheet."""
    from resile.readers.grids.grid import find_blocks
    from resile.readers.workbooks.workbook import read_workbook

    tables: list[Table] = []
    for grid in read_workbook(data, path, sheet=layout.sheet or None):
        blocks = find_blocks(
            grid,
            rules=layout.rules,
            heading_row=layout.heading_row,
            units_row=layout.units_row,
            first_data_row=layout.first_data_row,
        )
        for group in join_segments(blocks):
            tables.append(table_of(group, form="workbook", sheet=grid.name, remarks=grid.remarks))
    if not tables:
        raise FileFormatError(
            f"{path}: no sheet has known headings above columns of numbers; "
            "headings for time, stress and strain are needed, or name the columns (--column)"
        )
    return tables


def _is_record(table: Table) -> bool:
    """Tell whether a table can be a creep-recovery record: time, and stress and strain in some form."""
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
        _add_temperature(table, chosen, layout)
    elif layout.temperature_c is not None:
        chosen.remarks.append(
            f"the temperature of {layout.temperature_c:g} °C as given was not needed: the file records one"
        )
    for quantity in BESIDE:
        take(table, quantity, chosen, layout, path)
    return chosen


def _add_temperature(table: Table, chosen: ChosenColumns, layout: Layout) -> None:
    """Give the rows the one temperature that the user, or a line above the columns, states."""
    stated, origin = layout.temperature_c, "as given"
    if stated is None:
        for name, value in table.details.items():
            reading = read_heading([name])
            if reading.quantity in ("temperature_c", "set_temperature_c"):
                number = value.split()[0].rstrip("°CcKFº") if value else ""
                unit = read_unit(value[len(number) :])[0] or reading.unit
                parsed = parse_number(number, "," if "," in number else ".")
                if parsed is not None and unit is not None and unit.dimension == "temperature":
                    stated, origin = parsed * unit.factor + unit.offset, f"from the line {name!r}"
    if stated is not None:
        chosen.values["temperature_c"] = np.full(len(table.row_numbers), stated)
        chosen.remarks.append(f"temperature {stated:g} °C {origin}")


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
    account = ReadingAccount(
        table.form,
        table.encoding,
        table.separator,
        table.decimal_mark,
        table.heading_rows,
        table.first_data_row,
        unused_readings(table, chosen),
        rows_refused=refused.listed,
        rows_refused_count=refused.count,
        remarks=(*table.remarks, *chosen.remarks),
        sheet=table.sheet,
        layout=layout.name,
    )
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
        kept, reordered, remarks = len(time), 0, account.remarks
    else:
        running = make_running(time, np.column_stack(list(columns.values())))
        columns = {name: values[running.order] for name, values in columns.items()}
        columns["time_s"] = running.time_s
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
    return Signal(columns, source, account, label, table.details)


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
