"""A statement is drafted, released by another person, replaced, withdrawn; what was issued never changes."""

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import orjson
import pytest

from resile.errors import ConflictError, InputError, PermissionRefusedError, RecordNotFoundError
from resile.records.finding import Severity
from resile.records.register import (
    Actor,
    Asked,
    Can,
    Heating,
    LaboratorySettings,
    Sample,
    SampleStage,
    Statement,
    StatementState,
)
from resile.storage.laboratory_record import LaboratoryRecord
from resile.storage.lists.log import entry_at
from resile.storage.shelves import BY_KIND
from resile.workflows.laboratory.access.permissions import one_person, roles
from resile.workflows.laboratory.bench.heating import keep_heating
from resile.workflows.laboratory.record.auditing import verify_record
from resile.workflows.laboratory.samples.custody import keep_can
from resile.workflows.laboratory.statements.grading import grade_stored_sample
from resile.workflows.laboratory.statements.issuing import (
    draft_statement,
    release_statement,
    withdraw_statement,
)
from resile.workflows.laboratory.statements.statements_seen import statement_file
from stored_samples import AT, keep_order

AUTHOR = Actor("P-000011", "I. Ombrelace", roles()["manager"].may)
RELEASER = Actor("P-000012", "P. Quillsedge", roles()["releaser"].may)
CUSTOMER = Actor("P-000013", "T. Morrow", roles()["customer-reader"].may, "K-000001")
STRANGER = Actor("P-000014", "S. Else", roles()["customer-reader"].may, "K-000009")


@pytest.fixture
def record(record_url: str) -> Iterator[LaboratoryRecord]:
    opened = LaboratoryRecord.open(record_url)
    yield opened
    opened.close()


@pytest.fixture
def plain_record(tmp_path: Path) -> Iterator[LaboratoryRecord]:
    """Give a record in a file, for what is the same on every database: words and pages."""
    opened = LaboratoryRecord.open(tmp_path / "record.db")
    yield opened
    opened.close()


def graded(record: LaboratoryRecord, folder: str = "101-plain", **settings: Any) -> str:
    key = keep_order(record, folder, **settings)
    grade_stored_sample(record, one_person(), AT, key)
    return key


def issued(record: LaboratoryRecord, sample: str, **words: str) -> str:
    draft = draft_statement(record, AUTHOR, AT, sample, **words)
    return release_statement(record, RELEASER, AT, draft.key).key


def state_of(record: LaboratoryRecord, key: str) -> Statement:
    with record.reading() as reading:
        return reading.get(Statement, key).value


def revise(record: LaboratoryRecord, key: str, **changes: Any) -> None:
    with record.writing(by="P-1", at=AT) as book:
        book.keep(replace(book.get(Sample, key).value, **changes), key=key, reason="corrected")


def test_a_draft_says_so_and_the_issued_pages_do_not(plain_record: LaboratoryRecord) -> None:
    sample = graded(plain_record)
    draft = draft_statement(plain_record, AUTHOR, AT, sample)
    assert (draft.value.number, draft.value.state) == ("101-1", StatementState.DRAFT)
    assert b"DRAFT, not issued" in statement_file(plain_record, AUTHOR, draft.key, "101-1.html")[1]
    kept = release_statement(plain_record, RELEASER, AT, draft.key)
    assert (kept.value.state, kept.value.issued, kept.value.releaser) == (
        StatementState.ISSUED,
        "2026-05-13",
        "P-000012",
    )
    assert {"101-1.html", "101-1.pdf", "101-1.xlsx", "101-1.json"} <= set(kept.value.files)
    page = statement_file(plain_record, RELEASER, draft.key, "101-1.html")[1].decode()
    assert "DRAFT" not in page
    assert "P. Quillsedge" in page
    with plain_record.reading() as reading:
        table = BY_KIND["sample"].table
        assert reading.rows(table.select().where(table.c.key == sample))[0].stage == SampleStage.STATED


def test_the_head_of_the_log_stands_on_the_statement_and_is_verified(record: LaboratoryRecord) -> None:
    key = issued(record, graded(record))
    head = state_of(record, key).head
    seq, _, digest = head.partition(":")
    assert digest in statement_file(record, RELEASER, key, "101-1.html")[1].decode().replace("\u200b", "")
    with record.reading() as reading:
        entry = entry_at(reading, int(seq))
    assert entry is not None
    assert entry.hash == digest
    assert not verify_record(record, one_person(), head=head).faults
    assert verify_record(record, one_person(), head=f"{seq}:{'0' * 64}").faults


def test_the_author_may_not_release_where_four_eyes_are_wanted(plain_record: LaboratoryRecord) -> None:
    draft = draft_statement(plain_record, AUTHOR, AT, graded(plain_record, four_eyes=True))
    with pytest.raises(PermissionRefusedError, match="another person releases it"):
        release_statement(plain_record, AUTHOR, AT, draft.key)
    assert release_statement(plain_record, RELEASER, AT, draft.key).value.state is StatementState.ISSUED


def test_the_author_may_release_where_two_eyes_are_enough(plain_record: LaboratoryRecord) -> None:
    draft = draft_statement(plain_record, AUTHOR, AT, graded(plain_record))
    assert release_statement(plain_record, AUTHOR, AT, draft.key).value.releaser == AUTHOR.key


