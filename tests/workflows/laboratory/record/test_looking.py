"""Looking up: by key, page by page, and no more than the person may see."""

from collections.abc import Iterator
from dataclasses import replace

import pytest

from resile.errors import InputError, PermissionRefusedError, RecordNotFoundError
from resile.records.register import (
    Actor,
    LaboratorySettings,
    Run,
    Sample,
    Statement,
    StatementState,
)
from resile.storage.laboratory_record import LaboratoryRecord
from resile.workflows.laboratory.access.permissions import one_person, roles
from resile.workflows.laboratory.record.looking import look_back, look_through, look_up

AT = "2026-03-02T08:00:00.000Z"
CUSTOMER = Actor("P-000009", "Reader", roles()["customer-reader"].may, "K-000001")


@pytest.fixture
def record(record_url: str) -> Iterator[LaboratoryRecord]:
    opened = LaboratoryRecord.open(record_url)
    with opened.writing(by="P-LOCAL", at=AT) as book:
        book.keep_many([Sample(number=str(i), customer=f"K-00000{1 + i % 2}") for i in range(6)])
        book.keep(Sample(number="0x", customer="K-000002"), key="S-000001", seen=1, reason="sent by another")
        book.keep(Run(test="oscillation", file="0" * 64, file_name="a.csv", sample="S-000003"))
        draft = Statement(number="C-1", sample="S-000003", customer="K-000001")
        book.keep(draft)
        book.keep(replace(draft, number="C-2", state=StatementState.ISSUED, issued="2026-03-02"))
        book.keep(replace(draft, number="C-3", state=StatementState.WITHDRAWN))
        book.keep(LaboratorySettings(name="x"))
    yield opened
    opened.close()


def test_one_looks_through_a_kind_page_by_page(record: LaboratoryRecord) -> None:
    first = look_through(record, one_person(), Sample, limit=4)
    rest = look_through(record, one_person(), Sample, after=first[-1].key, limit=4)
    assert [kept.key for kept in first + rest] == [f"S-00000{i}" for i in range(1, 7)]
    assert [kept.key for kept in look_through(record, one_person(), Sample, number="3")] == ["S-000004"]


def test_every_revision_is_there_for_the_laboratory(record: LaboratoryRecord) -> None:
    assert [kept.value.number for kept in look_back(record, one_person(), "S-000001")] == ["0", "0x"]
    assert look_up(record, one_person(), "S-000001", 1).value.number == "0"


def test_a_customer_sees_own_samples_and_what_was_sent_out(record: LaboratoryRecord) -> None:
    assert [kept.key for kept in look_through(record, CUSTOMER, Sample)] == ["S-000003", "S-000005"]
    assert [kept.value.number for kept in look_through(record, CUSTOMER, Statement)] == ["C-2"]
    assert look_through(record, CUSTOMER, Statement, state="draft") == []
    assert look_up(record, CUSTOMER, "Z-000002").value.number == "C-2"


@pytest.mark.parametrize("key", ["S-000002", "S-000001", "R-000001", "Z-000001", "Z-000003", "O-000001"])
def test_a_customer_sees_nothing_else_by_guessing_keys(record: LaboratoryRecord, key: str) -> None:
    with pytest.raises(PermissionRefusedError):
        look_up(record, CUSTOMER, key)
    with pytest.raises(PermissionRefusedError):
        look_up(record, CUSTOMER, key, 1)


def test_a_customer_sees_no_revision_that_was_of_another(record: LaboratoryRecord) -> None:
    now = replace(CUSTOMER, customer="K-000002")
    assert look_up(record, now, "S-000001").value.number == "0x"
    with pytest.raises(PermissionRefusedError):
        look_up(record, now, "S-000001", 1)


def test_what_is_no_key_is_not_found(record: LaboratoryRecord) -> None:
    for key in ("S-999999", "Y-000001", "", "S"):
        with pytest.raises(RecordNotFoundError):
            look_up(record, one_person(), key)


def test_a_page_has_its_bounds(record: LaboratoryRecord) -> None:
    with pytest.raises(InputError, match="1 to 200"):
        look_through(record, one_person(), Sample, limit=201)
