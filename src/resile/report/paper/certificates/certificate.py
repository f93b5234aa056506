"""The sheet of a checked certificate: line by line, both laboratories, what to do."""

from __future__ import annotations

from collections.abc import Sequence

from resile.records.certificate import CertificateCheck, CheckedLine
from resile.records.verdict import Outcome
from resile.report.numbers import (
    NOT_KNOWN,
)
from resile.report.paper.assemble import BANNER
from resile.report.paper.certificates.certificate_tables import comparison_table, lines_table, mean_table
from resile.report.paper.choosing.price import price_sections
from resile.report.paper.models.model import Page, Section, Table, finding_entry
from resile.report.paper.runs.reading import account_facts
from resile.report.paper.statements.provenance import (
    caution_section,
    specification_facts,
    unchecked_notice,
)
from resile.report.words import (
    heaviest_first,
    joined,
    symbol_of,
    title_of,
)

_FAILED = (Outcome.FAIL, Outcome.CONDITIONAL_FAIL)


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


def unasked_words(check: CertificateCheck) -> tuple[str, ...]:
    """Name the lines that no requirement of the grade asks for, as printed; a name of our own in words."""
    return tuple(
        f"{title_of(line.title)}: {line.determination.text} ({line.determination.place})"
        for line in check.unasked
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
        number=one.number or one.batch or "without a number",
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
