"""Folders of records to an archive: the same bytes however it is made, and nothing lost on the way."""

import csv
import hashlib
import json
import os
import signal
import subprocess
import sys
import zipfile
from functools import partial
from http.server import SimpleHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from threading import Thread

import pytest

pytest.importorskip("duckdb")
pytest.importorskip("fsspec")

from benchmarks.mixed_records import PATTERN, write_archive_folder

from resile.errors import ConflictError, InputError, RecordNotFoundError
from resile.records.batch import BatchSummary
from resile.storage.archive.holding import hold_archive
from resile.storage.archive.parquet import read_rows
from resile.storage.archive.schema import FILES, RESULTS, VERDICTS, Table
from resile.workflows.archive.batch import Batch, BatchProgress, run_batch
from resile.workflows.archive.batch_crew import Processes, Work
from resile.workflows.judging.agreement import agree

BAD = {"empty.csv": b"", "binary.csv": bytes(range(256)) * 9, "cut.csv": b"time [s],shear str"}


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Three samples of eight records each, and three files that are none."""
    made = write_archive_folder(tmp_path_factory.mktemp("mixed") / "records", 24)
    for name, data in BAD.items():
        (made / name).write_bytes(data)
    return made


@pytest.fixture(scope="module")
def whole(folder: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The archive that one process made in one go."""
    archive = tmp_path_factory.mktemp("whole") / "archive"
    run(folder, archive)
    return archive


def run(
    folder: Path | str, archive: Path, *, jobs: int = 1, machines: str = "", **more: object
) -> BatchSummary:
    batch = Batch((str(folder),), archive, agree("m332-2014"), named=PATTERN, **more)  # type: ignore[arg-type]
    return run_batch(batch, jobs=jobs, machines=machines)


def fingerprint(archive: Path) -> dict[str, str]:
    """Hashes of everything in an archive; nothing else may stand there."""
    files = [file for file in archive.rglob("*") if file.is_file() and file.name != ".batch"]
    return {str(file.relative_to(archive)): hashlib.sha256(file.read_bytes()).hexdigest() for file in files}


def rows(archive: Path, table: Table) -> list[dict[str, object]]:
    return [dict(zip(table.names, row, strict=True)) for row in read_rows(table.path(archive), table)]


def test_two_processes_give_the_bytes_of_one(folder: Path, whole: Path, tmp_path: Path) -> None:
    run(folder, tmp_path / "archive", jobs=2)
    assert fingerprint(tmp_path / "archive") == fingerprint(whole)
    assert sorted(fingerprint(whole)) == [
        "archive.json",
        "files.parquet",
        "paths.parquet",
        "refused.csv",
        "results.parquet",
        "summary.json",
        "verdicts.parquet",
    ]


def test_a_second_batch_reads_nothing_anew_and_changes_nothing(folder: Path, whole: Path) -> None:
    before = fingerprint(whole)
    summary = run(folder, whole)
    assert summary.skipped == summary.files == 27
    assert fingerprint(whole) == before


def test_files_that_come_later_give_the_archive_of_all_at_once(
    folder: Path, whole: Path, tmp_path: Path
) -> None:
    archive, inside = tmp_path / "archive", next(folder.glob("*/*"))
    batch = Batch((str(inside / "00000-01"),), archive, agree("m332-2014"))
    run_batch(batch)
    with pytest.raises(InputError, match="another pattern of folders"):
        run(folder, archive)
    run(folder, archive, again=True)
    assert fingerprint(archive) == fingerprint(whole)


KILLED = """
import os, signal, sys
from pathlib import Path
from resile.workflows.archive.batch import Batch, run_batch
from resile.workflows.judging.agreement import agree

def tell(progress):
    if progress.stage == sys.argv[4] and progress.done >= int(sys.argv[5]):
        os.kill(os.getpid(), signal.SIGKILL)

if __name__ == "__main__":
    batch = Batch((sys.argv[1],), Path(sys.argv[2]), agree("m332-2014"), named=sys.argv[3])
    run_batch(batch, jobs=int(sys.argv[6]), tell=tell)
"""


