"""The workbook as a whole."""

from __future__ import annotations

import datetime
import io
from typing import Any

from resile.errors import MissingDependencyError
from resile.records.form import FORM_MARK, ResultsForm
from resile.report.document import ReportDocument
from resile.report.workbook.ageing import write_ageing
from resile.report.workbook.cells import FORMATS
from resile.report.workbook.form import write_form
from resile.report.workbook.machine_runs import write_machine_sheets
from resile.report.workbook.measured import write_cycles, write_results
from resile.report.workbook.price import write_prices
from resile.report.workbook.told import (
    write_findings,
    write_reading,
    write_revision,
    write_sample,
    write_verdicts,
)
from resile.report.workbook.whole_grade import write_whole_grade


def workbook_bytes(document: ReportDocument) -> bytes:
    """Set a document as an XLSX workbook.

    Parameters
    ----------
    document : ReportDocument
        Records and identity.

    Returns
    -------
    bytes
        The sheets of a filled results form, where the values were typed into one; then Sample, Revision
        (where it is one), Results, Cycles, Oscillation, Bending beam and Viscosity (where tested), Ageing
        (where recorded), Verdicts, Whole grade (where there is one), Findings, How it was read. Formulas
        carry their value, so that they show it even where nothing is recalculated; the same document gives
        the same bytes.
    """
    file = io.BytesIO()
    book, formats = new_book(file, document.title, document.date)
    if document.form is not None:
        write_form(book, document.form)
    first = book.add_worksheet("Sample" if document.form is None else "Verdict of the sample")
    write_sample(first, formats, document)
    first.activate()
    if document.revision is not None:
        write_revision(book.add_worksheet("Revision"), formats, document.revision)
    results, cycles = book.add_worksheet("Results"), book.add_worksheet("Cycles")
    means = write_cycles(cycles, formats, document.runs)
    write_results(results, formats, document, means)
    write_machine_sheets(book, formats, document.machine_groups)
    if document.ageing is not None or document.long_term_ageing is not None:
        write_ageing(book.add_worksheet("Ageing"), formats, document.ageing, document.long_term_ageing)
    write_verdicts(book.add_worksheet("Verdicts"), formats, document)
    statement = document.statement
    if statement is not None and (statement.full_grades or statement.continuous):
        write_whole_grade(book.add_worksheet("Whole grade"), formats, statement)
    if statement is not None and statement.price_views:
        write_prices(book.add_worksheet("Money view"), formats, statement.price_views)
    write_findings(book.add_worksheet("Findings"), formats, document)
    write_reading(book.add_worksheet("How it was read"), formats, document)
    book.close()
    return file.getvalue()


def form_bytes(form: ResultsForm) -> bytes:
    """Give an empty results form as a workbook of its own.

    Parameters
    ----------
    form : ResultsForm
        Rows to fill in.

    Returns
    -------
    bytes
        XLSX; the same form gives the same bytes.
    """
    file = io.BytesIO()
    book, _ = new_book(file, FORM_MARK, "")
    write_form(book, form)
    book.close()
    return file.getvalue()


def new_book(file: io.BytesIO, title: str, date: str) -> tuple[Any, dict[str, Any]]:
    """Open a workbook with our formats.

    Parameters
    ----------
    file : BytesIO
        Where it is written.
    title, date : str
        Title, and the day that dates the file.

    Returns
    -------
    tuple of (Workbook, dict)
        To add sheets to and close; the formats by name.
    """
    try:
        import xlsxwriter
    except ImportError as error:
        raise MissingDependencyError(
            "The workbook needs the library XlsxWriter, which is not installed."
        ) from error
    # Text that begins with "=" must stay text: a sample name is never a formula.
    book = xlsxwriter.Workbook(
        file, {"in_memory": True, "strings_to_formulas": False, "strings_to_urls": False}
    )
    book.set_properties({"title": title, "created": _day_of(date)})
    return book, {name: book.add_format({"font_name": "Calibri", **one}) for name, one in FORMATS.items()}


def _day_of(date: str) -> datetime.datetime:
    try:
        return datetime.datetime.fromisoformat(date[:10])
    except ValueError:
        return datetime.datetime(1980, 1, 1)
