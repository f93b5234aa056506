"""The record as an archive: on both databases, at once or little by little."""

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from resile.errors import ConflictError, PermissionRefusedError
from resile.records.archive_answers import ResultsWanted
from resile.records.register import Actor, Kept, Product, Sample
from resile.storage.archive.asking import asked
from resile.storage.laboratory_record import LaboratoryRecord
from resile.workflows.archive.from_record import archive_record
from resile.workflows.archive.questions import archive_contents, archive_trend, failures_of, samples_named
from resile.workflows.archive.rejudging import rejudge_archive
from resile.workflows.judging.agreement import agree
from resile.workflows.laboratory.access.permissions import one_person
from resile.workflows.laboratory.files.ingesting import RecordTold, keep_record
from resile.workflows.laboratory.samples.receiving import Arrival, receive_sample
from resile.workflows.laboratory.statements.grading import grade_stored_sample

AT = "2026-03-02T08:00:00Z"
SOMEBODY = one_person()
TABLES = ("files.parquet", "results.parquet", "verdicts.parquet", "archive.json")


@pytest.fixture
def record(record_url: str) -> Iterator[LaboratoryRecord]:
    opened = LaboratoryRecord.open(record_url)
    yield opened
    opened.close()


def keep_sample(record: LaboratoryRecord, number: str, jnr: float, *, lot: str) -> Kept[Sample]:
    sample = receive_sample(record, SOMEBODY, AT, Arrival(number=number, product="Quarnsk Plain", lot=lot))
    table = (
        "sample,condition,temperature_c,quantity,value,unit\n"
        f"{number},short_term_aged,64,jnr_3.2,{jnr},1/kPa\n"
        f"{number},short_term_aged,64,jnr_difference_percent,120,%\n"
    )
    told = RecordTold(sample=sample.key, tested="2026-02-03")
    keep_record(record, SOMEBODY, AT, table.encode(), f"{number}.csv", told)
    return sample


def keep_ageing(record: LaboratoryRecord, sample: Kept[Sample], *, minutes: int) -> None:
    bottle = '[[bottle]]\nname = "1"\nempty_g = 166.2\nbefore_g = 201.2\nafter_g = 201.1\n'
    form = (
        f'sample = "{sample.value.number}"\nmethod = "t240"\ntemperature_c = 163\nduration_min = {minutes}\n'
    )
    keep_record(record, SOMEBODY, AT, (form + bottle).encode(), "oven.toml", RecordTold(sample=sample.key))


def test_residue_that_was_aged_wrongly_has_no_class_when_the_record_is_judged_anew(
    record: LaboratoryRecord, tmp_path: Path
) -> None:
    # 75 min beside T 240, which asks for 85 min: the method's own finding keeps the residue out.
    for number, minutes in (("26-1", 85), ("26-2", 75)):
        keep_ageing(record, keep_sample(record, number, 0.3, lot="A"), minutes=minutes)
    archive_record(record, SOMEBODY, tmp_path / "a")
    with asked(tmp_path / "a") as asking:
        rows = asking.rows(
            "SELECT sample, quantity, round(value, 3), worst FROM results WHERE test = 'ageing' ORDER BY ALL"
        )
    assert [row for row in rows if row[0] == "26-2"] == [
        ("26-2", "ageing_temperature_c", 163.0, "invalid"),
        ("26-2", "ageing_time_h", 1.25, "invalid"),
        ("26-2", "mass_change_percent", -0.286, "invalid"),
    ]
    found = rejudge_archive(tmp_path / "a", agree("m332-2014"), agree("m332-2020"))
    assert [(one.sample, one.after) for one in found.changes] == [("26-1", "64E")]
    archive_record(record, SOMEBODY, tmp_path / "grown")
    keep_ageing(record, keep_sample(record, "26-3", 0.3, lot="A"), minutes=85)
    archive_record(record, SOMEBODY, tmp_path / "grown")
    archive_record(record, SOMEBODY, tmp_path / "at-once")
    assert bytes_of(tmp_path / "grown") == bytes_of(tmp_path / "at-once")


def bytes_of(archive: Path) -> dict[str, bytes]:
    return {name: (archive / name).read_bytes() for name in TABLES}


def test_an_archive_brought_up_to_date_is_the_one_made_at_once(
    record: LaboratoryRecord, tmp_path: Path
) -> None:
    first = keep_sample(record, "26-1", 0.3, lot="A")
    keep_sample(record, "26-2", 0.8, lot="B")
    grown = archive_record(record, SOMEBODY, tmp_path / "grown")
    assert (grown.results, grown.files, grown.verdicts, grown.unchanged) == (4, 2, 0, False)
    assert archive_record(record, SOMEBODY, tmp_path / "grown").unchanged

    keep_sample(record, "26-3", 2.5, lot="B")
    grade_stored_sample(record, SOMEBODY, AT, first.key)
    with record.writing(by="P-TEST", at=AT) as book:  # another number and lot: the old rows go
        changed = replace(book.get(Sample, first.key).value, number="26-1b", lot="C")
        book.keep(changed, key=first.key, seen=book.revision_of(Sample, first.key), reason="a slip")
    grown = archive_record(record, SOMEBODY, tmp_path / "grown")
    assert grown.results == 6
    assert grown.verdicts > 0
    assert grown.samples_written < 6  # the second sample was left as it was
    archive_record(record, SOMEBODY, tmp_path / "at-once")
    assert bytes_of(tmp_path / "grown") == bytes_of(tmp_path / "at-once")


def test_the_archive_of_a_record_answers_and_is_judged_anew(record: LaboratoryRecord, tmp_path: Path) -> None:
    kept = keep_sample(record, "26-1", 0.3, lot="A")
    keep_sample(record, "26-2", 0.8, lot="B")
    grade_stored_sample(record, SOMEBODY, AT, kept.key)
    archive_record(record, SOMEBODY, tmp_path / "a")
    contents = archive_contents(tmp_path / "a")
    assert (contents.made_from, contents.samples, contents.products) == (
        "laboratory record",
        2,
        (("Quarnsk Plain", 4),),
    )
    (month,) = archive_trend(
        tmp_path / "a", ResultsWanted(quantity="jnr_3.2", product="Quarnsk Plain")
    ).months
    assert (month.month, month.results) == ("2026-02", 2)
    failing = {row[4]: row[6] for row in failures_of(tmp_path / "a", ResultsWanted()).rows}
    assert failing["jnr_difference_maximum"] > 0
    assert len(samples_named(tmp_path / "a", "26-1").rows) == 1
    found = rejudge_archive(tmp_path / "a", agree("m332-2014"), agree("m332-2020"))
    assert [(one.sample, one.after) for one in found.changes] == [("26-1", "64E")]


def test_a_folder_of_something_else_is_left_alone(record: LaboratoryRecord, tmp_path: Path) -> None:
    from invented_archive import write_archive

    with record.writing(by="P-TEST", at=AT) as book:
        book.keep(Product(name="Quarnsk Plain"))
    other = write_archive(tmp_path / "batch", [])
    before = bytes_of(other)
    with pytest.raises(ConflictError, match="record files"):
        archive_record(record, SOMEBODY, other)
    assert bytes_of(other) == before


def test_a_customer_has_no_archive_of_the_record(record: LaboratoryRecord, tmp_path: Path) -> None:
    reader = Actor("P-9", "A customer", permissions=frozenset({"samples.see", "runs.see"}), customer="C-1")
    with pytest.raises(PermissionRefusedError):
        archive_record(record, reader, tmp_path / "a")
    assert not (tmp_path / "a").exists()
