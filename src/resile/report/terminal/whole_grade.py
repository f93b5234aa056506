"""The grade sheet in the terminal: whole grade and continuous temperatures."""

from __future__ import annotations

from typing import Any

from resile.records.verdict import GradeStatement
from resile.report.continuous import chosen_grade, correlation_sentences
from resile.report.paper.statements.continuous import (
    continuous_table,
    difference_sentences,
    published_limits_table,
)
from resile.report.paper.statements.whole_grade import (
    grades_table,
    not_tested_of,
    probability_sentences,
    requirements_table,
    standing_sentence,
    unmatched_claim,
)
from resile.report.terminal.grids import bullet_line, heading_line, page_table

_SHORTER = {
    "Test at (°C)": "Test (°C)",
    "Grade scale ± U": "Grade (°C)",
    "Other rule (°C)": "Other",
}


def whole_grade_lines(statement: GradeStatement) -> list[Any]:
    """Give the parts of the full sheet; none where there is nothing to say.

    Parameters
    ----------
    statement : GradeStatement
        Verdicts of one sample.

    Returns
    -------
    list of renderables
        Whole grade, then continuous temperatures.
    """
    lines: list[Any] = []
    grade = chosen_grade(statement)
    if statement.full_grades:
        lines += ["", heading_line("Whole grade")]
    if grade is not None:
        lines += [standing_sentence(statement, grade), *probability_sentences(grade)]
        lines.append(page_table(requirements_table(grade)))
        lines += [bullet_line(f"not tested: {words}") for words in not_tested_of(grade)]
    elif statement.full_grades:
        lines.append(unmatched_claim(statement))
    if len(statement.full_grades) > 1 or (grade is None and statement.full_grades):
        lines.append(page_table(grades_table(statement.full_grades)))
    if statement.continuous:
        table = page_table(continuous_table(statement), skip=("Points used", "End"), shorter=_SHORTER)
        lines += ["", heading_line("Continuous temperatures"), table]
    lines += difference_sentences(statement)
    if statement.delta_tc_limits:
        table = published_limits_table(statement)
        lines += ["", table.caption, page_table(table, skip=("Remark",))]
    return [*lines, *correlation_sentences(statement)]


def whole_grade_brief(statement: GradeStatement) -> list[Any]:
    """Give the parts of the short sheet: how the whole grade stands, its requirements, ΔTc."""
    lines: list[Any] = []
    grade = chosen_grade(statement)
    if grade is not None:
        lines += ["", standing_sentence(statement, grade), *probability_sentences(grade)[:1]]
        lines.append(page_table(requirements_table(grade), skip=("Margin",)))
    elif statement.full_grades:
        lines += ["", unmatched_claim(statement)]
    return [*lines, *difference_sentences(statement)]