def test_a_replacement_names_what_changed_and_the_old_one_keeps_its_bytes(record: LaboratoryRecord) -> None:
    sample = graded(record)
    first = issued(record, sample)
    before = {
        name: statement_file(record, RELEASER, first, name)[1] for name in state_of(record, first).files
    }
    with pytest.raises(InputError, match="why a new one replaces it"):
        draft_statement(record, AUTHOR, AT, sample)
    revise(record, sample, container="1 L can, seal 0999")
    second = issued(record, sample, reason="seal was misread")
    old, new = state_of(record, first), state_of(record, second)
    assert (old.state, old.replaced_by, new.replaces) == (StatementState.REPLACED, second, first)
    assert any("seal 0411" in change and "seal 0999" in change for change in new.changes)
    assert {name: statement_file(record, RELEASER, first, name)[1] for name in old.files} == before
    content = orjson.loads(statement_file(record, RELEASER, second, "101-2.json")[1])
    assert content["document"]["revision"]["replaces"] == "101-1"
    assert content["document"]["revision"]["reason"] == "seal was misread"


def test_a_sample_changed_since_its_verdict_is_not_stated(plain_record: LaboratoryRecord) -> None:
    sample = graded(plain_record)
    draft = draft_statement(plain_record, AUTHOR, AT, sample)
    revise(plain_record, sample, asked=Asked(decision_rule="guard-band", specification="m332-2014"))
    with pytest.raises(ConflictError, match="grade it again"):
        release_statement(plain_record, RELEASER, AT, draft.key)
    assert state_of(plain_record, draft.key).state is StatementState.DRAFT


def test_what_cannot_be_is_refused(plain_record: LaboratoryRecord) -> None:
    sample = keep_order(plain_record, "101-plain")
    with pytest.raises(InputError, match="has not been graded"):
        draft_statement(plain_record, AUTHOR, AT, sample)
    grade_stored_sample(plain_record, one_person(), AT, sample)
    draft = draft_statement(plain_record, AUTHOR, AT, sample)
    with pytest.raises(ConflictError, match="is a draft on this sample already"):
        draft_statement(plain_record, AUTHOR, AT, sample)
    with pytest.raises(PermissionRefusedError):
        draft_statement(plain_record, RELEASER, AT, sample)
    release_statement(plain_record, RELEASER, AT, draft.key)
    with pytest.raises(ConflictError, match="is issued: it cannot be released"):
        release_statement(plain_record, RELEASER, AT, draft.key)
    with pytest.raises(InputError, match="say why"):
        withdraw_statement(plain_record, RELEASER, AT, draft.key, reason=" ")
    withdraw_statement(plain_record, RELEASER, AT, draft.key, reason="wrong sample")
    with pytest.raises(ConflictError, match="is withdrawn"):
        withdraw_statement(plain_record, RELEASER, AT, draft.key, reason="again")
    gone = state_of(plain_record, draft.key)
    assert (gone.state, gone.reason) == (StatementState.WITHDRAWN, "wrong sample")


def test_two_who_release_at_once_release_once(record: LaboratoryRecord) -> None:
    draft = draft_statement(record, AUTHOR, AT, graded(record))
    release_statement(record, RELEASER, AT, draft.key, seen=1)
    with pytest.raises(ConflictError):
        release_statement(record, RELEASER, AT, draft.key, seen=1)


def test_a_customer_sees_own_issued_statements_alone(record: LaboratoryRecord) -> None:
    sample = graded(record)
    draft = draft_statement(record, AUTHOR, AT, sample)
    with pytest.raises(PermissionRefusedError):
        statement_file(record, CUSTOMER, draft.key, "101-1.html")
    release_statement(record, RELEASER, AT, draft.key)
    assert statement_file(record, CUSTOMER, draft.key, "101-1.pdf")[1].startswith(b"%PDF")
    with pytest.raises(PermissionRefusedError, match="not one of yours"):
        statement_file(record, STRANGER, draft.key, "101-1.pdf")
    with pytest.raises(RecordNotFoundError):
        statement_file(record, CUSTOMER, draft.key, "../101-1.pdf")


def test_numbers_follow_the_scheme_of_the_laboratory(plain_record: LaboratoryRecord) -> None:
    sample = graded(plain_record, statement_numbers="CYY-NNN")
    assert state_of(plain_record, issued(plain_record, sample)).number == "C26-001"
    assert state_of(plain_record, issued(plain_record, sample, reason="again")).number == "C26-002"
    with plain_record.reading() as reading:
        assert reading.count(LaboratorySettings) == 1


def test_one_who_did_not_sign_in_releases_nothing_where_four_eyes_are_wanted(
    record: LaboratoryRecord,
) -> None:
    draft = draft_statement(record, AUTHOR, AT, graded(record, four_eyes=True))
    with pytest.raises(PermissionRefusedError, match="who releases cannot be told"):
        release_statement(record, one_person(), AT, draft.key)
    assert state_of(record, draft.key).state is StatementState.DRAFT


def test_a_can_that_stood_too_long_in_the_oven_is_told_once_on_the_verdict(
    plain_record: LaboratoryRecord,
) -> None:
    sample = keep_order(plain_record, "101-plain")
    can = keep_can(plain_record, one_person(), AT, Can(sample=sample, name="tin 1"))
    heating = Heating(
        can=can.key, sample="", started="2026-05-10T08:00:00Z", temperature_c=150.0, duration_min=200.0
    )
    keep_heating(plain_record, one_person(), AT, heating)
    graded_now = grade_stored_sample(plain_record, one_person(), AT, sample)
    told = [f for f in graded_now.report.statement.findings if "tin 1" in f.message]
    assert len(told) == 1
    assert (told[0].severity, told[0].value, told[0].limit) == (Severity.CAUTION, 200.0, 120.0)
