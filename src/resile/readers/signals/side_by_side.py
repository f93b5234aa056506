"""Beams that stand side by side on one clock: one time column, a load and a deflection for each beam."""

from __future__ import annotations

from dataclasses import replace

from resile.readers.grids.grid import Column
from resile.readers.grids.table import Table
from resile.readers.signals.chosen_columns import says_the_same


def beams_side_by_side(table: Table) -> list[Table]:
    """Split a table that holds several beams on one clock.

    Parameters
    ----------
    table : Table
        A bending-beam record.

    Returns
    -------
    list of Table
        One a beam, from left to right, each without the load and deflection of the others; the table itself
        where it holds one beam, or where loads and deflections do not come in pairs.
    """
    loads, deflections = table.columns_of("load_mn"), table.columns_of("deflection_mm")
    if len(loads) < 2 or len(loads) != len(deflections) or says_the_same(deflections):
        return [table]
    beams = []
    for number, (load, deflection) in enumerate(zip(loads, deflections, strict=True), start=1):
        others = {c.position for c in (*loads, *deflections)} - {load.position, deflection.position}
        columns = tuple(_left_out(c, number) if c.position in others else c for c in table.columns)
        label = " ".join(text for text in (table.label, f"specimen {number}") if text)
        beams.append(replace(table, columns=columns, label=label))
    return beams


def _left_out(column: Column, number: int) -> Column:
    remark = f"belongs to another beam than beam {number}"
    return replace(column, reading=replace(column.reading, quantity=None, remark=remark))
