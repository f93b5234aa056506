"""Oscillation, bending beam and rotational viscosity: the columns of a table to signals in kept units.

The choice of columns, their units and the refusal of rows are those of the creep-recovery reader; here
stands what these tests need besides: modulus from its parts or from torque and angle, the beam's geometry,
the torque share.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from resile.errors import AmbiguousFileError, FileFormatError
from resile.readers.conditions import read_condition
from resile.readers.grids.grid import Column
from resile.readers.grids.table import Table
from resile.readers.layout import Layout
from resile.readers.signals.beam_geometry import beam_lengths
from resile.readers.signals.chosen_columns import ChosenColumns, take
from resile.readers.signals.modulus_columns import take_frequency, take_modulus_and_angle, take_percent
from resile.readers.signals.plate_geometry import find_length
from resile.readers.signals.refused_rows import account_of, refuse_rows
from resile.readers.signals.running_time import make_running
from resile.readers.signals.separate_runs import Part, split_by_column
from resile.readers.signals.stated_temperature import add_temperature
from resile.readers.stated_condition import conditions_in_lines
from resile.readers.summaries.columns import names_sample
from resile.records.reading import SourceFile
from resile.records.signal import Signal

Floats = NDArray[np.float64]
_KPA_IN_MPA = 1000.0
_SWEPT = 10.0
_BESIDE_OSCILLATION = ("strain", "stress_kpa", "torque_nm", "angle_rad", "rutting_parameter")


def machine_signals(
    table: Table, method: str, source: SourceFile, layout: Layout, *, many: bool
) -> list[Signal]:
    """Make the signals of one table that records oscillation, a bending beam or rotational viscosity.

    Parameters
    ----------
    table : Table
        Columns as printed.
    method : str
        ``oscillation``, ``bending_beam`` or ``rotational_viscosity``.
    source : SourceFile
        The file.
    layout : Layout
        What the user said of it.
    many : bool
        The file holds several tables, so the sheet belongs to the label.

    Returns
    -------
    list of Signal
        One a specimen, by the columns that name sample, replicate and condition.

    Raises
    ------
    FileFormatError, AmbiguousFileError
        A column, unit, temperature or plate is not told.
    """
    chosen = ChosenColumns()
    table, constants = _TAKERS[method](table, chosen, layout, source.path)
    rows, refused = refuse_rows(table, chosen, source.path)
    if not len(rows):
        why = f"; {refused.listed[0].place}: {refused.listed[0].reason}" if refused.listed else ""
        raise FileFormatError(f"{source.path}: none of {len(table.row_numbers)} data rows could be used{why}")
    account = account_of(table, chosen, refused, layout)
    signals = []
    for part in _parts(table, rows):
        columns = {name: values[part.rows] for name, values in chosen.values.items()}
        columns |= {name: np.full(len(part.rows), value) for name, value in constants.items()}
        # The rows of an oscillation test stand in the order of the test; its time may restart in each part.
        columns, order, remarks = _as_they_stand(columns) if method == "oscillation" else _in_order(columns)
        kept = len(order)
        told = replace(
            account,
            rows_kept=kept,
            rows_converted=kept if account.decimal_mark == "," else 0,
            remarks=(*account.remarks, *remarks),
        )
        label = ", ".join(text for text in (table.sheet if many else "", part.label) if text)
        details = dict(table.details) | _condition(table, part)
        origin = table.rows_at(part.rows[order])
        signals.append(
            Signal(columns, source, told, label, details, method, tuple(chosen.supposed), rows=origin)
        )
    return signals


def _take_oscillation(
    table: Table, chosen: ChosenColumns, layout: Layout, path: str
) -> tuple[Table, dict[str, float]]:
    table = take_modulus_and_angle(table, chosen, layout, path)
    _take_temperature(table, chosen, layout, path)
    take_frequency(table, chosen, layout, path)
    for quantity in _BESIDE_OSCILLATION:
        if quantity not in chosen.values and table.columns_of(quantity):
            take(table, quantity, chosen, layout, path)
            _leave_out_gaps(quantity, chosen)
    if _strain_is_swept(chosen):
        _take_time(table, chosen, layout, path)
    constants = {}
    for quantity in ("plate_diameter_mm", "gap_mm"):
        try:
            constants[quantity], origin = find_length(table, quantity, layout, path)
        except AmbiguousFileError:
            continue  # only needed where torque and angle make the modulus
        chosen.remarks.append(f"{quantity.removesuffix('_mm')} {constants[quantity]:g} mm ({origin})")
    return table, constants


def _strain_is_swept(chosen: ChosenColumns) -> bool:
    """Tell whether the strain spans a decade: damage grows with time, so the time of the rows counts."""
    strain = np.abs(chosen.values.get("strain", np.empty(0)))
    strain = strain[np.isfinite(strain) & (strain > 0.0)]
    return bool(strain.size) and float(strain.max()) >= _SWEPT * float(strain.min())


def _take_time(table: Table, chosen: ChosenColumns, layout: Layout, path: str) -> None:
    """Take the time beside an oscillation test, where it can be told; a doubt about it stops nothing."""
    try:
        take(table, "time_s", chosen, layout, path)
    except (AmbiguousFileError, FileFormatError) as error:
        chosen.taken.pop("time_s", None)
        chosen.remarks.append(f"the time was not taken: {error}")
        return
    _leave_out_gaps("time_s", chosen)


def _take_beam(
    table: Table, chosen: ChosenColumns, layout: Layout, path: str
) -> tuple[Table, dict[str, float]]:
    if not table.columns_of("load_mn"):
        return _take_stiffness(table, chosen, layout, path)
    for quantity in ("load_mn", "deflection_mm", "time_s"):
        take(table, quantity, chosen, layout, path)
    for quantity, word in (("load_mn", "load"), ("deflection_mm", "deflection")):
        values = chosen.values[quantity]
        if np.nansum(values) < 0.0:
            chosen.values[quantity] = -values
            chosen.remarks.append(f"the {word} is recorded as negative; it was turned round")
    _take_temperature(table, chosen, layout, path, needed=False)
    return table, beam_lengths(table, chosen, layout, path)


def _take_stiffness(
    table: Table, chosen: ChosenColumns, layout: Layout, path: str
) -> tuple[Table, dict[str, float]]:
    """Take stiffness at loading times as typed: no load, deflection or geometry stands behind it."""
    take(table, "creep_stiffness", chosen, layout, path)
    take(table, "time_s", chosen, layout, path)
    # A stress is kept in kPa; stiffness is kept in MPa, the unit of its limit.
    chosen.values["creep_stiffness"] = chosen.values["creep_stiffness"] / _KPA_IN_MPA
    place = chosen.taken["creep_stiffness"].position
    reading = chosen.readings[place]
    factor = reading.factor / _KPA_IN_MPA
    chosen.readings[place] = replace(
        reading,
        factor=factor,
        unit_taken="MPa",
        remark="" if factor == 1.0 else f"{reading.unit_found} to MPa: multiplied by {factor:g}",
    )
    chosen.remarks.append("stiffness is given at loading times; load and deflection are not")
    _take_temperature(table, chosen, layout, path, needed=False)
    return table, {}


def _take_viscosity(
    table: Table, chosen: ChosenColumns, layout: Layout, path: str
) -> tuple[Table, dict[str, float]]:
    if not table.columns_of("rotational_viscosity"):
        table = _settle_viscosity(table, chosen)
    take(table, "rotational_viscosity", chosen, layout, path)
    _take_temperature(table, chosen, layout, path)
    take_percent(table, "torque_share_percent", chosen, layout, path)
    _leave_out_gaps("torque_share_percent", chosen)
    return table, {}


_TAKERS: dict[str, Callable[[Table, ChosenColumns, Layout, str], tuple[Table, dict[str, float]]]] = {
    "oscillation": _take_oscillation,
    "bending_beam": _take_beam,
    "rotational_viscosity": _take_viscosity,
}


def _settle_viscosity(table: Table, chosen: ChosenColumns) -> Table:
    """Take a bare "viscosity" as the rotational one: the table holds no other test it could belong to."""
    columns: list[Column] = []
    for column in table.columns:
        if "rotational_viscosity" in column.reading.candidates:
            remark = "taken as the rotational viscosity: the table records no other test"
            reading = replace(column.reading, quantity="rotational_viscosity", candidates=(), remark=remark)
            column = replace(column, reading=reading)
        columns.append(column)
    return replace(table, columns=tuple(columns))


def _take_temperature(
    table: Table, chosen: ChosenColumns, layout: Layout, path: str, *, needed: bool = True
) -> None:
    if not take(table, "temperature_c", chosen, layout, path):
        add_temperature(table, chosen, layout)
    if needed and "temperature_c" not in chosen.values:
        raise AmbiguousFileError(
            f"{path}: no column and no line above the columns gives the temperature; "
            "at which temperature in °C was it tested? (--temperature)",
            option="--temperature",
        )


def _leave_out_gaps(quantity: str, chosen: ChosenColumns) -> None:
    """Leave out a column that only serves checks and has empty cells: its rows shall not be refused."""
    values = chosen.values.get(quantity)
    if values is not None and not np.isfinite(values).all():
        bad = np.count_nonzero(~np.isfinite(values))
        del chosen.values[quantity]
        chosen.readings.pop(chosen.taken.pop(quantity).position, None)
        chosen.remarks.append(f"{quantity}: {bad} cells are no numbers; the column was not used")


def _parts(table: Table, rows: NDArray[np.int64]) -> list[Part]:
    """Split the rows by every column that names a specimen."""
    parts = [Part(rows, table.label)]
    for column in table.columns:
        quantity = column.reading.quantity
        if quantity in ("replicate", "condition") or names_sample(column):
            name = quantity or column.reading.heading
            parts = [piece for part in parts for piece in split_by_column(part, column, name)]
    return parts


def _condition(table: Table, part: Part) -> dict[str, str]:
    """Give the state of the binder that a column or a line above names; nothing where none does."""
    conditions = conditions_in_lines(table.details)
    for column in table.columns_of("condition"):
        if column.texts:
            conditions.append(read_condition(column.texts[int(part.rows[0])])[0])
    return {"condition": str(conditions[-1])} if conditions else {}


def _as_they_stand(
    columns: dict[str, Floats],
) -> tuple[dict[str, Floats], NDArray[np.int64], tuple[str, ...]]:
    return columns, np.arange(len(next(iter(columns.values())))), ()


def _in_order(columns: dict[str, Floats]) -> tuple[dict[str, Floats], NDArray[np.int64], tuple[str, ...]]:
    """Put a record with a clock into running time; leave others in the order of the file."""
    time = columns.get("time_s")
    count = len(next(iter(columns.values())))
    if time is None or (len(time) > 1 and bool((np.diff(time) > 0.0).all())):
        return columns, np.arange(count), ()
    running = make_running(time, np.column_stack(list(columns.values())))
    columns = {name: values[running.order] for name, values in columns.items()}
    columns["time_s"] = running.time_s
    return columns, running.order, running.remarks
