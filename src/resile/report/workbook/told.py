"""The sheets of words: sample, verdicts, findings, how it was read."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from resile.records.finding import Finding
from resile.records.revision import Revision
from resile.report.document import ReportDocument
from resile.report.paper.assemble import page_of
from resile.report.paper.runs.reading import account_facts
from resile.report.paper.statements.answer import findings_of
from resile.report.paper.statements.provenance import all_sources, specification_facts, untold_notice
from resile.report.paper.statements.revision import changes_table, revision_sentences, revision_words
from resile.report.words import CONDITION_WORDS, symbol_of
from resile.report.workbook.cells import set_widths, write_cell, write_head, write_pairs


def write_sample(sheet: Any, formats: dict[str, Any], document: ReportDocument) -> None:
    """Write identity, answer and cautions."""
    page = page_of(document)
    set_widths(sheet, (30, 90))
    sheet.write_string(0, 0, page.title, formats["title"])
    row = write_pairs(sheet, formats, 2, page.identity)
    warnings = (("Note", page.banner),) if page.banner else ()
    row = write_pairs(sheet, formats, row + 1, (*warnings, ("Answer", page.answer)))
    row = write_pairs(sheet, formats, row, tuple(("", sentence) for sentence in page.answer_more))
    cautions = next(section for section in page.sections if section.key == "cautions")
    row = write_pairs(sheet, formats, row + 1, tuple(("Caution", words) for words in cautions.bullets))
    write_pairs(sheet, formats, row, tuple(("", words) for words in cautions.paragraphs))


def write_revision(sheet: Any, formats: dict[str, Any], revision: Revision) -> None:
    """Write what a revision changes, one row a change."""
    set_widths(sheet, (24, 50, 40, 40))
    sheet.write_string(0, 0, revision_words(revision), formats["title"])
    for row, words in enumerate(revision_sentences(revision), start=1):
        sheet.write_string(row, 0, words, formats["label"])
    table = changes_table(revision.changes)
    write_head(sheet, formats, 4, tuple(column.title for column in table.columns))
    for row, cells in enumerate(table.rows, start=5):
        for column, words in enumerate(cells):
            sheet.write_string(row, column, words, formats["text"])


def write_verdicts(sheet: Any, formats: dict[str, Any], document: ReportDocument) -> None:
    """Write one row a class and requirement, the margin as a formula."""
    set_widths(sheet, (10, 16, 18, 14, 10, 12, 12, 9, 18, 12, 12, 12, 50))
    statement = document.statement
    if statement is None:
        sheet.write_string(0, 0, "No specification was applied.", formats["text"])
        return
    titles = (
        "Class",
        "Property",
        "Residue",
        "Temperature (°C)",
        "Bound",
        "Limit",
        "Value",
        "Unit",
        "Outcome",
        "Margin",
        "Margin in d2s",
        "Probability",
        "Reason",
    )
    write_head(sheet, formats, 0, titles)
    sheet.freeze_panes(1, 0)
    row = 0
    for service in statement.classes:
        for verdict in service.verdicts:
            row += 1
            requirement = verdict.requirement
            cells: tuple[tuple[int, float | str | None, str], ...] = (
                (0, service.label, "text"),
                (1, symbol_of(requirement.quantity), "text"),
                (2, CONDITION_WORDS[requirement.condition], "text"),
                (3, verdict.test_temperature_c, "percent"),
                (4, requirement.bound, "text"),
                (5, verdict.limit, "number"),
                (6, verdict.value, "jnr"),
                (7, requirement.unit, "text"),
                (8, str(verdict.outcome), "text"),
                (10, verdict.margin_repeatabilities, "percent"),
                (11, verdict.probability_of_conformity, "jnr"),
                (12, verdict.reason, "text"),
            )
            for column, value, form in cells:
                write_cell(sheet, row, column, value, formats[form])
            if verdict.margin is not None:
                value = f"ABS(G{row + 1})" if requirement.absolute else f"G{row + 1}"
                limit = f"F{row + 1}"
                formula = f"={limit}-{value}" if requirement.bound == "maximum" else f"={value}-{limit}"
                sheet.write_formula(row, 9, formula, formats["jnr"], verdict.margin)
    rule = statement.decision_rule
    write_pairs(sheet, formats, row + 2, (("Rule", f"{rule.name}: {rule.text}"), ("Basis", rule.basis)))


def write_findings(sheet: Any, formats: dict[str, Any], document: ReportDocument) -> None:
    """Write every finding, heaviest first."""
    write_finding_rows(sheet, formats, findings_of(document))


def write_finding_rows(sheet: Any, formats: dict[str, Any], findings: Iterable[Finding]) -> None:
    """Write findings in the order given."""
    set_widths(sheet, (11, 26, 70, 40, 12, 12, 8, 40, 50))
    titles = ("Severity", "Code", "Finding", "Rule", "Found", "Threshold", "Unit", "Source", "What to do")
    write_head(sheet, formats, 0, titles)
    sheet.freeze_panes(1, 0)
    for row, one in enumerate(findings, start=1):
        cells = (
            str(one.severity),
            one.code,
            one.message,
            one.rule,
            one.value,
            one.limit,
            one.unit,
            one.source,
            one.advice,
        )
        for column, value in enumerate(cells):
            write_cell(sheet, row, column, value, formats["text"])


def write_reading(sheet: Any, formats: dict[str, Any], document: ReportDocument) -> None:
    """Write how each file was read, its hash, and the specification."""
    set_widths(sheet, (30, 100))
    row = 0
    machine = (run for group in document.machine_groups for run in group.runs)
    for run in (*document.runs, *machine):
        if run.account is None:
            continue
        row = write_pairs(sheet, formats, row, account_facts(run.source, run.account))
        columns = tuple(
            (f"Column {c.position}: {c.heading}", c.remark or c.quantity or "not used")
            for c in run.account.columns
        )
        row = write_pairs(sheet, formats, row, columns)
        refused = tuple((r.place, f"{r.reason}: {r.text}") for r in run.account.rows_refused)
        row = write_pairs(sheet, formats, row, refused)
        row = write_pairs(sheet, formats, row, tuple(("Remark", words) for words in run.account.remarks)) + 1
    hashes = tuple((source.path, f"SHA-256 {source.sha256}") for source in all_sources(document))
    row = write_pairs(sheet, formats, row, hashes) + 1
    if document.statement is not None:
        specification = document.statement.specification
        row = write_pairs(sheet, formats, row, tuple(specification_facts(specification)))
        notice = untold_notice(document.statement)
        row = write_pairs(sheet, formats, row, (("Caution", notice),) if notice else ())
    write_pairs(sheet, formats, row, (("Made with", f"resile {document.package_version}".strip()),))
