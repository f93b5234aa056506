"""The sheet of a checked certificate: line by line, both laboratories, what to do."""

from __future__ import annotations

from collections.abc import Sequence

from resile.records.certificate import CertificateCheck, CheckedLine, LaboratoryComparison
from resile.records.verdict import Outcome, Verdict
from resile.report.numbers import (
    NOT_KNOWN,
    shown,
    shown_against,
    shown_limit,
    shown_margin,
    shown_step,
)
from resile.report.paper.assemble import BANNER
from resile.report.paper.model import RIGHT, Column, Page, Section, Table, finding_entry
from resile.report.paper.price import price_sections
from resile.report.paper.provenance import (
    caution_section,
    specification_facts,
    unchecked_notice,
)
from resile.report.paper.reading import account_facts
from resile.report.words import (
    CONDITION_WORDS,
    OUTCOME_MARKS,
    comparison_of,
    heaviest_first,
    joined,
    symbol_of,
)

_FAILED = (Outcome.FAIL, Outcome.CONDITIONAL_FAIL)
BEFOREHAND = (
    "For information: the rule for two laboratories must be agreed before the test. Beyond the limit by more "
    "than 0.42 R, the mean of two single results proves a failure (95 %); inside it by as much, the supplier "
    "is assured. "
    "Source: ISO 4259 and ASTM D3244, from memory (high)."
)
ALLOWED = (
    "Allowed: sqrt(R² − r²(1 − 1/(2 k1) − 1/(2 k2))), k determinations each; R, r as published (d2s). "
    "Source: ISO 4259 and ASTM C670, from memory (high). Agreement of the laboratories and quality of "
    "the binder are two questions."
)


def check_answer(check: CertificateCheck) -> tuple[str, tuple[str, ...]]:
    """Give the answer in one sentence, and what limits it.

    Parameters
    ----------
    check : CertificateCheck
        A checked certificate.

    Returns
    -------
    tuple of (str, tuple of str)
        First sentence; further ones.
    """
    name = check.certificate.number or check.certificate.batch or "The certificate"
    named = f"Certificate {name}" if check.certificate.number else name
    verb = "stands" if check.stands else "does not stand"
    document = f"{check.specification.document} ({check.specification.edition or 'edition not stated'})"
    more = []
    for words, outcomes in (("Not met", _FAILED), ("Not stated", (Outcome.NOT_TESTED,))):
        lines = [
            symbol_of(one.verdict.requirement.quantity)
            for one in check.lines
            if one.verdict.outcome in outcomes
        ]
        if lines:
            more.append(f"{words}: {joined(lines)}.")
    codes = [f for f in heaviest_first(check.findings) if f.severity == "invalid"]
    more += [f.message for f in codes[:3]]
    if check.own_sample:
        more.append(_own_words(check))
    else:
        more.append("No own results were compared: a certified load is not a tested load.")
    return f"{named} {verb} as proof of {check.claim} under {document}.", tuple(more)


def _own_words(check: CertificateCheck) -> str:
    both = [one for one in check.lines if one.comparison is not None]
    apart = [symbol_of(one.verdict.requirement.quantity) for one in both if _agrees(one) is False]
    unknown = sum(_agrees(one) is None for one in both)
    words = f"Own results of {check.own_sample}: {len(both)} of {len(check.lines)} lines have both values"
    words += (
        f"; look into {joined(apart)}"
        if apart
        else "; none beyond what two laboratories are allowed"
        if both
        else ""
    )
    words += f"; for {unknown} no precision is known" if unknown else ""
    return f"{words}."


def _agrees(line: CheckedLine) -> bool | None:
    return None if line.comparison is None else line.comparison.agrees


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
                mean_words(two),
            )
        )
    columns = (
        Column("Property", share=1.2),
        Column("Limit", RIGHT, 1.3),
        Column("Mean of two", RIGHT, 1.1),
        Column("Margin", RIGHT, 1.0),
        Column("0.42 R", RIGHT, 0.9),
        Column("Says", share=1.6),
    )
    if not rows:
        return None
    note = f"{BEFOREHAND} Precision: {'; '.join(dict.fromkeys(documents))}."
    return Table("Mean of two laboratories", columns, tuple(rows), note=note)


