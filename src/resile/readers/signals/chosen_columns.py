"""Which column is what, in which unit: the choice among headings, or the question that decides it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from resile.errors import AmbiguousFileError, FileFormatError
from resile.readers.grids.clock_times import is_too_coarse, read_clock
from resile.readers.grids.grid import Column
from resile.readers.grids.printed_units import read_unit
from resile.readers.grids.table import Table
from resile.readers.grids.vocabulary import quantity_dimension, vocabulary
from resile.readers.layout import Layout
from resile.readers.signals.supposed_units import (
    suppose_stress_unit,
    suppose_temperature_unit,
    suppose_time_unit,
)
from resile.readers.signals.told_conversions import reading_of
from resile.records.reading import ColumnReading
from resile.units import KEPT_UNITS, Unit

_STAND_INS: Mapping[str, tuple[tuple[str, str], ...]] = {
    "time_s": (
        ("segment_time_s", "time within the step, made running"),
        ("clock_time", "time of day, taken as running time"),
    ),
    "stress_kpa": (("set_stress_kpa", "only the set stress is recorded; it was taken as the stress"),),
    "temperature_c": (
        ("set_temperature_c", "only the set temperature is recorded; it was taken as the temperature"),
    ),
}
_UNIT_OPTIONS = {"time_s": "--time-unit", "stress_kpa": "--stress-unit", "strain": "--strain-unit"}
_UNIT_EXAMPLES = {
    "time": "s or min",
    "stress": "Pa, kPa or MPa",
    "ratio": "ratio or %",
    "torque": "N·m, mN·m or µN·m",
    "angle": "rad or mrad",
    "temperature": "°C or K",
    "length": "mm",
    "viscosity": "Pa·s or mPa·s (cP)",
    "force": "mN or N",
    "angular_frequency": "rad/s or Hz",
    "mass": "g",
}
_NUMBERED = ("cycle_number", "segment_number", "point_number")
_TITLES = {
    "time_s": "time",
    "stress_kpa": "shear stress",
    "strain": "shear strain",
    "temperature_c": "temperature",
    "torque_nm": "torque",
    "angle_rad": "angle",
}


@dataclass(slots=True)
class ChosenColumns:
    """Columns in kept units, and how each column of the file was read.

    Attributes
    ----------
    values : dict of str to ndarray of float, shape (n,)
        By quantity; not-a-number where a cell prints none.
    taken : dict of str to Column
        The column of the file behind each.
    readings : dict of int to ColumnReading
        By column number.
    remarks : list of str
        What was chosen or supposed.
    supposed : list of str
        Lengths that nothing states, so that nominal ones were taken.
    """

    values: dict[str, NDArray[np.float64]] = field(default_factory=dict)
    taken: dict[str, Column] = field(default_factory=dict)
    readings: dict[int, ColumnReading] = field(default_factory=dict)
    remarks: list[str] = field(default_factory=list)
    supposed: list[str] = field(default_factory=list)


def named(column: Column) -> str:
    """Give a column by number and heading, for a person.

    Parameters
    ----------
    column : Column
        The column.

    Returns
    -------
    str
        ``column 3 ('strain')``; without the heading where there is none.
    """
    return (
        f"column {column.position} ({column.reading.heading!r})"
        if column.reading.heading
        else f"column {column.position}"
    )


def _title_of(quantity: str) -> str:
    return _TITLES.get(quantity) or vocabulary().titles.get(quantity, quantity)


def says_the_same(columns: list[Column]) -> bool:
    """Tell whether columns say the same thing, perhaps in different units.

    Parameters
    ----------
    columns : list of Column
        Columns of one quantity.

    Returns
    -------
    bool
        Whether all agree within a thousandth.
    """
    first = columns[0]
    for other in columns[1:]:
        one, two = first.reading.unit, other.reading.unit
        if (one is None) != (two is None) or len(first.values) != len(other.values):
            return False
        a = first.values * (one.factor if one else 1.0) + (one.offset if one else 0.0)
        b = other.values * (two.factor if two else 1.0) + (two.offset if two else 0.0)
        if not np.allclose(
            a, b, rtol=1e-3, atol=1e-3 * float(np.nanmax(np.abs(a), initial=0.0)), equal_nan=True
        ):
            return False
    return True


def _pick(table: Table, quantity: str, chosen: ChosenColumns, path: str) -> Column | None:
    """Pick the column of a quantity, or ask where several claim to be it."""
    found = table.columns_of(quantity)
    for name, remark in _STAND_INS.get(quantity, ()):
        others = table.columns_of(name)
        if not found and others:
            chosen.remarks.append(f"{named(others[0])}: {remark}")
            found = others
        elif found and others:
            chosen.remarks.append(f"{named(found[0])} was taken for {quantity}, not {named(others[0])}")
    if len(found) > 1:
        given = [column for column in found if column.reading.remark == "as given for this column"]
        found = given if len(given) == 1 else found
    if len(found) > 1 and not says_the_same(found):
        listed = " and ".join(named(column) for column in found)
        row = f"row {table.heading_rows[-1] if table.heading_rows else table.first_data_row}"
        raise AmbiguousFileError(
            f"{path}, {row}: {listed} may each be the {_title_of(quantity)}; "
            f"which is it? (--column {found[0].position}={quantity})",
            option="--column",
        )
    if len(found) > 1:
        chosen.remarks.append(f"{named(found[1])} says the same as {named(found[0])}, which was taken")
    return found[0] if found else None


def _given_unit(quantity: str, layout: Layout) -> str:
    return {"time_s": layout.time_unit, "stress_kpa": layout.stress_unit, "strain": layout.strain_unit}.get(
        quantity, ""
    )


def _supposed_unit(quantity: str, column: Column, chosen: ChosenColumns) -> tuple[Unit | None, str]:
    """Give the unit that the numbers themselves decide, and the reason."""
    if quantity == "temperature_c":
        return suppose_temperature_unit(column.values)
    if quantity == "stress_kpa":
        return suppose_stress_unit(column.values)
    if quantity == "time_s":
        loads = next((chosen.taken[q].values for q in ("stress_kpa", "torque_nm") if q in chosen.taken), None)
        return suppose_time_unit(column.values, loads)
    return None, ""


def _unit_of(
    quantity: str, column: Column, chosen: ChosenColumns, layout: Layout, path: str
) -> tuple[Unit, str]:
    """Give the unit of a column and a remark; ask where neither the file nor the numbers tell."""
    given = _given_unit(quantity, layout)
    if given:
        unit, _ = read_unit(given)
        if unit is not None:
            return unit, "unit as given"
    if column.reading.unit is not None:
        return column.reading.unit, column.reading.remark
    unit, reason = _supposed_unit(quantity, column, chosen)
    if unit is not None:
        return unit, "; ".join(part for part in (column.reading.remark, reason) if part)
    if column.texts and not np.isfinite(column.values).any():
        shown = next((text for text in column.texts if text), "")
        raise FileFormatError(
            f"{path}: {named(column)} is the {_title_of(quantity)} but none of its cells is a "
            f"number (the first is {shown[:24]!r})"
        )
    dimension = quantity_dimension(column.reading.quantity or quantity)
    option = _UNIT_OPTIONS.get(quantity, "--column")
    raise AmbiguousFileError(
        f"{path}: {named(column)} is the {_title_of(quantity)} but no unit is printed; "
        f"is it in {_UNIT_EXAMPLES.get(dimension, dimension)}? ({option})",
        option=option,
    )


def take(table: Table, quantity: str, chosen: ChosenColumns, layout: Layout, path: str) -> bool:
    """Take the column of a quantity in kept units, if the table has one.

    Parameters
    ----------
    table : Table
        Columns as printed.
    quantity : str
        Name of the quantity.
    chosen : ChosenColumns
        Where values, reading and remarks are put.
    layout : Layout
        What the user said.
    path : str
        Named in a question.

    Returns
    -------
    bool
        Whether there is such a column.

    Raises
    ------
    AmbiguousFileError
        Two columns claim to be it, or its unit is not known.
    """
    column = _pick(table, quantity, chosen, path)
    if column is None:
        return False
    chosen.taken[quantity] = column
    if quantity in _NUMBERED or not quantity_dimension(quantity):
        chosen.values[quantity] = column.values
        chosen.readings[column.position] = ColumnReading(
            column.position, column.reading.heading, quantity, remark=column.reading.remark
        )
        return True
    if quantity == "time_s" and _take_clock(column, chosen, path):
        return True
    unit, remark = _unit_of(quantity, column, chosen, layout, path)
    plain = unit.factor == 1.0 and unit.offset == 0.0
    chosen.values[quantity] = column.values if plain else column.values * unit.factor + unit.offset
    chosen.readings[column.position] = reading_of(column.position, column.reading, quantity, unit, remark)
    return True


def _take_clock(column: Column, chosen: ChosenColumns, path: str) -> bool:
    """Take a time that is printed as a clock, if it is."""
    if not column.texts or np.isfinite(column.values).any():
        return False
    seconds = read_clock(column.texts)
    if seconds is None:
        return False
    if is_too_coarse(seconds):
        raise FileFormatError(
            f"{path}: {named(column)} prints clock times so coarsely (such as {column.texts[0]!r}) that "
            "many rows share one; a time with fractions of a second is needed"
        )
    chosen.values["time_s"] = seconds
    chosen.readings[column.position] = ColumnReading(
        column.position,
        column.reading.heading,
        "time_s",
        column.reading.unit_text,
        1.0,
        KEPT_UNITS["time"],
        f"clock times such as {column.texts[0]!r} read as seconds, counted from the first row or from zero",
    )
    return True


def unused_readings(table: Table, chosen: ChosenColumns) -> tuple[ColumnReading, ...]:
    """Give how every column of the file was read, used or not, in column order.

    Parameters
    ----------
    table : Table
        Columns as printed.
    chosen : ChosenColumns
        What was taken.

    Returns
    -------
    tuple of ColumnReading
        One entry a column.
    """
    everything: Mapping[int, ColumnReading] = chosen.readings
    readings = []
    for column in table.columns:
        reading = everything.get(column.position)
        if reading is None:
            said = column.reading
            why = said.remark or ("read but not needed" if said.quantity else "not used")
            reading = ColumnReading(column.position, said.heading, None, said.unit_text, remark=why)
        readings.append(reading)
    return tuple(readings)
