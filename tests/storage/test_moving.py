"""Backup, restore, export and import: everything comes along, byte for byte, from database to database."""

import csv
import json
import shutil
import sqlite3
import subprocess
import sys
import threading
from collections.abc import Iterator
from pathlib import Path

import pytest
from filled import AT, fill
from hypothesis import given
from hypothesis import strategies as st
from sqlalchemy import select

from databases import BareDatabases
from resile.errors import (
    ConflictError,
    FileFormatError,
    InputError,
    PermissionRefusedError,
    RecordDamagedError,
    RecordNotFoundError,
)
from resile.records.register import Actor, Entry, Sample
from resile.storage.bodies import chained_hash
from resile.storage.laboratory_record import LaboratoryRecord
from resile.storage.reading import Reading
from resile.storage.tables import CREDENTIAL
from resile.workflows.laboratory.access.permissions import one_person
from resile.workflows.laboratory.record.moving import (
    back_up_record,
    export_record,
    import_record,
    restore_record,
)

ME = one_person()


@pytest.fixture
def record(record_url: str) -> Iterator[LaboratoryRecord]:
    opened = LaboratoryRecord.open(record_url)
    fill(opened)
    yield opened
    opened.close()


@pytest.fixture(params=["sqlite", "postgresql"])
def other(request: pytest.FixtureRequest, tmp_path: Path, bare_file: Path) -> Iterator[LaboratoryRecord]:
    """An empty record on either database, to move into."""
    if request.param == "sqlite":
        opened = LaboratoryRecord.open(shutil.copy(bare_file, tmp_path / "other.db"))
        yield opened
        opened.close()
        return
    databases: BareDatabases = request.getfixturevalue("bare_databases")
    opened = LaboratoryRecord.open(url := databases.take())
    yield opened
    opened.close()
    databases.give_back(url)


def contents(record: LaboratoryRecord) -> tuple[list[Entry], list[tuple[str, bytes]]]:
    from resile.storage.moving.copying import packed_files

    with record.reading() as reading:
        return list(reading.log()), [(file.sha256, file.open()) for file in packed_files(reading)]


def credentials(reading: Reading) -> list[tuple[object, ...]]:
    return [tuple(row) for row in reading.rows(select(CREDENTIAL))]


def test_a_backup_restored_is_the_same_record_on_either_database(
    record: LaboratoryRecord, other: LaboratoryRecord, tmp_path: Path
) -> None:
    file = tmp_path / "backup.db"
    before = back_up_record(record, ME, file, AT)
    bytes_before = file.read_bytes()
    assert sorted(path.name for path in tmp_path.glob("backup*")) == ["backup.db"]
    after = restore_record(other, ME, file, AT)
    assert after == before
    assert contents(other) == contents(record)
    with record.reading() as one, other.reading() as two:
        assert credentials(two) == credentials(one) != []
    assert file.read_bytes() == bytes_before
    with other.writing(by="P-1", at=AT) as book:  # and work goes on where it stood
        assert book.keep(Sample(number="26-4")).key == "S-000004"


def test_a_backup_can_be_worked_with_as_it_is(record: LaboratoryRecord, tmp_path: Path) -> None:
    back_up_record(record, ME, tmp_path / "backup.db", AT)
    opened = LaboratoryRecord.open(tmp_path / "backup.db")
    assert contents(opened) == contents(record)
    opened.close()


def test_a_backup_made_while_others_write_is_one_state_of_the_record(
    record: LaboratoryRecord, tmp_path: Path
) -> None:
    enough = threading.Event()
    written: list[str] = []

    def write() -> None:
        number = 0
        while not enough.is_set():
            number += 1
            with record.writing(by="P-1", at=AT) as book:
                written.append(book.keep(Sample(number=f"while-{number}")).key)

    writer = threading.Thread(target=write)
    writer.start()
    try:
        found = [back_up_record(record, ME, tmp_path / f"backup-{n}.db", AT) for n in range(3)]
    finally:
        enough.set()
        writer.join()
    entries = contents(record)[0]
    for one in found:
        assert one.head == f"{one.entries}:{entries[one.entries - 1].hash}"
    assert len(written) == len(entries) - 10


