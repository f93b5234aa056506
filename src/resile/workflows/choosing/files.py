"""The files of a choice: page on screen and paper, workbook, table, map, pictures."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import orjson

from resile.report.figures.grade_map import figure_grade_map
from resile.report.figures.site_map import figure_site_maps
from resile.report.machine.choice import choice_csv, choice_geojson
from resile.report.page import html_of_page, pdf_of_page
from resile.report.render import render_svg
from resile.report.workbook.choice import choice_workbook
from resile.version import __version__

if TYPE_CHECKING:
    from resile.workflows.choosing.task import Match

STEM = "choice"


def choice_files(match: Match, folder: Path, *, date: str) -> dict[Path, bytes]:
    """Make the files of a choice without writing any.

    Parameters
    ----------
    match : Match
        The choice and what it was made from.
    folder : Path
        Where they will lie.
    date : str
        Date on the page, YYYY-MM-DD.

    Returns
    -------
    dict of Path to bytes
        In the order they are written.
    """
    choice, standings = match.choice, match.standings.covered
    page = match.page(date=date)
    table = choice_csv(choice)
    files: dict[str, bytes] = {
        f"{STEM}.html": html_of_page(page, version=__version__).encode(),
        f"{STEM}.pdf": pdf_of_page(page),
        f"{STEM}.xlsx": choice_workbook(choice, standings, date=date),
        # The mark tells spreadsheets that names are UTF-8.
        f"{STEM}.csv": b"\xef\xbb\xbf" + table.encode(),
        f"{STEM}.json": orjson.dumps(match.to_json(), option=orjson.OPT_INDENT_2) + b"\n",
        f"{STEM}.geojson": orjson.dumps(choice_geojson(choice), option=orjson.OPT_INDENT_2) + b"\n",
        f"{STEM}-grade-map.svg": render_svg(figure_grade_map(standings)).encode(),
    }
    for number, spec in enumerate(figure_site_maps(choice), 1):
        files[f"{STEM}-sites-{number}.svg"] = render_svg(spec).encode()
    return {folder / name: content for name, content in files.items()}
