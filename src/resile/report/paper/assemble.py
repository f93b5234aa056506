"""From a document to a page: everything in its order, nothing left out in silence."""

from __future__ import annotations

from dataclasses import replace

from resile.records.verdict import GradeStatement
from resile.report.document import ReportDocument
from resile.report.figures import figure_margin
from resile.report.paper.choosing.price import price_sections
from resile.report.paper.models.derived import derived_table
from resile.report.paper.models.model import Page, Picture, Section, finding_entry
from resile.report.paper.runs.machine_runs import machine_sections
from resile.report.paper.runs.reading import reading_sections
from resile.report.paper.runs.runs import run_sections
from resile.report.paper.statements.ageing import ageing_sections
from resile.report.paper.statements.answer import answer_of_runs, answer_of_statement, findings_of
from resile.report.paper.statements.continuous import continuous_detail_section
from resile.report.paper.statements.meaning import doubts_sentence, meaning_sentences
from resile.report.paper.statements.provenance import (
    basis_section,
    caution_section,
)
from resile.report.paper.statements.results import determinations_table, results_table
from resile.report.paper.statements.revision import revision_section, revision_words
from resile.report.paper.statements.verdicts import class_table, reason_lines, verdict_table
from resile.report.paper.statements.whole_grade import whole_grade_sections
from resile.report.words import EXTERNAL_MARK, external_laboratories, joined

BANNER = "Invented demonstration data: laboratory, region, product and numbers are made up."
DRAFT = "DRAFT, not issued: not to be relied on."
NOT_STATED = "not stated"


def page_of(document: ReportDocument) -> Page:
    """Give the page that both the web page and the paper are set from.

    Parameters
    ----------
    document : ReportDocument
        Records and identity.

    Returns
    -------
    Page
        Sections in their fixed order: what a customer reads, then, where a grade or a class is stated,
        annexes with everything it hangs on.
    """
    if document.statement is not None:
        answer, more = answer_of_statement(document.statement)
    else:
        answer, more = answer_of_runs(document)
    doubts = doubts_sentence(findings_of(document))
    body, annexes = _body(document), _annexes(document)
    return Page(
        title=title_of_document(document),
        number=document.number,
        date=document.date,
        sample=document.sample,
        laboratory=document.laboratory,
        banner=" ".join(
            words for words, said in ((DRAFT, document.draft), (BANNER, document.invented)) if said
        ),
        identity=_identity(document),
        answer=answer,
        answer_more=(*more, doubts) if doubts else more,
        meaning=() if document.statement is None else meaning_sentences(document.statement),
        sections=(
            *body,
            *(replace(one, annex=letter) for letter, (_, held) in annexes.items() for one in held),
        ),
        annexes=tuple((letter, title) for letter, (title, _) in annexes.items()),
        accreditation=document.accreditation,
        logo=f"logo.{document.logo_form}" if document.logo else "",
        signatures=(("Tested by", document.tested_by), ("Reviewed and authorised by", document.reviewed_by)),
    )


def _identity(document: ReportDocument) -> tuple[tuple[str, str], ...]:
    laboratory = ", ".join(
        part
        for part in (document.laboratory, document.laboratory_address, document.laboratory_contact)
        if part
    )
    customer = ", ".join(part for part in (document.customer, document.customer_contact) if part)
    method = ", ".join(part for part in (document.method, document.method_edition) if part)
    pairs = (
        ("Report", document.number),
        ("Date of issue", document.date),
        ("Sample", document.sample),
        ("Item", document.sample_description),
        ("State on arrival", document.sample_state),
        ("Customer", customer),
        ("Laboratory", laboratory),
        ("Place of work", document.place_of_work or ("as the laboratory" if document.laboratory else "")),
        ("Method", method),
        ("Instrument", document.instrument),
        ("Received", document.received),
        ("Tested", document.tested_on),
        ("Sampling", document.sampling),
        ("Deviations", document.deviations or "none stated"),
        ("External results", _external(document) or "none stated"),
    )
    revision = document.revision
    replaces = (("Replaces", revision.replaces.words),) if revision is not None else ()
    return (*((label, value or NOT_STATED) for label, value in pairs), *replaces)


def _external(document: ReportDocument) -> str:
    laboratories = () if document.statement is None else external_laboratories(document.statement.results)
    marked = f"marked {EXTERNAL_MARK} under Results ({joined(list(laboratories))})" if laboratories else ""
    return "; ".join(part for part in (document.external_results, marked) if part)


def title_of_document(document: ReportDocument) -> str:
    """Give the title; a revision says so first."""
    if document.revision is None:
        return document.title
    return f"{revision_words(document.revision)}: {document.title[:1].lower()}{document.title[1:]}"