def test_neither_backup_nor_export_overwrites_anything(record: LaboratoryRecord, tmp_path: Path) -> None:
    (tmp_path / "there").write_text("mine")
    with pytest.raises(ConflictError, match="exists already"):
        back_up_record(record, ME, tmp_path / "there", AT)
    with pytest.raises(ConflictError, match="exists already"):
        export_record(record, ME, tmp_path / "there", AT)
    with pytest.raises(InputError, match="does not exist"):
        back_up_record(record, ME, tmp_path / "no" / "backup.db", AT)
    assert (tmp_path / "there").read_text() == "mine"


def test_a_record_that_holds_something_is_not_restored_over(record: LaboratoryRecord, tmp_path: Path) -> None:
    back_up_record(record, ME, tmp_path / "backup.db", AT)
    export_record(record, ME, tmp_path / "export", AT)
    before = contents(record)
    with pytest.raises(ConflictError, match="not empty"):
        restore_record(record, ME, tmp_path / "backup.db", AT)
    with pytest.raises(ConflictError, match="not empty"):
        import_record(record, ME, tmp_path / "export", AT)
    assert contents(record) == before


def test_a_damaged_backup_leaves_the_new_record_empty(other: LaboratoryRecord, tmp_path: Path) -> None:
    source = LaboratoryRecord.open(tmp_path / "record.db")
    fill(source)
    file = tmp_path / "backup.db"
    back_up_record(source, ME, file, AT)
    source.close()
    changed = sqlite3.connect(file)
    changed.execute("DROP TRIGGER entry_lasts_UPDATE")
    changed.execute("UPDATE entry SET body = replace(body, '26-3', '26-9') WHERE seq = 5")
    changed.commit()
    changed.close()
    with pytest.raises(RecordDamagedError, match=r"entry 5 .* was changed"):
        restore_record(other, ME, file, AT)
    assert contents(other) == ([], [])


def test_what_is_no_backup_is_refused(other: LaboratoryRecord, tmp_path: Path) -> None:
    with pytest.raises(RecordNotFoundError, match="no such file"):
        restore_record(other, ME, tmp_path / "no.db", AT)
    (tmp_path / "a.csv").write_text("time;stress\n")
    with pytest.raises(InputError, match="no backup of a record"):
        restore_record(other, ME, tmp_path / "a.csv", AT)


