"""A checked certificate as an XLSX workbook, with differences and margins as formulas."""

from __future__ import annotations

import io
from typing import Any

from resile.records.certificate import CertificateCheck
from resile.report.paper.certificates.certificate_tables import agreement_words, outcome_words
from resile.report.paper.models.model import Page
from resile.report.words import CONDITION_WORDS, heaviest_first, symbol_of
from resile.report.workbook.book import new_book
from resile.report.workbook.cells import set_widths, write_cell, write_head, write_pairs
from resile.report.workbook.price import write_prices
from resile.report.workbook.told import write_finding_rows

_HEAD = (
    "Property",
    "Residue",
    "Temperature (°C)",
    "Bound",
    "Limit",
    "Unit",
    "Certificate",
    "Margin",
    "Outcome",
    "Basis",
    "Printed limit",
    "Own",
    "Difference",
    "Allowed",
    "Laboratories",
    "Mean of two",
    "Proves from",
    "Place",
)


def certificate_workbook(check: CertificateCheck, page: Page) -> bytes:
    """Set a checked certificate as a workbook.

    Parameters
    ----------
    check : CertificateCheck
        Line by line, with findings.
    page : Page
        Its page, for identity, answer and date.

    Returns
    -------
    bytes
        Sheets Answer, Lines, Findings; the same check gives the same bytes.
    """
    file = io.BytesIO()
    book, formats = new_book(file, page.title, page.date)
    sheet = book.add_worksheet("Answer")
    set_widths(sheet, (30, 90))
    sheet.write_string(0, 0, page.title, formats["title"])
    row = write_pairs(sheet, formats, 2, page.identity)
    warnings = (("Note", page.banner),) if page.banner else ()
    row = write_pairs(sheet, formats, row + 1, (*warnings, ("Answer", page.answer)))
    row = write_pairs(sheet, formats, row, tuple(("", words) for words in page.answer_more))
    basis = next(section for section in page.sections if section.key == "basis")
    write_pairs(sheet, formats, row + 1, basis.facts)
    _write_lines(book.add_worksheet("Lines"), formats, check)
    if check.price_views:
        write_prices(book.add_worksheet("Money view"), formats, check.price_views)
    write_finding_rows(book.add_worksheet("Findings"), formats, heaviest_first(check.findings))
    book.close()
    return file.getvalue()


def _write_lines(sheet: Any, formats: dict[str, Any], check: CertificateCheck) -> None:
    set_widths(sheet, (16, 18, 13, 10, 10, 8, 12, 10, 14, 12, 16, 10, 11, 10, 20, 12, 10, 22))
    write_head(sheet, formats, 0, _HEAD)
    sheet.freeze_panes(1, 1)
    for row, line in enumerate(check.lines, start=1):
        verdict, two, printed = line.verdict, line.comparison, line.line
        requirement, own = verdict.requirement, line.own_verdict
        stated = printed if verdict.value is not None else None
        cells: tuple[tuple[int, float | str | None, str], ...] = (
            (0, symbol_of(requirement.quantity), "text"),
            (1, CONDITION_WORDS[requirement.condition], "text"),
            (2, verdict.test_temperature_c, "percent"),
            (3, requirement.bound, "text"),
            (4, verdict.limit, "number"),
            (5, requirement.unit, "text"),
            (6, verdict.value, "number"),
            (8, outcome_words(verdict), "text"),
            (9, stated.value_basis or "not said" if stated else None, "text"),
            (10, stated.printed_limit_text if stated else None, "text"),
            (11, own.value if own else None, "number"),
            (13, two.allowed_difference if two else None, "jnr"),
            (14, agreement_words(two), "text"),
            (16, two.proof_distance if two else None, "jnr"),
            (17, printed.determination.place if printed else None, "text"),
        )
        for column, value, form in cells:
            write_cell(sheet, row, column, value, formats[form])
        at = row + 1
        if verdict.margin is not None:
            value_cell = f"ABS(G{at})" if requirement.absolute else f"G{at}"
            formula = f"=E{at}-{value_cell}" if requirement.bound == "maximum" else f"={value_cell}-E{at}"
            sheet.write_formula(row, 7, formula, formats["jnr"], verdict.margin)
        if two is not None:
            sheet.write_formula(row, 12, f"=G{at}-L{at}", formats["jnr"], two.difference)
            sheet.write_formula(row, 15, f"=(G{at}+L{at})/2", formats["jnr"], two.mean_value)