def killed_in(folder: Path, archive: Path, stage: str, done: int, *, jobs: int = 2) -> None:
    """Run a batch that kills itself when it has done so much of a stage."""
    script = archive.with_name("killed.py")
    script.write_text(KILLED)
    # The output ends when the last process that holds it has ended: its workers end with it.
    words = [sys.executable, script, folder, archive, PATTERN, stage, str(done), str(jobs)]
    ended = subprocess.run(words, capture_output=True, timeout=180)
    assert ended.returncode == -signal.SIGKILL, ended.stderr


posix = pytest.mark.skipif(os.name != "posix", reason="there is no such signal elsewhere")


@posix
def test_a_batch_that_is_killed_goes_on_and_ends_with_the_same_bytes(
    folder: Path, whole: Path, tmp_path: Path
) -> None:
    archive, told = tmp_path / "archive", []
    killed_in(folder, archive, "files", 5)
    killed_in(folder, archive, "samples", 2, jobs=1)
    assert not (archive / "files.parquet").exists()
    batch = Batch((str(folder),), archive, agree("m332-2014"), named=PATTERN)
    summary = run_batch(batch, tell=told.append)
    assert summary.skipped > 5
    samples = [progress for progress in told if progress.stage == "samples"]
    assert samples[0] == BatchProgress("samples", 2, samples[0].total, skipped=2), "two are judged already"
    assert samples[0].total > 2
    assert fingerprint(archive) == fingerprint(whole)


@posix
def test_what_is_killed_while_judging_by_other_rules_leaves_the_old_verdicts_with_their_rules(
    folder: Path, whole: Path, tmp_path: Path
) -> None:
    archive = tmp_path / "archive"
    run_batch(Batch((str(folder),), archive, agree("m332-2020"), named=PATTERN))
    before = fingerprint(archive)
    killed_in(folder, archive, "samples", 1, jobs=1)
    left = fingerprint(archive)
    assert {name: left[name] for name in before} == before
    run_batch(Batch((str(folder),), archive, agree("m332-2020"), named=PATTERN))
    assert fingerprint(archive) == before, "verdicts that were begun by other rules are of no use"
    run(folder, archive)
    assert fingerprint(archive) == fingerprint(whole)


def test_a_batch_that_is_stopped_while_tables_move_is_ended_by_the_next(
    folder: Path, whole: Path, tmp_path: Path
) -> None:
    archive = tmp_path / "archive"
    run(folder, archive)
    (archive / "next").mkdir()
    (archive / "results.parquet").rename(archive / "next" / "results.parquet")
    (archive / "next" / "complete").touch()
    run(folder, archive)
    assert fingerprint(archive) == fingerprint(whole)


def test_a_file_that_is_stopped_by_hand_keeps_what_was_done(
    folder: Path, whole: Path, tmp_path: Path
) -> None:
    def stop(progress: BatchProgress) -> None:
        if progress.done >= 5:
            raise KeyboardInterrupt

    batch = Batch((str(folder),), tmp_path / "archive", agree("m332-2014"), named=PATTERN)
    with pytest.raises(KeyboardInterrupt):
        run_batch(batch, tell=stop)
    assert run_batch(batch).skipped >= 5
    assert fingerprint(tmp_path / "archive") == fingerprint(whole)


def test_equal_bytes_in_two_places_are_one_file_with_both(folder: Path, tmp_path: Path) -> None:
    source = next(folder.rglob("rtfo-creep-0.csv"))
    for name in ("b", "a", "c"):
        (tmp_path / "records" / name).mkdir(parents=True)
        (tmp_path / "records" / name / "one.csv").write_bytes(source.read_bytes())
    archive = tmp_path / "archive"
    batch = Batch((str(tmp_path / "records"),), archive, named="{sample}")
    summary = run_batch(batch)
    (file,) = rows(archive, FILES)
    assert [Path(str(file["path"])).parent.name] + [
        Path(one).parent.name
        for one in file["other_paths"]  # type: ignore[attr-defined]
    ] == ["a", "b", "c"]
    assert {row["sample"] for row in rows(archive, RESULTS)} == {"a"}, "told of by its first place"
    assert (summary.files, summary.distinct_files, summary.told_in_two_ways) == (3, 1, 1)
    (tmp_path / "records" / "a" / "one.csv").write_bytes(b"nothing any more")
    run_batch(batch)
    assert {row["sample"] for row in rows(archive, RESULTS)} == {"b"}, "the first place has other bytes now"