def test_a_truncated_backup_is_refused(record: LaboratoryRecord, tmp_path: Path) -> None:
    file = tmp_path / "backup.db"
    back_up_record(record, ME, file, AT)
    file.write_bytes(file.read_bytes()[: file.stat().st_size // 2])
    other = LaboratoryRecord.open(tmp_path / "other.db")
    with pytest.raises(Exception, match=r"damaged|malformed|no such table"):
        restore_record(other, ME, file, AT)
    assert contents(other) == ([], [])
    other.close()


def test_an_export_imported_is_the_same_record_on_either_database(
    record: LaboratoryRecord, other: LaboratoryRecord, tmp_path: Path
) -> None:
    done = export_record(record, ME, tmp_path / "export", AT)
    after = import_record(other, ME, tmp_path / "export", AT)
    assert (after.head, after.entries, after.files) == (done.head, done.entries, done.files)
    assert contents(other) == contents(record)
    with other.reading() as reading:
        assert credentials(reading) == []


@pytest.fixture
def exported(tmp_path: Path) -> Path:
    record = LaboratoryRecord.open(tmp_path / "record.db")
    fill(record)
    export_record(record, ME, tmp_path / "export", AT)
    record.close()
    return tmp_path / "export"


def test_the_tables_of_an_export_hold_no_formula_and_every_value(exported: Path) -> None:
    with (exported / "tables" / "product.csv").open(encoding="utf-8", newline="") as file:
        (product,) = csv.DictReader(file)
    assert product["name"] == "'=Invented 50/70"
    assert product["note"] == 'Größe ≥ 5 "µm"\n\t\u2028\x7f\x1f'
    with (exported / "tables" / "sample.csv").open(encoding="utf-8", newline="") as file:
        samples = {row["key"]: row for row in csv.DictReader(file)}
    assert (samples["S-000002"]["lot"], samples["S-000002"]["revision"]) == ("7", "2")
    assert samples["S-000001"]["asked_price_rules"] == '["a","b"]'
    with (exported / "files.csv").open(encoding="utf-8", newline="") as file:
        assert [(row["name"], row["key"]) for row in csv.DictReader(file)] == [
            ("'@a.csv", "R-000001"),
            ("C-1.html", "Z-000001"),
        ]


def test_the_parquet_tables_have_types(exported: Path) -> None:
    parquet = pytest.importorskip("pyarrow.parquet")
    lines = parquet.read_table(exported / "tables" / "result_lines.parquet").to_pylist()
    assert [(line["quantity"], line["value"], line["temperature_c"]) for line in lines] == [
        ("phase_angle_deg", 0.1 + 0.2, 58.0),
        ("jnr", None, None),
    ]
    (product,) = parquet.read_table(exported / "tables" / "product.parquet").to_pylist()
    assert (product["name"], product["invented"], product["seq"]) == ("=Invented 50/70", True, 2)


def test_raw_files_of_an_export_are_the_bytes_that_came(exported: Path) -> None:
    held = {path.read_bytes() for path in (exported / "files").iterdir()}
    assert held == {b"a file that no entry names", b"time;stress;strain\r\n\x00\xff", b"<html>"}


def verified_apart(folder: Path) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-I", folder / "verify_log.py", folder / "log.jsonl"],
        capture_output=True, text=True, encoding="utf-8", check=False,
    )  # fmt: skip


def test_the_log_can_be_verified_with_python_alone(exported: Path) -> None:
    head = json.loads((exported / "manifest.json").read_bytes())["head"]
    done = verified_apart(exported)
    assert (done.returncode, done.stdout) == (0, f"10 entries, every hash follows; head {head}\n")
    log = exported / "log.jsonl"
    lines = [f"{line}\n" for line in log.read_text(encoding="utf-8").split("\n")[:-1]]
    log.write_text("".join(lines).replace("lot misread", "lot correct"), encoding="utf-8")
    assert "entry 10 was changed" in verified_apart(exported).stderr
    log.write_text("".join(lines[:4] + lines[5:]), encoding="utf-8")
    assert "entry 6 does not follow the one before it" in verified_apart(exported).stderr


@given(st.lists(st.text(alphabet=st.characters(exclude_categories=["Cs"])), min_size=7, max_size=7))
def test_the_hash_of_an_entry_is_the_one_python_alone_gives(texts: list[str]) -> None:
    import hashlib

    at, by, kind, key, reason, body, previous = texts
    plain = json.dumps(
        [1, at, by, kind, key, 2, reason, body, previous], ensure_ascii=False, separators=(",", ":")
    )
    expected = hashlib.sha256(plain.encode()).hexdigest()
    assert chained_hash(1, at, by, kind, key, 2, reason, body, previous) == expected


def damage_log(folder: Path) -> None:
    log = folder / "log.jsonl"
    log.write_bytes(log.read_bytes().replace(b"26-3", b"26-9"))


def damage_file(folder: Path) -> None:
    next((folder / "files").iterdir()).write_bytes(b"other")


def lose_file(folder: Path) -> None:
    for path in (folder / "files").iterdir():
        path.unlink()


@pytest.mark.parametrize(
    ("damage", "said"),
    [(damage_log, "was changed since"), (damage_file, "was changed since"), (lose_file, "names the file")],
)
def test_a_damaged_export_is_refused(exported: Path, tmp_path: Path, damage: object, said: str) -> None:
    damage(exported)  # type: ignore[operator]
    other = LaboratoryRecord.open(tmp_path / "other.db")
    with pytest.raises(RecordDamagedError, match=said):
        import_record(other, ME, exported, AT)
    assert contents(other) == ([], [])
    other.close()


def test_a_folder_that_is_no_export_is_refused(exported: Path, tmp_path: Path) -> None:
    other = LaboratoryRecord.open(tmp_path / "other.db")
    with pytest.raises(RecordNotFoundError, match=r"no manifest\.json"):
        import_record(other, ME, tmp_path, AT)
    (exported / "manifest.json").write_text("[]")
    with pytest.raises(FileFormatError, match="no manifest of an export"):
        import_record(other, ME, exported, AT)
    other.close()


def test_who_may_not_move_the_record_is_refused(record: LaboratoryRecord, tmp_path: Path) -> None:
    nobody = Actor("P-9", "N. Obody", frozenset({"audit.see"}))
    for task in (back_up_record, restore_record, export_record, import_record):
        with pytest.raises(PermissionRefusedError, match="may not back up"):
            task(record, nobody, tmp_path / "x", AT)
    assert not (tmp_path / "x").exists()
