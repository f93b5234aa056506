"""Auditing as a person does it: who kept what, what changed, and who may look."""

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from resile.errors import PermissionRefusedError, RecordNotFoundError
from resile.records.register import Actor, Asked, Person, Product, Result, ResultLine, Sample
from resile.records.register.audit import FieldChange
from resile.storage.laboratory_record import LaboratoryRecord
from resile.workflows.laboratory.access.permissions import one_person
from resile.workflows.laboratory.record.auditing import (
    LogFilter,
    rebuild_tables,
    show_entry,
    show_key,
    show_log,
    verify_record,
)

NOBODY = Actor("P-000009", "N. Obody", frozenset({"samples.see"}))


@pytest.fixture
def record(record_url: str) -> Iterator[LaboratoryRecord]:
    opened = LaboratoryRecord.open(record_url)
    with opened.writing(by="P-000001", at="2026-03-02T08:00:00Z") as book:
        book.keep(Person(name="A. Probst", account="ap"))
        book.keep(Product(name="Invented 50/70"))
        sample = book.keep(Sample(number="26-1", asked=Asked(specification="m320")))
        book.keep(Result(run="R-000001", lines=(ResultLine("jnr", 0.5, "1/kPa"),)))
    with opened.writing(by="P-LOCAL", at="2026-03-03T08:00:00Z") as book:
        corrected = replace(sample.value, lot="7", asked=Asked(specification="m332"))
        book.keep(corrected, key=sample.key, seen=1, reason="typing error")
    yield opened
    opened.close()


def test_a_correction_shows_who_when_what_and_why(record: LaboratoryRecord) -> None:
    first, second = show_key(record, one_person(), "S-000001")
    assert first.by_name == "A. Probst"
    assert (second.by_name, second.entry.at, second.entry.reason) == (
        "the laboratory",
        "2026-03-03T08:00:00Z",
        "typing error",
    )
    assert second.changes == (
        FieldChange("lot", "", "7"),
        FieldChange("asked.specification", "m320", "m332"),
    )
    assert show_entry(record, one_person(), 5) == second


def test_the_values_inside_a_list_are_shown_one_by_one(record: LaboratoryRecord) -> None:
    (shown,) = show_key(record, one_person(), "E-000001")
    assert FieldChange("lines 1.value", None, 0.5) in shown.changes


@pytest.mark.parametrize(
    ("wanted", "places"),
    [
        (LogFilter(), [5, 4, 3, 2, 1]),
        (LogFilter(by="P-LOCAL"), [5]),
        (LogFilter(kind="sample"), [5, 3]),
        (LogFilter(day="2026-03-02"), [4, 3, 2, 1]),
        (LogFilter(key="S-000001", only_corrections=True), [5]),
        (LogFilter(day="2026-03-04"), []),
    ],
)
def test_the_log_is_sifted_by_person_kind_day_and_key(
    record: LaboratoryRecord, wanted: LogFilter, places: list[int]
) -> None:
    page = show_log(record, one_person(), wanted)
    assert [shown.entry.seq for shown in page.entries] == places
    assert page.persons == {"P-LOCAL": "the laboratory", "P-000001": "A. Probst"}
    assert set(page.kinds) == {"person", "product", "sample", "result"}


def test_the_log_is_turned_page_by_page(record: LaboratoryRecord) -> None:
    page = show_log(record, one_person(), LogFilter(), limit=2)
    assert [shown.entry.seq for shown in page.entries] == [5, 4]
    page = show_log(record, one_person(), LogFilter(), before=page.older, limit=3)
    assert ([shown.entry.seq for shown in page.entries], page.older) == ([3, 2, 1], 0)


def test_who_may_not_see_the_log_is_refused(record: LaboratoryRecord) -> None:
    for refused in (
        lambda: show_log(record, NOBODY, LogFilter()),
        lambda: show_key(record, NOBODY, "S-000001"),
        lambda: show_entry(record, NOBODY, 1),
        lambda: verify_record(record, NOBODY),
        lambda: rebuild_tables(record, NOBODY, "2026-03-03T08:00:00Z"),
    ):
        with pytest.raises(PermissionRefusedError, match=r"N\. Obody may not"):
            refused()


def test_what_was_never_kept_is_not_found(record: LaboratoryRecord) -> None:
    with pytest.raises(RecordNotFoundError, match="no S-000002"):
        show_key(record, one_person(), "S-000002")
    with pytest.raises(RecordNotFoundError, match="no entry 6"):
        show_entry(record, one_person(), 6)


def test_looking_at_a_record_that_is_not_there_makes_none(tmp_path: Path) -> None:
    from resile.workflows.laboratory.record.opening import open_existing_record

    with pytest.raises(RecordNotFoundError, match="there is no record here"):
        open_existing_record(tmp_path / "slip.db")
    assert not (tmp_path / "slip.db").exists()
