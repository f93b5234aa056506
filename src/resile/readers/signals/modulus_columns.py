"""Modulus and phase angle of an oscillation record, as recorded or made of what is recorded."""

from __future__ import annotations

import math
import re
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from resile.errors import FileFormatError
from resile.readers.grids.headings import read_heading
from resile.readers.grids.number_text import parse_number
from resile.readers.grids.printed_units import read_unit
from resile.readers.grids.table import Table
from resile.readers.layout import Layout
from resile.readers.signals.chosen_columns import ChosenColumns, named, take
from resile.readers.signals.plate_geometry import find_length, rim_strain, rim_stress_kpa
from resile.readers.signals.told_conversions import with_remark
from resile.units import convert, find_unit

_NUMBER = re.compile(r"\s*([+-]?\d+(?:[.,]\d+)?)\s*(.*)")
_PA_IN_KPA = 1000.0
_LARGEST_RADIANS = 1.6
"""A phase angle above a right angle in radians (1.571) can only be in degrees."""


def take_modulus_and_angle(table: Table, chosen: ChosenColumns, layout: Layout, path: str) -> Table:
    """Take ``complex_modulus`` [kPa] and ``phase_angle`` [°], or make them.

    Parameters
    ----------
    table : Table
        Columns as printed.
    chosen : ChosenColumns
        Where values, readings and remarks are put.
    layout : Layout
        What the user said.
    path : str
        Named in a question.

    Returns
    -------
    Table
        The table, with the unit of the phase angle supposed where none is printed.

    Raises
    ------
    AmbiguousFileError
        A unit, the plate diameter or the gap is not told.

    Notes
    -----
    In this order: as recorded; ``|G*| = sqrt(G'² + G''²)``, ``delta = atan2(G'', G')``;
    ``|G*| = |eta*| omega``; stress over strain; torque over angle with the plates,
    ``|G*| = 2 h M/(pi R⁴ theta)``. A phase angle that is not recorded is ``atan(tan delta)`` where that is.
    """
    table = _with_angle_unit(table)
    if take(table, "phase_angle", chosen, layout, path):
        _to_degrees(chosen)
    elif take(table, "loss_tangent", chosen, layout, path):
        chosen.values["phase_angle"] = np.degrees(np.arctan(chosen.values.pop("loss_tangent")))
        chosen.remarks.append("phase angle made of tan δ: δ = atan(tan δ)")
    if take(table, "complex_modulus", chosen, layout, path):
        if "phase_angle" not in chosen.values:
            _take_parts(table, chosen, layout, path)
        return table
    if table.columns_of("storage_modulus") and table.columns_of("loss_modulus"):
        _modulus_from_parts(table, chosen, layout, path)
    elif table.columns_of("complex_viscosity"):
        _modulus_from_viscosity(table, chosen, layout, path)
    elif table.columns_of("stress_kpa") and table.columns_of("strain"):
        take(table, "stress_kpa", chosen, layout, path)
        take(table, "strain", chosen, layout, path)
        _divide(chosen, chosen.values["stress_kpa"], chosen.values["strain"], "stress over strain")
    else:
        _modulus_from_torque(table, chosen, layout, path)
    return table


def take_percent(table: Table, quantity: str, chosen: ChosenColumns, layout: Layout, path: str) -> None:
    """Take a column kept in %; a bare number is a percentage already.

    Parameters
    ----------
    table : Table
        Columns as printed.
    quantity : str
        Such as ``torque_share_percent``.
    chosen, layout, path
        As in `take_modulus_and_angle`.
    """
    per_cent = find_unit("%")
    columns = tuple(
        replace(c, reading=replace(c.reading, unit=per_cent, remark="no unit printed: taken as %"))
        if c.reading.quantity == quantity and c.reading.unit is None
        else c
        for c in table.columns
    )
    if take(replace(table, columns=columns), quantity, chosen, layout, path):
        chosen.values[quantity] = 100.0 * chosen.values[quantity]
        position = chosen.taken[quantity].position
        reading = chosen.readings[position]
        chosen.readings[position] = replace(
            reading,
            factor=100.0 * reading.factor,
            unit_taken="%",
            remark=chosen.taken[quantity].reading.remark,
        )


def _with_angle_unit(table: Table) -> Table:
    columns = []
    for column in table.columns:
        if column.reading.quantity == "phase_angle" and column.reading.unit is None:
            values = column.values[np.isfinite(column.values)]
            if len(values) and float(values.max()) > _LARGEST_RADIANS:
                remark = "no unit printed: above a right angle in radians, so degrees"
                column = replace(column, reading=replace(column.reading, unit=find_unit("°"), remark=remark))
        columns.append(column)
    return replace(table, columns=tuple(columns))


