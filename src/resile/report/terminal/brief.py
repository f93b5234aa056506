"""The short sheet of one sample: the answer, what weighs, what decides; the rest stands on the page."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from resile.records.finding import Severity
from resile.records.verdict import GradeStatement
from resile.report.paper.models.model import RIGHT, Column
from resile.report.paper.statements.answer import answer_of_statement, findings_of_statement
from resile.report.paper.statements.verdicts import JudgedLine, judged_lines
from resile.report.terminal.grids import (
    SEVERITY_STYLES,
    bullet_line,
    grid_of,
    heading_line,
    sheet_of,
    title_line,
    words_of,
)
from resile.report.terminal.price import price_brief
from resile.report.terminal.whole_grade import whole_grade_brief
from resile.report.words import SEVERITY_MARKS, external_note, heaviest_first, symbol_of

if TYPE_CHECKING:
    from rich.console import Group

_COLUMNS = (
    Column("Class"),
    Column("Decided by"),
    Column("Value ± U", RIGHT),
    Column("Margin", RIGHT),
    Column("in d2s", RIGHT),
    Column("Conforms", RIGHT),
    Column("Outcome"),
)


def render_brief(statement: GradeStatement) -> Group:
    """Give the short sheet of one sample.

    Parameters
    ----------
    statement : GradeStatement
        Verdicts of one sample.

    Returns
    -------
    rich.console.Group
        Answer, findings that weigh (each in one sentence), the requirements that decide a class, next tests.
    """
    answer, more = answer_of_statement(statement)
    parts: list[Any] = [title_line(answer), *more, *_weighing(statement)]
    deciding = [line for line in judged_lines(statement) if line.verdict.requirement.decides_class]
    if deciding:
        parts += ["", grid_of(list(_COLUMNS), [_row(line) for line in deciding])]
    parts += whole_grade_brief(statement)
    parts += price_brief(statement.price_views)
    note = external_note(statement.results)
    parts += ["", note] if note else []
    if statement.next_tests:
        parts += ["", heading_line("Next tests"), *(bullet_line(test) for test in statement.next_tests)]
    return sheet_of(parts)


def _weighing(statement: GradeStatement) -> list[Any]:
    """Give invalid findings and cautions as one line each, and count the notes."""
    findings = heaviest_first(findings_of_statement(statement))
    lines: list[Any] = []
    for finding in findings:
        if finding.severity is not Severity.NOTE:
            mark = f"{SEVERITY_MARKS[finding.severity]} {finding.severity}  "
            line = words_of(mark, SEVERITY_STYLES[finding.severity])
            lines.append(line.append(finding.message, "default"))
    notes = sum(finding.severity is Severity.NOTE for finding in findings)
    if notes:
        lines.append(f"{SEVERITY_MARKS[Severity.NOTE]} {notes} note{'s' if notes > 1 else ''} on the page")
    return ["", heading_line("Findings"), *(lines or ["none: no check raised a doubt"])]


def _row(line: JudgedLine) -> list[Any]:
    asked = f"{symbol_of(line.verdict.requirement.quantity)} {line.limit}"
    return [
        line.classes,
        asked,
        line.value,
        line.margin,
        line.repeatabilities,
        line.probability,
        line.outcome,
    ]
