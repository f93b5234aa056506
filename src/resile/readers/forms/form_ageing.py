"""The two ageing sheets of a results form, set as the reader of ageing records takes them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from resile.readers.forms.form_cells import cell_at, doubt_of_number, fields_of, heading_row, text_at
from resile.readers.grids.cells import Cell, is_blank
from resile.readers.grids.grid import Grid
from resile.readers.grids.vocabulary import fold
from resile.records.form import (
    AGEING_FIELDS,
    BOTTLE_HEADINGS,
    LONG_TERM_FIELDS,
    NUMBER_HINTS,
    PAN_HEADINGS,
    FormField,
)

_COUNT = "how many"


@dataclass(frozen=True, slots=True)
class FormRecord:
    """One ageing sheet of a form.

    Attributes
    ----------
    values : tuple of (str, str)
        Key of the field and what stands in its cell.
    vessels : tuple of tuple
        Bottles or pans, cell by cell as typed.
    grid : Grid or None
        The record as its reader takes it, rows with their own numbers; None where nothing was measured.
    """

    values: tuple[tuple[str, str], ...]
    vessels: tuple[tuple[Cell, ...], ...] = ()
    grid: Grid | None = None


@dataclass(frozen=True, slots=True)
class _Sheet:
    """What one kind of ageing sheet is made of; `measured` are the fields that say that it was used."""

    kind: str
    fields: tuple[FormField, ...]
    headings: tuple[str, ...]
    measured: frozenset[str]


_NUMBERS = frozenset(field.key for field in LONG_TERM_FIELDS if field.hint in NUMBER_HINTS)
_SHORT = _Sheet("short-term", AGEING_FIELDS, BOTTLE_HEADINGS, frozenset({"mass_change_percent"}))
_LONG = _Sheet("long-term", LONG_TERM_FIELDS, PAN_HEADINGS, _NUMBERS)


def short_term_sheet(grid: Grid, sample: str, problems: list[str]) -> FormRecord:
    """Read the sheet of the oven and its bottles.

    Parameters
    ----------
    grid : Grid
        The sheet.
    sample : str
        Name of the sample, from the sheet of the order.
    problems : list of str
        What cannot be read is added, with sheet and cell.

    Returns
    -------
    FormRecord
        Without a grid where no bottle was weighed and no mean was typed.
    """
    return _record(grid, _SHORT, sample, problems)


def long_term_sheet(grid: Grid, sample: str, problems: list[str]) -> FormRecord:
    """Read the sheet of the pressure vessel and its pans.

    Parameters
    ----------
    grid, sample, problems
        As in `short_term_sheet`.

    Returns
    -------
    FormRecord
        Without a grid where no number was typed.
    """
    return _record(grid, _LONG, sample, problems)


def _record(grid: Grid, sheet: _Sheet, sample: str, problems: list[str]) -> FormRecord:
    heading = heading_row(grid, sheet.headings)
    values = fields_of(grid, sheet.fields, problems, until=sheet.headings[0])
    if heading is None:
        listed = ", ".join(sheet.headings)
        things = "bottles" if sheet is _SHORT else "pans"
        problems.append(f"sheet {grid.name!r}: the headings of the {things} were changed; they are {listed}")
        return FormRecord(values)
    table: list[list[Cell]] = [["sample", sample]]
    table += [_line(grid, row, sheet, problems) for row in range(1, heading)]
    table.append(list(sheet.headings))
    vessels, weighed = _vessels(grid, heading, len(sheet.headings), problems)
    filled = weighed or any(key in sheet.measured for key, _ in values)
    if filled and "method" not in dict(values):
        problems.append(f"sheet {grid.name!r}, cell B5: the method of {sheet.kind} ageing is needed")
    table += [list(cells) if _has_mass(cells) else [] for cells in vessels]
    return FormRecord(values, vessels, replace(grid, rows=table, remarks=()) if filled else None)


def _line(grid: Grid, row: int, sheet: _Sheet, problems: list[str]) -> list[Cell]:
    """Give label, value and unit of one line; nothing where it was left empty or is no line of the form."""
    label, value = text_at(grid, row, 0), text_at(grid, row, 1)
    hints = {fold(field.label): field.hint for field in sheet.fields}
    if not value or fold(label) not in hints:
        return []
    hint = hints[fold(label)]
    if hint not in NUMBER_HINTS:
        return [label, value]
    problems += doubt_of_number(grid, row, 1, cell_at(grid, row, 1), hint if hint != _COUNT else "pans")
    return [label, value] if hint == _COUNT else [label, value, hint]


def _vessels(
    grid: Grid, heading: int, width: int, problems: list[str]
) -> tuple[tuple[tuple[Cell, ...], ...], bool]:
    """Give the rows below the headings, and whether anything was weighed."""
    rows = []
    for row in range(heading + 1, len(grid.rows)):
        cells = tuple(cell_at(grid, row, column) for column in range(width))
        rows.append(cells)
        for column in range(1, width - 1):
            problems += doubt_of_number(grid, row, column, cells[column], "g")
    return tuple(rows), any(map(_has_mass, rows))


def _has_mass(cells: Sequence[Cell]) -> bool:
    return any(not is_blank(cell) for cell in cells[1:-1])
