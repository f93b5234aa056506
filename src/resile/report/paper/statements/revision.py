"""What a revision changes, number by number."""

from __future__ import annotations

from collections.abc import Sequence

from resile.records.determination import Condition
from resile.records.revision import Change, Entry, Revision
from resile.report.numbers import NOT_KNOWN, full, shown, shown_temperature
from resile.report.paper.models.model import LEFT, Column, Section, Table
from resile.report.words import CONDITION_WORDS, symbol_of

NO_CHANGE = "No difference was found: every result, verdict, identity field and file is as before."
_KINDS = {
    "identity": "Identity",
    "grade": "Grade",
    "verdict": "Verdict",
    "result": "Result",
    "uncertainty": "Standard uncertainty",
    "determination": "Determination",
    "continuous": "Continuous temperature",
    "ageing": "Ageing",
    "finding": "Finding",
    "rule": "Agreed rule",
    "specification": "Specification",
    "file": "File (SHA-256)",
    "software": "Program",
}
_SUBJECTS = {"sha256": "SHA-256", "tested_on": "tested", "sample_description": "item"}


def revision_words(revision: Revision) -> str:
    """Name a revision: ``Revision 2 of report 102``."""
    if not revision.of:
        return "Revision of an earlier report"
    number = "" if revision.number is None else f" {revision.number}"
    return f"Revision{number} of report {revision.of}"


def revision_section(revision: Revision) -> Section:
    """Give the section that says why the report was replaced and what changed."""
    changes = revision.changes
    return Section(
        key="revision",
        title="What this revision changes",
        paragraphs=revision_sentences(revision),
        tables=(changes_table(changes),) if changes else (),
    )


def revision_sentences(revision: Revision) -> tuple[str, ...]:
    """Say which report is replaced, why, and by how much it differs."""
    replaced = revision.replaces
    dated = f" of {revision.replaced_date}" if revision.replaced_date else ""
    named = f"report {replaced.number}{dated}" if replaced.number else "an earlier report"
    first = f"This report replaces {named}, which is no longer valid. Reason: {replaced.reason.rstrip('.')}."
    if not revision.compared:
        return (
            first,
            "What changed is not listed: the JSON of the replaced report was not named in the order.",
        )
    source = revision.source
    by = f" Compared with {source.path}, SHA-256 {source.sha256}." if source else ""
    return (first, f"{count_words(revision.changes)}{by}")


def count_words(changes: Sequence[Change]) -> str:
    """Say how many things two reports state differently."""
    if not changes:
        return NO_CHANGE
    count = len(changes)
    return f"{count} {'thing differs' if count == 1 else 'things differ'}; all of them are listed."


def changes_table(changes: Sequence[Change]) -> Table:
    """Tabulate changes: what, before, after."""
    return Table(
        "Changes, compared in full precision. A dash: not stated there.",
        (
            Column("What", LEFT, 1.6),
            Column("Of", LEFT, 3.0),
            Column("Before", LEFT, 2.6),
            Column("After", LEFT, 2.6),
        ),
        tuple(_row(change) for change in changes),
    )


def _row(change: Change) -> tuple[str, ...]:
    before, after = _shown_apart(change)
    return _KINDS.get(change.entry.kind, change.entry.kind), _subject(change.entry), before, after


def _subject(entry: Entry) -> str:
    subject = entry.subject
    if entry.kind in ("identity", "rule", "ageing", "specification"):
        subject = _SUBJECTS.get(subject, subject.replace("_", " "))
    property_name = symbol_of(entry.quantity) if entry.quantity else ""
    residue = CONDITION_WORDS[Condition(entry.condition)] if entry.condition in list(Condition) else ""
    at = "" if entry.temperature_c is None else shown_temperature(entry.temperature_c)
    return ", ".join(part for part in (property_name, subject, residue, at) if part)


def _shown_apart(change: Change) -> tuple[str, str]:
    """Show both values as results are shown; in full where they would then look the same."""
    rounded = _value(change.before, exact=False), _value(change.after, exact=False)
    if rounded[0] != rounded[1]:
        return rounded
    return _value(change.before, exact=True), _value(change.after, exact=True)


def _value(entry: Entry | None, *, exact: bool) -> str:
    if entry is None or entry.value is None or entry.value == "":
        return NOT_KNOWN
    if isinstance(entry.value, str):
        if entry.kind == "file" or entry.subject == "sha256":  # in groups, so that a cell may break it
            return " ".join(entry.value[start : start + 16] for start in range(0, len(entry.value), 16))
        return entry.value
    keep = exact or not entry.quantity or entry.kind not in ("result", "determination")
    number = f"{entry.value:.6g}" if keep and not exact else full(entry.value)
    return f"{number if keep else shown(entry.value, entry.quantity)} {entry.unit}".strip()
