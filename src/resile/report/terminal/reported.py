"""Reported conclusions beside what the results give, in the terminal."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from resile.records.finding import Finding, Severity
from resile.records.quantity import QUANTITIES
from resile.records.reported import ComparisonSummary
from resile.report.paper.models.model import RIGHT, Column
from resile.report.terminal.grids import (
    bullet_line,
    finding_lines,
    grid_of,
    sheet_of,
    title_line,
    words_of,
)

if TYPE_CHECKING:
    from rich.console import Group

_COLUMNS = (
    Column("Reported"),
    Column("Values", RIGHT),
    Column("Follow", RIGHT),
    Column("Differ", RIGHT),
    Column("Not checked", RIGHT),
    Column("Largest deviation", RIGHT),
    Column("By"),
)
_RULE_WORDS = {
    "log": "logarithm",
    "linear": "straight line",
    "both": "either line",
    "definition": "definition",
    "limits": "limits",
    "mean": "mean",
}


def render_reported(
    summaries: Sequence[ComparisonSummary], findings: Sequence[Finding], specifications: Sequence[str]
) -> Group:
    """Give the sheet of a comparison.

    Parameters
    ----------
    summaries : sequence of ComparisonSummary
        One a file and quantity.
    findings : sequence of Finding
        What explains each difference.
    specifications : sequence of str
        Whose limits were used.

    Returns
    -------
    rich.console.Group
        The answer, the findings, the counts.
    """
    published = sum(one.published for one in summaries)
    follow = sum(one.reproduced for one in summaries)
    title = (
        f"{follow} of {published} reported conclusions follow from the reported results."
        if published
        else "The tables report no conclusion that could be compared."
    )
    parts: list[Any] = [title_line(title), *finding_lines(_once(findings))]
    for file in dict.fromkeys(one.file for one in summaries):
        rows = [_row(one) for one in summaries if one.file == file]
        parts += ["", words_of(file, "bold"), grid_of(list(_COLUMNS), rows)]
    parts += [
        "",
        bullet_line(
            f"limits of {', '.join(specifications)}; a value follows where the spans of rounding meet"
        ),
        "",
    ]
    return sheet_of(parts)


def _once(findings: Sequence[Finding]) -> tuple[Finding, ...]:
    """Show the first of the notes of one kind, and how many more there are; every caution as it is."""
    kinds = Counter(finding.code for finding in findings if finding.severity is Severity.NOTE)
    told, seen = [], set()
    for finding in findings:
        if finding.code not in kinds:
            told.append(finding)
        elif finding.code not in seen:
            more = f" ({kinds[finding.code] - 1} more of this kind.)" if kinds[finding.code] > 1 else ""
            told.append(replace(finding, message=f"{finding.message}{more}"))
        seen.add(finding.code)
    return tuple(told)


def _row(one: ComparisonSummary) -> list[str]:
    known = QUANTITIES[one.quantity]
    return [
        known.symbol or known.title.partition(" as reported")[0],
        str(one.published),
        str(one.reproduced),
        str(one.differing) if one.differing else "–",
        str(one.unchecked) if one.unchecked else "–",
        deviation_words(one),
        ", ".join(_RULE_WORDS[rule] for rule in one.rules if rule in _RULE_WORDS) or "–",
    ]


def deviation_words(one: ComparisonSummary) -> str:
    """Give the largest deviation with its unit; a few last binary places count as none."""
    if one.largest_deviation is None:
        return "–"
    unit = QUANTITIES[one.quantity].unit
    number = "0" if one.largest_deviation < 1e-9 else f"{one.largest_deviation:.2g}"
    return f"{number} {unit}".strip()
