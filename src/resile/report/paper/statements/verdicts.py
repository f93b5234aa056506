"""Value beside limit, requirement by requirement, and class by class."""

from __future__ import annotations

from dataclasses import dataclass

from resile.records.verdict import ClassVerdict, GradeStatement, Outcome, Verdict
from resile.report.numbers import (
    NOT_KNOWN,
    fixed,
    shown,
    shown_against,
    shown_limit,
    shown_margin,
    shown_probability,
    shown_step,
    shown_with_uncertainty,
)
from resile.report.paper.models.model import LEFT, RIGHT, Column, Table
from resile.report.words import (
    CONDITION_WORDS,
    OUTCOME_MARKS,
    comparison_of,
    expanded_uncertainty,
    symbol_of,
)


@dataclass(frozen=True, slots=True)
class JudgedLine:
    """One requirement as it is shown: classes that share limit, value and outcome stand on one line."""

    requirement: str
    classes: str
    limit: str
    value: str
    margin: str
    repeatabilities: str
    probability: str
    outcome: str
    reason: str
    verdict: Verdict


def judged_lines(statement: GradeStatement) -> tuple[JudgedLine, ...]:
    """Give the lines of the verdict table.

    Parameters
    ----------
    statement : GradeStatement
        Verdicts of one sample.

    Returns
    -------
    tuple of JudgedLine
        In the order of the specification, the most severe class first.
    """
    groups: dict[tuple[object, ...], list[tuple[ClassVerdict, Verdict]]] = {}
    for service in statement.classes:
        for verdict in service.verdicts:
            key = (
                verdict.requirement.name,
                verdict.test_temperature_c,
                verdict.limit,
                verdict.outcome,
                verdict.value,
            )
            groups.setdefault(key, []).append((service, verdict))
    order = [requirement.name for requirement in statement.specification.requirements]
    everyone = len(statement.classes)
    lines = [_line(pairs, everyone) for pairs in groups.values()]
    return tuple(sorted(lines, key=lambda line: _place(order, line.verdict.requirement.name)))


def _place(order: list[str], name: str) -> int:
    return order.index(name) if name in order else len(order)


def _line(pairs: list[tuple[ClassVerdict, Verdict]], everyone: int) -> JudgedLine:
    verdict = pairs[0][1]
    requirement = verdict.requirement
    temperature = verdict.test_temperature_c
    place = "" if temperature is None else f", {shown_step(temperature)} °C"
    unit = f" {requirement.unit}" if requirement.unit else ""
    labels = [service.label for service, _ in pairs]
    multiples = verdict.margin_repeatabilities
    return JudgedLine(
        requirement=f"{symbol_of(requirement.quantity)}{place}",
        classes="all" if len(labels) == everyone > 1 else ", ".join(labels),
        limit=f"{comparison_of(verdict)} {shown_limit(verdict.limit, requirement.quantity)}{unit}",
        value=judged_value(verdict),
        margin=shown_margin(verdict.margin, requirement.quantity),
        repeatabilities=NOT_KNOWN if multiples is None else fixed(multiples, 1, signed=True),
        probability=shown_probability(verdict.probability_of_conformity),
        outcome=f"{OUTCOME_MARKS[verdict.outcome]} {verdict.outcome}",
        reason=verdict.reason,
        verdict=verdict,
    )


def judged_value(verdict: Verdict) -> str:
    """Show the compared value with its U, with digits enough to stand on its own side of the limit."""
    if verdict.value is None:
        return NOT_KNOWN
    quantity = verdict.requirement.quantity
    expanded = None if verdict.result is None else expanded_uncertainty(verdict.result)
    beside = shown_against(verdict.value, verdict.limit, quantity)
    if expanded is None or beside != shown(verdict.value, quantity):
        return beside
    return shown_with_uncertainty(verdict.value, expanded, quantity)


