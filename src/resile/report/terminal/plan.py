"""A test plan in the terminal."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from resile.records.plan import OpenTest, TestPlan
from resile.records.specification import Specification
from resile.report.bench_sheet import OVERVIEW, bench_sheet_of
from resile.report.numbers import shown, shown_limit, shown_step
from resile.report.paper.bench import Station
from resile.report.paper.models.model import RIGHT, Column
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
from resile.report.words import CONDITION_WORDS, symbol_of

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


def render_search(
    specification: Specification, service_class: str, tests: Sequence[OpenTest], sample: str
) -> Group:
    """Give the sheet of a search: what was tested, which temperature comes next, what is bracketed."""
    named = f" of {sample}" if sample else ""
    limits = f", limits of class {service_class}" if service_class else ""
    waiting = sum(test.next_temperature_c is not None for test in tests)
    title = f"Search for the grade{named} by {specification.document}{limits}: "
    title += f"{waiting} to test next." if waiting else "nothing left to test."
    columns = [
        Column("Residue"),
        Column("Property"),
        Column("Limit", RIGHT),
        Column("Tested"),
        Column("Next"),
    ]
    rows = [
        [
            CONDITION_WORDS[test.requirement.condition],
            symbol_of(test.requirement.quantity),
            _limit_of(test),
            "; ".join(_tested(test)) or "nothing yet",
            _next(test),
        ]
        for test in tests
    ]
    close = "Neighbouring temperatures on either side of each limit give the grade and its continuous end."
    return sheet_of([title_line(title), "", grid_of(columns, rows), "", small_line(close)])


def _limit_of(test: OpenTest) -> str:
    sign = "≤" if test.requirement.bound == "maximum" else "≥"
    return f"{sign} {shown_limit(test.limit, test.requirement.quantity)} {test.requirement.unit}".strip()


def _tested(test: OpenTest) -> list[str]:
    quantity = test.requirement.quantity
    return [
        f"{shown_step(at)} °C: {shown(value, quantity)} {'✓' if good else '✗'}"
        for at, value, good in test.tested
    ]


def _next(test: OpenTest) -> str:
    if test.bracket_c is not None:
        passed, failed = test.bracket_c
        return f"stop: passes at {shown_step(passed)} °C, fails at {shown_step(failed)} °C"
    if test.next_temperature_c in [at for at, _, _ in test.tested]:
        return (
            f"repeat at {shown_step(test.next_temperature_c or 0.0)} °C: the results contradict one another"
        )
    if test.next_temperature_c is None:
        return "stop: the specification has no further step"
    return f"test at {shown_step(test.next_temperature_c)} °C"
