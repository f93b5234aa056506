"""What the record survives: real processes killed, stopped, run out of room, and racing, on both databases.

After each fault two things are asked: is all there that was said to be kept, and is nothing half there?
The long ones are nightly: ``pytest tests/storage/test_faults.py -m nightly -s`` prints what survived.
"""

import os
import random
import shutil
import signal
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
from busy_writer import keep_one
from sqlalchemy import event, text

from databases import new_cluster, new_database
from resile.errors import ResileError, StorageError
from resile.records.register import Result, Run, Sample
from resile.storage.auditing import verify
from resile.storage.laboratory_record import LaboratoryRecord

WRITER = Path(__file__).with_name("busy_writer.py")
AT = "2026-03-02T08:00:00Z"


def start_writer(
    url: str, said: Path, name: str = "w", count: int = 10_000, *more: str
) -> "subprocess.Popen[bytes]":
    words = [sys.executable, str(WRITER), url, name, str(count), str(said), *more]
    return subprocess.Popen(words, env=os.environ | {"PYTHONPATH": os.pathsep.join(sys.path)})


def kind(url: str) -> str:
    return "postgresql" if url.startswith("postgresql") else "sqlite"


def lines_of(said: Path) -> list[str]:
    """What a writer said was kept; a line cut off in the middle was not said."""
    whole = said.read_text().rpartition("\n")[0] if said.exists() else ""
    return [line for line in whole.split("\n") if line and not line.startswith("refused")]


def wait_until_it_writes(writer: "subprocess.Popen[bytes]", said: Path, more_than: int) -> None:
    while len(lines_of(said)) <= more_than:
        assert writer.poll() is None, "the writer ended before it was stopped"
        wait(writer, 0.01)


def wait(writer: "subprocess.Popen[bytes]", seconds: float) -> None:
    try:
        writer.wait(seconds)
    except subprocess.TimeoutExpired:
        return


def check(url: str, said: list[str]) -> int:
    """Everything that was said is there, nothing is half there; gives how many samples there are."""
    record = LaboratoryRecord.open(url)
    try:
        with record.reading() as reading:
            found = verify(reading)
            assert found.stands, found.faults[:5]
            assert found.unnamed_files == 0
            counts = {reading.count(kind) for kind in (Sample, Run, Result)}
            assert len(counts) == 1, f"something is half there: {counts}"
            keys = {kept.value.number: kept.key for kept in reading.every(Sample)}
            files = {kept.value.sample: kept.value.file for kept in reading.every(Run)}
    finally:
        record.close()
    for line in said:
        number, key, sha = line.split()
        assert (keys[number], files[key]) == (key, sha)
    return len(keys)


def kill_again_and_again(url: str, folder: Path, kills: int) -> tuple[int, int]:
    said, draws = folder / "said", random.Random(7)
    kept = 0
    for _ in range(kills):
        writer = start_writer(url, said)
        wait_until_it_writes(writer, said, len(lines_of(said)))
        wait(writer, draws.uniform(0, 0.2))
        writer.send_signal(signal.SIGKILL)
        writer.wait()
        kept = check(url, lines_of(said))
    return len(lines_of(said)), kept


def test_a_killed_writer_leaves_all_that_it_said_and_nothing_by_half(record_url: str, tmp_path: Path) -> None:
    said, kept = kill_again_and_again(record_url, tmp_path, 1)
    assert 0 <= kept - said <= 1  # a kill between keeping and saying keeps one more than was said


@pytest.mark.nightly
def test_many_kills(record_url: str, tmp_path: Path) -> None:
    said, kept = kill_again_and_again(record_url, tmp_path, 60)
    assert 0 <= kept - said <= 60
    print(f"\n{kind(record_url)}: 60 kills, {said} said to be kept, {kept} there, none by half")


def race(url: str, folder: Path, writers: int, each: int) -> None:
    """Writers that start at once, on a record that the first of them makes."""
    said = [folder / f"said-{number}" for number in range(writers)]
    going = [start_writer(url, file, f"w{number}", each) for number, file in enumerate(said)]
    assert [writer.wait() for writer in going] == [0] * writers
    lines = [line for file in said for line in lines_of(file)]
    assert len(lines) == writers * each
    assert len({line.split()[1] for line in lines}) == len(lines), "a key was given twice"
    assert check(url, lines) == len(lines)


def test_two_writers_at_once_make_one_record_and_lose_nothing(record_url: str, tmp_path: Path) -> None:
    race(record_url, tmp_path, 2, 15)


@pytest.mark.nightly
def test_eight_writers_at_once_lose_nothing(record_url: str, tmp_path: Path) -> None:
    race(record_url, tmp_path, 8, 150)
    print("\n8 writers, 1200 samples, none lost")


