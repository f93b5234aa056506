"""The overview of many samples: one line a sample, and each kind of doubt once."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from resile.records.finding import Finding, Severity
from resile.records.reading import ReadingAccount
from resile.records.verdict import ClassVerdict, GradeStatement, Verdict
from resile.report.continuous import HIGH, LOW, chosen_grade, continuous_lines, shown_continuous
from resile.report.numbers import fixed, shown, shown_margin, shown_probability, shown_step
from resile.report.paper.models.model import RIGHT, Column
from resile.report.paper.statements.whole_grade import grade_word
from resile.report.terminal.grids import (
    bullet_line,
    finding_lines,
    grid_of,
    heading_line,
    sheet_of,
    title_line,
)
from resile.report.words import joined, symbol_of

if TYPE_CHECKING:
    from rich.console import Group


def render_overview(
    statements: Sequence[GradeStatement],
    findings: Sequence[Finding],
    account: ReadingAccount,
    *,
    sheet_follows: bool = False,
) -> Group:
    """Give one line a sample and temperature, the doubts by kind, and what was assumed in reading.

    Parameters
    ----------
    statements : sequence of GradeStatement
        One a sample, under one specification.
    findings : sequence of Finding
        Doubts about the table as a whole.
    account : ReadingAccount
        How the table was read.
    sheet_follows : bool
        The sheet of every sample follows: the findings of a single sample then stand there alone.

    Returns
    -------
    rich.console.Group
        Findings first.
    """
    specification = statements[0].specification
    own = () if sheet_follows and len(statements) == 1 else _by_kind(statements)
    count = f"{len(statements)} sample{'s' if len(statements) != 1 else ''}"
    parts: list[Any] = [
        title_line(f"{count} judged by {specification.document}, edition {specification.edition}."),
        *finding_lines((*findings, *own)),
        "",
        heading_line("Samples"),
        grid_of(list(_COLUMNS), [row for statement in statements for row in _rows(statement)]),
    ]
    if any(statement.full_grades or statement.continuous for statement in statements):
        rows = [_whole_row(statement) for statement in statements]
        parts += ["", heading_line("Whole grades"), grid_of(list(_WHOLE_COLUMNS), rows)]
    if account.remarks:
        parts += ["", heading_line("How the table was read"), *(bullet_line(r) for r in account.remarks)]
    return sheet_of([*parts, ""])


_COLUMNS = (
    Column("Sample"),
    Column("At", RIGHT),
    Column("Best class"),
    Column("Decided by"),
    Column("Value", RIGHT),
    Column("Margin", RIGHT),
    Column("Conforms", RIGHT),
    Column("Reported"),
)


_WHOLE_COLUMNS = (
    Column("Sample"),
    Column("Grade"),
    Column("Standing"),
    Column("High end (°C)", RIGHT),
    Column("Low end (°C)", RIGHT),
    Column("ΔTc (°C)", RIGHT),
)


def _whole_row(statement: GradeStatement) -> list[Any]:
    grade = chosen_grade(statement)
    ends = {
        line.one.end: shown_continuous(line).removesuffix(" °C")
        for line in continuous_lines(statement)
        if line.governs
    }
    difference = statement.delta_tc
    return [
        statement.sample,
        grade.label if grade else (statement.claimed_grade or "–"),
        grade_word(grade) if grade else "not judged",
        ends.get(HIGH, "–"),
        ends.get(LOW, "–"),
        fixed(difference.difference_c, 1, signed=True) if difference else "–",
    ]


def _rows(statement: GradeStatement) -> list[list[Any]]:
    temperatures = dict.fromkeys(service.temperature_c for service in statement.classes)
    if not temperatures:
        return [
            [statement.sample, "–", "nothing to judge", "–", "–", "–", "–", statement.reported_class or "–"]
        ]
    return [_row(statement, temperature) for temperature in temperatures]


def _row(statement: GradeStatement, temperature_c: float) -> list[Any]:
    classes = [service for service in statement.classes if service.temperature_c == temperature_c]
    best = next((service for service in classes if service.satisfied), None)
    service = best if best is not None else classes[-1]
    verdict = _deciding(service)
    quantity = verdict.requirement.quantity if verdict else ""
    return [
        statement.sample,
        f"{shown_step(temperature_c)} °C",
        best.label if best else "none",
        symbol_of(quantity) if verdict else "–",
        shown(verdict.value, quantity) if verdict else "–",
        shown_margin(verdict.margin, quantity) if verdict else "–",
        shown_probability(verdict.probability_of_conformity) if verdict else "–",
        statement.reported_class or "–",
    ]


def _deciding(service: ClassVerdict) -> Verdict | None:
    """Give the limiting requirement, or the first that decides the class."""
    limiting = [v for v in service.verdicts if v.requirement.name == service.limiting]
    deciding = [v for v in service.verdicts if v.requirement.decides_class]
    return next(iter([*limiting, *deciding]), None)


def _by_kind(statements: Sequence[GradeStatement]) -> tuple[Finding, ...]:
    """Give each kind of finding once, with the samples it concerns where there are several."""
    kinds: dict[tuple[Severity, str], list[tuple[str, Finding]]] = {}
    for statement in statements:
        results = (finding for result in statement.results for finding in result.findings)
        for finding in (*statement.findings, *results):
            kinds.setdefault((finding.severity, finding.code), []).append((statement.sample, finding))
    told = []
    for found in kinds.values():
        samples = tuple(dict.fromkeys(sample for sample, _ in found))
        first = found[0][1]
        if len(samples) == len(statements) and len(samples) > 1:
            same = all(finding.message == first.message for _, finding in found)
            head = "All samples" if same else "All samples, for example"
            told.append(replace(first, message=f"{head}: {first.message}"))
        elif len(samples) > 1:
            others = joined(samples[1:4]) + (f" and {len(samples) - 4} more" if len(samples) > 4 else "")
            told.append(replace(first, message=f"{first.message} The same holds for {others}."))
        else:
            more = len({finding.message for _, finding in found}) - 1
            told.append(
                replace(first, message=f"{first.message} ({more} more of this kind.)") if more else first
            )
    return tuple(told)
