"""The invented laboratory in a record: everything there is to show, and all of it marked as invented."""

from pathlib import Path

import pytest

from databases import new_database
from resile.errors import ConflictError, PermissionRefusedError
from resile.records.register import (
    Actor,
    BlendBookRecord,
    Customer,
    LaboratorySettings,
    Person,
    Product,
    RangeRecord,
    Result,
    Retention,
    Run,
    Sample,
    SiteRecord,
    Statement,
    Verdict,
    Verification,
)
from resile.storage.auditing import verify
from resile.storage.laboratory_record import LaboratoryRecord
from resile.workflows.laboratory.access.permissions import one_person
from resile.workflows.laboratory.offer.matching import MatchQuestion, match_kept
from resile.workflows.laboratory.offer.ranges import OfferedSample, keep_range_of_samples
from resile.workflows.laboratory.record.demonstration import load_demonstration
from resile.workflows.laboratory.record.today import today

AT = "2026-06-20T09:00:00.000Z"


def assert_graded_samples_carry_what_they_were_judged_for(record: LaboratoryRecord) -> None:
    """The grade on the verdict of each sample is the expectation: two ways to one answer."""
    with record.reading() as reading:
        verdicts = {
            reading.get(Sample, one.value.sample).value.number: one.value for one in reading.every(Verdict)
        }
    offered = [OfferedSample(number) for number in verdicts]
    kept = keep_range_of_samples(record, one_person(), AT, offered, name="Graded samples")
    assert kept.value.invented
    names = kept.value.binders
    assert len(set(names)) == len(verdicts), "two samples of one product are told apart"
    match = match_kept(record, one_person(), MatchQuestion(kept.key)).match
    carried = {row[0].binder: [one.grade.label for one in row] for row in match.choice.labels if row}
    for (number, verdict), name in zip(verdicts.items(), names, strict=True):
        judged = verdict.grade.split(", ")[0]
        if judged.startswith("PG"):
            assert judged in carried[name], number
        else:
            assert name not in carried, f"{number} has no low temperature, so no whole grade"


def loaded_and_looked_at(url: str) -> None:
    record = LaboratoryRecord.open(url)
    told: list[tuple[int, int, str]] = []
    loaded = load_demonstration(record, one_person(), AT, lambda *step: told.append(step))
    assert [done for done, _, _ in told] == list(range(len(told)))
    assert told[-1][0] == told[-1][1]
    with record.reading() as reading:
        found = verify(reading)
        assert found.stands, found.faults[:3]
        states = sorted(str(kept.value.state) for kept in reading.every(Statement))
        assert states == ["draft", "issued", "issued", "issued", "replaced"]
        assert reading.get(Statement, loaded.waiting).value.state == "draft"
        assert reading.count(Result, worst="invalid") >= 1
        assert reading.count(Sample, stage="received") == 4
        assert all(kept.value.sample for kept in reading.every(Run))
        dues = {kept.value.due for kept in reading.every(Verification)}
        assert {"2026-06-17", "2026-06-25"} <= dues
        assert {kept.value.due for kept in reading.every(Retention)} >= {"2026-06-16", "2026-06-26"}
        assert reading.count(SiteRecord) == loaded.sites == 20
        assert reading.count(BlendBookRecord) == 1
        for kind in (Sample, Product, Customer, SiteRecord, RangeRecord, BlendBookRecord, LaboratorySettings):
            assert all(kept.value.invented for kept in reading.every(kind)), kind
        assert all("invented" in kept.value.name for kept in reading.every(Person))
    assert today(record, one_person(), AT)
    assert_graded_samples_carry_what_they_were_judged_for(record)
    with pytest.raises(ConflictError, match="holds samples already"):
        load_demonstration(record, one_person(), AT)
    record.close()


def test_the_invented_laboratory_is_loaded_and_stands(tmp_path: Path) -> None:
    loaded_and_looked_at(str(tmp_path / "record.db"))


@pytest.mark.nightly
def test_the_invented_laboratory_is_loaded_on_postgresql(postgresql_cluster: str) -> None:
    loaded_and_looked_at(new_database(postgresql_cluster))


def test_who_may_not_set_up_the_laboratory_may_not_load_it(tmp_path: Path) -> None:
    record = LaboratoryRecord.open(tmp_path / "record.db")
    with pytest.raises(PermissionRefusedError):
        load_demonstration(record, Actor("P-1", "N. Obody", frozenset({"samples.write"})), AT)
    record.close()
