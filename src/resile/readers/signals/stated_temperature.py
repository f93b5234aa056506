"""The temperature of a record that has no column for it."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from resile.readers.grids.headings import read_heading
from resile.readers.grids.number_text import parse_number
from resile.readers.grids.printed_units import read_unit
from resile.readers.grids.table import Table
from resile.readers.layout import Layout
from resile.readers.signals.chosen_columns import ChosenColumns


def add_temperature(table: Table, chosen: ChosenColumns, layout: Layout) -> None:
    """Give the rows the one temperature that the user, or a line above the columns, states.

    Parameters
    ----------
    table : Table
        The record.
    chosen : ChosenColumns
        Added to, with a remark, where a temperature is stated.
    layout : Layout
        What is given wins.
    """
    stated, origin = layout.temperature_c, "as given"
    if stated is None:
        stated, line = temperature_in_lines(table.details)
        origin = f"from the line {line!r}"
    if stated is not None:
        chosen.values["temperature_c"] = np.full(len(table.row_numbers), stated)
        chosen.remarks.append(f"temperature {stated:g} °C {origin}")


def temperature_in_lines(details: Mapping[str, str]) -> tuple[float | None, str]:
    """Give the test temperature that the last such line above the columns states.

    Parameters
    ----------
    details : mapping of str to str
        Lines of the file, as name and text.

    Returns
    -------
    temperature_c : float or None
        None where no line states one [°C].
    line : str
        Name of that line; empty where there is none.
    """
    stated, line = None, ""
    for name, value in details.items():
        reading = read_heading([name])
        if reading.quantity in ("temperature_c", "set_temperature_c"):
            number = value.split()[0].rstrip("°CcKFº") if value else ""
            unit = read_unit(value[len(number) :])[0] or reading.unit
            parsed = parse_number(number, "," if "," in number else ".")
            if parsed is not None and unit is not None and unit.dimension == "temperature":
                stated, line = parsed * unit.factor + unit.offset, name
    return stated, line
