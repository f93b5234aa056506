"""Verdicts on own precision: dated, kept as they were, and told where they would differ today."""

from collections.abc import Iterator
from dataclasses import replace

import orjson
import pytest

from bench_files import creep_record
from resile.records.determination import Condition
from resile.records.register import Asked, Kept, OwnPrecision, Sample, Verdict
from resile.storage.laboratory_record import LaboratoryRecord
from resile.workflows.laboratory.access.permissions import one_person
from resile.workflows.laboratory.files.ingesting import RecordTold, keep_record
from resile.workflows.laboratory.record.recomputing import recompute
from resile.workflows.laboratory.samples.receiving import Arrival, receive_sample
from resile.workflows.laboratory.statements.grading import choose_rules, grade_stored_sample

AT, LATER = "2026-03-02T08:00:00Z", "2026-09-01T08:00:00Z"
SOMEBODY = one_person()
OWN = OwnPrecision(
    quantity="jnr_3.2",
    repeatability=0.03,
    standard=0.05,
    since="2025-01-01",
    until="2025-12-31",
    duplicates=20,
)


@pytest.fixture
def record(record_url: str) -> Iterator[LaboratoryRecord]:
    opened = LaboratoryRecord.open(record_url)
    sample = receive_sample(opened, SOMEBODY, AT, Arrival(number="26-101"))
    choose_rules(opened, SOMEBODY, AT, sample.key, Asked(uncertainty_basis="own"), reason="agreed")
    told = RecordTold(sample=sample.key, condition=Condition.SHORT_TERM_AGED, tested="2026-03-02")
    keep_record(opened, SOMEBODY, AT, creep_record(), "creep.csv", told)
    yield opened
    opened.close()


def keep(record: LaboratoryRecord, own: OwnPrecision) -> Kept[OwnPrecision]:
    with record.writing(by=SOMEBODY.key, at=AT) as book:
        return book.keep(own)


def grade(record: LaboratoryRecord) -> Kept[Verdict]:
    with record.reading() as reading:
        (sample,) = reading.find(Sample)
    found = grade_stored_sample(record, SOMEBODY, AT, sample.key).verdict
    assert found is not None
    return found


def stated(record: LaboratoryRecord, verdict: Kept[Verdict]) -> dict[str, object]:
    with record.reading() as reading:
        results = orjson.loads(reading.file(verdict.value.file))["results"]
    return next(one for one in results if one["quantity"] == "jnr_3.2")  # type: ignore[no-any-return]


def test_a_verdict_names_the_precision_in_force_and_stays_when_another_is_kept(
    record: LaboratoryRecord,
) -> None:
    own = keep(record, OWN)
    verdict = grade(record)
    doubt = stated(record, verdict)["uncertainty"]
    assert isinstance(doubt, dict)
    assert own.key in doubt["note"]
    (used,) = [one for one in verdict.value.own_precision if one.quantity == "jnr_3.2"]
    assert (used.key, used.tested) == (own.key, "2026-03-02")
    assert not recompute(record, SOMEBODY, LATER, ["26-101"]).differs

    newer = keep(record, replace(OWN, standard=0.08, until="2026-01-31"))
    (found,) = [one for one in recompute(record, SOMEBODY, LATER, ["26-101"]).found if one.precision]
    assert (
        f"judged with own precision {own.key}; today it would be own precision {newer.key}"
        in found.precision[0]
    )
    with record.reading() as reading:
        assert reading.get(Verdict, verdict.key).revision == 1
    assert newer.key in str(stated(record, grade(record))["uncertainty"])
    assert not recompute(record, SOMEBODY, LATER, ["26-101"]).differs


def test_one_that_came_after_the_test_is_not_used_and_a_finding_says_so(record: LaboratoryRecord) -> None:
    keep(record, replace(OWN, until="2026-03-02"))
    verdict = grade(record)
    line = stated(record, verdict)
    assert line["uncertainty"] is None
    assert "own-precision-not-in-force" in str(line["findings"])
    assert {one.key for one in verdict.value.own_precision} == {""}
