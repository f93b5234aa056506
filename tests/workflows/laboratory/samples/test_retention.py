"""Retention: planned by rule, due, disposed of; on both databases. Days are counted by the calendar."""

from collections.abc import Iterator

import pytest

from laboratory_bench import AT, can_in
from resile.errors import ConflictError, InputError, PermissionRefusedError
from resile.records.register import Actor, Disposal, Kept, LaboratorySettings, Retention
from resile.storage.laboratory_record import LaboratoryRecord
from resile.workflows.laboratory.access.permissions import one_person
from resile.workflows.laboratory.samples.retention import (
    ISSUED,
    RECEIVED,
    dispose,
    due_retentions,
    keep_retention,
    plan_after,
    retention_sheet,
)

ACTOR = one_person()
LATER = "2026-12-31T08:00:00Z"


@pytest.fixture
def record(record_url: str) -> Iterator[LaboratoryRecord]:
    opened = LaboratoryRecord.open(record_url)
    can_in(opened)
    yield opened
    opened.close()


def planned(record: LaboratoryRecord, event: str, day: str) -> Kept[Retention] | None:
    with record.writing(by="P-000001", at=AT) as book:
        return plan_after(book, "S-000001", event, day)


def test_ninety_days_count_from_the_issue_and_not_from_receipt(record: LaboratoryRecord) -> None:
    assert planned(record, RECEIVED, "2026-03-01") is None
    kept = planned(record, ISSUED, "2026-03-02")
    assert kept is not None
    assert (kept.value.starts, kept.value.due) == ("2026-03-02", "2026-05-31")


def test_another_rule_counts_from_receipt(record: LaboratoryRecord) -> None:
    with record.writing(by="P-000001", at=AT) as book:
        rule = LaboratorySettings(retention_rule="thirty-days-from-receipt")
        book.keep(rule, key="O-000001", reason="other rule")
    kept = planned(record, RECEIVED, "2026-02-01")
    assert kept is not None
    assert kept.value.due == "2026-03-03"


def test_a_later_issue_moves_the_day_and_an_earlier_one_does_not(record: LaboratoryRecord) -> None:
    planned(record, ISSUED, "2026-03-02")
    later = planned(record, ISSUED, "2026-03-12")
    assert later is not None
    assert (later.revision, later.value.due) == (2, "2026-06-10")
    assert planned(record, ISSUED, "2026-03-01") is None


def test_what_is_due_is_told_within_the_reminder(record: LaboratoryRecord) -> None:
    planned(record, ISSUED, "2026-03-02")
    with record.reading() as reading:
        assert due_retentions(reading, "2026-05-16") == ([], 0)
        rows, count = due_retentions(reading, "2026-05-17")  # 14 days before
    assert [(row.number, row.due) for row in rows] == [("26-101", "2026-05-31")]
    assert count == 1


def test_an_early_disposal_needs_who_agreed_and_why(record: LaboratoryRecord) -> None:
    kept = planned(record, ISSUED, "2026-03-02")
    assert kept is not None
    early = Disposal(retention=kept.key, sample="", disposed="2026-05-30", way="waste binder")
    with pytest.raises(InputError, match="kept until 2026-05-31"):
        dispose(record, ACTOR, LATER, early)
    agreed = Disposal(
        retention=kept.key, sample="", disposed="2026-05-30", way="waste binder", note="customer"
    )
    dispose(record, ACTOR, LATER, agreed)
    with pytest.raises(ConflictError, match="already"):
        dispose(record, ACTOR, LATER, agreed)
    assert [(row.number, row.note) for row in retention_sheet(record, ACTOR, LATER).log] == [
        ("26-101", "customer")
    ]
    with record.reading() as reading:
        assert due_retentions(reading, "2026-12-31") == ([], 0)


@pytest.mark.parametrize(
    ("changed", "said"),
    [
        ({"disposed": "2027-01-01"}, "still to come"),
        ({"way": " "}, "how it was disposed of"),
        ({"disposed": "2026-01-01"}, "before the retention began"),
        ({"disposed": "soon"}, "is no day"),
    ],
)
def test_a_disposal_that_cannot_be_is_refused(
    record: LaboratoryRecord, changed: dict[str, str], said: str
) -> None:
    kept = planned(record, ISSUED, "2026-03-02")
    assert kept is not None
    given = {"retention": kept.key, "sample": "", "disposed": "2026-06-01", "way": "waste", **changed}
    with pytest.raises(InputError, match=said):
        dispose(record, ACTOR, LATER, Disposal(**given))


def test_a_retention_may_be_planned_and_moved_by_hand(record: LaboratoryRecord) -> None:
    kept = keep_retention(record, ACTOR, AT, Retention(sample="S-000001", starts="2026-03-02"))
    assert kept.value.due == "2026-05-31"
    longer = Retention(sample="S-000001", starts="2026-03-02", due="2026-12-01", place="shelf 4")
    moved = keep_retention(record, ACTOR, AT, longer, key=kept.key, seen=1, reason="dispute")
    assert (moved.value.rule, moved.value.due) == ("by hand", "2026-12-01")
    with pytest.raises(InputError, match="before it begins"):
        wrong = Retention(sample="S-000001", starts="2026-03-02", due="2026-03-01")
        keep_retention(record, ACTOR, AT, wrong)


def test_a_technician_may_not_dispose(record: LaboratoryRecord) -> None:
    technician = Actor("P-000002", "Ada Muster", frozenset({"bench.write"}))
    with pytest.raises(PermissionRefusedError, match="log disposal"):
        dispose(record, technician, LATER, Disposal(retention="D-000001", sample="", disposed="2026-06-01"))