def _body(document: ReportDocument) -> list[Section]:
    """Give what a customer reads; without a statement the runs are the answer, and all is body."""
    statement = document.statement
    sections = [] if document.revision is None else [revision_section(document.revision)]
    if statement is None:
        found = [_findings_section(document), *_run_sections(document), *ageing_sections(document)]
        return [*sections, *found, *reading_sections(document), basis_section(document), caution_section()]
    sections += whole_grade_sections(statement)
    return [
        *sections,
        _results_section(statement),
        _verdict_section(statement),
        _findings_section(document),
        *price_sections(statement.price_views),
    ]


def _annexes(document: ReportDocument) -> dict[str, tuple[str, tuple[Section, ...]]]:
    """Give the annexes by letter, each with its title and sections; none without a statement."""
    statement = document.statement
    if statement is None:
        return {}
    parts: tuple[tuple[str, tuple[Section, ...]], ...] = (
        (
            "every requirement and every determination",
            _detail_sections(statement),
        ),
        ("every run", _run_sections(document)),
        ("ageing", ageing_sections(document)),
        ("how the files were read", reading_sections(document)),
        ("what this report hangs on, and cautions", (basis_section(document), caution_section())),
    )
    kept = [(title, held) for title, held in parts if held]
    return dict(zip("ABCDE", kept, strict=False))


def _run_sections(document: ReportDocument) -> tuple[Section, ...]:
    return (*run_sections(document), *machine_sections(document))


def _findings_section(document: ReportDocument) -> Section:
    entries = tuple(finding_entry(finding) for finding in findings_of(document))
    nothing = ("No doubt was raised by the checks that were made.",) if not entries else ()
    return Section(key="findings", title="Findings", paragraphs=nothing, findings=entries)


def _results_section(statement: GradeStatement) -> Section:
    tables = (
        results_table(statement.results) if statement.results else None,
        derived_table(statement.derived),
    )
    return Section(
        key="results",
        title="Results",
        tables=tuple(table for table in tables if table is not None),
        paragraphs=() if statement.results else ("No result was handed over.",),
    )


def _verdict_section(statement: GradeStatement) -> Section:
    """Give the statement of conformity; where whole grades are listed, the classes go to an annex."""
    return Section(
        key="verdict",
        title="Verdict",
        paragraphs=(conformity_scope(statement), *decision_sentences(statement)),
        tables=() if statement.full_grades else (class_table(statement),),
        bullets=statement.next_tests,
        bullets_title="Tests that would settle what is open" if statement.next_tests else "",
    )


def _detail_sections(statement: GradeStatement) -> tuple[Section, ...]:
    reasons = reason_lines(statement)
    margins = Section(
        key="margins",
        title="Margins",
        pictures=(
            Picture(
                "margin",
                figure_margin(statement),
                "Each value (dot) with its k = 2 interval (bar); a dashed limit is not met. A property "
                "passed by a wide margin, or without a known precision, is in the table only.",
            ),
        ),
        tables=(verdict_table(statement), *((class_table(statement),) if statement.full_grades else ())),
        bullets=reasons,
        bullets_title="Reasons" if reasons else "",
    )
    table = determinations_table(statement.results)
    declared = statement.retest_rule.text
    determinations = Section(
        key="determinations",
        title="Determinations",
        paragraphs=(f"Declared before testing: {declared}",) if declared else (),
        tables=(table,) if table is not None else (),
    )
    temperatures = continuous_detail_section(statement)
    return (margins, *((temperatures,) if temperatures is not None else ()), determinations)


def conformity_scope(statement: GradeStatement) -> str:
    """Say which results the statement of conformity covers, and what it is held against."""
    specification = statement.specification
    document = specification.document or specification.title
    return (
        f"Statement of conformity: it covers the results of {statement.sample} listed under Results, against "
        f"{document} (edition {specification.edition or 'not stated'}), requirement by requirement as "
        f"listed; what is marked not tested is not covered.{_external_scope(statement)}"
    )


def _external_scope(statement: GradeStatement) -> str:
    laboratories = external_laboratories(statement.results)
    if not laboratories:
        return ""
    count = sum(bool(external_laboratories([result])) for result in statement.results)
    results = "One result rests" if count == 1 else f"{count} results rest"
    return (
        f" {results} wholly or in part on determinations of {joined(list(laboratories))}, marked "
        f"{EXTERNAL_MARK}: the statement covers them as that laboratory gave them."
    )


def decision_sentences(statement: GradeStatement) -> tuple[str, ...]:
    """Say by which rule it was decided, with its risk and the basis of the uncertainty."""
    rule = statement.decision_rule
    source = f" Source: {rule.source}." if rule.source else ""
    factor = ""
    if f"{rule.guard_factor:g}" not in rule.text:
        factor = (
            f" Guard band: {rule.guard_factor:g} standard uncertainties."
            if rule.guard_factor
            else " No guard band."
        )
    return (
        f"Decision rule, chosen before the verdict: {rule.name}. {rule.text}{factor} "
        f"Basis of the uncertainty: {rule.basis}.{source}",
    )
