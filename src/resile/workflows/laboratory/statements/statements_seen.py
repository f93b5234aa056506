"""Statements as they are seen: the list, one with all that hangs on it, its pages; each for whom it may."""

from __future__ import annotations

import csv
import io
from dataclasses import dataclass

from resile.errors import PermissionRefusedError, RecordNotFoundError
from resile.records.register import Actor, Customer, Kept, Sample, Statement, StatementState
from resile.report.standing import cover_of_page, page_with_notice
from resile.storage.laboratory_record import LaboratoryRecord
from resile.storage.lists.log import entry_at
from resile.storage.lists.statements import (
    StatementFilter,
    StatementRow,
    count_statements,
    statement_rows,
)
from resile.storage.reading import Reading
from resile.workflows.laboratory.access.permissions import require, require_sight
from resile.workflows.laboratory.bench.house import settings_in_force
from resile.workflows.laboratory.samples.named import person_name

STATES = tuple(state.value for state in StatementState)
_ON_A_PAGE = 50
_GONE = (StatementState.REPLACED, StatementState.WITHDRAWN)
_READ_FIRST = {"pdf": 0, "html": 1, "xlsx": 2, "json": 3}
_FORMULA = ("=", "+", "-", "@", "\t", "\r")
_MOST_ROWS = 20_000


@dataclass(frozen=True, slots=True)
class ListedStatements:
    """One page of the list.

    Attributes
    ----------
    rows : tuple of StatementRow
        In order.
    count, page, pages : int
        How many there are; which page this is, and of how many.
    """

    rows: tuple[StatementRow, ...]
    count: int
    page: int
    pages: int


@dataclass(frozen=True, slots=True)
class ToldStatement:
    """A statement with the words behind its keys.

    Attributes
    ----------
    kept : Kept of Statement
        The statement.
    sample : Kept of Sample
        Its sample.
    customer, author, releaser : str
        Names.
    replaces, replaced_by : Kept of Statement or None
        Its neighbours.
    log_stands : bool or None
        Whether the log still holds the entry whose hash is printed on it; None where none is.
    may_release, may_withdraw : bool
        What this person may do with it.
    own_draft : bool
        True where this person wrote it and another has to release it.
    """

    kept: Kept[Statement]
    sample: Kept[Sample]
    customer: str = ""
    author: str = ""
    releaser: str = ""
    replaces: Kept[Statement] | None = None
    replaced_by: Kept[Statement] | None = None
    log_stands: bool | None = None
    may_release: bool = False
    may_withdraw: bool = False
    own_draft: bool = False

    @property
    def pages(self) -> list[tuple[str, str]]:
        """Its files by name, with their SHA-256: what is read first, then the pictures."""
        files = self.kept.value.files.items()
        return sorted(files, key=lambda one: (_READ_FIRST.get(one[0].rpartition(".")[2], 9), one[0]))


def statement_seen(reading: Reading, actor: Actor, key: str) -> Kept[Statement]:
    """Give a statement to one who may see it: a draft stays within the laboratory.

    Raises
    ------
    PermissionRefusedError, RecordNotFoundError
        Where it is not for them, or there is none.
    """
    require(actor, "statements.see")
    kept = reading.get(Statement, key)
    require_sight(actor, kept.value.customer)
    if actor.customer and not was_issued(kept.value):
        raise PermissionRefusedError("this statement has not been issued")
    return kept


def was_issued(statement: Statement) -> bool:
    """Tell whether a statement ever left the laboratory."""
    return bool(statement.issued)


def statement_file(
    record: LaboratoryRecord, actor: Actor, key: str, name: str
) -> tuple[Kept[Statement], bytes]:
    """Give a page of a statement, byte for byte as it was kept.

    Raises
    ------
    PermissionRefusedError, RecordNotFoundError
        Where it is not for this person, or the statement has no such page.
    """
    with record.reading() as reading:
        kept = statement_seen(reading, actor, key)
        if name not in kept.value.files:
            raise RecordNotFoundError(f"statement {kept.value.number} has no page '{name}'")
        return kept, reading.file(kept.value.files[name])


def standing_page(
    record: LaboratoryRecord, actor: Actor, key: str, name: str
) -> tuple[Kept[Statement], bytes]:
    """Give a page of a statement as it is to be read: with a notice where it no longer stands.

    A web page carries the notice inside, a PDF lies behind a cover that says so; other files are given as
    they were issued, and those who give them out say in their name what became of them. Arguments and errors
    as in `statement_file`.
    """
    kept, content = statement_file(record, actor, key, name)
    if not name.endswith((".html", ".pdf")) or kept.value.state not in _GONE or not was_issued(kept.value):
        return kept, content
    with record.reading() as reading:
        headline, sentences = _notice(reading, kept)
    if name.endswith(".pdf"):
        return kept, cover_of_page(content, name, headline, sentences[:2], date=kept.at[:10])
    return kept, page_with_notice(content, headline, sentences)


