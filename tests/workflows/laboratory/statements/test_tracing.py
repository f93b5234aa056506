"""From a statement to the bytes, as an assessor follows it."""

import hashlib
from collections.abc import Iterator

import pytest
from sqlalchemy import text

from resile.errors import PermissionRefusedError, RecordNotFoundError
from resile.records.register import Actor, Run
from resile.storage.laboratory_record import LaboratoryRecord
from resile.workflows.laboratory.access.permissions import one_person
from resile.workflows.laboratory.statements.grading import grade_stored_sample
from resile.workflows.laboratory.statements.issuing import draft_statement
from resile.workflows.laboratory.statements.tracing import trace_statement
from stored_samples import AT, keep_order

SOMEBODY = one_person()


@pytest.fixture
def record(record_url: str) -> Iterator[LaboratoryRecord]:
    opened = LaboratoryRecord.open(record_url)
    sample = keep_order(opened, "101-plain")
    grade_stored_sample(opened, SOMEBODY, AT, sample)
    draft_statement(opened, SOMEBODY, AT, sample)
    yield opened
    opened.close()


def test_every_link_from_the_statement_to_the_bytes_holds(record: LaboratoryRecord) -> None:
    found = trace_statement(record, SOMEBODY, "Z-000001")
    assert found.broken == 0
    assert found.links[0].depth == 0
    assert found == trace_statement(record, SOMEBODY, found.statement.value.number)
    with record.reading() as reading:
        raw = {run.value.file for run in reading.every(Run)}
        assert raw <= {link.sha256 for link in found.links}
        assert all(hashlib.sha256(reading.file(sha)).hexdigest() == sha for sha in raw)


def test_a_changed_file_and_a_changed_entry_break_their_links(record: LaboratoryRecord) -> None:
    whole = trace_statement(record, SOMEBODY, "Z-000001").links
    with record.reading() as reading:
        run = reading.get(Run, next(iter(reading.every(Run))).key)
    with record.engine.begin() as connection:
        if connection.dialect.name == "postgresql":
            connection.execute(text("SET session_replication_role = replica"))
        else:
            for table in ("entry", "raw_file"):
                connection.execute(text(f"DROP TRIGGER {table}_lasts_UPDATE"))
        connection.execute(
            text("UPDATE raw_file SET size = size + 1 WHERE sha256 = :one"), {"one": run.value.file}
        )
        connection.execute(text("UPDATE entry SET reason = 'none' WHERE seq = :seq"), {"seq": run.seq})
    links = trace_statement(record, SOMEBODY, "Z-000001").links
    assert len(links) == len(whole)
    broken = {link.name for link in links if link.broken}
    assert broken == {f"{run.key}, revision 1", run.value.file_name}


def test_who_may_not_see_the_log_may_not_trace(record: LaboratoryRecord) -> None:
    with pytest.raises(PermissionRefusedError):
        trace_statement(record, Actor("P-1", "N. Obody", frozenset({"statements.see"})), "Z-000001")
    with pytest.raises(RecordNotFoundError):
        trace_statement(record, SOMEBODY, "Z-000009")
