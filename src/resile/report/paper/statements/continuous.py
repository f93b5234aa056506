"""The sheet of the continuous temperatures: where limits are met, what governs each end, and delta-Tc."""

from __future__ import annotations

from resile.records.critical_temperature import CriticalTemperatureDifference
from resile.records.verdict import GradeStatement
from resile.report.continuous import (
    END_WORDS,
    ContinuousLine,
    continuous_lines,
    correlation_sentences,
    limit_of_line,
    shown_continuous,
    standing_of_line,
)
from resile.report.figures import figure_grade_ladder
from resile.report.numbers import NOT_KNOWN, fixed, shown
from resile.report.paper.models.model import LEFT, RIGHT, Column, Picture, Section, Table
from resile.report.words import CONDITION_WORDS, symbol_of


def continuous_section(statement: GradeStatement) -> Section:
    """Give the section with ladder and difference."""
    pictures: tuple[Picture, ...] = ()
    if any(line.at_c is not None for line in continuous_lines(statement)):
        caption = (
            "Grade ladder: the temperature at which each property meets its limit (mark) with its interval "
            "of about 95 % (bar). A filled mark governs its end."
        )
        pictures = (Picture("grade-ladder", figure_grade_ladder(statement), caption),)
    return Section(
        key="continuous",
        title="Continuous temperatures",
        paragraphs=difference_sentences(statement),
        pictures=pictures,
    )


def continuous_detail_section(statement: GradeStatement) -> Section | None:
    """Give the rule and the points behind each continuous temperature; None where there is none.

    Parameters
    ----------
    statement : GradeStatement
        Verdicts of one sample.

    Returns
    -------
    Section or None
        Tables, with published limits of the difference of critical temperatures.
    """
    tables = (
        *((continuous_table(statement),) if statement.continuous else ()),
        *((published_limits_table(statement),) if statement.delta_tc_limits else ()),
    )
    if not tables:
        return None
    return Section(
        key="continuous-detail",
        title="Where each property meets its limit",
        paragraphs=correlation_sentences(statement),
        tables=tables,
    )


def difference_sentences(statement: GradeStatement) -> tuple[str, ...]:
    """Say the difference of the low critical temperatures, with its ageing; or why there is none."""
    difference = statement.delta_tc
    if difference is None:
        return ()
    note = f" Ageing: {statement.delta_tc_note}." if statement.delta_tc_note else " Ageing: not stated."
    if difference.difference_c is None:
        return (f"ΔTc cannot be stated: {difference.reason or 'a temperature is missing'}.{note}",)
    text = fixed(difference.difference_c, 1, signed=True)
    if difference.standard is not None:
        text += f" ± {fixed(difference.coverage_factor * difference.standard, 1)}"
    doubt = ", from an extrapolated temperature" if difference.extrapolated else ""
    return (
        f"ΔTc, the critical temperature of S less that of m: {text} °C{doubt}.{note}{_extremes(difference)}",
    )


def _extremes(difference: CriticalTemperatureDifference) -> str:
    """Say what U of the difference would be at both ends of the correlation, where it matters."""
    if difference.standard_range is None:
        return ""
    apart, shared = (fixed(difference.coverage_factor * end, 1) for end in difference.standard_range)
    if apart == shared:
        return ""
    return f" U is {apart} °C where the errors of S and m are independent, {shared} °C where wholly shared."


def published_limits_table(statement: GradeStatement) -> Table:
    """Tabulate published limits of the difference of critical temperatures beside it: information only."""
    rows = []
    for one in statement.delta_tc_limits:
        published = one.published
        words = {True: "met", False: "not met", None: f"not compared: {one.reason}"}[one.met]
        hours = "not stated" if published.ageing_h is None else f"{fixed(published.ageing_h, 0)} h"
        sign = "≥" if published.bound == "minimum" else "≤"
        source = f"{published.source} [{published.evidence}]"
        note = published.note or NOT_KNOWN
        rows.append((f"{sign} {fixed(published.limit, 1)}", hours, words, source, note))
    return Table(
        "Published limits of ΔTc, for information: they judge nothing here.",
        (
            Column("Limit (°C)", RIGHT, 0.9),
            Column("After", RIGHT, 0.9),
            Column("This sample", LEFT, 2.4),
            Column("Source", LEFT, 2.6),
            Column("Remark", LEFT, 3.0),
        ),
        tuple(rows),
        "Compared only after the same hours of pressure ageing; a specification may make one a requirement.",
    )


def continuous_table(statement: GradeStatement) -> Table:
    """Tabulate the continuous temperatures with rule, points and whether they were bracketed."""
    lines = continuous_lines(statement)
    other = any(line.one.critical.other_rule_c is not None for line in lines)
    columns = [
        Column("Property"),
        Column("Residue"),
        Column("Limit", RIGHT),
        Column("Test at (°C)", RIGHT, 0.8),
        Column("Grade scale ± U", RIGHT),
        Column("End"),
        Column("Rule"),
        Column("Points used", LEFT, 2.2),
        Column("Standing", LEFT, 2.2),
    ]
    if other:
        columns.append(Column("Other rule (°C)", RIGHT, 1.1))
    rows = tuple(_continuous_row(line, other) for line in lines)
    return Table(
        "Temperatures, with the measurements they were read from.",
        tuple(columns),
        rows,
        "Grade scale: at the low end 10 °C below the test temperature. Rule log: the logarithm of the "
        "property is linear in temperature between the points; linear: the property itself. U: about 95 % "
        "(k = 2, more with few determinations); in brackets both ends, 95 % by simulation. "
        "In bold: what governs an end.",
        strong=tuple(place for place, line in enumerate(lines) if line.governs),
        dense=True,
    )


def _continuous_row(line: ContinuousLine, other: bool) -> tuple[str, ...]:
    requirement, critical = line.one.requirement, line.one.critical
    service = f" ({', '.join(line.classes)})" if line.classes else ""
    points = "; ".join(
        f"{shown(point.value, requirement.quantity)} at {fixed(point.temperature_c, 1)} °C"
        for point in critical.points
    )
    cells = (
        f"{symbol_of(requirement.quantity)}{service}",
        CONDITION_WORDS[requirement.condition],
        limit_of_line(line),
        fixed(critical.temperature_c, 1),
        shown_continuous(line).removesuffix(" °C"),
        END_WORDS.get(line.one.end, line.one.end),
        critical.rule,
        points or "none",
        standing_of_line(line),
    )
    return (*cells, fixed(critical.other_rule_c, 1)) if other else cells