def test_what_is_refused_is_listed_with_its_reason_and_stops_nothing(whole: Path) -> None:
    with (whole / "refused.csv").open(encoding="utf-8", newline="") as file:
        refused = {Path(row["path"]).name: row for row in csv.DictReader(file)}
    assert set(BAD) <= set(refused)
    assert refused["empty.csv"]["reason"].startswith("the file is empty")
    assert all(row["exit_code"] == "2" and len(row["sha256"]) == 64 for row in refused.values())
    summary = json.loads((whole / "summary.json").read_text())
    assert summary["refused"] == len(refused)
    assert summary["files"] == 27


def test_a_register_counts_more_than_folders_and_folders_more_than_the_file(
    folder: Path, tmp_path: Path
) -> None:
    lot = next(folder.glob("*/*"))
    register = tmp_path / "files.csv"
    register.write_text(
        "file;sample;lot;tested;residue\n00000-00/rtfo-creep-0.csv;S-9;L-9;2024-03-05;PAV\n", encoding="utf-8"
    )
    archive = tmp_path / "archive"
    run_batch(Batch((str(lot),), archive, named="{sample}/{condition}-*", register=register))
    told = {
        (row["sample"], row["lot"], row["tested"], row["condition"])
        for row in rows(archive, RESULTS)
        if row["test"] == "creep_recovery"
    }
    assert ("S-9", "L-9", "2024-03-05", "long_term_aged") in told
    assert ("00000-01", "", "", "short_term_aged") in told


def test_verdicts_are_those_of_the_grading_of_the_same_results(whole: Path) -> None:
    from resile.records.determination import Condition, Determination
    from resile.records.quantity import QUANTITIES
    from resile.workflows.judging.grading import grade_sample

    own = [row for row in rows(whole, RESULTS) if row["sample"] == "00000-00" and row["worst"] != "invalid"]
    determinations = [
        Determination(
            "S",
            Condition(str(row["condition"])),
            row["temperature_c"],  # type: ignore[arg-type]
            str(row["quantity"]),
            row["value"],  # type: ignore[arg-type]
            QUANTITIES[str(row["quantity"])].unit,
            raw=True,
        )
        for row in own
    ]
    statement = grade_sample("S", determinations, agree("m332-2014"))
    expected = {
        (one.label, verdict.requirement.name): (verdict.value, verdict.outcome.value, verdict.margin)
        for one in statement.classes
        for verdict in one.verdicts
        if verdict.result is not None
    }
    found = {
        (row["label"], row["requirement"]): (row["value"], row["outcome"], row["margin"])
        for row in rows(whole, VERDICTS)
        if row["sample"] == "00000-00"
    }
    assert expected.items() <= found.items()
    assert len({row["label"] for row in rows(whole, VERDICTS)}) > 4


def test_other_rules_judge_anew_without_reading_anew(folder: Path, whole: Path, tmp_path: Path) -> None:
    archive = tmp_path / "archive"
    first = run_batch(Batch((str(folder),), archive, named=PATTERN))
    assert first.verdicts == 0
    again = run(folder, archive)
    assert (again.skipped, again.verdicts > 0) == (27, True)
    assert fingerprint(archive) == fingerprint(whole)


def test_files_behind_an_address_give_the_same_results(folder: Path, whole: Path, tmp_path: Path) -> None:
    import fsspec

    packed = tmp_path / "records.zip"
    memory = fsspec.filesystem("memory")
    with zipfile.ZipFile(packed, "w") as file:
        for path in sorted(folder.rglob("*.csv")):
            file.write(path, path.relative_to(folder))
            memory.pipe_file(f"/records/{path.relative_to(folder)}", path.read_bytes())
    expected = [{**row, "sha256": ""} for row in rows(whole, RESULTS)]
    for address, jobs, send in ((f"zip://::{packed}", 2, False), ("memory://records", 2, True)):
        archive = tmp_path / f"archive-{jobs}-{send}"
        run(address, archive, jobs=jobs, send=send)
        assert [{**row, "sha256": ""} for row in rows(archive, RESULTS)] == expected
        assert all(str(row["path"]).startswith(address[:6]) for row in rows(archive, FILES))


