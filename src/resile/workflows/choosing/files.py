"""The files of a choice: page on screen and paper, workbook, table, map, pictures."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

import orjson

from resile.records.choice import Choice
from resile.records.standing import GradeStanding
from resile.report.figures.grade_map import figure_grade_map
from resile.report.figures.site_map import figure_site_maps
from resile.report.machine.choice import choice_csv, choice_geojson
from resile.report.page import html_of_page, pdf_of_page
from resile.report.paper.models.model import Page
from resile.report.render import render_svg
from resile.report.workbook.choice import choice_workbook
from resile.version import __version__

STEM = "choice"


def choice_files(
    choice: Choice,
    standings: Sequence[Sequence[GradeStanding]],
    folder: Path,
    *,
    page: Page,
    told: Mapping[str, Any],
    date: str,
) -> dict[Path, bytes]:
    """Make the files of a choice without writing any.

    Parameters
    ----------
    choice : Choice
        The choice.
    standings : sequence of sequence of GradeStanding
        By binder, then by grade.
    folder : Path
        Where they will lie.
    page : Page
        The choice as texts and pictures.
    told : mapping of str to object
        The choice as a program reads it.
    date : str
        Date in the workbook, YYYY-MM-DD.

    Returns
    -------
    dict of Path to bytes
        In the order they are written.
    """
    files: dict[str, bytes] = {
        f"{STEM}.html": html_of_page(page, version=__version__).encode(),
        f"{STEM}.pdf": pdf_of_page(page),
        f"{STEM}.xlsx": choice_workbook(choice, standings, date=date),
        # The mark tells spreadsheets that names are UTF-8.
        f"{STEM}.csv": b"\xef\xbb\xbf" + choice_csv(choice).encode(),
        f"{STEM}.json": orjson.dumps(told, option=orjson.OPT_INDENT_2) + b"\n",
        f"{STEM}.geojson": orjson.dumps(choice_geojson(choice), option=orjson.OPT_INDENT_2) + b"\n",
        f"{STEM}-grade-map.svg": render_svg(figure_grade_map(standings)).encode(),
    }
    for number, spec in enumerate(figure_site_maps(choice), 1):
        files[f"{STEM}-sites-{number}.svg"] = render_svg(spec).encode()
    return {folder / name: content for name, content in files.items()}
