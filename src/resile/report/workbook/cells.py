"""Formats and cells that every sheet of the workbook is written with."""

from __future__ import annotations

from typing import Any

FORMATS: dict[str, dict[str, Any]] = {
    "text": {"text_wrap": True, "valign": "top"},
    "head": {"bold": True, "bottom": 1, "text_wrap": True, "valign": "bottom"},
    "title": {"bold": True, "font_size": 14},
    "label": {"font_color": "#56626a", "valign": "top"},
    "jnr": {"num_format": "0.000", "valign": "top"},
    "percent": {"num_format": "0.0", "valign": "top"},
    "strain": {"num_format": "0.000000", "valign": "top"},
    "number": {"num_format": "General", "valign": "top"},
    "mean_jnr": {"num_format": "0.000", "bold": True, "top": 1},
    "mean_percent": {"num_format": "0.0", "bold": True, "top": 1},
    "mean": {"bold": True, "top": 1},
}


def set_widths(sheet: Any, widths: tuple[float, ...]) -> None:
    """Set the widths of the first columns, in characters."""
    for column, width in enumerate(widths):
        sheet.set_column(column, column, width)


def write_head(sheet: Any, formats: dict[str, Any], row: int, titles: tuple[str, ...]) -> None:
    """Write a row of headings."""
    for column, title in enumerate(titles):
        sheet.write_string(row, column, title, formats["head"])


def write_cell(sheet: Any, row: int, column: int, value: float | str | None, form: Any) -> None:
    """Write a number in full precision, a text as text, nothing where the value is unknown."""
    if value is None:
        sheet.write_blank(row, column, None, form)
    elif isinstance(value, str):
        sheet.write_string(row, column, value, form)
    else:
        sheet.write_number(row, column, value, form)


def write_pairs(sheet: Any, formats: dict[str, Any], row: int, pairs: tuple[tuple[str, str], ...]) -> int:
    """Write labels and values below one another; give the next free row."""
    for label, value in pairs:
        sheet.write_string(row, 0, label, formats["label"])
        sheet.write_string(row, 1, value, formats["text"])
        row += 1
    return row
