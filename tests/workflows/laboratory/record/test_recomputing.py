"""Stored results recomputed: what differs is told value by value, and nothing is overwritten.

The stored results that differ are constructed: a value of today's result times a known factor, under an
older version. What is to be found follows from the construction.
"""

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from sqlalchemy import text

from bench_files import OSCILLATION, creep_record
from resile.errors import InputError, PermissionRefusedError, RecordNotFoundError
from resile.records.determination import Condition
from resile.records.register import Actor, Kept, Result, Run, Sample
from resile.storage.laboratory_record import LaboratoryRecord
from resile.version import __version__
from resile.workflows.laboratory.access.permissions import one_person
from resile.workflows.laboratory.files.ingesting import RecordTold, keep_record
from resile.workflows.laboratory.record.demonstration import load_demonstration
from resile.workflows.laboratory.record.recomputing import Recomputed, recompute
from resile.workflows.laboratory.record.result_differences import differences
from resile.workflows.laboratory.record.version_changes import all_number_changes, numbers_changed_since
from resile.workflows.laboratory.samples.receiving import Arrival, receive_sample
from resile.workflows.laboratory.statements.grading import grade_stored_sample

AT = "2026-03-02T08:00:00Z"
LATER = "2026-09-01T08:00:00Z"
SOMEBODY = one_person()
FACTOR = 1.02


@pytest.fixture
def record(record_url: str) -> Iterator[LaboratoryRecord]:
    opened = LaboratoryRecord.open(record_url)
    sample = receive_sample(opened, SOMEBODY, AT, Arrival(number="26-101"))
    told = RecordTold(sample=sample.key, condition=Condition.SHORT_TERM_AGED)
    for data, name in (
        (creep_record(), "creep.csv"),
        (OSCILLATION, "dsr.csv"),
        (b"when,what\n1,2\n", "odd.csv"),
    ):
        keep_record(opened, SOMEBODY, AT, data, name, told)
    yield opened
    opened.close()


def results(record: LaboratoryRecord) -> list[Kept[Result]]:
    with record.reading() as reading:
        return list(reading.every(Result))


def change(record: LaboratoryRecord, key: str) -> Result:
    """Keep a result of an older version: its first value larger, its last missing, a finding more."""
    with record.writing(by="P-LOCAL", at=AT) as book:
        kept = book.get(Result, key)
        first, *rest = kept.value.lines
        older = replace(
            kept.value,
            lines=(replace(first, value=first.value * FACTOR), *rest[:-1]),  # type: ignore[operator]
            findings=(*kept.value.findings, "an-old-finding"),
            messages=(*kept.value.messages, "An old finding."),
            software="0.0.9",
        )
        book.keep(older, key=key, reason="constructed")
    return older


def only(record: LaboratoryRecord, *named: str, keep: bool = False) -> Recomputed:
    (found,) = recompute(record, SOMEBODY, LATER, named, keep=keep).found
    return found


def test_what_was_kept_by_the_same_program_is_the_same(record: LaboratoryRecord) -> None:
    done = recompute(record, SOMEBODY, LATER)
    assert (done.results, done.found, done.changes, done.differs) == (len(results(record)), (), (), False)
    assert done.results >= 3


def test_a_value_that_changed_is_told_with_how_much_and_by_which_version(record: LaboratoryRecord) -> None:
    older = change(record, "E-000001")
    found = only(record)
    changed, new = found.difference.values
    assert changed.before == older.lines[0].value
    assert changed.before is not None
    assert changed.after == pytest.approx(changed.before / FACTOR, rel=1e-12)
    assert changed.by_percent == pytest.approx(100 * (1 / FACTOR - 1), rel=1e-9)
    assert (new.said, new.was, new.before) == ("new", False, None)
    assert found.difference.findings_gone == ("an-old-finding",)
    assert (found.software, found.sample_number, found.refusal) == ("0.0.9", "26-101", "")
    assert recompute(record, SOMEBODY, LATER).changes == all_number_changes()


def test_looking_keeps_nothing(record: LaboratoryRecord) -> None:
    change(record, "E-000001")
    with record.reading() as reading:
        before = [entry.hash for entry in reading.log()]
    assert recompute(record, SOMEBODY, LATER).differs
    with record.reading() as reading:
        assert [entry.hash for entry in reading.log()] == before


def test_a_result_kept_anew_is_a_revision_with_its_reason_and_the_old_one_stays(
    record: LaboratoryRecord,
) -> None:
    older = change(record, "E-000001")
    found = only(record, keep=True)
    assert (found.revision, found.kept) == (2, 3)
    with record.reading() as reading:
        first, second, third = reading.history(Result, "E-000001")
    assert second.value == older
    assert third.value == first.value
    assert third.reason.startswith(f"recomputed with resile {__version__}: ")
    assert "an-old-finding" in third.reason
    assert not recompute(record, SOMEBODY, LATER).differs


def test_the_verdicts_that_rest_on_a_changed_result_are_named(record: LaboratoryRecord) -> None:
    change(record, "E-000001")
    graded = grade_stored_sample(record, SOMEBODY, AT, "S-000001")
    assert graded.verdict is not None
    named = [one for one in recompute(record, SOMEBODY, LATER, ["26-101"]).found if one.differs]
    assert [one.verdicts for one in named] == [(graded.verdict.key,)]


