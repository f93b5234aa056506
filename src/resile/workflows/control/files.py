"""Answers on production on disk: page, picture, workbook, table."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path

from resile.errors import InputError
from resile.records.archive_answers import AnswerTable
from resile.records.finding import Finding
from resile.report.paper.models.model import Page
from resile.version import __version__


def write_control_files(
    page: Page,
    targets: Sequence[str | Path],
    *,
    tables: Sequence[AnswerTable],
    findings: Sequence[Finding] = (),
    read: Sequence[str] = (),
) -> list[Path]:
    """Write an answer to files; the ending decides the form.

    Parameters
    ----------
    page : Page
        Texts and pictures ready to be set: .html and .pdf; its first picture is .svg.
    targets : sequence of str or Path
        Files ending in .html, .pdf, .svg, .xlsx or .csv.
    tables : sequence of AnswerTable
        Sheets of .xlsx; the first of them is .csv.
    findings : sequence of Finding
        For the workbook.
    read : sequence of str
        Files the answer rests on: none of them is overwritten.

    Returns
    -------
    list of Path
        The files written.

    Raises
    ------
    InputError
        For another ending, a target that is one of the files read, or a picture where there is none. Nothing
        is written then.
    """
    from resile.workflows.orders.pages import write_file

    makers = _makers(page, tables, findings)
    own = {Path(one).resolve() for one in read}
    paths = [Path(target) for target in targets]
    for path in paths:
        if path.suffix.lower() not in makers:
            raise InputError(f"{path}: a page ends in {', '.join(makers)}; found '{path.suffix}'")
        if path.resolve() in own:
            raise InputError(f"{path}: the answer rests on this file; choose another name")
    made = [(path, makers[path.suffix.lower()]()) for path in paths]
    return [write_file(path, content) for path, content in made]


def _makers(
    page: Page, tables: Sequence[AnswerTable], findings: Sequence[Finding]
) -> dict[str, Callable[[], bytes]]:
    from resile.report.machine.answers import answer_csv
    from resile.report.page import html_of_page, pdf_of_page
    from resile.report.workbook.control import control_workbook

    return {
        ".html": lambda: html_of_page(page, version=__version__).encode(),
        ".pdf": lambda: pdf_of_page(page),
        ".svg": lambda: _picture(page),
        ".xlsx": lambda: control_workbook(page, tables, findings),
        ".csv": lambda: answer_csv(tables[0]),
    }


def _picture(page: Page) -> bytes:
    from resile.report.render import render_svg

    for section in page.sections:
        for picture in section.pictures:
            return render_svg(picture.spec).encode()
    raise InputError("there is no picture: no lot has been made yet")
