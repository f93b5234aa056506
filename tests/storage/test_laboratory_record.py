"""The contract of the record, on both databases."""

from collections.abc import Iterator
from dataclasses import replace
from itertools import pairwise

import pytest
from alembic.autogenerate import compare_metadata
from alembic.migration import MigrationContext
from sqlalchemy import text
from sqlalchemy.exc import DBAPIError

from resile.errors import ConflictError, InputError, RecordDamagedError, RecordNotFoundError
from resile.records.determination import Condition
from resile.records.register import (
    Asked,
    Disposal,
    Result,
    ResultLine,
    Retention,
    Run,
    Sample,
    Specimen,
    Statement,
    StatementState,
    Verdict,
)
from resile.storage.laboratory_record import LaboratoryRecord
from resile.storage.reading import Reading
from resile.storage.shelves import BY_KIND
from resile.storage.tables import METADATA

AT = "2026-03-02T08:00:00Z"
SAMPLE = Sample(number="26-101", lot="Los 7 «Ü»", received="2026-03-02", asked=Asked(price_rules=("a",)))


@pytest.fixture
def record(record_url: str) -> Iterator[LaboratoryRecord]:
    opened = LaboratoryRecord.open(record_url)
    yield opened
    opened.close()


def stage_of(reading: Reading, key: str) -> str:
    table = BY_KIND["sample"].table
    return str(reading.rows(table.select().where(table.c.key == key))[0].stage)


def test_what_is_kept_is_read_back_whole(record: LaboratoryRecord) -> None:
    with record.writing(by="P-000001", at=AT) as book:
        kept = book.keep(SAMPLE)
    assert (kept.key, kept.revision) == ("S-000001", 1)
    with record.reading() as reading:
        assert reading.get(Sample, kept.key) == kept
        assert reading.find(Sample, number="26-101") == [kept]


def test_a_correction_is_a_revision_and_the_first_one_stays(record: LaboratoryRecord) -> None:
    with record.writing(by="P-000001", at=AT) as book:
        first = book.keep(SAMPLE)
    with record.writing(by="P-000002", at="2026-03-03T08:00:00Z") as book:
        second = book.keep(replace(SAMPLE, lot="8"), key=first.key, seen=1, reason="lot misread")
    assert (second.revision, second.by, second.reason) == (2, "P-000002", "lot misread")
    with record.reading() as reading:
        assert reading.get(Sample, first.key).value.lot == "8"
        assert reading.get(Sample, first.key, 1) == first
        assert reading.history(Sample, first.key) == [first, second]
        assert reading.count(Sample, lot="8") == 1


def test_a_correction_of_something_already_corrected_is_refused(record: LaboratoryRecord) -> None:
    with record.writing(by="P-000001", at=AT) as book:
        key = book.keep(SAMPLE).key
        book.keep(replace(SAMPLE, lot="8"), key=key, seen=1, reason="lot misread")
    with (
        pytest.raises(ConflictError, match="revision 1, it is now at 2"),
        record.writing(by="P-1", at=AT) as book,
    ):
        book.keep(replace(SAMPLE, lot="9"), key=key, seen=1, reason="lot misread")


def test_a_correction_needs_its_reason(record: LaboratoryRecord) -> None:
    with record.writing(by="P-000001", at=AT) as book:
        key = book.keep(SAMPLE).key
    with pytest.raises(InputError, match="needs its reason"), record.writing(by="P-1", at=AT) as book:
        book.keep(SAMPLE, key=key, seen=1, reason="  ")


def test_a_number_stands_once_and_a_refused_transaction_leaves_nothing(record: LaboratoryRecord) -> None:
    with record.writing(by="P-000001", at=AT) as book:
        book.keep(SAMPLE)
    with pytest.raises(ConflictError, match="of this number"), record.writing(by="P-000001", at=AT) as book:
        book.keep(replace(SAMPLE, number="26-102"))
        book.keep(SAMPLE)
    with record.reading() as reading:
        assert reading.count(Sample) == 1
        assert [entry.seq for entry in reading.log()] == [1]


def test_a_specimen_serves_one_creep_recovery_run(record: LaboratoryRecord) -> None:
    run = Run(test="creep_recovery", file="0" * 64, file_name="a.csv", specimen="N-000001")
    with record.writing(by="P-000001", at=AT) as book:
        book.keep(run)
        book.keep(replace(run, test="oscillation"))
    with pytest.raises(ConflictError, match="load a new one"), record.writing(by="P-000001", at=AT) as book:
        book.keep(run)


def test_a_file_is_kept_byte_for_byte_and_once(record: LaboratoryRecord) -> None:
    data = bytes(range(256)) * 100 + b"\r\n\x00"
    with record.writing(by="P-000001", at=AT) as book:
        assert book.keep_file(data) == book.keep_file(data)
        sha = book.keep_file(data)
    with record.reading() as reading:
        assert reading.file(sha) == data
        assert reading.rows(METADATA.tables["raw_file"].select())[0].size == len(data)


def test_an_unknown_key_or_file_is_not_found(record: LaboratoryRecord) -> None:
    with record.reading() as reading:
        with pytest.raises(RecordNotFoundError, match="no sample S-000009"):
            reading.get(Sample, "S-000009")
        with pytest.raises(RecordNotFoundError, match="no file"):
            reading.file("0" * 64)


