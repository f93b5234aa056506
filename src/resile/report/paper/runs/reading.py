"""How files were understood, as sections of a page: form, columns, rows that were not used."""

from __future__ import annotations

from collections.abc import Iterable

from resile.records.bending_beam import BeamRun
from resile.records.creep_recovery import CreepRecoveryRun
from resile.records.oscillation import OscillationRun
from resile.records.reading import ReadingAccount, RefusedRow, SourceFile
from resile.records.viscosity import ViscosityRun
from resile.report.document import ReportDocument
from resile.report.numbers import NOT_KNOWN, fixed
from resile.report.paper.models.model import LEFT, RIGHT, Column, Section, Table, measured
from resile.report.words import METHOD_TITLES, joined, title_of

_Run = CreepRecoveryRun | OscillationRun | BeamRun | ViscosityRun
_Read = tuple[_Run, ReadingAccount]


def account_facts(source: SourceFile | None, account: ReadingAccount) -> tuple[tuple[str, str], ...]:
    """Say in words how a file was understood, as label and value."""
    facts = []
    if source is not None:
        facts += [("File", source.path), ("Size", f"{fixed(source.size_bytes, 0)} bytes")]
    facts += [("Sheet", account.sheet)] if account.sheet else []
    rows = (
        f"{fixed(account.rows_kept, 0)} kept (of these {fixed(account.rows_converted, 0)} converted), "
        f"{fixed(account.rows_refused_count, 0)} not used"
    )
    return (*facts, *form_facts(account), ("Rows", rows))


def form_facts(account: ReadingAccount) -> tuple[tuple[str, str], ...]:
    """Say in words what kind of file it was taken for: the same for all files of one export."""
    facts = [("Form", account.form)]
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
        dense=True,
    )


def reading_sections(document: ReportDocument) -> tuple[Section, ...]:
    """Give one section a file and block that was read, each only once."""
    sections = [
        _alike_section(read, f"reading-{place}")
        for place, read in enumerate(_alike(_runs_with_accounts(document)), start=1)
    ]
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
    refused = refused_table(account.rows_refused, account.rows_refused_count)
    return (*tables, *((refused,) if refused is not None else ()))


def refused_table(refused: Iterable[RefusedRow], count: int) -> Table | None:
    """Tabulate rows that were not used; None where all were.

    Parameters
    ----------
    refused : iterable of RefusedRow
        Those that are listed.
    count : int
        How many there were.

    Returns
    -------
    Table or None
        Place, text and reason.
    """
    listed = tuple(dict.fromkeys(refused))
    if not listed:
        return None
    more = count - len(listed)
    return Table(
        "Rows that were not used.",
        (Column("Place", share=1.2), Column("As printed", share=2.5), Column("Why", share=3.5)),
        tuple((row.place, row.text, row.reason) for row in listed),
        f"{more} more are not listed." if more > 0 else "",
    )


def _runs_with_accounts(document: ReportDocument) -> list[tuple[str, _Read]]:
    """Give every run that was read, once, with the method it belongs to."""
    others = [(group.method, run) for group in document.machine_groups for run in group.runs]
    runs: list[tuple[str, _Run]] = [*(("creep_recovery", run) for run in document.runs), *others]
    once: dict[tuple[object, ...], tuple[str, _Read]] = {}
    for place, (method, run) in enumerate(runs):
        if run.account is not None:
            # Blocks of one file are told apart by sheet and label; of other tests each run counts.
            own = () if method == "creep_recovery" else (place,)
            key = (method, run.source.sha256 if run.source else "", run.account.sheet, run.label, *own)
            once.setdefault(key, (method, (run, run.account)))
    return list(once.values())


def _alike(runs: list[tuple[str, _Read]]) -> list[tuple[str, list[_Read]]]:
    """Put records of one test together that were understood alike, sheets of one workbook as well."""
    alike: dict[tuple[object, ...], list[_Read]] = {}
    for method, (run, account) in runs:
        key = (method, form_facts(account), account.columns)
        alike.setdefault(key, []).append((run, account))
    return [(str(key[0]), read) for key, read in alike.items()]


def _alike_section(told: tuple[str, list[_Read]], key: str) -> Section:
    method, read = told
    run, account = read[0]
    if method == "creep_recovery" and len(read) == 1:
        return _record_section(run, account, key)
    title = METHOD_TITLES[method].lower()
    refused = [row for _, each in read for row in each.rows_refused]
    by_file = {one.source.sha256 if one.source else "": each.rows_refused_count for one, each in read}
    tables = (
        _files_table(read),
        column_table(account) if account.columns else None,
        refused_table(refused, sum(by_file.values())),
    )
    shared = [words for words in account.remarks if all(words in each.remarks for _, each in read)]
    own = {
        f"{_run_words(one, each)}: {words}"
        for one, each in read
        for words in each.remarks
        if words not in shared
    }
    remarks = (*shared, *sorted(own))
    return Section(
        key=key,
        title=f"How the records were read: {title}"
        if len(read) > 1
        else f"How the record was read: {title} ({_run_file(run)})",
        facts=form_facts(account),
        paragraphs=() if len(read) == 1 else ("All of these were understood alike.",),
        tables=tuple(table for table in tables if table is not None),
        bullets=remarks,
        bullets_title="Remarks of the reader" if remarks else "",
    )


def _record_section(run: _Run, account: ReadingAccount, key: str) -> Section:
    name = f" ({run.label})" if run.label else ""
    return Section(
        key=key,
        title=f"How the record was read{name}",
        facts=account_facts(run.source, account),
        tables=_reading_tables(account),
        bullets=account.remarks,
        bullets_title="Remarks of the reader" if account.remarks else "",
    )


def _run_words(run: _Run, account: ReadingAccount) -> str:
    return run.label or account.sheet or _run_file(run)


def _run_file(run: _Run) -> str:
    return file_name(run.source.path) if run.source else NOT_KNOWN


def _files_table(read: list[_Read]) -> Table:
    return Table(
        "Files and the rows of each run.",
        (
            Column("File", share=3.0),
            Column("Run, sheet", share=2.4),
            Column("Bytes", RIGHT, 1.0),
            Column("Kept", RIGHT, 0.8),
            Column("Converted", RIGHT, 1.1),
            Column("Not used", RIGHT, 1.0),
        ),
        tuple(
            (
                run.source.path if run.source else NOT_KNOWN,
                _run_in_file(run, account),
                fixed(run.source.size_bytes, 0) if run.source else NOT_KNOWN,
                fixed(account.rows_kept, 0),
                fixed(account.rows_converted, 0),
                fixed(account.rows_refused_count, 0),
            )
            for run, account in read
        ),
        "Not used: of the whole file. The SHA-256 of each file stands under What this report hangs on.",
    )


def _run_in_file(run: _Run, account: ReadingAccount) -> str:
    """Name the run, and the sheet where the name does not hold it."""
    sheet = f"sheet '{account.sheet}'" if account.sheet and account.sheet not in run.label else ""
    return ", ".join(part for part in (run.label, sheet) if part) or NOT_KNOWN