def _to_degrees(chosen: ChosenColumns) -> None:
    """Keep the phase angle in degrees, exactly as printed where it is printed so."""
    column = chosen.taken["phase_angle"]
    printed = column.reading.unit
    in_degrees = printed is not None and math.isclose(printed.factor, math.pi / 180.0)
    values = column.values if in_degrees else np.degrees(chosen.values["phase_angle"])
    chosen.values["phase_angle"] = values
    reading = chosen.readings[column.position]
    factor = 1.0 if in_degrees else math.degrees(reading.factor)
    remark = column.reading.remark if in_degrees else "rad to °: multiplied by 57.2958"
    chosen.readings[column.position] = replace(reading, factor=factor, unit_taken="°", remark=remark)


def _take_parts(
    table: Table, chosen: ChosenColumns, layout: Layout, path: str
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Take storage and loss modulus [kPa]; the phase angle is made of them where none is recorded."""
    for quantity in ("storage_modulus", "loss_modulus"):
        take(table, quantity, chosen, layout, path)
    storage, loss = chosen.values.pop("storage_modulus"), chosen.values.pop("loss_modulus")
    if "phase_angle" not in chosen.values:
        chosen.values["phase_angle"] = np.degrees(np.arctan2(loss, storage))
        chosen.remarks.append("phase angle made of storage and loss modulus: tan δ = G''/G'")
    return storage, loss


def _modulus_from_parts(table: Table, chosen: ChosenColumns, layout: Layout, path: str) -> None:
    chosen.values["complex_modulus"] = np.hypot(*_take_parts(table, chosen, layout, path))
    chosen.remarks.append("complex modulus made of storage and loss modulus: |G*|² = G'² + G''²")


def _modulus_from_viscosity(table: Table, chosen: ChosenColumns, layout: Layout, path: str) -> None:
    """Make |G*| [kPa] of the complex viscosity [Pa·s] and the angular frequency [rad/s]."""
    take(table, "complex_viscosity", chosen, layout, path)
    viscosity = chosen.values.pop("complex_viscosity")
    take_frequency(table, chosen, layout, path)
    frequency = chosen.values.get("angular_frequency_rad_s")
    if frequency is None:
        raise FileFormatError(
            f"{path}: {named(chosen.taken['complex_viscosity'])} is the complex viscosity, but no frequency "
            "is stated to make the complex modulus of it; a column or a line above the columns is needed"
        )
    chosen.values["complex_modulus"] = viscosity * frequency / _PA_IN_KPA
    chosen.remarks.append("complex modulus made of complex viscosity and angular frequency: |G*| = |η*| ω")


def take_frequency(table: Table, chosen: ChosenColumns, layout: Layout, path: str) -> None:
    """Take the angular frequency [rad/s] of a column, else of a line above the columns.

    Parameters
    ----------
    table, chosen, layout, path
        As in `take_modulus_and_angle`.
    """
    if "angular_frequency_rad_s" in chosen.values or take(
        table, "angular_frequency_rad_s", chosen, layout, path
    ):
        return
    for name, value in table.details.items():
        reading = read_heading([name])
        found = _NUMBER.match(value)
        if reading.quantity != "angular_frequency_rad_s" or found is None:
            continue
        number = parse_number(found[1], "," if "," in found[1] else ".")
        unit = read_unit(found[2])[0] or reading.unit
        if number is not None and unit is not None and unit.dimension == "angular_frequency":
            frequency = convert(number, unit)
            chosen.values["angular_frequency_rad_s"] = np.full(len(table.row_numbers), frequency)
            chosen.remarks.append(f"angular frequency {frequency:.6g} rad/s from the line {name!r}")
            return
    chosen.remarks.append("no frequency is stated")


def _modulus_from_torque(table: Table, chosen: ChosenColumns, layout: Layout, path: str) -> None:
    take(table, "torque_nm", chosen, layout, path)
    take(table, "angle_rad", chosen, layout, path)
    diameter, origin = find_length(table, "plate_diameter_mm", layout, path)
    gap, gap_origin = find_length(table, "gap_mm", layout, path)
    _divide(
        chosen,
        rim_stress_kpa(chosen.values["torque_nm"], diameter_mm=diameter),
        rim_strain(chosen.values["angle_rad"], diameter_mm=diameter, gap_mm=gap),
        f"torque and angle, 2hM/(πR⁴θ), plate {diameter:g} mm ({origin}), gap {gap:g} mm ({gap_origin})",
    )
    position = chosen.taken["torque_nm"].position
    chosen.readings[position] = with_remark(chosen.readings[position], "made the modulus with the angle")


def _divide(
    chosen: ChosenColumns, stress: NDArray[np.float64], strain: NDArray[np.float64], how: str
) -> None:
    with np.errstate(divide="ignore", invalid="ignore"):
        modulus = np.abs(stress / strain)
    # A rotation of zero has no modulus: such a row is refused with the others that hold no number.
    chosen.values["complex_modulus"] = np.where(np.isfinite(modulus), modulus, np.nan)
    chosen.remarks.append(f"complex modulus made of {how}")
