"""The sheet of price factors."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from resile.records.price import PriceView
from resile.report.paper.choosing.price import PREVAILS, price_more, price_sentence
from resile.report.words import symbol_of
from resile.report.workbook.cells import set_widths, write_cell, write_head

_HEAD = ("Rule", "Sample", "Property", "Temperature (°C)", "Change", "Value", "Unit", "Limit", "Factor")


def write_prices(sheet: Any, formats: dict[str, Any], views: Sequence[PriceView]) -> None:
    """Write one row a factor, in full precision, with the sentences below."""
    set_widths(sheet, (30, 18, 12, 14, 26, 12, 8, 10, 10))
    write_head(sheet, formats, 0, _HEAD)
    row = 0
    for view in views:
        rule, result = view.rule, view.result
        found = (
            ("as found", result.value, view.factor),
            *((c.title, c.value, c.factor) for c in view.changes),
        )
        for title, value, factor in found:
            row += 1
            cells: tuple[tuple[float | str | None, str], ...] = (
                (rule.identifier, "text"),
                (result.sample, "text"),
                (symbol_of(rule.quantity), "text"),
                (result.temperature_c, "percent"),
                (title, "text"),
                (value, "number"),
                (rule.unit, "text"),
                (view.limit, "number"),
                (factor, "number"),
            )
            for column, (cell, form) in enumerate(cells):
                write_cell(sheet, row, column, cell, formats[form])
    told = dict.fromkeys(words for view in views for words in (price_sentence(view), *price_more(view)))
    for words in (*told, PREVAILS):
        row += 1
        sheet.write_string(row + 1, 0, words, formats["label"])
