"""A filled results form: checked cell by cell, then handed to the readers of orders, tables and ageing."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from resile.errors import FileFormatError
from resile.readers.forms.form_ageing import FormRecord, long_term_sheet, short_term_sheet
from resile.readers.forms.form_cells import cell_at, fields_of, heading_row, place_of, sheet_mark, text_at
from resile.readers.grids.cells import Cell, is_blank
from resile.readers.grids.grid import Grid
from resile.readers.grids.vocabulary import fold
from resile.readers.summaries.names import name_quantity
from resile.readers.summaries.values import find_conversion, read_printed
from resile.records.determination import Condition
from resile.records.form import (
    AGEING_SHEET,
    FORM_MARK,
    LONG_TERM_SHEET,
    ORDER_FIELDS,
    ORDER_SHEET,
    RESULT_HEADINGS,
    SHEET_NAMES,
    FormRow,
    FormSheet,
    ResultsForm,
)

_MOST_TOLD = 8
_COLUMN = {title: place for place, title in enumerate(RESULT_HEADINGS)}
_CONDITIONS = {name: condition for condition, name in SHEET_NAMES.items()}


@dataclass(frozen=True, slots=True)
class FilledForm:
    """A form as read, and its sheets as the other readers take them.

    Attributes
    ----------
    form : ResultsForm
        Every cell as typed.
    result_grids : tuple of Grid
        Tables of results, one a residue with a value; rows keep their numbers.
    ageing_grid, long_term_grid : Grid or None
        The ageing records; None where nothing was weighed, or the sheet is empty.
    """

    form: ResultsForm
    result_grids: tuple[Grid, ...]
    ageing_grid: Grid | None
    long_term_grid: Grid | None = None


def is_form(grids: Sequence[Grid]) -> bool:
    """Tell whether the sheets of a workbook are those of a results form."""
    return any(sheet_mark(grid) for grid in grids)


def read_form(grids: Sequence[Grid], path: str) -> FilledForm:
    """Read the sheets of a results form.

    Parameters
    ----------
    grids : sequence of Grid
        All sheets of the workbook.
    path : str
        Path for messages.

    Returns
    -------
    FilledForm
        The cells as typed, and as the other readers take them.

    Raises
    ------
    FileFormatError
        A sheet is missing or doubled, cells are merged, or a cell cannot be read; sheet and cell are named.
    """
    sheets = _sheets(grids, path)
    problems: list[str] = []
    order_values = fields_of(sheets[ORDER_SHEET], ORDER_FIELDS, problems)
    sample = dict(order_values).get("sample.name") or Path(path).stem
    residues = [(name, grid) for name, grid in sheets.items() if name in _CONDITIONS]
    typed = [_results(grid, _CONDITIONS[name], sample, problems) for name, grid in residues]
    short = short_term_sheet(sheets[AGEING_SHEET], sample, problems)
    long = FormRecord(())
    if LONG_TERM_SHEET in sheets:
        long = long_term_sheet(sheets[LONG_TERM_SHEET], sample, problems)
    if problems:
        more = f"; and {len(problems) - _MOST_TOLD} more" if len(problems) > _MOST_TOLD else ""
        raise FileFormatError(f"{path}: {'; '.join(problems[:_MOST_TOLD])}{more}")
    form = ResultsForm(
        order_values,
        tuple(sheet for sheet, _ in typed),
        short.values,
        short.vessels,
        long_term_values=long.values,
        pans=long.vessels,
    )
    return FilledForm(form, tuple(grid for _, grid in typed if grid is not None), short.grid, long.grid)


def _sheets(grids: Sequence[Grid], path: str) -> dict[str, Grid]:
    """Know each sheet by its cell A1, whatever its tab is called."""
    found: dict[str, Grid] = {}
    for grid in grids:
        name = sheet_mark(grid)
        if name not in (ORDER_SHEET, AGEING_SHEET, LONG_TERM_SHEET, *_CONDITIONS):
            continue
        if name in found:
            raise FileFormatError(
                f"{path}: sheets {found[name].name!r} and {grid.name!r} are both {name!r} by their cell A1; "
                "keep one of them"
            )
        merged = next((remark for remark in grid.remarks if "merged" in remark), "")
        if merged:
            raise FileFormatError(f"{path}: {merged}; unmerge the cells and fill each one in")
        found[name] = grid
    for name in (ORDER_SHEET, AGEING_SHEET):
        if name not in found:
            listed = ", ".join(repr(grid.name) for grid in grids)
            raise FileFormatError(
                f"{path}: no sheet begins in cell A1 with '{FORM_MARK}: {name}'; the workbook has {listed}. "
                "Put the line back into its sheet, or begin with a new form (resile form)"
            )
    if not _CONDITIONS.keys() & found.keys():
        raise FileFormatError(f"{path}: the form has no sheet for results, such as 'Original binder'")
    return found


def _results(
    grid: Grid, condition: Condition, sample: str, problems: list[str]
) -> tuple[FormSheet, Grid | None]:
    """Read one sheet of results, and set it as a table with a value a row; rows keep their numbers."""
    heading = heading_row(grid, RESULT_HEADINGS)
    if heading is None:
        listed = ", ".join(RESULT_HEADINGS)
        problems.append(
            f"sheet {grid.name!r}: the row of headings was changed; from cell A4 on they are {listed}"
        )
        return FormSheet(condition, ()), None
    titles: list[Cell] = [
        "sample",
        "condition",
        "temperature_c",
        "replicate",
        "quantity",
        "value",
        "unit",
        "laboratory",
        "remark",
    ]
    table: list[list[Cell]] = [[] for _ in range(heading)] + [titles]
    rows = []
    for place in range(heading + 1, len(grid.rows)):
        if all(is_blank(cell) for cell in grid.rows[place]):
            table.append([])
            continue
        row = _form_row(grid, place)
        rows.append(row)
        empty = is_blank(row.value) and not row.laboratory and not row.remark
        problems += [] if empty else list(_doubts(grid, place, row))
        used = not is_blank(row.value) and row.quantity
        table.append(
            [
                sample,
                str(condition),
                row.temperature_c,
                row.specimen,
                row.quantity,
                row.value,
                row.unit,
                row.laboratory,
                row.remark,
            ]
            if used
            else []
        )
    filled = any(not is_blank(row.value) for row in rows)
    return FormSheet(condition, tuple(rows)), replace(grid, rows=table, remarks=()) if filled else None


def _form_row(grid: Grid, place: int) -> FormRow:
    def text(title: str) -> str:
        return text_at(grid, place, _COLUMN[title])

    return FormRow(
        test=text("Test"),
        property_name=text("Property"),
        quantity=text("Name"),
        temperature_c=cell_at(grid, place, _COLUMN["Temperature (°C)"]),
        specimen=text("Specimen"),
        value=cell_at(grid, place, _COLUMN["Value"]),
        unit=text("Unit"),
        limit=text("Limit"),
        laboratory=text("Other laboratory"),
        remark=text("Remark"),
    )


def _doubts(grid: Grid, place: int, row: FormRow) -> Iterator[str]:
    """Say what is wrong in a row that was filled in, each with its cell."""

    def at(title: str) -> str:
        return place_of(grid, place, _COLUMN[title])

    if is_blank(row.value):
        return
    if not row.quantity:
        yield f"{at('Name')}: a value without a property; choose its name from the list"
        return
    named = name_quantity(row.quantity)
    if isinstance(named, str):
        yield f"{at('Name')}: {named.partition('; known are')[0]}"
        return
    for title, cell in (("Value", row.value), ("Temperature (°C)", row.temperature_c)):
        printed = read_printed(cell, grid)
        if printed.number is None and not printed.missing:
            yield f"{at(title)}: {printed.reason or f'{cell!r} is no number'}; a number is needed"
        elif (
            title == "Value" and printed.unit_text and row.unit and fold(printed.unit_text) != fold(row.unit)
        ):
            yield f"{at(title)}: {cell!r} has another unit than the cell beside it, {row.unit!r}"
    conversion = find_conversion(named.quantity, row.unit)
    if isinstance(conversion, str):
        yield f"{at('Unit')}: {conversion}"
