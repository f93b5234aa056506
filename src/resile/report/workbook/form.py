"""The sheets of a results form: cells to fill in are tinted and framed, all else is for reading."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from resile.records.form import (
    AGEING_FIELDS,
    AGEING_SHEET,
    BOTTLE_HEADINGS,
    FORM_MARK,
    LONG_TERM_FIELDS,
    LONG_TERM_SHEET,
    NUMBER_HINTS,
    ORDER_FIELDS,
    ORDER_SHEET,
    PAN_HEADINGS,
    RESULT_HEADINGS,
    SHEET_NAMES,
    Cell,
    FormField,
    FormRow,
    FormSheet,
    ResultsForm,
)
from resile.records.quantity import QUANTITIES
from resile.report.workbook.cells import set_widths, write_cell

FORM_FORMATS: dict[str, dict[str, Any]] = {
    "mark": {"font_color": "#56626a", "font_size": 9, "italic": True},
    "form_title": {"bold": True, "font_size": 16, "font_color": "#1d4f72"},
    "part": {"bold": True, "font_color": "#1d4f72", "bottom": 1, "bottom_color": "#1d4f72"},
    "fixed": {"valign": "vcenter", "text_wrap": True},
    "line": {"font_color": "#56626a", "font_size": 9},
    "small": {"font_color": "#56626a", "font_size": 9, "valign": "vcenter", "text_wrap": True},
    "grid_head": {
        "bold": True,
        "text_wrap": True,
        "valign": "vcenter",
        "bottom": 2,
        "bottom_color": "#1d4f72",
    },
    "input": {
        "bg_color": "#e6f0ee",
        "border": 1,
        "border_color": "#5c8a80",
        "valign": "vcenter",
        "text_wrap": True,
    },
    "input_text": {
        "bg_color": "#e6f0ee",
        "border": 1,
        "border_color": "#5c8a80",
        "valign": "vcenter",
        "text_wrap": True,
        "num_format": "@",
    },
}
_HOW_TO_FILL = (
    "Type into the tinted, framed cells only. The unit stands beside each of them.",
    "Leave a cell empty where a test was not made: an empty cell is 'not tested', never zero.",
    "Free rows below take further temperatures: choose the property in the last column.",
    "Two temperatures on either side of a limit give a continuous temperature.",
    "Mass change is worked out from the bottles; type a mean only where the masses are not at hand.",
    "Then: resile report FORM.xlsx. It comes back with verdict, margins, findings, continuous temperatures.",
)
FREE_ROWS = 8
_FIRST_FIELD_ROW = 4


def write_form(book: Any, form: ResultsForm) -> None:
    """Write the sheets of a form into a workbook, with whatever has been typed."""
    formats = {name: book.add_format({"font_name": "Calibri", **one}) for name, one in FORM_FORMATS.items()}
    choices = dict(form.choices)
    _write_told(book.add_worksheet("Read first"), formats, form)
    sheet = _headed(book, formats, ORDER_SHEET, "What was tested, for whom, by which rules")
    set_widths(sheet, (30, 60, 46))
    _write_fields(sheet, formats, ORDER_FIELDS, dict(form.order_values), choices)
    _write_ageing(_headed(book, formats, AGEING_SHEET, "Record of the oven, and the bottles"), formats, form)
    if form.pans or form.long_term_values:
        sheet = _headed(book, formats, LONG_TERM_SHEET, "Record of the pressure vessel, and the pans")
        _write_long_term(sheet, formats, form)
    for one in form.sheets:
        name = SHEET_NAMES[one.condition]
        _write_results(_headed(book, formats, name, f"Results on {name[0].lower()}{name[1:]}"), formats, one)


def _headed(book: Any, formats: dict[str, Any], name: str, title: str) -> Any:
    sheet = book.add_worksheet(name)
    sheet.set_paper(9)
    sheet.set_landscape()
    sheet.fit_to_pages(1, 0)
    sheet.set_footer("&L&A&Rpage &P of &N")
    sheet.hide_gridlines(2)
    sheet.write_string(0, 0, f"{FORM_MARK}: {name}", formats["mark"])
    sheet.write_string(1, 0, title, formats["form_title"])
    return sheet


def _write_told(sheet: Any, formats: dict[str, Any], form: ResultsForm) -> None:
    set_widths(sheet, (34, 100))
    sheet.set_paper(9)
    sheet.set_landscape()
    sheet.fit_to_pages(1, 0)
    sheet.hide_gridlines(2)
    values = dict(form.order_values)
    sheet.write_string(0, 0, f"{FORM_MARK}: read first", formats["mark"])
    sheet.write_string(
        1, 0, f"Results form for {values.get('sample.claimed_grade', '')}", formats["form_title"]
    )
    sheet.write_string(3, 0, "How to fill it in", formats["part"])
    sheet.write_string(3, 1, "", formats["part"])
    row = 4
    for number, words in enumerate(_HOW_TO_FILL, start=1):
        sheet.write_string(row, 0, f"{number}.", formats["fixed"])
        sheet.write_string(row, 1, words, formats["fixed"])
        row += 1
    sheet.write_string(row, 0, "A cell to fill in", formats["fixed"])
    sheet.write_blank(row, 1, None, formats["input"])
    row += 2
    sheet.write_string(row, 0, "Keep to, and beware of", formats["part"])
    sheet.write_string(row, 1, "", formats["part"])
    above = ""
    for subject, words in form.told:
        row += 1
        sheet.write_string(row, 0, "" if subject == above else subject, formats["fixed"])
        above = subject
        sheet.write_string(row, 1, words, formats["fixed"])


def _write_fields(
    sheet: Any,
    formats: dict[str, Any],
    fields: Sequence[FormField],
    values: dict[str, str],
    choices: dict[str, tuple[str, ...]],
) -> int:
    """Write labels, cells and hints below one another; give the next free row."""
    row = _FIRST_FIELD_ROW
    for field in fields:
        sheet.write_string(row, 0, field.label, formats["fixed"])
        number = field.hint in NUMBER_HINTS
        typed: Cell = values.get(field.key) or None
        if number and typed is not None:
            typed = _as_number(str(typed))
        write_cell(sheet, row, 1, typed, formats["input" if number else "input_text"])
        if number:
            _ask_number(sheet, (row, 1, row, 1), field.hint)
        sheet.write_string(row, 2, field.hint, formats["small"])
        if field.key in choices:
            sheet.data_validation(
                row,
                1,
                row,
                1,
                {
                    "validate": "list",
                    "source": list(choices[field.key]),
                    "error_type": "warning",
                    "error_message": "Choose from the list, or name a file of your own.",
                },
            )
        row += 1
    return row


def _as_number(text: str) -> Cell:
    """Give a number that was typed as a number again; a decimal comma, or words, stay as they were typed."""
    try:
        return float(text)
    except ValueError:
        return text


def _write_ageing(sheet: Any, formats: dict[str, Any], form: ResultsForm) -> None:
    set_widths(sheet, (26, 18, 18, 18, 44))
    words = "Caution: glass at 163 °C may crack, hot binder burns. Gloves, face shield, long sleeves."
    sheet.write_string(2, 0, words, formats["line"])
    row = _write_fields(sheet, formats, AGEING_FIELDS, dict(form.ageing_values), dict(form.choices))
    _write_vessels(sheet, formats, row + 1, BOTTLE_HEADINGS, form.bottles)


def _write_long_term(sheet: Any, formats: dict[str, Any], form: ResultsForm) -> None:
    set_widths(sheet, (30, 24, 44))
    words = (
        "Caution: hot binder burns; the vessel is under pressure until it is released. Gloves, face shield."
    )
    sheet.write_string(2, 0, words, formats["line"])
    mark = "long_term_ageing."
    choices = {key.removeprefix(mark): words for key, words in form.choices if key.startswith(mark)}
    row = _write_fields(sheet, formats, LONG_TERM_FIELDS, dict(form.long_term_values), choices)
    _write_vessels(sheet, formats, row + 1, PAN_HEADINGS, form.pans)


def _write_vessels(
    sheet: Any,
    formats: dict[str, Any],
    row: int,
    headings: tuple[str, ...],
    vessels: tuple[tuple[Cell, ...], ...],
) -> None:
    """Write bottles or pans: name, masses, note."""
    width = len(headings)
    for column, title in enumerate(headings):
        sheet.write_string(row, column, title, formats["grid_head"])
    for vessel in vessels:
        row += 1
        for column, cell in enumerate((*vessel, *([None] * width))[:width]):
            write_cell(sheet, row, column, cell, formats["input"])
        _ask_number(sheet, (row, 1, row, width - 2), "g", lowest=0.0)


def _write_results(sheet: Any, formats: dict[str, Any], one: FormSheet) -> None:
    set_widths(sheet, (32, 34, 13, 10, 13, 9, 16, 20, 26, 24))
    sheet.write_string(
        2, 0, "Type into the tinted cells; the unit is the one beside the cell.", formats["line"]
    )
    for column, title in enumerate(RESULT_HEADINGS):
        sheet.write_string(3, column, title, formats["grid_head"])
    sheet.freeze_panes(4, 0)
    sheet.repeat_rows(3)
    names = tuple(dict.fromkeys(row.quantity for row in one.rows if row.quantity))
    free = (FormRow(),) * FREE_ROWS
    for place, row in enumerate((*one.rows, *free), start=4):
        _write_row(sheet, formats, place, row, names)


def _write_row(sheet: Any, formats: dict[str, Any], place: int, row: FormRow, names: tuple[str, ...]) -> None:
    free = not row.test
    told, typed = formats["fixed"], formats["input"]
    cells: tuple[tuple[Cell, Any], ...] = (
        (row.test or None, told),
        (row.property_name or None, told),
        (row.temperature_c, typed if free else told),
        (row.specimen or None, formats["input_text"] if free else told),
        (row.value, typed),
        (row.unit or None, typed if free else told),
        (row.limit or None, formats["small"]),
        (row.laboratory or None, formats["input_text"]),
        (row.remark or None, formats["input_text"]),
        (row.quantity or None, formats["input_text"] if free else formats["small"]),
    )
    for column, (cell, form) in enumerate(cells):
        write_cell(sheet, place, column, cell, form)
    _ask_number(sheet, (place, 4, place, 4), row.unit or "the unit beside it")
    if free and names:
        sheet.data_validation(
            place, 9, place, 9, {"validate": "list", "source": list(names), "error_type": "warning"}
        )
        units = list(dict.fromkeys(QUANTITIES[name].unit for name in names if QUANTITIES[name].unit))
        if units:
            sheet.data_validation(
                place, 5, place, 5, {"validate": "list", "source": units, "error_type": "warning"}
            )


def _ask_number(sheet: Any, cells: tuple[int, int, int, int], unit: str, *, lowest: float = -1e9) -> None:
    """Let a spreadsheet refuse what is no number, before the file is sent."""
    sheet.data_validation(
        *cells,
        {
            "validate": "decimal",
            "criteria": "between",
            "minimum": lowest,
            "maximum": 1e9,
            "error_title": "A number is needed",
            "error_message": f"Type a number in {unit}; leave the cell empty where nothing was measured.",
        },
    )