def test_results_are_named_by_their_key_their_run_or_their_sample(record: LaboratoryRecord) -> None:
    assert only(record, "E-000001").run == "R-000001"
    assert only(record, "R-000001").result == "E-000001"
    of_sample = recompute(record, SOMEBODY, LATER, ["26-101"]).found
    assert of_sample == recompute(record, SOMEBODY, LATER, ["S-000001"]).found
    assert len(of_sample) == len(results(record))
    with pytest.raises(RecordNotFoundError, match="26-999"):
        recompute(record, SOMEBODY, LATER, ["26-999"])
    receive_sample(record, SOMEBODY, AT, Arrival(number="26-102"))
    with pytest.raises(InputError, match="nothing of it was computed yet"):
        recompute(record, SOMEBODY, LATER, ["26-102"])


def test_a_damaged_file_is_told_and_the_rest_goes_on(record: LaboratoryRecord) -> None:
    change(record, "E-000002")
    with record.reading() as reading:
        file, other = reading.get(Run, "R-000001").value.file, reading.get(Run, "R-000002").value.file
    with record.engine.begin() as connection:
        connection.execute(
            text(
                "ALTER TABLE raw_file DISABLE TRIGGER ALL"
                if connection.dialect.name == "postgresql"
                else "DROP TRIGGER raw_file_lasts_UPDATE"
            )
        )
        connection.execute(
            text(
                "UPDATE raw_file SET packed = (SELECT packed FROM raw_file WHERE sha256 = :b) "
                "WHERE sha256 = :a"
            ),
            {"a": file, "b": other},
        )
    told = {one.result: one for one in recompute(record, SOMEBODY, LATER).found}
    assert "E-000001" in told
    assert file[:12] in told["E-000001"].refusal
    assert told["E-000002"].difference.any


def test_it_stops_where_it_is_told_to_and_what_was_kept_stays(record: LaboratoryRecord) -> None:
    change(record, "E-000001")
    change(record, "E-000002")

    class StoppedError(Exception):
        pass

    def stop(done: int, of: int, words: str) -> None:
        if done:
            raise StoppedError

    with pytest.raises(StoppedError):
        recompute(record, SOMEBODY, LATER, keep=True, progress=stop)
    assert [kept.revision for kept in results(record) if kept.key in ("E-000001", "E-000002")].count(3) == 1


def test_who_may_not_see_or_judge_may_not_recompute(record: LaboratoryRecord) -> None:
    technician = Actor("P-1", "N. Obody", frozenset({"runs.see"}))
    assert recompute(record, technician, LATER, ["E-000001"]).results == 1
    for named, keep in (((), False), (("E-000001",), True)):
        with pytest.raises(PermissionRefusedError):
            recompute(record, technician, LATER, named, keep=keep)
    foreign = Actor("P-2", "C. Ustomer", frozenset({"runs.see"}), customer="K-000009")
    with pytest.raises(PermissionRefusedError):
        recompute(record, foreign, LATER, ["E-000001"])


def test_last_digits_alone_are_no_difference(record: LaboratoryRecord) -> None:
    kept = results(record)[0].value
    first, *rest = kept.lines
    assert first.value is not None
    near = replace(kept, lines=(replace(first, value=first.value * (1 + 4e-16)), *rest))
    assert near != kept
    found = differences(kept, near)
    assert (found.values, found.last_digits, found.any) == ((), 1, False)
    far = replace(kept, lines=(replace(first, value=first.value * (1 + 1e-9)), *rest))
    assert len(differences(kept, far).values) == 1


def test_a_cycle_that_changed_is_told_as_a_cycle(record: LaboratoryRecord) -> None:
    kept = results(record)[0].value
    stress, recovery, jnr = kept.cycles[0]
    other = replace(kept, cycles=((stress, recovery + 1.0, jnr), *kept.cycles[1:]))
    (found,) = differences(kept, other).values
    assert found.name == f"cycle 1 at {stress:g} kPa, percent recovery"
    assert found.by == pytest.approx(1.0)
    (fewer,) = differences(kept, replace(kept, cycles=kept.cycles[1:])).values
    assert (fewer.name, fewer.by) == ("number of cycles", -1.0)


def test_what_is_not_released_is_later_than_every_version() -> None:
    unreleased = tuple(one for one in all_number_changes() if not one.version)
    assert numbers_changed_since("0.1.0") == unreleased
    assert numbers_changed_since("99.0") == unreleased
    assert numbers_changed_since("") == numbers_changed_since("0.0.9") == all_number_changes()


@pytest.mark.nightly
def test_the_whole_invented_laboratory_is_the_same(tmp_path: Path) -> None:
    record = LaboratoryRecord.open(tmp_path / "record.db")
    load_demonstration(record, SOMEBODY, AT)
    done = recompute(record, SOMEBODY, LATER)
    assert done.results > 30
    assert done.found == ()
    with record.reading() as reading:
        assert reading.count(Sample) == 12
    record.close()