class PowerCutError(Exception):
    """What ends the transaction in the test."""


@contextmanager
def power_cut_at(record: LaboratoryRecord, statement: int) -> Iterator[None]:
    """End a transaction before its n-th statement."""
    left = [statement]

    def count(*_: object) -> None:
        left[0] -= 1
        if left[0] < 0:
            raise PowerCutError

    event.listen(record.engine, "before_cursor_execute", count)
    try:
        yield
    finally:
        event.remove(record.engine, "before_cursor_execute", count)


def test_a_power_cut_before_any_statement_of_a_transaction_leaves_nothing_of_it(record_url: str) -> None:
    record = LaboratoryRecord.open(record_url)
    with record.writing(by="P-000001", at=AT) as book:
        said = [keep_one(book, "first", random.Random(1))]
    cuts = 0
    while True:
        try:
            with power_cut_at(record, cuts), record.writing(by="P-000001", at=AT) as book:
                line = keep_one(book, "second", random.Random(2))
            break
        except PowerCutError:
            cuts += 1
            with record.reading() as reading:
                assert [reading.count(kind) for kind in (Sample, Run, Result)] == [1, 1, 1]
                assert len(reading.rows(text("SELECT sha256 FROM raw_file"))) == 1  # type: ignore[arg-type]
    record.close()
    assert cuts > 10
    assert check(record_url, [*said, line]) == 2


def copies_of_a_live_record(tmp_path: Path, copies: int) -> Iterator[tuple[Path, list[str]]]:
    """Stop a writer anywhere, copy what a disk would hold at that moment, and let it go on after the look."""
    source, said, draws = tmp_path / "record.db", tmp_path / "said", random.Random(3)
    writer = start_writer(str(source), said)
    wait_until_it_writes(writer, said, 0)
    try:
        for number in range(copies):
            wait(writer, draws.uniform(0, 0.1))
            writer.send_signal(signal.SIGSTOP)
            os.waitpid(writer.pid, os.WUNTRACED)
            lines = lines_of(said)
            copy = tmp_path / f"copy-{number}.db"
            for ending in ("", "-wal"):
                shutil.copyfile(f"{source}{ending}", f"{copy}{ending}")
            yield copy, lines
            writer.send_signal(signal.SIGCONT)
    finally:
        writer.kill()
        writer.wait()


def cut_live_record(tmp_path: Path, copies: int) -> int:
    draws, lines = random.Random(5), []
    for number, (copy, said) in enumerate(copies_of_a_live_record(tmp_path, copies)):
        if number % 2:  # what was being written when the power went is left as it happens to be
            with Path(f"{copy}-wal").open("ab") as torn:
                torn.write(draws.randbytes(draws.randrange(1, 9000)))
        assert check(str(copy), said) >= len(said)
        lines = said
    return len(lines)


def test_a_power_cut_while_a_sqlite_record_is_written_leaves_all_that_was_said(tmp_path: Path) -> None:
    cut_live_record(tmp_path, 3)


@pytest.mark.nightly
def test_many_power_cuts_while_a_sqlite_record_is_written(tmp_path: Path) -> None:
    last = cut_live_record(tmp_path, 60)
    print(f"\nsqlite: 60 copies at any moment, half of them torn at the end; {last} samples in the last")


@pytest.mark.nightly
def test_a_postgresql_server_that_dies_while_it_is_written_to_loses_nothing(tmp_path: Path) -> None:
    cluster, draws = new_cluster(fsync=True), random.Random(11)
    try:
        url, said = new_database(cluster.url), tmp_path / "said"
        for _ in range(15):
            writer = start_writer(url, said)
            wait_until_it_writes(writer, said, len(lines_of(said)))
            wait(writer, draws.uniform(0, 0.3))
            cluster.stop()
            assert writer.wait() == 3  # told that it was not kept
            cluster.start()
            kept = check(url, lines_of(said))
        print(
            f"\npostgresql: server stopped 15 times, {len(lines_of(said))} said, {kept} there, none by half"
        )
    finally:
        cluster.remove()


