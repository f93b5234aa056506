"""What verifying a record finds when it was changed behind its back: on both databases."""

import re
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import fields, replace

import pytest
from filled import AT, fill
from sqlalchemy import text

from resile.errors import InputError, RecordDamagedError
from resile.records.register import Sample, Statement
from resile.records.register.audit import Audit
from resile.storage.auditing import rebuild, verify
from resile.storage.laboratory_record import LaboratoryRecord
from resile.storage.reading import Reading
from resile.storage.shelves import SHELVES


@pytest.fixture
def record(record_url: str) -> Iterator[LaboratoryRecord]:
    """A record of ten entries and three files."""
    opened = LaboratoryRecord.open(record_url)
    fill(opened)
    yield opened
    opened.close()


def audit(record: LaboratoryRecord, head: str = "") -> Audit:
    with record.reading() as reading:
        return verify(reading, head=head)


@contextmanager
def tampering(record: LaboratoryRecord) -> Iterator[Reading]:
    """Change what somebody with the password of the database could, and look before it is undone."""
    with record.engine.connect() as connection:
        if connection.dialect.name == "postgresql":
            connection.execute(text("SET session_replication_role = replica"))
        else:
            connection.connection.driver_connection.execute("PRAGMA foreign_keys = OFF")  # type: ignore[union-attr]
            for table in ("entry", "raw_file"):
                for deed in ("UPDATE", "DELETE"):
                    connection.execute(text(f"DROP TRIGGER IF EXISTS {table}_lasts_{deed}"))
        yield Reading(connection)


def tamper(record: LaboratoryRecord, *statements: str) -> None:
    """Change it for good."""
    with tampering(record) as reading:
        for statement in statements:
            reading.connection.execute(text(statement))
        reading.connection.commit()


def said(found: Audit) -> str:
    return "\n".join(f"{fault.where} {fault.said}" for fault in found.faults)


def test_a_record_that_was_only_written_to_stands(record: LaboratoryRecord) -> None:
    done: list[tuple[int, int]] = []
    with record.reading() as reading:
        found = verify(reading, progress=lambda *told: done.append(told))
    assert found.stands, said(found)
    assert (found.entries, found.files, found.unnamed_files) == (10, 3, 1)
    assert found.head.startswith("10:")
    assert done[-1] == (13, 13)


CHANGES = {
    "at": "'2026-03-01T08:00:00Z'",
    "by": "'P-000009'",
    "kind": "'tank'",
    "key": "'S-000009'",
    "revision": "3",
    "reason": "'another reason'",
    "body": "replace(body, '26-2', '26-9')",
    "previous": f"'{'1' * 64}'",
    "hash": f"'{'1' * 64}'",
}


def test_a_changed_column_of_the_log_is_found_at_its_entry(record: LaboratoryRecord) -> None:
    for column, value in CHANGES.items():
        with tampering(record) as reading:
            reading.connection.execute(text(f'UPDATE entry SET "{column}" = {value} WHERE seq = 4'))
            found = verify(reading)
        assert found.faults[0].where == "entry 4", column
        assert "was changed after it was kept" in found.faults[0].said
        assert not any(fault.where == "entry 5" and "changed" in fault.said for fault in found.faults)
    assert audit(record).stands


def test_every_column_of_the_log_is_tried() -> None:
    from resile.storage.tables import ENTRY

    assert {column.name for column in ENTRY.columns} == CHANGES.keys() | {"seq"}


def test_a_missing_entry_is_named(record: LaboratoryRecord) -> None:
    tamper(record, "DELETE FROM entry WHERE seq = 4")
    assert "entry 4 is missing from the log" in said(audit(record))


def test_several_missing_entries_are_named_together(record: LaboratoryRecord) -> None:
    tamper(record, "DELETE FROM entry WHERE seq IN (3, 4, 5)")
    assert "entries 3 to 5 are missing from the log" in said(audit(record))


def test_entries_that_closed_ranks_after_one_was_taken_out_are_found(record: LaboratoryRecord) -> None:
    tamper(
        record,
        "DELETE FROM entry WHERE seq = 4",
        "UPDATE entry SET seq = -seq WHERE seq > 4",
        "UPDATE entry SET seq = -seq - 1 WHERE seq < 0",
    )
    assert "entries 4 to 9 were kept as entries 5 to 10: others were inserted or taken out" in said(
        audit(record)
    )


def test_an_inserted_entry_is_found_even_with_a_hash_that_fits(record: LaboratoryRecord) -> None:
    from resile.storage.chain import hash_of

    with record.reading() as reading:
        links = list(reading.log())
    forged = replace(links[4], seq=4, key="S-000009", previous=links[2].hash)
    forged = replace(forged, hash=hash_of(forged))
    tamper(
        record,
        "UPDATE entry SET seq = -seq WHERE seq > 3",
        "UPDATE entry SET seq = 1 - seq WHERE seq < 0",
        "INSERT INTO entry SELECT 4, at, \"by\", kind, 'S-000009', revision, reason, body, "
        f"'{forged.previous}', '{forged.hash}' FROM entry WHERE seq = 6",
    )
    assert "entries 5 to 11 were kept as entries 4 to 10" in said(audit(record))


