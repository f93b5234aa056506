"""The sheet of the whole grade: requirements with margins as formulas, and continuous temperatures."""

from __future__ import annotations

from typing import Any

from resile.records.verdict import FullGradeVerdict, GradeStatement
from resile.report.continuous import chosen_grade, continuous_lines, standing_of_line
from resile.report.paper.statements.continuous import difference_sentences, published_limits_table
from resile.report.paper.statements.whole_grade import (
    grades_table,
    not_tested_of,
    probability_sentences,
    standing_sentence,
    unmatched_claim,
)
from resile.report.words import CONDITION_WORDS, symbol_of
from resile.report.workbook.cells import set_widths, write_cell, write_head, write_pairs

_GRADE_HEAD = (
    "Residue",
    "Property",
    "Temperature (°C)",
    "Bound",
    "Limit",
    "Result",
    "U",
    "Unit",
    "Margin",
    "Outcome",
    "Probability",
)
_CONTINUOUS_HEAD = (
    "Residue",
    "Property",
    "Limit",
    "Test temperature (°C)",
    "Grade scale (°C)",
    "From (°C)",
    "To (°C)",
    "Interval by",
    "End",
    "Governs",
    "Rule",
    "Other rule (°C)",
    "Standing",
    "Class",
)
_PUBLISHED_HEAD = ("Bound", "Limit (°C)", "Ageing (h)", "This sample", "Source", "Remark")


def write_whole_grade(sheet: Any, formats: dict[str, Any], statement: GradeStatement) -> None:
    """Write the whole grade and the continuous temperatures of one sample."""
    set_widths(sheet, (18, 14, 14, 12, 12, 12, 12, 12, 12, 16, 24, 12, 24, 10))
    row = 0
    grade = chosen_grade(statement)
    if grade is not None:
        row = _write_grade(sheet, formats, statement, grade)
    elif statement.full_grades:
        row = write_pairs(sheet, formats, 0, (("Claim", unmatched_claim(statement)),)) + 1
    if len(statement.full_grades) > 1:
        row = _write_table(sheet, formats, row, statement) + 1
    if statement.continuous:
        row = _write_continuous(sheet, formats, row, statement) + 1
    for words in difference_sentences(statement):
        sheet.write_string(row, 0, words, formats["label"])
        row += 1
    if statement.delta_tc_limits:
        _write_published_limits(sheet, formats, row + 1, statement)


def _write_published_limits(sheet: Any, formats: dict[str, Any], row: int, statement: GradeStatement) -> None:
    """Write the published limits of the difference of critical temperatures: they judge nothing."""
    table = published_limits_table(statement)
    sheet.write_string(row, 0, f"{table.caption} {table.note}", formats["label"])
    write_head(sheet, formats, row + 1, _PUBLISHED_HEAD)
    for place, (standing, words) in enumerate(
        zip(statement.delta_tc_limits, table.rows, strict=True), start=row + 2
    ):
        published = standing.published
        write_cell(sheet, place, 0, published.bound, formats["text"])
        write_cell(sheet, place, 1, published.limit, formats["percent"])
        write_cell(sheet, place, 2, published.ageing_h, formats["percent"])
        for column, text in enumerate(words[2:], start=3):
            write_cell(sheet, place, column, text, formats["text"])


def _write_grade(
    sheet: Any, formats: dict[str, Any], statement: GradeStatement, grade: FullGradeVerdict
) -> int:
    row = 0
    for words in (standing_sentence(statement, grade), *probability_sentences(grade)):
        sheet.write_string(row, 0, words, formats["label"])
        row += 1
    write_head(sheet, formats, row, _GRADE_HEAD)
    for verdict in grade.verdicts:
        row += 1
        requirement = verdict.requirement
        uncertainty = None if verdict.result is None else verdict.result.uncertainty
        expanded = None if uncertainty is None else uncertainty.expanded
        cells: tuple[tuple[int, float | str | None, str], ...] = (
            (0, CONDITION_WORDS[requirement.condition], "text"),
            (1, symbol_of(requirement.quantity), "text"),
            (2, verdict.test_temperature_c, "percent"),
            (3, requirement.bound, "text"),
            (4, verdict.limit, "number"),
            (5, verdict.value, "jnr"),
            (6, expanded, "jnr"),
            (7, requirement.unit, "text"),
            (9, str(verdict.outcome), "text"),
            (10, verdict.probability_of_conformity, "jnr"),
        )
        for column, value, form in cells:
            write_cell(sheet, row, column, value, formats[form])
        if verdict.margin is not None:
            result = f"ABS(F{row + 1})" if requirement.absolute else f"F{row + 1}"
            limit = f"E{row + 1}"
            formula = f"={limit}-{result}" if requirement.bound == "maximum" else f"={result}-{limit}"
            sheet.write_formula(row, 8, formula, formats["jnr"], verdict.margin)
    missing = tuple(("not tested", words) for words in not_tested_of(grade))
    return write_pairs(sheet, formats, row + 2, missing) + 1


def _write_table(sheet: Any, formats: dict[str, Any], row: int, statement: GradeStatement) -> int:
    table = grades_table(statement.full_grades)
    write_head(sheet, formats, row, tuple(column.title for column in table.columns))
    for cells in table.rows:
        row += 1
        for column, words in enumerate(cells):
            write_cell(sheet, row, column, words, formats["text"])
    return row + 1


def _write_continuous(sheet: Any, formats: dict[str, Any], row: int, statement: GradeStatement) -> int:
    write_head(sheet, formats, row, _CONTINUOUS_HEAD)
    for line in continuous_lines(statement):
        row += 1
        requirement, critical = line.one.requirement, line.one.critical
        low, high = line.interval or (None, None)
        cells: tuple[tuple[int, float | str | None, str], ...] = (
            (0, CONDITION_WORDS[requirement.condition], "text"),
            (1, symbol_of(requirement.quantity), "text"),
            (2, critical.limit, "number"),
            (3, critical.temperature_c, "jnr"),
            (4, line.at_c, "jnr"),
            (5, low, "jnr"),
            (6, high, "jnr"),
            (7, critical.uncertainty_method, "text"),
            (8, line.one.end, "text"),
            (9, "yes" if line.governs else "no", "text"),
            (10, critical.rule, "text"),
            (11, critical.other_rule_c, "jnr"),
            (12, standing_of_line(line), "text"),
            (13, ", ".join(line.classes), "text"),
        )
        for column, value, form in cells:
            write_cell(sheet, row, column, value, formats[form])
    return row + 1
