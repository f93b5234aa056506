"""The temperature of a record that has no column for it."""

from __future__ import annotations

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