def test_two_exchanged_entries_are_found(record: LaboratoryRecord) -> None:
    tamper(
        record,
        "UPDATE entry SET seq = -1 WHERE seq = 3",
        "UPDATE entry SET seq = 3 WHERE seq = 4",
        "UPDATE entry SET seq = 4 WHERE seq = -1",
    )
    found = said(audit(record))
    assert "entry 3 was kept as entry 4" in found
    assert "entry 4 was kept as entry 3" in found


def test_a_last_entry_with_a_new_hash_is_found_by_the_head_noted_elsewhere(record: LaboratoryRecord) -> None:
    from resile.storage.chain import hash_of

    noted = audit(record).head
    with record.reading() as reading:
        last = list(reading.log())[-1]
    forged = hash_of(replace(last, reason="another"))
    tamper(record, f"UPDATE entry SET reason = 'another', hash = '{forged}' WHERE seq = 10")
    assert audit(record).stands  # nobody could know, but for the head
    assert "entry 10 does not have the hash that was noted elsewhere" in said(audit(record, noted))


def test_a_log_whose_end_was_cut_off_is_found(record: LaboratoryRecord) -> None:
    noted = audit(record).head
    tamper(record, "DELETE FROM entry WHERE seq >= 9")
    with record.writing(by="P-1", at=AT) as book:
        rebuild(book)  # whoever cuts tidily
    assert audit(record).stands
    assert "the log ends at entry 8, and entry 10 was noted elsewhere: its end was cut off" in said(
        audit(record, noted)
    )


def test_a_head_that_was_noted_and_still_stands_is_no_fault(record: LaboratoryRecord) -> None:
    noted = audit(record).head
    with record.writing(by="P-1", at=AT) as book:
        book.keep(Sample(number="26-4"))
    assert audit(record, noted).stands


@pytest.mark.parametrize("head", ["10", "10:abc", f"x:{'0' * 64}", ""])
def test_only_a_head_is_taken_for_one(record: LaboratoryRecord, head: str) -> None:
    if not head:
        assert audit(record, head).stands
        return
    with pytest.raises(InputError, match="is no head of a log"):
        audit(record, head)


def test_a_current_table_that_was_changed_is_found_and_made_anew(record: LaboratoryRecord) -> None:
    tamper(
        record,
        "UPDATE sample SET lot = '8' WHERE key = 'S-000002'",
        "DELETE FROM product",
        "UPDATE counter SET last = 7 WHERE kind = 'run'",
        "UPDATE run SET worst = ''",
    )
    found = said(audit(record))
    assert "table sample holds S-000002 with lot = '8', and the log gives '7'" in found
    assert "table product lacks B-000001, which the log gives" in found
    assert "table counter holds run with last = 7, and the log gives 1" in found
    assert "table run holds R-000001 with worst = '', and the log gives 'note'" in found
    with record.writing(by="P-1", at=AT) as book:
        assert rebuild(book) == 10
    assert audit(record).stands


def test_tables_are_not_made_anew_from_a_damaged_log(record: LaboratoryRecord) -> None:
    tamper(record, "UPDATE entry SET reason = 'x' WHERE seq = 2")
    with (
        pytest.raises(RecordDamagedError, match=r"entry 2 .* restore the record from a backup"),
        record.writing(by="P-1", at=AT) as book,
    ):
        rebuild(book)
    with record.reading() as reading:
        assert reading.count(Sample) == 3


def test_a_missing_file_is_found_at_the_entry_that_names_it(record: LaboratoryRecord) -> None:
    with record.reading() as reading:
        page = reading.get(Statement, "Z-000001").value.files["C-1.html"]
    tamper(record, f"DELETE FROM raw_file WHERE sha256 = '{page}'")
    assert f"entry 8 names the file {page}, which the record does not hold" in said(audit(record))


def test_every_attribute_that_names_a_file_is_known_to_the_audit() -> None:
    """Attributes whose description says SHA-256 are hashes of files, but for an input and a head."""
    for shelf in SHELVES:
        told = re.findall(r"^    (\w[\w, ]*) : .*\n((?: {8}.*\n)+)", f"{shelf.noun.__doc__}\n", re.MULTILINE)
        hashes = {names.partition(",")[0] for names, said in told if "SHA-256" in said} - {"head", "input"}
        assert hashes == set(shelf.files), shelf.kind
        assert hashes <= {field.name for field in fields(shelf.noun)}
