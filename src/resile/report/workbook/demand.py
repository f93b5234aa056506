"""A site's demand as an XLSX workbook, design temperatures as formulas."""

from __future__ import annotations

import io
from typing import Any

from resile.records.site import EndDemand, SiteDemand
from resile.report.paper.models.model import Page
from resile.report.words import heaviest_first
from resile.report.workbook.book import new_book
from resile.report.workbook.cells import set_widths, write_cell, write_head, write_pairs
from resile.report.workbook.told import write_finding_rows


def demand_workbook(demand: SiteDemand, page: Page) -> bytes:
    """Set a demand as a workbook.

    Parameters
    ----------
    demand : SiteDemand
        Of one site.
    page : Page
        Its page, for identity, answer and date.

    Returns
    -------
    bytes
        Sheets Answer, Ends, Steps, What if, Years, Findings; the same demand gives the same bytes.
    """
    file = io.BytesIO()
    book, formats = new_book(file, page.title, page.date)
    sheet = book.add_worksheet("Answer")
    set_widths(sheet, (30, 100))
    sheet.write_string(0, 0, page.title, formats["title"])
    row = write_pairs(sheet, formats, 2, page.identity)
    row = write_pairs(sheet, formats, row + 1, (("Answer", page.answer),))
    row = write_pairs(sheet, formats, row, tuple(("", words) for words in page.answer_more))
    row = write_pairs(sheet, formats, row + 1, tuple(("Reason", words) for words in demand.reasons))
    basis = next(section for section in page.sections if section.key == "basis")
    write_pairs(sheet, formats, row + 1, basis.facts)
    _write_ends(book.add_worksheet("Ends"), formats, demand)
    _write_steps(book.add_worksheet("Steps"), formats, demand)
    _write_changes(book.add_worksheet("What if"), formats, demand)
    _write_years(book.add_worksheet("Years"), formats, demand)
    write_finding_rows(book.add_worksheet("Findings"), formats, heaviest_first(demand.findings))
    book.close()
    return file.getvalue()


def _write_ends(sheet: Any, formats: dict[str, Any], demand: SiteDemand) -> None:
    """Write mean, deviation and quantile of every model; the design temperature follows from them."""
    set_widths(sheet, (24, 8, 18, 10, 12, 14, 10, 14, 12, 12))
    titles = (
        "Layer",
        "End",
        "Model",
        "Depth (mm)",
        "Mean (°C)",
        "Deviation (°C)",
        "z",
        "Design (°C)",
        "Step (°C)",
        "Grade",
    )
    write_head(sheet, formats, 0, titles)
    surface = demand.site.layer or "as asked"
    ends = [(surface, end, demand.grade) for end in (demand.high, demand.low)]
    ends += [(surface, end, "") for end in demand.others]
    ends += [(one.layer, end, one.grade) for one in demand.layers for end in (one.high, one.low)]
    for row, (layer, end, grade) in enumerate(ends, start=1):
        _write_end(sheet, formats, row, layer, end, grade)


def _write_end(sheet: Any, formats: dict[str, Any], row: int, layer: str, end: EndDemand, grade: str) -> None:
    cells: tuple[tuple[int, float | str | None, str], ...] = (
        (0, layer, "text"),
        (1, end.end, "text"),
        (2, end.model, "text"),
        (3, end.depth_mm, "number"),
        (4, end.mean_c, "jnr"),
        (5, end.sd_c, "jnr"),
        (6, end.quantile, "jnr"),
        (8, end.step_c, "number"),
        (9, grade, "text"),
    )
    for column, value, form in cells:
        write_cell(sheet, row, column, value, formats[form])
    sign = "+" if end.end == "high" else "-"
    at = row + 1
    sheet.write_formula(row, 7, f"=E{at}{sign}G{at}*F{at}", formats["jnr"], end.design_c)


def _write_steps(sheet: Any, formats: dict[str, Any], demand: SiteDemand) -> None:
    set_widths(sheet, (10, 16, 20, 26))
    write_head(
        sheet, formats, 0, ("End", "Grade step (°C)", "Enough in a year", "With the few years there are")
    )
    row = 0
    for end in (demand.high, demand.low):
        for chance in end.chances:
            row += 1
            values = (end.end, chance.step_c, chance.probability, chance.probability_few_years)
            for column, value in enumerate(values):
                write_cell(sheet, row, column, value, formats["text" if column == 0 else "strain"])


def _write_changes(sheet: Any, formats: dict[str, Any], demand: SiteDemand) -> None:
    set_widths(sheet, (70, 16, 16))
    write_head(sheet, formats, 0, ("Were it …", "Grade then", ""))
    for row, one in enumerate(demand.sensitivities, start=1):
        cells = (one.change, one.grade or "no grade reaches", "another grade" if one.differs else "the same")
        for column, words in enumerate(cells):
            write_cell(sheet, row, column, words, formats["text"])


def _write_years(sheet: Any, formats: dict[str, Any], demand: SiteDemand) -> None:
    set_widths(sheet, (12, 14, 14, 18, 14, 16, 14, 14, 12, 12))
    titles = (
        "Year",
        "Days, maximum",
        "Days, minimum",
        "Hottest week (°C)",
        "from",
        "Coldest day (°C)",
        "on",
        "Degree-days over 10 °C",
        "High counts",
        "Low counts",
    )
    write_head(sheet, formats, 0, titles)
    sheet.freeze_panes(1, 0)
    for row, year in enumerate(demand.climate.years, start=1):
        cells = (
            year.label,
            float(year.days_with_maximum),
            float(year.days_with_minimum),
            year.high_c,
            year.high_from,
            year.low_c,
            year.low_on,
            year.degree_days,
            "yes" if year.high_counts else "no",
            "yes" if year.low_counts else "no",
        )
        for column, value in enumerate(cells):
            write_cell(sheet, row, column, value, formats["text" if isinstance(value, str) else "number"])
