"""Tables of a checked certificate: line by line, both laboratories, and their mean against the limit."""

from __future__ import annotations

from resile.records.certificate import CertificateCheck, CheckedLine, LaboratoryComparison
from resile.records.verdict import Outcome, Verdict
from resile.report.numbers import NOT_KNOWN, shown, shown_against, shown_limit, shown_margin, shown_step
from resile.report.paper.models.model import RIGHT, Column, Table
from resile.report.words import CONDITION_WORDS, OUTCOME_MARKS, comparison_of, symbol_of

BEFOREHAND = (
    "For information: the rule for two laboratories must be agreed before the test. Beyond the limit by more "
    "than the distance named, the mean of two laboratories proves a failure (95 %); inside it by as much, "
    "the supplier is assured. It is 0.42 R for single results, and 0.42 of what is allowed between the two "
    "where a laboratory has several. "
    "Source: ISO 4259 and ASTM D3244, from memory (high)."
)
ALLOWED = (
    "Allowed: sqrt(R² − r²(1 − 1/(2 k1) − 1/(2 k2))), k determinations each; R, r as published (d2s). "
    "Source: ISO 4259 and ASTM C670, from memory (high). Agreement of the laboratories and quality of "
    "the binder are two questions."
)


def outcome_words(verdict: Verdict) -> str:
    """Give the outcome of a certificate line: a value that is not there is *not stated*."""
    words = "not stated" if verdict.outcome is Outcome.NOT_TESTED else str(verdict.outcome)
    return f"{OUTCOME_MARKS[verdict.outcome]} {words}"


def agreement_words(comparison: LaboratoryComparison | None) -> str:
    """Say whether two laboratories agree."""
    if comparison is None:
        return NOT_KNOWN
    if comparison.agrees is None:
        return "○ no precision known"
    return "✓ agree" if comparison.agrees else "▲ look into it"


def mean_words(comparison: LaboratoryComparison) -> str:
    """Say what the mean of two laboratories proves of the limit."""
    margin, distance = comparison.mean_margin, comparison.proof_distance
    if margin is None or distance is None:
        return NOT_KNOWN
    if margin >= distance:
        return "conformity assured"
    return "failure proved" if margin <= -distance else "neither proved"


def _asked(line: CheckedLine) -> tuple[str, str, str]:
    requirement, at = line.verdict.requirement, line.verdict.test_temperature_c
    return (
        symbol_of(requirement.quantity),
        CONDITION_WORDS[requirement.condition],
        f"{shown_step(at)} °C" if at is not None else NOT_KNOWN,
    )


def _limit(line: CheckedLine) -> str:
    requirement = line.verdict.requirement
    unit = f" {requirement.unit}" if requirement.unit else ""
    return f"{comparison_of(line.verdict)} {shown_limit(line.verdict.limit, requirement.quantity)}{unit}"


def _value(verdict: Verdict | None) -> str:
    if verdict is None or verdict.value is None:
        return NOT_KNOWN
    return shown_against(verdict.value, verdict.limit, verdict.requirement.quantity)


def _printed_limit(line: CheckedLine) -> str:
    if line.line is None or not line.line.printed_limit_text or line.verdict.value is None:
        return NOT_KNOWN
    return f"▲ {line.line.printed_limit_text}" if line.limit_differs else "as here"


def _basis(line: CheckedLine) -> str:
    if line.line is None or line.verdict.value is None:
        return NOT_KNOWN
    return line.line.value_basis or "not said"


def lines_table(check: CertificateCheck) -> Table:
    """Give every requirement with what the certificate says."""
    rows = tuple(
        (
            *_asked(line),
            _limit(line),
            _value(line.verdict),
            outcome_words(line.verdict),
            _basis(line),
            _printed_limit(line),
            line.line.determination.place
            if line.line is not None and line.verdict.value is not None
            else NOT_KNOWN,
        )
        for line in check.lines
    )
    columns = (
        Column("Property", share=1.3),
        Column("Residue", share=1.5),
        Column("At", RIGHT, 0.9),
        Column("Limit", RIGHT, 1.4),
        Column("Certificate", RIGHT, 1.2),
        Column("Outcome", share=1.4),
        Column("Basis", share=1.2),
        Column("Printed limit", share=1.3),
        Column("Place", share=1.0),
    )
    return Table(
        "Line by line", columns, rows, note="Basis: whether the certificate marks a value as measured."
    )


def comparison_table(check: CertificateCheck) -> Table:
    """Give certificate and own value of every line that has an own value."""
    rows = []
    for line in check.lines:
        if line.own_verdict is None:
            continue
        quantity, two = line.verdict.requirement.quantity, line.comparison
        known = two is not None and two.allowed_difference is not None
        rows.append(
            (
                symbol_of(quantity),
                _limit(line),
                _value(line.verdict),
                _value(line.own_verdict),
                shown_margin(two.difference, quantity) if two else NOT_KNOWN,
                shown(two.allowed_difference, quantity) if two and known else NOT_KNOWN,
                f"{two.certificate_count}, {two.own_count}" if two else NOT_KNOWN,
                agreement_words(two),
                f"{OUTCOME_MARKS[line.own_verdict.outcome]} {line.own_verdict.outcome}",
            )
        )
    columns = (
        Column("Property", share=1.3),
        Column("Limit", RIGHT, 1.4),
        Column("Certificate", RIGHT, 1.2),
        Column("Own", RIGHT, 1.0),
        Column("Difference", RIGHT, 1.2),
        Column("Allowed", RIGHT, 1.0),
        Column("k", RIGHT, 0.6),
        Column("Laboratories", share=1.7),
        Column("Own outcome", share=1.4),
    )
    return Table("Certificate and own results", columns, tuple(rows), note=ALLOWED)


def mean_table(check: CertificateCheck) -> Table | None:
    """Give the mean of both laboratories against the limit, where precision is known."""
    rows, documents = [], []
    for line in check.lines:
        two, quantity = line.comparison, line.verdict.requirement.quantity
        if two is None or two.proof_distance is None:
            continue
        documents.append(two.note)
        rows.append(
            (
                symbol_of(quantity),
                _limit(line),
                shown_against(two.mean_value, line.verdict.limit, quantity),
                shown_margin(two.mean_margin, quantity),
                shown(two.proof_distance, quantity),
                two.proof_rule,
                mean_words(two),
            )
        )
    columns = (
        Column("Property", share=1.2),
        Column("Limit", RIGHT, 1.3),
        Column("Mean of two", RIGHT, 1.1),
        Column("Margin", RIGHT, 1.0),
        Column("Proves from", RIGHT, 1.0),
        Column("By", share=1.9),
        Column("Says", share=1.5),
    )
    if not rows:
        return None
    note = f"{BEFOREHAND} Precision: {'; '.join(dict.fromkeys(documents))}."
    return Table("Mean of two laboratories", columns, tuple(rows), note=note)