def test_an_archive_is_written_by_one_batch_at_once(folder: Path, tmp_path: Path) -> None:
    with (
        hold_archive(tmp_path / "archive"),
        pytest.raises(ConflictError, match="another batch writes this archive now"),
    ):
        run(folder, tmp_path / "archive")


def test_what_cannot_be_begun_is_said_before_anything_is_written(folder: Path, tmp_path: Path) -> None:
    (tmp_path / "notes.txt").write_text("mine")
    with pytest.raises(InputError, match=r"holds other things \(notes.txt\)"):
        run(folder, tmp_path)
    with pytest.raises(RecordNotFoundError, match="no such folder"):
        run(tmp_path / "nowhere", tmp_path / "archive")
    with pytest.raises(InputError, match="not known"):
        run("moon://records", tmp_path / "archive")
    assert not (tmp_path / "archive").exists()


def test_where_no_file_can_be_read_the_batch_says_so(tmp_path: Path) -> None:
    (tmp_path / "records").mkdir()
    (tmp_path / "records" / "empty.csv").touch()
    with pytest.raises(InputError, match=r"none of the 1 files could be read; .*refused.csv"):
        run(tmp_path / "records", tmp_path / "archive")
    assert "the file is empty" in (tmp_path / "archive" / "refused.csv").read_text()


def die_on_three(numbers: tuple[int, ...]) -> tuple[int, ...]:
    if 3 in numbers:
        os._exit(9)
    return numbers


def test_a_thing_that_ends_its_process_is_given_up_and_the_others_are_done() -> None:
    crew = Processes(2)
    try:
        made = list(crew.make(Work(die_on_three, lambda number: (-number,)), [(1, 2), (3, 4), (5, 6), (7,)]))
    finally:
        crew.end()
    assert sorted(number for bundle in made for number in bundle) == [-3, 1, 2, 4, 5, 6, 7]


def test_tables_of_results_count_where_no_raw_record_gives_the_property(tmp_path: Path) -> None:
    records = write_archive_folder(tmp_path / "records", 1)
    (sample,) = records.glob("*/*/*")
    (sample / "typed.csv").write_text(
        "sample,condition,temperature_c,quantity,value,unit\n"
        "00000-00,short_term_aged,64,jnr_3.2,0.011,1/kPa\n"
        "00000-00,original,,flash_point,247,°C\n",
        encoding="utf-8",
    )
    archive = tmp_path / "archive"
    run(records, archive)
    typed = {row["quantity"] for row in rows(archive, RESULTS) if row["test"] == "typed_results"}
    assert typed == {"jnr_3.2", "flash_point"}
    found = {row["requirement"]: row["value"] for row in rows(archive, VERDICTS)}
    assert found["flash_point_minimum"] == 247
    assert found["jnr_3.2_maximum"] != 0.011


RESULTS_OF_ONE = """sample,condition,temperature_c,quantity,value,unit
N-1,original,64,rutting_parameter,1.4,kPa
N-1,short_term_aged,64,jnr_3.2,0.8,1/kPa
N-1,short_term_aged,64,jnr_difference_percent,40,%
N-1,long_term_aged,25,fatigue_parameter,4000,kPa
N-1,long_term_aged,-12,creep_stiffness,240,MPa
N-1,long_term_aged,-12,m_value,0.31,
"""
OVEN = """sample = "N-1"
method = "t240"
temperature_c = 163
duration_min = {minutes}
mass_change_percent = -0.3
"""
VESSEL = """sample = "N-1"
method = "r28"
short_term_record = "oven.toml"
temperature_c = {temperature}
pressure_mpa = 2.10
duration_h = 20
"""


