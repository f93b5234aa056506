"""A test plan in the terminal."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from resile.records.plan import TestPlan
from resile.report.bench_sheet import OVERVIEW, bench_sheet_of
from resile.report.paper.bench import Station
from resile.report.paper.model import RIGHT, Column
from resile.report.terminal.grids import (
    bullet_line,
    fact_lines,
    grid_of,
    heading_line,
    sheet_of,
    small_line,
    title_line,
    words_of,
)

if TYPE_CHECKING:
    from rich.console import Group


def render_plan(plan: TestPlan) -> Group:
    """Give the sheet of a plan.

    Parameters
    ----------
    plan : TestPlan
        Residues and tests in working order.

    Returns
    -------
    rich.console.Group
        What is planned, the tests in order, how each residue is made, what to beware of.
    """
    sheet = bench_sheet_of(plan)
    named = f", sample {sheet.sample}" if sheet.sample else ""
    parts: list[Any] = [title_line(f"{sheet.title}{named}")]
    if sheet.notice:
        parts.append(words_of(sheet.notice, "bold yellow"))
    parts += ["", *fact_lines(sheet.facts), "", heading_line("Tests in order")]
    columns = [Column(title, RIGHT if title in ("No.", "At (°C)") else "left") for title in OVERVIEW]
    ticked = any(row[-1] for row in sheet.rows)
    kept = len(columns) if ticked else len(columns) - 1
    parts.append(grid_of(columns[:kept], [list(row[:kept]) for row in sheet.rows]))
    parts += [bullet_line(f"not planned: {words}") for words in sheet.left_out]
    for bench in sheet.benches:
        parts += ["", heading_line(bench.residue)]
        if bench.preparation is not None:
            parts += _station_lines(bench.preparation)
        for station in bench.tests:
            parts += _station_lines(station)
    parts += ["", heading_line("Cautions"), *(bullet_line(words) for words in sheet.cautions)]
    return sheet_of(parts)


def _station_lines(station: Station) -> list[Any]:
    number = f"{station.number}  " if station.number else ""
    done = f"  {station.done_words}" if station.done_words else ""
    lines: list[Any] = [words_of(f"{number}{station.title}, {station.method}{done}", "bold")]
    if station.note:
        lines.append(station.note)
    lines += [bullet_line(f"{what}: {asked}") for what, asked in station.tolerances]
    return [*lines, small_line(f"Source: {station.source}")] if station.source else lines
