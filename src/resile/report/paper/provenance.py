"""Where the numbers come from: files as read, specification, program; and the cautions."""

from __future__ import annotations

from resile.records.reading import ReadingAccount, SourceFile
from resile.records.specification import Specification
from resile.records.verdict import GradeStatement
from resile.report.document import ReportDocument
from resile.report.numbers import NOT_KNOWN, fixed
from resile.report.paper.model import LEFT, RIGHT, Column, Section, Table, measured
from resile.report.words import joined, title_of

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


def account_facts(source: SourceFile | None, account: ReadingAccount) -> tuple[tuple[str, str], ...]:
    """Say in words how a file was understood, as label and value."""
    facts = []
    if source is not None:
        facts += [("File", source.path), ("Size", f"{fixed(source.size_bytes, 0)} bytes")]
    form = account.form
    if account.sheet:
        form += f", sheet '{account.sheet}'"
    facts.append(("Form", form))
    if account.encoding:
        facts.append(("Encoding", account.encoding))
    if account.separator:
        facts.append(("Columns set apart by", account.separator))
    facts.append(("Decimal mark", "comma" if account.decimal_mark == "," else "point"))
    if account.layout:
        facts.append(("Saved layout", account.layout))
    headings = joined([str(row) for row in account.heading_rows]) or "none"
    facts.append(("Heading rows", headings))
    facts.append(("First data row", str(account.first_data_row)))
    facts.append(
        (
            "Rows",
            f"{fixed(account.rows_kept, 0)} kept (of these {fixed(account.rows_converted, 0)} converted), "
            f"{fixed(account.rows_refused_count, 0)} not used",
        )
    )
    return tuple(facts)


def column_table(account: ReadingAccount) -> Table:
    """Tabulate how each column was taken."""
    rows = tuple(
        (
            str(column.position),
            column.heading or NOT_KNOWN,
            column.unit_found or NOT_KNOWN,
            title_of(column.quantity) if column.quantity else "not used",
            column.unit_taken or NOT_KNOWN,
            measured(column.factor) if column.quantity else NOT_KNOWN,
            column.remark or NOT_KNOWN,
        )
        for column in account.columns
    )
    return Table(
        "Columns as understood.",
        (
            Column("No.", RIGHT, 0.5),
            Column("Heading", LEFT, 2.0),
            Column("Unit found", LEFT, 1.0),
            Column("Taken as", LEFT, 2.0),
            Column("Kept in", LEFT, 0.9),
            Column("Times", RIGHT, 0.9),
            Column("Remark", LEFT, 3.2),
        ),
        rows,
    )


def reading_sections(document: ReportDocument) -> tuple[Section, ...]:
    """Give one section a file and block that was read, each only once."""
    sections: list[Section] = []
    seen = set()
    for run in document.runs:
        if run.account is None:
            continue
        key = (run.source.sha256 if run.source else "", run.account.sheet, run.label)
        if key in seen:
            continue
        seen.add(key)
        name = f" ({run.label})" if run.label else ""
        sections.append(
            Section(
                key=f"reading-{len(sections) + 1}",
                title=f"How the record was read{name}",
                facts=account_facts(run.source, run.account),
                tables=_reading_tables(run.account),
                bullets=run.account.remarks,
                bullets_title="Remarks of the reader" if run.account.remarks else "",
            )
        )
    for source, account in document.tables_read:
        sections.append(
            Section(
                key=f"reading-{len(sections) + 1}",
                title=f"How the table was read ({file_name(source.path)})",
                facts=account_facts(source, account),
                tables=_reading_tables(account),
                bullets=account.remarks,
                bullets_title="Remarks of the reader" if account.remarks else "",
            )
        )
    return tuple(sections)


def file_name(path: str) -> str:
    """Give the last part of a path of either kind."""
    return path.replace("\\", "/").rsplit("/", 1)[-1]


def _reading_tables(account: ReadingAccount) -> tuple[Table, ...]:
    tables = [column_table(account)] if account.columns else []
    if account.rows_refused:
        listed = len(account.rows_refused)
        more = account.rows_refused_count - listed
        tables.append(
            Table(
                "Rows that were not used.",
                (Column("Place", share=1.2), Column("As printed", share=2.5), Column("Why", share=3.5)),
                tuple((row.place, row.text, row.reason) for row in account.rows_refused),
                f"{more} more are not listed." if more > 0 else "",
            )
        )
    return tuple(tables)


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
    facts.append(
        (
            "Rounding",
            "for show only: Jnr to three significant figures, recovery to 0.1 %, mass change to 0.001 %; "
            "computed and judged unrounded unless the specification says otherwise",
        )
    )
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
    sources += [one.source for one in (document.ageing, document.long_term_ageing) if one is not None]
    if document.statement is not None:
        sources += [d.source for result in document.statement.results for d in result.determinations]
    once = {(s.path, s.sha256): s for s in (*sources, *document.sources) if s is not None}
    return tuple(once.values())


def source_table(document: ReportDocument) -> Table:
    """Tabulate files with their hashes."""
    return Table(
        "Files, by the SHA-256 of their bytes.",
        (Column("File", share=3.0), Column("Bytes", RIGHT, 1.0), Column("SHA-256", LEFT, 6.0)),
        tuple((s.path, fixed(s.size_bytes, 0), s.sha256) for s in all_sources(document)),
    )


def caution_section() -> Section:
    """Give the cautions and the disclaimer."""
    return Section(key="cautions", title="Cautions", bullets=CAUTIONS, paragraphs=(DISCLAIMER,))