def test_a_full_sqlite_record_refuses_and_keeps_what_it_had(tmp_path: Path) -> None:
    file = tmp_path / "record.db"
    LaboratoryRecord.open(file).close()
    record = LaboratoryRecord.open(file)
    with record.engine.connect() as connection:
        pages = connection.execute(text("PRAGMA page_count")).scalar_one()
    event.listen(
        record.engine,
        "connect",
        lambda held, _: held.execute(f"PRAGMA max_page_count = {pages + 60}").close(),
    )
    record.engine.dispose()
    said: list[str] = []
    with pytest.raises(StorageError, match=r"the disk is full .* what was kept before is whole"):
        for number in range(10_000):
            with record.writing(by="P-000001", at=AT) as book:
                line = keep_one(book, str(number), random.Random(number))
            said.append(line)
    record.close()
    assert said
    assert check(str(file), said) == len(said)
    with (again := LaboratoryRecord.open(file)).writing(by="P-000001", at=AT) as book:  # there is room again
        said.append(keep_one(book, "after", random.Random(0)))
    again.close()
    assert check(str(file), said) == len(said)


def test_a_disk_that_takes_no_larger_file_refuses_and_keeps_what_it_had(tmp_path: Path) -> None:
    file, said = tmp_path / "record.db", tmp_path / "said"
    LaboratoryRecord.open(file).close()
    writer = start_writer(str(file), said, "w", 10_000, str(3_000_000))
    assert writer.wait() == 3
    assert "refused" in said.read_text()
    assert check(str(file), lines_of(said)) == len(lines_of(said)) > 0


@contextmanager
def small_disk(folder: Path, megabytes: int) -> Iterator[Path]:
    """A real file system with little room."""
    folder.mkdir()
    size = f"size={megabytes}m"
    mounted = subprocess.run(
        ["mount", "-t", "tmpfs", "-o", size, "tmpfs", folder], capture_output=True, check=False
    )
    if mounted.returncode:
        pytest.skip("a small file system cannot be mounted here")
    try:
        yield folder
    finally:
        subprocess.run(["umount", folder], check=True)


def fill_up(url: str, folder: Path) -> None:
    said = folder / "said"
    writer = start_writer(url, said)
    assert writer.wait() == 3
    refusal = said.read_text().rpartition("refused")[2]
    assert "full" in refusal or "No space left" in refusal or "disk" in refusal, refusal
    assert len(lines_of(said)) > 0
    print(f"\n{kind(url)}: disk full after {len(lines_of(said))} samples, all there:{refusal}")


@pytest.mark.nightly
def test_a_full_disk_under_a_sqlite_record(tmp_path: Path) -> None:
    with small_disk(tmp_path / "disk", 6) as disk:
        fill_up(str(disk / "record.db"), tmp_path)
        lines = lines_of(tmp_path / "said")
        shutil.copyfile(disk / "record.db", tmp_path / "copy.db")
        if (disk / "record.db-wal").exists():
            shutil.copyfile(disk / "record.db-wal", tmp_path / "copy.db-wal")
        assert check(str(tmp_path / "copy.db"), lines) == len(lines)


@pytest.mark.nightly
def test_a_full_disk_under_a_postgresql_record(postgresql_cluster: str) -> None:
    import tempfile

    import psycopg

    outer = Path(tempfile.mkdtemp(prefix="resile-full-"))
    outer.chmod(0o755)
    with (
        small_disk(outer / "disk", 24) as disk,
        psycopg.connect(f"{postgresql_cluster.replace('+psycopg', '')}/postgres", autocommit=True) as server,
    ):
        if os.geteuid() == 0:
            shutil.chown(disk, "postgres")
        server.execute(f"CREATE TABLESPACE small LOCATION '{disk}'")  # type: ignore[arg-type]
        server.execute("CREATE DATABASE full_record TABLESPACE small")
        try:
            url = f"{postgresql_cluster}/full_record"
            fill_up(url, outer)
            lines = lines_of(outer / "said")
            assert check(url, lines) == len(lines)
        finally:
            server.execute("DROP DATABASE full_record WITH (FORCE)")
            server.execute("DROP TABLESPACE small")
    shutil.rmtree(outer)


def test_a_clock_that_goes_back_shows_and_breaks_nothing(record_url: str) -> None:
    record = LaboratoryRecord.open(record_url)
    said = []
    for number, at in enumerate(("2026-03-02T08:00:00Z", "2025-01-01T00:00:00Z", "2026-03-02T08:00:01Z")):
        with record.writing(by="P-000001", at=at) as book:
            said.append(keep_one(book, str(number), random.Random(number)))
    with record.reading() as reading:
        assert [entry.at[:4] for entry in reading.log()] == ["2026"] * 3 + ["2025"] * 3 + ["2026"] * 3
    record.close()
    assert check(record_url, said) == 3


def test_a_refused_transaction_is_told_as_a_refusal(record_url: str) -> None:
    record = LaboratoryRecord.open(record_url)
    with pytest.raises(ResileError), record.writing(by="P-000001", at=AT) as book:
        book.keep(Sample(number="x" * 201))
    record.close()
    assert check(record_url, []) == 0