def _notice(reading: Reading, kept: Kept[Statement]) -> tuple[str, list[str]]:
    noun = kept.value
    if noun.state is StatementState.WITHDRAWN:
        headline, why = "Withdrawn: not valid", f"Reason: {noun.reason}"
    else:
        after = reading.get(Statement, noun.replaced_by).value
        headline = "Replaced: no longer valid"
        why = f"Statement {after.number}, issued {after.issued}, stands in its place. Reason: {after.reason}"
    issued = f"Statement {noun.number} was issued on {noun.issued}; this was noted on {kept.at[:10]}."
    return headline, [issued, why, "What follows is the page as it was issued, kept for the record."]


def tell_statement(record: LaboratoryRecord, actor: Actor, key: str) -> ToldStatement:
    """Give a statement with all that hangs on it.

    Parameters
    ----------
    record, actor
        The record, and who asks.
    key : str
        Key of the statement.

    Raises
    ------
    PermissionRefusedError, RecordNotFoundError
        As in `statement_seen`.
    """
    with record.reading() as reading:
        kept = statement_seen(reading, actor, key)
        noun = kept.value
        draft = noun.state is StatementState.DRAFT
        own = draft and settings_in_force(reading).four_eyes and noun.author == actor.key
        return ToldStatement(
            kept,
            reading.get(Sample, noun.sample),
            reading.get(Customer, noun.customer).value.name if noun.customer else "",
            person_name(reading, noun.author),
            person_name(reading, noun.releaser) if noun.releaser else "",
            reading.get(Statement, noun.replaces) if noun.replaces else None,
            reading.get(Statement, noun.replaced_by) if noun.replaced_by else None,
            log_stands(reading, noun.head),
            draft and actor.may("statements.release") and not own,
            noun.state in (StatementState.DRAFT, StatementState.ISSUED)
            and (actor.may("statements.release") or (draft and actor.may("statements.draft"))),
            own and actor.may("statements.release"),
        )


def list_statements(
    record: LaboratoryRecord,
    actor: Actor,
    *,
    state: str = "",
    words: str = "",
    order: str = "",
    page: int = 1,
) -> ListedStatements:
    """Give a page of the list of statements: a customer's own issued ones, or all.

    Parameters
    ----------
    record, actor
        The record, and who asks.
    state, words : str
        State, and part of a number; empty for all.
    order : str
        Column to sort by, with ``-`` before it for falling.
    page : int
        From 1.
    """
    wanted = _wanted(actor, state, words)
    with record.reading() as reading:
        count = count_statements(reading, wanted)
        pages = max(1, -(-count // _ON_A_PAGE))
        page = min(max(page, 1), pages)
        rows = _rows(reading, wanted, order, limit=_ON_A_PAGE, offset=(page - 1) * _ON_A_PAGE)
    return ListedStatements(tuple(rows), count, page, pages)


def statement_table(
    record: LaboratoryRecord, actor: Actor, *, state: str = "", words: str = "", order: str = ""
) -> str:
    """Give the whole list as CSV; a cell that begins like a formula is given as text."""
    wanted = _wanted(actor, state, words)
    with record.reading() as reading:
        rows = _rows(reading, wanted, order, limit=_MOST_ROWS, offset=0)
    out = io.StringIO()
    writer = csv.writer(out)
    writer.writerow(("number", "state", "issued", "sample", "customer", "key"))
    for row in rows:
        cells = (row.number, row.state, row.issued, row.sample_number, row.customer_name, row.key)
        writer.writerow([f"'{cell}" if cell[:1] in _FORMULA else cell for cell in cells])
    return out.getvalue()


def _wanted(actor: Actor, state: str, words: str) -> StatementFilter:
    require(actor, "statements.see")
    return StatementFilter(state, actor.customer, words, issued_only=bool(actor.customer))


def _rows(
    reading: Reading, wanted: StatementFilter, order: str, *, limit: int, offset: int
) -> list[StatementRow]:
    column = order.removeprefix("-") or "written"
    falling = order.startswith("-") or not order
    return statement_rows(reading, wanted, order=column, falling=falling, limit=limit, offset=offset)


def log_stands(reading: Reading, head: str) -> bool | None:
    """Tell whether the log still holds the head printed on a statement; None where none is printed."""
    if not head:
        return None
    seq, _, digest = head.partition(":")
    entry = entry_at(reading, int(seq))
    return entry is not None and entry.hash == digest
