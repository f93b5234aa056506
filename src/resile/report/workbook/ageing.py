"""The sheet of both ageing records: conditions in words, bottles and pans as numbers."""

from __future__ import annotations

from typing import Any

from resile.records.ageing import AgeingRecord, LongTermAgeingRecord
from resile.report.paper.statements.ageing import ageing_facts
from resile.report.workbook.cells import set_widths, write_cell, write_head, write_pairs

_BOTTLE_HEAD = ("Bottle", "Empty (g)", "Before (g)", "After (g)", "Mass change (%)", "Seen")
_PAN_HEAD = ("Pan", "Binder (g)", "Film (mm)", "Seen")


def write_ageing(
    sheet: Any,
    formats: dict[str, Any],
    short_term: AgeingRecord | None,
    long_term: LongTermAgeingRecord | None,
) -> None:
    """Write the ageing records that were handed over.

    Parameters
    ----------
    sheet : Worksheet
        To write on.
    formats : dict
        By name.
    short_term : AgeingRecord or None
        The rolling thin film oven, the mass change of each bottle as a formula.
    long_term : LongTermAgeingRecord or None
        The pressure vessel.
    """
    set_widths(sheet, (24, 30, 14, 14, 16, 40))
    row = 0
    if short_term is not None:
        sheet.write_string(row, 0, "Short-term ageing", formats["title"])
        row = write_pairs(sheet, formats, row + 1, ageing_facts(short_term)) + 1
        row = _write_bottles(sheet, formats, row, short_term) + 1 if short_term.bottles else row
    if long_term is not None:
        sheet.write_string(row, 0, "Long-term ageing", formats["title"])
        row = write_pairs(sheet, formats, row + 1, ageing_facts(long_term)) + 1
        if long_term.pans:
            _write_pans(sheet, formats, row, long_term)


def _write_bottles(sheet: Any, formats: dict[str, Any], row: int, record: AgeingRecord) -> int:
    """Write a row a bottle; a gain in mass is positive. Give the next free row."""
    write_head(sheet, formats, row, _BOTTLE_HEAD)
    for bottle in record.bottles:
        row += 1
        cells = (bottle.name, bottle.empty_g, bottle.before_g, bottle.after_g)
        for column, value in enumerate(cells):
            write_cell(sheet, row, column, value, formats["text" if column == 0 else "jnr"])
        line = row + 1
        if bottle.mass_change_percent is not None and None not in cells:
            formula = f"=100*(D{line}-C{line})/(C{line}-B{line})"
            sheet.write_formula(row, 4, formula, formats["jnr"], bottle.mass_change_percent)
        else:
            write_cell(sheet, row, 4, bottle.mass_change_percent, formats["jnr"])
        write_cell(sheet, row, 5, bottle.note or None, formats["text"])
    if record.mass_change_percent is not None:
        row += 1
        write_cell(sheet, row, 0, "mean", formats["mean"])
        write_cell(sheet, row, 4, record.mass_change_percent, formats["mean_jnr"])
    return row + 1


def _write_pans(sheet: Any, formats: dict[str, Any], row: int, record: LongTermAgeingRecord) -> None:
    write_head(sheet, formats, row, _PAN_HEAD)
    for pan in record.pans:
        row += 1
        write_cell(sheet, row, 0, pan.name, formats["text"])
        write_cell(sheet, row, 1, pan.mass_g, formats["jnr"])
        write_cell(sheet, row, 2, pan.film_mm, formats["jnr"])
        write_cell(sheet, row, 3, pan.note or None, formats["text"])