def verdict_table(statement: GradeStatement) -> Table:
    """Tabulate every requirement with its outcome."""
    rows = tuple(
        (
            f"{line.requirement} ({CONDITION_WORDS[line.verdict.requirement.condition]})",
            line.classes,
            line.limit,
            line.value,
            line.margin,
            line.repeatabilities,
            line.probability,
            line.outcome,
        )
        for line in judged_lines(statement)
    )
    return Table(
        "Every requirement. Margins are positive on the good side.",
        (
            Column("Requirement", share=2.9),
            Column("Classes", share=1.9),
            Column("Limit", RIGHT, 1.6),
            Column("Value ± U", RIGHT, 1.7),
            Column("Margin", RIGHT, 1.1),
            Column("Margin in d2s", RIGHT, 0.95),
            Column("Conforms", RIGHT, 1.3),
            Column("Outcome", LEFT, 1.7),
        ),
        rows,
        "d2s: the difference between two results of one operator that is exceeded in one case of twenty. "
        "Conforms: probability that the true value meets the limit, on the stated basis of uncertainty.",
        dense=True,
    )


def reason_lines(statement: GradeStatement) -> tuple[str, ...]:
    """Give the reason of each outcome that its row in the table does not tell.

    A plain pass is told by limit, value and margin; what failed, passed on a condition or by rounding alone,
    was waived or not tested is said in words.
    """
    told: dict[str, None] = {}
    for line in judged_lines(statement):
        verdict = line.verdict
        if not line.reason or (verdict.outcome is Outcome.PASS and not _turned_by_rounding(verdict)):
            continue
        untested = verdict.outcome is Outcome.NOT_TESTED
        who = "" if untested or line.classes == "all" else f"{line.classes}: "
        told[f"{who}{symbol_of(verdict.requirement.quantity)} {line.limit}: {_with_outcome(verdict)}"] = None
    return tuple(told)


def _with_outcome(verdict: Verdict) -> str:
    """Begin the reason with the outcome, once."""
    reason, outcome = verdict.reason, str(verdict.outcome)
    if reason.casefold().startswith(outcome):
        return reason[:1].lower() + reason[1:]
    return f"{outcome}: {reason}"


def _turned_by_rounding(verdict: Verdict) -> bool:
    if verdict.value is None or verdict.result is None or verdict.result.value is None:
        return False
    size = abs(verdict.result.value) if verdict.requirement.absolute else verdict.result.value
    beyond = size > verdict.limit if verdict.requirement.bound == "maximum" else size < verdict.limit
    return beyond and size != verdict.value


def class_table(statement: GradeStatement) -> Table:
    """Tabulate every class at every tested temperature."""
    titles = {r.name: symbol_of(r.quantity) for r in statement.specification.requirements}
    rows = []
    strong = []
    for place, service in enumerate(statement.classes):
        if service.satisfied:
            strong.append(place)
        rows.append(
            (
                service.label,
                service.service_class.title.partition(":")[0],
                class_word(service),
                titles.get(service.limiting, service.limiting) or NOT_KNOWN,
                ", ".join(dict.fromkeys(titles.get(v.requirement.name, "") for v in service.not_tested))
                or "nothing",
            )
        )
    return Table(
        "Classes, hottest and most severe first.",
        (
            Column("Class", share=1.0),
            Column("Traffic", share=2.3),
            Column("Standing", share=3.2),
            Column("Limited by", share=1.8),
            Column("Not tested", share=4.0),
        ),
        tuple(rows),
        strong=tuple(strong),
        dense=len(rows) > 8,
    )


def class_word(service: ClassVerdict) -> str:
    """Say how a class stands: satisfied in full, as far as tested, failed, or open and why."""
    if service.satisfied:
        return "✓ satisfied in full" if service.complete else "✓ satisfied as far as tested"
    outcomes = {verdict.outcome for verdict in service.verdicts}
    deciding = {verdict.outcome for verdict in service.verdicts if verdict.requirement.decides_class}
    if Outcome.FAIL in outcomes:
        return "✗ not satisfied"
    if Outcome.CONDITIONAL_FAIL in outcomes:
        return "▼ not satisfied: failed on a condition"
    if Outcome.NOT_TESTED in deciding:
        return "○ open: the deciding test is missing"
    if Outcome.CONDITIONAL_PASS in outcomes:
        return "△ open: passed on a condition only"
    return "○ open: a result is left out, see the findings"
