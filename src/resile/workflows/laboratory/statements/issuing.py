"""From the verdict on a sample to the statement that stands: draft, release, replace, withdraw."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from resile.errors import ConflictError, InputError, PermissionRefusedError
from resile.records.reading import HeldFile
from resile.records.register import Actor, Kept, Sample, Statement, StatementState, Verdict
from resile.records.revision import Replacement
from resile.storage.book import Book
from resile.storage.chain import head_of
from resile.storage.laboratory_record import LaboratoryRecord
from resile.storage.lists.log import last_entry
from resile.storage.raw_files import PackedFile
from resile.storage.reading import Reading
from resile.version import __version__
from resile.workflows.laboratory.access.permissions import ONE_PERSON, require, require_sight
from resile.workflows.laboratory.bench.house import settings_in_force
from resile.workflows.laboratory.samples.retention import ISSUED, plan_after
from resile.workflows.laboratory.samples.sample_numbers import next_statement_number
from resile.workflows.laboratory.statements.grading import judged_bytes, latest_verdict, report_of_stored
from resile.workflows.laboratory.statements.stored_order import stored_order
from resile.workflows.orders.ordering import OrderReport
from resile.workflows.orders.pages import Seal, document_files, file_stem

_NOWHERE = Path("statement")
"""Pages are made under this name, and kept by their hash; nothing is written."""


def draft_statement(
    record: LaboratoryRecord, actor: Actor, at: str, sample: str, *, reason: str = ""
) -> Kept[Statement]:
    """Write a statement on a sample from its newest verdict, as it will be issued, marked as a draft.

    Parameters
    ----------
    record : LaboratoryRecord
        Where it is kept.
    actor : Actor
        Its author.
    at : str
        When, ISO 8601 in UTC.
    sample : str
        Key of the sample.
    reason : str
        Why it replaces the statement that stands; needed where one does.

    Returns
    -------
    Kept of Statement
        With a number of its own and its pages.

    Raises
    ------
    PermissionRefusedError
        Where the person may write no statement.
    ConflictError
        Where a draft is open, or the sample has changed since it was graded.
    InputError
        Where it was not graded, or the reason is missing.
    """
    require(actor, "statements.draft")
    with record.reading() as reading:
        customer = reading.get(Sample, sample).value.customer
        require_sight(actor, customer)
        verdict = _verdict_to_state(reading, sample)
        standing = _standing(reading, sample, reason)
        number = next_statement_number(reading, at, sample)
        replaces = None if standing is None else _replacement(reading, standing, reason)
        report = _report(reading, at, sample, number=number, replaces=replaces)
    _check_unchanged(report, verdict)
    files = _packed(report, draft=True)
    noun = Statement(
        number=number,
        sample=sample,
        verdict=verdict.key,
        customer=customer,
        author=actor.key,
        replaces="" if standing is None else standing.key,
        reason=reason.strip(),
        files={name: file.sha256 for name, file in files.items()},
        software=__version__,
        changes=_changes(report),
    )
    with record.writing(by=actor.key, at=at) as book:
        _refuse_second_draft(book, sample)
        return _kept(book, noun, files)


def release_statement(
    record: LaboratoryRecord,
    actor: Actor,
    at: str,
    key: str,
    *,
    seen: int | None = None,
    seal: Seal | None = None,
) -> Kept[Statement]:
    """Release a draft: its pages are made without the mark, kept, and never change again.

    Parameters
    ----------
    record, actor, at
        As in `draft_statement`; the actor is the one who releases.
    key : str
        Key of the draft.
    seen : int or None
        Revision that the person saw.
    seal : callable or None
        Signs the page (`resile.workflows.orders.signing.seal_with`).

    Returns
    -------
    Kept of Statement
        Issued. The statement that it replaces is marked as replaced in the same transaction.

    Raises
    ------
    PermissionRefusedError
        Where the person may release none, or wrote it and the laboratory wants four eyes.
    ConflictError
        Where it is no draft any more, or the sample has changed since.
    """
    require(actor, "statements.release")
    with record.reading() as reading:
        draft = reading.get(Statement, key)
        _require_state(draft, StatementState.DRAFT, "be released")
        noun = draft.value
        if settings_in_force(reading).four_eyes:
            _require_other_eyes(noun, actor)
        replaces = None
        if noun.replaces:
            standing = reading.get(Statement, noun.replaces)
            _require_state(standing, StatementState.ISSUED, f"be replaced by {noun.number}")
            replaces = _replacement(reading, standing, noun.reason)
        verdict = reading.get(Verdict, noun.verdict)
        report = _report(
            reading, at, noun.sample, number=noun.number, reviewed_by=actor.name, replaces=replaces
        )
        last = last_entry(reading)
    _check_unchanged(report, verdict)
    head = head_of(last.seq, last.hash)
    files = _packed(report, head=head, seal=seal)
    issued = replace(
        noun,
        state=StatementState.ISSUED,
        releaser=actor.key,
        issued=at[:10],
        files={name: file.sha256 for name, file in files.items()},
        software=__version__,
        head=head,
        changes=_changes(report),
    )
    with record.writing(by=actor.key, at=at) as book:
        now = book.get(Statement, key)
        _require_state(now, StatementState.DRAFT, "be released")
        kept = _kept(book, issued, files, draft, seen=seen if seen is not None else draft.revision)
        if noun.replaces:
            old = book.get(Statement, noun.replaces)
            _require_state(old, StatementState.ISSUED, f"be replaced by {noun.number}")
            gone = replace(old.value, state=StatementState.REPLACED, replaced_by=key)
            book.keep(gone, key=old.key, reason=f"replaced by {noun.number}: {noun.reason}")
        plan_after(book, noun.sample, ISSUED, at)
    return kept


def withdraw_statement(
    record: LaboratoryRecord, actor: Actor, at: str, key: str, *, reason: str, seen: int | None = None
) -> Kept[Statement]:
    """Withdraw a statement that was issued, or give up a draft; it stays in the record with the reason.

    Parameters
    ----------
    record, actor, at, key, seen
        As in `release_statement`.
    reason : str
        Why; shown wherever the statement is shown.

    Raises
    ------
    PermissionRefusedError, ConflictError, InputError
        Where the person may not, it was replaced or withdrawn already, or the reason is missing.
    """
    with record.reading() as reading:
        kept = reading.get(Statement, key)
    draft = kept.value.state is StatementState.DRAFT
    if not (draft and actor.may("statements.draft")):
        require(actor, "statements.release")
    if not reason.strip():
        raise InputError(f"statement {kept.value.number}: say why it is withdrawn; nothing was changed")
    if not draft:
        _require_state(kept, StatementState.ISSUED, "be withdrawn")
    gone = replace(kept.value, state=StatementState.WITHDRAWN, reason=reason.strip())
    with record.writing(by=actor.key, at=at) as book:
        return book.keep(gone, key=key, seen=kept.revision if seen is None else seen, reason=reason)


def _require_other_eyes(noun: Statement, actor: Actor) -> None:
    """Refuse the author, and one of whom nothing shows that they are not the author."""
    if actor.key == ONE_PERSON:
        raise PermissionRefusedError(
            f"statement {noun.number}: in this laboratory another person than its author releases it, and "
            "here nobody has signed in: who releases cannot be told. Sign in to the workbench (resile serve, "
            "with accounts) and release it there. Nothing was changed"
        )
    if noun.author == actor.key:
        raise PermissionRefusedError(
            f"statement {noun.number} was written by {actor.name}: in this laboratory another person "
            "releases it. Ask one who may release statements"
        )


def _verdict_to_state(reading: Reading, sample: str) -> Kept[Verdict]:
    verdict = latest_verdict(reading, sample)
    if verdict is None:
        number = reading.get(Sample, sample).value.number
        raise InputError(f"sample {number} has not been graded yet; grade it, then write its statement")
    return verdict


def _standing(reading: Reading, sample: str, reason: str) -> Kept[Statement] | None:
    """Give the statement that stands on a sample; a new one replaces it, and says why."""
    _refuse_second_draft(reading, sample)
    standing = reading.find(Statement, sample=sample, state=StatementState.ISSUED.value, limit=1)
    if standing and not reason.strip():
        raise InputError(
            f"statement {standing[0].value.number} stands on this sample: say why a new one replaces it"
        )
    return standing[0] if standing else None


def _refuse_second_draft(reading: Reading, sample: str) -> None:
    drafts = reading.find(Statement, sample=sample, state=StatementState.DRAFT.value, limit=1)
    if drafts:
        raise ConflictError(
            f"statement {drafts[0].value.number} is a draft on this sample already; "
            "release it, or give it up with a reason"
        )


def _require_state(kept: Kept[Statement], wanted: StatementState, doing: str) -> None:
    if kept.value.state is not wanted:
        raise ConflictError(
            f"statement {kept.value.number} is {kept.value.state.value}: it cannot {doing}; "
            "nothing was changed"
        )


def _replacement(reading: Reading, standing: Kept[Statement], reason: str) -> Replacement:
    noun = standing.value
    name = f"{file_stem(noun.number)}.json"
    return Replacement(noun.number, reason.strip(), HeldFile(name, reading.file(noun.files[name])))


def _report(
    reading: Reading,
    at: str,
    sample: str,
    *,
    number: str,
    reviewed_by: str = "",
    replaces: Replacement | None = None,
) -> OrderReport:
    stored = stored_order(reading, sample, number=number, reviewed_by=reviewed_by, replaces=replaces)
    return report_of_stored(stored, at)


def _check_unchanged(report: OrderReport, verdict: Kept[Verdict]) -> None:
    """Refuse to state what is not what was judged."""
    if PackedFile.of(judged_bytes(report)).sha256 != verdict.value.file:
        raise ConflictError(
            f"sample {report.order.sample.name}: something that the verdict rests on was changed since "
            "it was graded; grade it again, look at the new verdict, then write the statement"
        )


def _packed(
    report: OrderReport, *, draft: bool = False, head: str = "", seal: Seal | None = None
) -> dict[str, PackedFile]:
    document = replace(report.document, draft=draft, record_head=head)
    report = replace(report, document=document)
    files = document_files(document, _NOWHERE, statement=report.to_json(), seal=seal)
    return {path.name: PackedFile.of(content) for path, content in files.items()}


def _changes(report: OrderReport) -> tuple[str, ...]:
    from resile.report.paper.statements.revision import changes_table

    revision = report.document.revision
    if revision is None:
        return ()
    rows = changes_table(revision.changes).rows
    return tuple(
        f"{', '.join(part for part in (what, of) if part)}: {before} → {after}"
        for what, of, before, after in rows
    )


def _kept(
    book: Book,
    noun: Statement,
    files: dict[str, PackedFile],
    old: Kept[Statement] | None = None,
    *,
    seen: int | None = None,
) -> Kept[Statement]:
    for file in files.values():
        book.keep_file(file)
    if old is None:
        return book.keep(noun)
    return book.keep(noun, key=old.key, seen=seen, reason="released")