def unasked_words(check: CertificateCheck) -> tuple[str, ...]:
    """Name the lines of the certificate that no requirement of the grade asks for."""
    return tuple(
        f"{line.title}: {line.determination.text} ({line.determination.place})" for line in check.unasked
    )


def identity_of(check: CertificateCheck, date: str = "") -> tuple[tuple[str, str], ...]:
    """Give certificate, grade, specification and rule as label and value."""
    one, rules = check.certificate, check.specification
    pairs = (
        ("Certificate", one.number),
        ("Supplier", one.supplier),
        ("Product", one.product),
        ("Batch", one.batch),
        ("Tank", one.tank),
        ("Issued", one.issued),
        ("Delivered", one.delivered),
        ("Valid until", one.valid_until),
        ("Grade claimed", one.claimed_grade),
        ("Graded by", one.stated_specification),
        ("Grade to be shown", check.claim),
        ("In force", f"{rules.document} ({rules.edition or 'edition not stated'})"),
        ("Decision rule", check.decision_rule.name),
        ("Own sample", check.own_sample or "none compared"),
        ("Checked on", date or NOT_KNOWN),
    )
    return tuple((label, value or "not stated") for label, value in pairs)


def certificate_page(
    check: CertificateCheck,
    *,
    date: str,
    laboratory: str = "",
    checked_by: str = "",
    reviewed_by: str = "",
    package_version: str = "",
) -> Page:
    """Give the page of a checked certificate.

    Parameters
    ----------
    check : CertificateCheck
        Line by line, with findings.
    date : str
        Date of the check, YYYY-MM-DD.
    laboratory, checked_by, reviewed_by : str
        Who checks; empty for a blank line.
    package_version : str
        Version of resile.

    Returns
    -------
    Page
        For web page and paper.
    """
    answer, more = check_answer(check)
    one = check.certificate
    return Page(
        title="Check of a supplier's certificate",
        number=one.number or one.batch or "not stated",
        date=date,
        sample=one.batch or one.product or one.number or "not stated",
        laboratory=laboratory,
        banner=BANNER if one.invented else "",
        identity=identity_of(check, date),
        answer=answer,
        answer_more=more,
        sections=_sections(check, package_version),
        signatures=(("Checked by", checked_by), ("Reviewed by", reviewed_by)),
    )


def _sections(check: CertificateCheck, package_version: str) -> tuple[Section, ...]:
    findings = tuple(finding_entry(finding) for finding in heaviest_first(check.findings))
    sections = [
        Section(
            key="findings",
            title="Findings",
            findings=findings,
            paragraphs=() if findings else ("No doubt was raised by the checks that were made.",),
        ),
        Section(
            key="lines",
            title="Certificate against specification",
            notice=unchecked_notice(check.specification),
            tables=(lines_table(check),),
            bullets=unasked_words(check),
            bullets_title="Lines that the grade does not ask for" if check.unasked else "",
        ),
    ]
    if check.own_sample:
        sections.append(_own_section(check))
    return (
        *sections,
        *price_sections(check.price_views),
        _basis_section(check, package_version),
        caution_section(),
    )


def _own_section(check: CertificateCheck) -> Section:
    tables: Sequence[Table | None] = (comparison_table(check), mean_table(check))
    return Section(
        key="own",
        title="Certificate against own results",
        tables=tuple(table for table in tables if table is not None),
    )


def _basis_section(check: CertificateCheck, package_version: str) -> Section:
    one = check.certificate
    sources = tuple((source.path, f"SHA-256 {source.sha256}") for source in check.own_sources)
    return Section(
        key="basis",
        title="What this rests on",
        facts=(
            *account_facts(one.source, one.account),
            *sources,
            *specification_facts(check.specification),
            ("Decision rule", f"{check.decision_rule.name}: {check.decision_rule.text}"),
            ("Made with", f"resile {package_version}".strip()),
        ),
        bullets=one.account.remarks,
        bullets_title="How the certificate was read" if one.account.remarks else "",
    )
