"""Where the numbers come from: files by hash, specification, program; and the cautions."""

from __future__ import annotations

from resile.records.reading import SourceFile
from resile.records.specification import Specification
from resile.records.verdict import GradeStatement
from resile.report.document import ReportDocument
from resile.report.numbers import fixed
from resile.report.paper.models.model import LEFT, RIGHT, Column, Section, Table
from resile.report.words import joined

CAUTIONS: tuple[str, ...] = (
    "Hot binder sticks and burns deep: face shield or goggles, heat-proof gloves with close cuffs, long "
    "sleeves. Cool a burn with water for at least 10 minutes, do not peel the binder off, see a doctor.",
    "Water in hot binder turns to steam, foams and boils over: dry the sample, never heat a wet can fast.",
    "Glass of the rolling thin film oven at 163 °C may crack; a can or pan just out of the oven looks cold.",
    "The vessel of pressure ageing holds hot air at 21 times the outside pressure: release it slowly, never "
    "open it under pressure; fume and hydrogen sulphide come off then and in degassing.",
    "Hydrogen sulphide gathers over hot binder and can kill: measure before a hatch is opened, stay upwind.",
    "Cleaning solvents may be toxic or carcinogenic: fume hood, gloves, no open flame.",
)
DISCLAIMER = (
    "This page is an aid to calculation. It is not an accredited test and does not replace an engineer's "
    "judgement. The contract, the edition it names and licensed practice prevail."
)


def basis_section(document: ReportDocument) -> Section:
    """Say what everything hangs on: files by hash, specification, rules, program."""
    facts: list[tuple[str, str]] = []
    notice = ""
    notes: tuple[str, ...] = ()
    if document.statement is not None:
        specification = document.statement.specification
        facts += specification_facts(specification)
        notice = untold_notice(document.statement)
        notes = specification.notes
    programmes = dict.fromkeys(run.programme.document for run in document.runs if run.programme)
    if programmes:
        facts.append(("Test programme", joined(list(programmes))))
    others = "modulus and stiffness to three significant figures, m-value to 0.001, "
    facts.append(
        (
            "Rounding",
            "for show only: Jnr to three significant figures, recovery to 0.1 %, "
            f"{others if document.machine_groups else ''}mass change to 0.001 %; "
            "computed and judged unrounded unless the specification says otherwise",
        )
    )
    if document.record_head:
        place, _, digest = document.record_head.partition(":")
        words = f"stood at entry {place} at issue; one that was cut or rewritten gives another hash"
        facts += [("Log of the laboratory", words), ("SHA-256 of that entry", digest)]
    facts.append(("Made with", f"resile {document.package_version}".strip()))
    return Section(
        key="basis",
        title="What this report hangs on",
        notice=notice,
        facts=tuple(facts),
        tables=(source_table(document),) if all_sources(document) else (),
        bullets=notes,
        bullets_title="Notes of the specification" if notes else "",
    )


def specification_facts(specification: Specification) -> list[tuple[str, str]]:
    """Name a specification so that it can be found again."""
    return [
        ("Specification", f"{specification.identifier}: {specification.title}"),
        ("Document, edition", f"{specification.document} ({specification.edition or 'edition not stated'})"),
        ("Transcribed", specification.transcribed or "not stated"),
        ("Checked", specification.checked or "not checked"),
        ("Rounding before comparison", specification.rounding),
        ("SHA-256 of the specification", specification.sha256 or "not stated"),
    ]


def unchecked_notice(specification: Specification) -> str:
    """Warn where nobody compared the limits with the document; empty where someone did."""
    if specification.checked:
        return ""
    return (
        f"Unchecked transcription: the limits of '{specification.identifier}' have not been compared with "
        f"{specification.document or 'the document'}. Compare them before relying on a verdict."
    )


def untold_notice(statement: GradeStatement) -> str:
    """Give the warning of `unchecked_notice` unless a finding of the statement has said so already."""
    if any(finding.code == "limits-unchecked" for finding in statement.findings):
        return ""
    return unchecked_notice(statement.specification)


def all_sources(document: ReportDocument) -> tuple[SourceFile, ...]:
    """Collect every file the report hangs on, each once."""
    sources = [run.source for run in document.runs]
    sources += [run.source for group in document.machine_groups for run in group.runs]
    sources += [one.source for one in (document.ageing, document.long_term_ageing) if one is not None]
    if document.statement is not None:
        sources += [d.source for result in document.statement.results for d in result.determinations]
    once = {(s.path, s.sha256): s for s in (*sources, *document.sources) if s is not None}
    return tuple(once.values())


def source_table(document: ReportDocument) -> Table:
    """Tabulate files with their hashes."""
    return Table(
        "Files, by the SHA-256 of their bytes.",
        (Column("File", share=3.4), Column("Bytes", RIGHT, 0.8), Column("SHA-256", LEFT, 5.8)),
        tuple((s.path, fixed(s.size_bytes, 0), s.sha256) for s in all_sources(document)),
        dense=True,
    )


def caution_section() -> Section:
    """Give the cautions and the disclaimer."""
    return Section(key="cautions", title="Cautions", bullets=CAUTIONS, paragraphs=(DISCLAIMER,))
