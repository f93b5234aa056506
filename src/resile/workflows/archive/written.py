"""Answers of an archive written to files, in the form that the name asks for."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from resile.errors import InputError
from resile.records.archive_answers import AnswerTable, Trend
from resile.records.rejudging import Rejudging
from resile.version import __version__

if TYPE_CHECKING:
    from resile.report.paper.models.model import Page


def write_answer(found: AnswerTable, target: str | Path, *, date: str) -> Path:
    """Write an answer to a file.

    Parameters
    ----------
    found : AnswerTable
        Columns and rows.
    target : str or Path
        File ending in .csv, .parquet or .xlsx.
    date : str
        Day that dates a workbook, YYYY-MM-DD.

    Returns
    -------
    Path
        The file.

    Raises
    ------
    InputError
        For another ending, or a place that cannot be written.
    """
    from resile.workflows.orders.pages import write_file

    path = Path(target)
    return write_file(path, answer_bytes(found, path.suffix.lower(), date=date, named=str(path)))


def answer_bytes(found: AnswerTable, ending: str, *, date: str, named: str = "") -> bytes:
    """Give an answer in the form that an ending asks for.

    Parameters
    ----------
    found : AnswerTable
        Columns and rows.
    ending : str
        ``.csv``, ``.parquet`` or ``.xlsx``.
    date : str
        Day that dates a workbook, YYYY-MM-DD.
    named : str
        Name of the file, for a refusal.

    Returns
    -------
    bytes
        The file.

    Raises
    ------
    InputError
        For another ending.
    """
    from resile.report.machine import answers

    makers: dict[str, Callable[[], bytes]] = {
        ".csv": lambda: answers.answer_csv(found),
        ".parquet": lambda: answers.answer_parquet(found),
        ".xlsx": lambda: answers.answer_workbook(found, date=date),
    }
    if ending not in makers:
        raise InputError(f"{named or 'answer'}: an answer ends in {', '.join(makers)}; found '{ending}'")
    return makers[ending]()


def table_of(found: AnswerTable | Trend | Rejudging) -> AnswerTable:
    """Give any answer as one table: months of a trend, samples that stand otherwise."""
    from resile.report.machine.answers import changes_answer, trend_answer

    if isinstance(found, Trend):
        return trend_answer(found)
    return changes_answer(found.changes) if isinstance(found, Rejudging) else found


def page_of_rejudging(found: Rejudging, *, date: str) -> Page:
    """Give the page of an archive judged anew."""
    from resile.report.paper.archive.rejudging import rejudging_page

    return rejudging_page(found, date=date, package_version=__version__)


def write_rejudging_pages(found: Rejudging, targets: Sequence[str | Path], *, date: str) -> list[Path]:
    """Write the page of an archive judged anew, as web page, paper or its picture.

    Parameters
    ----------
    found : Rejudging
        As judged.
    targets : sequence of str or Path
        Files ending in .html, .pdf or .svg.
    date : str
        Date on the page, YYYY-MM-DD.

    Returns
    -------
    list of Path
        The files.
    """
    from resile.workflows.modelling.pages import write_model_pages

    page = page_of_rejudging(found, date=date)
    figures = {one.name: one.spec for section in page.sections for one in section.pictures}
    return write_model_pages(page, figures, targets)


def picture_of_trend(trend: Trend) -> dict[str, Any]:
    """Give the picture of a trend."""
    from resile.report.figures.archive.trend import figure_trend

    return figure_trend(trend)


def write_trend_picture(trend: Trend, target: str | Path) -> Path:
    """Write the picture of a trend as SVG.

    Raises
    ------
    InputError
        Where the file does not end in .svg.
    """
    from resile.report.render import render_svg
    from resile.workflows.orders.pages import write_file

    path = Path(target)
    if path.suffix.lower() != ".svg":
        raise InputError(f"{path}: a picture ends in .svg; found '{path.suffix}'")
    return write_file(path, render_svg(picture_of_trend(trend)).encode())


def sheet_of_answer(found: object) -> Any:
    """Give an answer as a sheet for a terminal."""
    from resile.records.archive_answers import ArchiveContents
    from resile.report.terminal import answers

    if isinstance(found, ArchiveContents):
        return answers.render_contents(found)
    if isinstance(found, Trend):
        return answers.render_trend(found)
    if isinstance(found, Rejudging):
        return answers.render_rejudging(found)
    assert isinstance(found, AnswerTable)
    return answers.render_answer(found)