@pytest.mark.parametrize(("minutes", "temperature"), [(85, 100), (75, 100), (85, 90)])
def test_ageing_records_beside_results_count_as_in_grading(
    tmp_path: Path, minutes: int, temperature: int
) -> None:
    from resile.workflows.judging.grading import grade_table

    folder = tmp_path / "records"
    folder.mkdir()
    (folder / "results.csv").write_text(RESULTS_OF_ONE, encoding="utf-8")
    (folder / "oven.toml").write_text(OVEN.format(minutes=minutes), encoding="utf-8")
    (folder / "vessel.toml").write_text(VESSEL.format(temperature=temperature), encoding="utf-8")
    (folder / "order.toml").write_text('[sample]\nname = "N-1"\n', encoding="utf-8")
    yardstick = agree("m332-2014")
    run_batch(Batch((str(folder),), tmp_path / "archive", yardstick))
    (statement,) = grade_table(
        folder / "results.csv", yardstick, ageing=[folder / "oven.toml", folder / "vessel.toml"]
    ).statements
    judged = [(one.label, verdict) for one in statement.classes for verdict in one.verdicts]
    judged += [(one.label, verdict) for one in statement.full_grades for verdict in one.verdicts]
    expected = {
        (label, verdict.requirement.name): (verdict.value, verdict.outcome.value)
        for label, verdict in judged
        if verdict.result is not None
    }
    found = {
        (row["label"], row["requirement"]): (row["value"], row["outcome"])
        for row in rows(tmp_path / "archive", VERDICTS)
    }
    assert found.items() <= expected.items()
    compared = {requirement for _, requirement in found}
    assert compared == {requirement for _, requirement in expected}
    assert ("jnr_3.2_maximum" in compared) is (minutes == 85)
    assert ("creep_stiffness_maximum" in compared) is (minutes == 85 and temperature == 100)
    refused = (tmp_path / "archive" / "refused.csv").read_text(encoding="utf-8")
    assert "no ageing record: a TOML file without the key 'method'" in refused


@posix
def test_what_is_no_file_is_told_and_never_waited_for(folder: Path, tmp_path: Path) -> None:
    odd = tmp_path / "odd"
    (odd / "loop").mkdir(parents=True)
    (odd / "good.csv").write_bytes(next(folder.rglob("rtfo-creep-0.csv")).read_bytes())
    (odd / "self.csv").symlink_to("self.csv")
    (odd / "nowhere.csv").symlink_to("gone.csv")
    (odd / "loop" / "up").symlink_to("..")
    (odd / "loop" / "folder.csv").symlink_to("..")
    (odd / "new\nline.csv").write_bytes(b"")
    os.mkfifo(odd / "pipe.csv")
    summary = run_batch(Batch((str(odd),), tmp_path / "archive"))
    assert (summary.files, summary.refused) == (5, 4)
    with (tmp_path / "archive" / "refused.csv").open(encoding="utf-8", newline="") as file:
        refused = {Path(row["path"]).name: row["reason"] for row in csv.DictReader(file)}
    assert "leads nowhere, a pipe or a device" in refused["pipe.csv"]
    assert refused["nowhere.csv"] == refused["pipe.csv"]
    assert refused["self.csv"].startswith("the file cannot be opened")
    assert refused["new\nline.csv"].startswith("the file is empty")


def test_files_of_a_web_server_give_the_results_of_the_folder(
    folder: Path, whole: Path, tmp_path: Path
) -> None:
    pytest.importorskip("aiohttp")
    handler = partial(_Quiet, directory=str(folder))
    with ThreadingHTTPServer(("127.0.0.1", 0), handler) as server:
        Thread(target=server.serve_forever, daemon=True).start()
        try:
            run(f"http://127.0.0.1:{server.server_port}/", tmp_path / "archive", jobs=2)
        finally:
            server.shutdown()
    expected = [{**row, "sha256": ""} for row in rows(whole, RESULTS)]
    assert [{**row, "sha256": ""} for row in rows(tmp_path / "archive", RESULTS)] == expected


class _Quiet(SimpleHTTPRequestHandler):
    def log_message(self, *_: object) -> None:
        """Say nothing."""