@pytest.mark.parametrize("table", ["entry", "raw_file"])
@pytest.mark.parametrize("deed", ["DELETE FROM {}", "UPDATE {} SET {}"])
def test_log_and_files_cannot_be_changed(record: LaboratoryRecord, table: str, deed: str) -> None:
    with record.writing(by="P-000001", at=AT) as book:
        book.keep(SAMPLE)
        book.keep_file(b"x")
    column = {"entry": "body = ''", "raw_file": "size = 0"}[table]
    with pytest.raises(DBAPIError, match="never changed"), record.engine.connect() as connection:
        connection.execute(text(deed.format(table, column)))


def test_a_file_changed_behind_the_back_of_the_record_is_noticed(record: LaboratoryRecord) -> None:
    with record.writing(by="P-000001", at=AT) as book:
        sha = book.keep_file(b"1;2\n")
        other = book.keep_file(b"1;3\n")
    postgresql = record.engine.dialect.name == "postgresql"
    with record.engine.connect() as connection, connection.begin():
        connection.execute(
            text(
                "ALTER TABLE raw_file DISABLE TRIGGER ALL"
                if postgresql
                else "DROP TRIGGER raw_file_lasts_UPDATE"
            )
        )
        connection.execute(
            text(
                "UPDATE raw_file SET packed = (SELECT packed FROM raw_file WHERE sha256 = :b) "
                "WHERE sha256 = :a"
            ),
            {"a": sha, "b": other},
        )
    with record.reading() as reading, pytest.raises(RecordDamagedError, match="restore it from a backup"):
        reading.file(sha)


def test_a_sample_comes_on_from_stage_to_stage_and_never_back(record: LaboratoryRecord) -> None:
    with record.writing(by="P-000001", at=AT) as book:
        key = book.keep(SAMPLE).key
        assert stage_of(book, key) == "received"
        run = book.keep(Run(test="creep_recovery", file="0" * 64, file_name="a.csv", sample=key)).key
        line = ResultLine("jnr", 0.45, "1/kPa", 64.0, 3.2)
        result = book.keep(Result(run=run, sample=key, worst="caution", lines=(line,)))
        assert stage_of(book, key) == "tested"
        verdict = book.keep(Verdict(sample=key, specification="m332")).key
        assert stage_of(book, key) == "graded"
        draft = Statement(number="C-1", sample=key, verdict=verdict)
        kept = book.keep(draft)
        assert stage_of(book, key) == "graded"
        issued = replace(draft, state=StatementState.ISSUED)
        book.keep(issued, key=kept.key, seen=1, reason="released")
        book.keep(Verdict(sample=key, specification="m320"))
        assert stage_of(book, key) == "stated"
        retention = book.keep(Retention(sample=key, due="2026-06-01"))
        book.keep(Disposal(retention=retention.key, sample=key, disposed="2026-06-02"))
    with record.reading() as reading:
        assert stage_of(reading, key) == "disposed"
        assert reading.get(Result, result.key).value.lines == (line,)
        assert [run.key for run in reading.find(Run, worst="caution", result=result.key)] == [run]
        assert reading.count(Retention, ended=False) == 0


def test_many_are_kept_as_one_by_one_would_be(record: LaboratoryRecord) -> None:
    specimens = [
        Specimen(sample="S-000001", number=str(i), condition=Condition.SHORT_TERM_AGED) for i in range(1200)
    ]
    with record.writing(by="P-000001", at=AT) as book:
        kept = book.keep_many(specimens)
    assert [one.key for one in kept[:2]] == ["N-000001", "N-000002"]
    with record.reading() as reading:
        assert reading.find(Specimen) == kept
        assert [k.key for k in reading.find(Specimen, falling=True, limit=2, offset=1)] == [
            "N-001199",
            "N-001198",
        ]
        links = list(reading.log(chunk=500))
    assert [link.seq for link in links] == list(range(1, 1201))
    assert all(b.previous == a.hash for a, b in pairwise(links))


def test_the_migrations_make_the_tables_the_code_works_with(record: LaboratoryRecord) -> None:
    with record.engine.connect() as connection:
        context = MigrationContext.configure(connection)
        assert compare_metadata(context, METADATA) == []


def test_a_record_is_opened_again_with_all_it_held(record_url: str) -> None:
    first = LaboratoryRecord.open(record_url)
    with first.writing(by="P-000001", at=AT) as book:
        key = book.keep(SAMPLE).key
    first.close()
    again = LaboratoryRecord.open(record_url)
    with again.reading() as reading:
        assert reading.get(Sample, key).value == SAMPLE
    again.close()


def test_text_is_ordered_byte_by_byte_on_every_database(record: LaboratoryRecord) -> None:
    numbers = ["a", "B", "_", "2026-05-01T10", "2026-05-01~", "2026-05-01", "Ä", "~"]
    with record.writing(by="P-000001", at=AT) as book:
        book.keep_many([Sample(number=number) for number in numbers])
    with record.reading() as reading:
        ordered = [kept.value.number for kept in reading.find(Sample, order="number")]
    assert ordered == sorted(numbers, key=lambda number: number.encode())
