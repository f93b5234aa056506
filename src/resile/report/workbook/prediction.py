"""Predictions for other temperatures as an XLSX workbook, numbers in full."""

from __future__ import annotations

import io
from collections.abc import Iterable, Sequence
from typing import Any

from resile.records.prediction import SamplePrediction
from resile.records.quantity import QUANTITIES
from resile.report.paper.choosing.prediction_tables import BASIS_WORDS, governing_words, standing_words
from resile.report.paper.models.model import Page
from resile.report.words import CONDITION_WORDS, heaviest_first, joined, symbol_of
from resile.report.workbook.book import new_book
from resile.report.workbook.cells import set_widths, write_cell, write_head, write_pairs
from resile.report.workbook.told import write_finding_rows

Cell = float | str | None

_VALUES = (
    "Sample",
    "At (°C)",
    "Property",
    "Residue",
    "Value",
    "95 % from",
    "95 % to",
    "Unit",
    "Basis",
    "Line says",
    "Why not",
)
_CLASSES = (
    "Sample",
    "At (°C)",
    "Class",
    "Standing",
    "Probability",
    "Governed by",
    "Neither measured nor predicted",
)
_LIMITS = (
    "Sample",
    "Property",
    "Residue",
    "Class",
    "Limit",
    "Unit",
    "Met at (°C)",
    "Standard uncertainty (°C)",
    "How",
)
_LINES = (
    "Sample",
    "Property",
    "Residue",
    "Temperature (°C)",
    "Value",
    "Determinations",
    "Middle (°C)",
    "Level",
    "Slope (1/°C)",
    "Scatter",
)


def prediction_workbook(samples: Sequence[SamplePrediction], page: Page) -> bytes:
    """Set predictions as a workbook.

    Parameters
    ----------
    samples : sequence of SamplePrediction
        One or several.
    page : Page
        Their page, for identity, answer and date.

    Returns
    -------
    bytes
        Sheets Answer, Values, Classes, Limits, Lines, Findings; the same predictions give the same bytes.
    """
    file = io.BytesIO()
    book, formats = new_book(file, page.title, page.date)
    sheet = book.add_worksheet("Answer")
    set_widths(sheet, (28, 100))
    sheet.write_string(0, 0, page.title, formats["title"])
    row = write_pairs(sheet, formats, 2, page.identity)
    warnings = (("Note", page.banner),) if page.banner else ()
    row = write_pairs(sheet, formats, row + 1, (*warnings, ("Answer", page.answer)))
    row = write_pairs(sheet, formats, row, tuple(("", words) for words in page.answer_more))
    told = tuple((sample.sample, one.answer) for sample in samples for one in sample.temperatures)
    row = write_pairs(sheet, formats, row + 1, told)
    basis = next(section for section in page.sections if section.key == "basis")
    write_pairs(sheet, formats, row + 1, basis.facts)
    tables: tuple[tuple[str, tuple[str, ...], tuple[float, ...], Iterable[tuple[Cell, ...]]], ...] = (
        ("Values", _VALUES, (18, 8, 12, 18, 11, 11, 11, 8, 22, 11, 40), _value_rows(samples)),
        ("Classes", _CLASSES, (18, 8, 10, 20, 12, 24, 50), _class_rows(samples)),
        ("Limits", _LIMITS, (18, 12, 18, 8, 9, 8, 12, 14, 34), _limit_rows(samples)),
        ("Lines", _LINES, (18, 12, 18, 12, 11, 14, 11, 11, 11, 60), _line_rows(samples)),
    )
    for name, head, widths, rows in tables:
        _write(book.add_worksheet(name), formats, head, widths, rows)
    findings = tuple(finding for sample in samples for finding in sample.findings)
    write_finding_rows(book.add_worksheet("Findings"), formats, heaviest_first(findings))
    book.close()
    return file.getvalue()


def _write(
    sheet: Any,
    formats: dict[str, Any],
    head: tuple[str, ...],
    widths: tuple[float, ...],
    rows: Iterable[tuple[Cell, ...]],
) -> None:
    set_widths(sheet, widths)
    write_head(sheet, formats, 0, head)
    sheet.freeze_panes(1, 1)
    for place, cells in enumerate(rows, start=1):
        for column, cell in enumerate(cells):
            write_cell(sheet, place, column, cell, formats["text" if isinstance(cell, str) else "number"])


def _value_rows(samples: Sequence[SamplePrediction]) -> Iterable[tuple[Cell, ...]]:
    for sample in samples:
        for one in sample.temperatures:
            for value in one.values:
                said = getattr(value.predicted, "value", getattr(value.predicted, "percent_recovery", None))
                yield (
                    sample.sample,
                    one.temperature_c,
                    symbol_of(value.quantity),
                    CONDITION_WORDS[value.condition],
                    value.value,
                    value.low,
                    value.high,
                    QUANTITIES[value.quantity].unit,
                    BASIS_WORDS[value.basis],
                    said,
                    value.reason or None,
                )


def _class_rows(samples: Sequence[SamplePrediction]) -> Iterable[tuple[Cell, ...]]:
    for sample in samples:
        for one in sample.temperatures:
            for chance in one.classes:
                yield (
                    sample.sample,
                    one.temperature_c,
                    chance.label,
                    standing_words(chance.standing),
                    chance.probability,
                    governing_words(chance),
                    joined(list(chance.untested)) if chance.untested else None,
                )


def _limit_rows(samples: Sequence[SamplePrediction]) -> Iterable[tuple[Cell, ...]]:
    for sample in samples:
        for line in sample.properties:
            for one in line.limits:
                yield (
                    sample.sample,
                    symbol_of(line.quantity),
                    CONDITION_WORDS[line.condition],
                    one.service_class or "all",
                    one.limit,
                    one.requirement.unit,
                    one.temperature_c,
                    one.standard_c,
                    one.reason or BASIS_WORDS[one.basis].partition(" ")[2],
                )


def _line_rows(samples: Sequence[SamplePrediction]) -> Iterable[tuple[Cell, ...]]:
    for sample in samples:
        for line in sample.properties:
            drawn = line.line
            for point in line.points:
                yield (
                    sample.sample,
                    symbol_of(line.quantity),
                    CONDITION_WORDS[line.condition],
                    point.temperature_c,
                    point.value,
                    float(sum(point.counted)),
                    drawn.middle_c if drawn is not None else None,
                    drawn.level if drawn is not None else None,
                    drawn.slope_per_c if drawn is not None else None,
                    line.scatter_note or line.reason,
                )
