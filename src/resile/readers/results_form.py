"""A filled results form: checked cell by cell, then handed to the readers of orders, tables and ageing."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from resile.errors import FileFormatError
from resile.readers.grids.grid import Grid
from resile.readers.grids.heading_rows import Cell, cell_text, is_blank
from resile.readers.grids.headings import fold
from resile.readers.summaries.names import name_quantity
from resile.readers.summaries.values import find_conversion, read_printed
from resile.records.determination import Condition
from resile.records.form import (
    AGEING_FIELDS,
    AGEING_SHEET,
    BOTTLE_HEADINGS,
    FORM_MARK,
    ORDER_FIELDS,
    ORDER_SHEET,
    RESULT_HEADINGS,
    SHEET_NAMES,
    FormField,
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
    ageing_grid : Grid or None
        The ageing record; None where nothing was weighed.
    """

    form: ResultsForm
    result_grids: tuple[Grid, ...]
    ageing_grid: Grid | None


def is_form(grids: Sequence[Grid]) -> bool:
    """Tell whether the sheets of a workbook are those of a results form."""
    return any(_mark(grid) for grid in grids)


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
    order_values = _fields(sheets[ORDER_SHEET], ORDER_FIELDS, problems)
    ageing_values = _fields(sheets[AGEING_SHEET], AGEING_FIELDS, problems)
    sample = dict(order_values).get("sample.name") or Path(path).stem
    residues = [(name, grid) for name, grid in sheets.items() if name in _CONDITIONS]
    typed = [_results(grid, _CONDITIONS[name], sample, problems) for name, grid in residues]
    bottles, ageing = _ageing(sheets[AGEING_SHEET], sample, dict(ageing_values), problems)
    if problems:
        more = f"; and {len(problems) - _MOST_TOLD} more" if len(problems) > _MOST_TOLD else ""
        raise FileFormatError(f"{path}: {'; '.join(problems[:_MOST_TOLD])}{more}")
    form = ResultsForm(order_values, tuple(sheet for sheet, _ in typed), ageing_values, bottles)
    return FilledForm(form, tuple(grid for _, grid in typed if grid is not None), ageing)


def _mark(grid: Grid) -> str:
    """Give the name that cell A1 gives to a sheet of the form; empty for any other sheet."""
    first = cell_text(grid.rows[0][0]) if grid.rows and grid.rows[0] else ""
    return first.removeprefix(FORM_MARK).lstrip(": ") if first.startswith(FORM_MARK) else ""


def _sheets(grids: Sequence[Grid], path: str) -> dict[str, Grid]:
    """Know each sheet by its cell A1, whatever its tab is called."""
    found: dict[str, Grid] = {}
    for grid in grids:
        name = _mark(grid)
        if name not in (ORDER_SHEET, AGEING_SHEET, *_CONDITIONS):
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


def _cell(grid: Grid, row: int, column: int) -> Cell:
    return grid.rows[row][column] if row < len(grid.rows) and column < len(grid.rows[row]) else None


def _text(grid: Grid, row: int, column: int) -> str:
    return cell_text(_cell(grid, row, column)).strip().removesuffix(" 00:00:00")


def _place(grid: Grid, row: int, column: int) -> str:
    return f"sheet {grid.name!r}, cell {chr(ord('A') + column)}{row + grid.first_row}"


def _fields(grid: Grid, fields: Sequence[FormField], problems: list[str]) -> tuple[tuple[str, str], ...]:
    known = {fold(field.label): field for field in fields}
    found: dict[str, str] = {}
    for row in range(2, len(grid.rows)):
        label = _text(grid, row, 0)
        if fold(label) == fold(BOTTLE_HEADINGS[0]):
            break
        value = _text(grid, row, 1)
        if not value:
            continue
        field = known.get(fold(label))
        if field is None:
            problems.append(f"{_place(grid, row, 0)}: {label or 'an empty label'!r} is no line of the form")
        elif field.key in found:
            problems.append(f"{_place(grid, row, 0)}: {label!r} stands twice")
        else:
            found[field.key] = value
    return tuple(found.items())


def _heading_row(grid: Grid, titles: Sequence[str]) -> int | None:
    wanted = [fold(title) for title in titles]
    for row in range(len(grid.rows)):
        if [fold(_text(grid, row, column)) for column in range(len(titles))] == wanted:
            return row
    return None


def _results(
    grid: Grid, condition: Condition, sample: str, problems: list[str]
) -> tuple[FormSheet, Grid | None]:
    """Read one sheet of results, and set it as a table with a value a row; rows keep their numbers."""
    heading = _heading_row(grid, RESULT_HEADINGS)
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
        return _text(grid, place, _COLUMN[title])

    return FormRow(
        test=text("Test"),
        property_name=text("Property"),
        quantity=text("Name"),
        temperature_c=_cell(grid, place, _COLUMN["Temperature (°C)"]),
        specimen=text("Specimen"),
        value=_cell(grid, place, _COLUMN["Value"]),
        unit=text("Unit"),
        limit=text("Limit"),
        laboratory=text("Other laboratory"),
        remark=text("Remark"),
    )


def _doubts(grid: Grid, place: int, row: FormRow) -> Iterator[str]:
    """Say what is wrong in a row that was filled in, each with its cell."""

    def at(title: str) -> str:
        return _place(grid, place, _COLUMN[title])

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


def _ageing(
    grid: Grid, sample: str, values: dict[str, str], problems: list[str]
) -> tuple[tuple[tuple[Cell, ...], ...], Grid | None]:
    """Read the bottles; set the sheet as the reader of ageing records takes it, rows keep their numbers."""
    heading = _heading_row(grid, BOTTLE_HEADINGS)
    if heading is None:
        listed = ", ".join(BOTTLE_HEADINGS)
        problems.append(f"sheet {grid.name!r}: the headings of the bottles were changed; they are {listed}")
        return (), None
    units = {fold(field.label): field.hint for field in AGEING_FIELDS}
    numbers = {fold(field.label) for field in AGEING_FIELDS if field.key not in ("method", "aged_on")}
    table: list[list[Cell]] = [["sample", sample]]
    for row in range(1, heading):
        label, value = _text(grid, row, 0), _text(grid, row, 1)
        taken = value and fold(label) in units
        unit = units.get(fold(label), "") if fold(label) in numbers else ""
        table.append([label, value, *([unit] if unit else [])] if taken else [])
        if taken and unit:
            problems += _no_number(grid, row, 1, _cell(grid, row, 1), unit)
    table.append(list(BOTTLE_HEADINGS))
    bottles: list[tuple[Cell, ...]] = []
    for row in range(heading + 1, len(grid.rows)):
        cells = tuple(_cell(grid, row, column) for column in range(5))
        bottles.append(cells)
        weighed = any(not is_blank(cell) for cell in cells[1:4])
        table.append(list(cells) if weighed else [])
        for column in (1, 2, 3):
            problems += _no_number(grid, row, column, cells[column], "g")
    filled = "mass_change_percent" in values or any(not is_blank(cell) for b in bottles for cell in b[1:4])
    if filled and "method" not in values:
        problems.append(f"sheet {grid.name!r}, cell B5: the method of short-term ageing is needed")
    return tuple(bottles), replace(grid, rows=table, remarks=()) if filled else None


def _no_number(grid: Grid, row: int, column: int, cell: Cell, unit: str) -> list[str]:
    printed = read_printed(cell, grid)
    if printed.missing or printed.number is not None:
        return []
    return [f"{_place(grid, row, column)}: {printed.reason or f'{cell!r}'}; a number in {unit} is needed"]
