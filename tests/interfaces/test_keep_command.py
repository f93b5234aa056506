"""Samples and record files go in from the command line."""

import json
from pathlib import Path

import pytest

from bench_files import creep_record
from resile.interfaces.cli import main


@pytest.fixture
def resile(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> "Run":
    monkeypatch.setenv("RESILE_RECORD", str(tmp_path / "laboratory.db"))
    return Run(monkeypatch, capsys)


class Run:
    def __init__(self, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
        self.monkeypatch, self.capsys = monkeypatch, capsys

    def __call__(self, *words: str) -> tuple[int, str, str]:
        self.monkeypatch.setattr("sys.argv", ["resile", *words])
        with pytest.raises(SystemExit) as left:
            main()
        told = self.capsys.readouterr()
        return int(left.value.code or 0), told.out, told.err


def test_a_sample_is_received_and_its_file_kept(resile: Run, tmp_path: Path) -> None:
    (tmp_path / "run.csv").write_bytes(creep_record())
    assert resile("receive", "26-101", "--split")[1].splitlines()[1].startswith("received: 26-101-A")
    code, out, _ = resile("keep", str(tmp_path / "run.csv"), "--sample", "26-101-A", "--json")
    kept = json.loads(out)["kept"][0]
    assert code == 0
    assert kept["runs"][0]["test"] == "creep_recovery"
    assert resile("keep", str(tmp_path / "run.csv"))[1].count("kept already") == 1


def test_good_files_are_kept_even_where_others_are_refused(resile: Run, tmp_path: Path) -> None:
    (tmp_path / "a.csv").write_bytes(b"")
    (tmp_path / "b.csv").write_bytes(creep_record())
    code, out, err = resile("keep", str(tmp_path / "a.csv"), str(tmp_path / "b.csv"))
    assert code == 2
    assert "b.csv: kept" in out
    assert "a.csv: the file is empty" in err


def test_how_a_file_is_read_is_remembered_for_the_next_one(resile: Run, tmp_path: Path) -> None:
    for seed in (1, 2):
        (tmp_path / f"{seed}.csv").write_bytes(creep_record(seed, headings=("q1", "q2", "q3", "q4")))
    assert resile("keep", str(tmp_path / "1.csv"))[0] == 2
    columns = ["1=time_s:s", "2=stress_kpa:kPa", "3=strain:%", "4=temperature_c:°C"]
    options = [word for column in columns for word in ("--column", column)]
    assert resile("keep", str(tmp_path / "1.csv"), *options, "--remember", "R2")[0] == 0
    assert "read by the layout R2" in resile("keep", str(tmp_path / "2.csv"))[1]


@pytest.mark.parametrize(
    ("words", "told", "code"),
    [
        (["--sample", "nobody"], "no sample of this number", 3),
        (["--condition", "old"], "is no residue", 2),
        (["--instrument", "R9"], "none of this name", 3),
        (["--specimen", "1"], "name the sample", 2),
    ],
)
def test_what_is_not_there_is_refused(
    resile: Run, tmp_path: Path, words: list[str], told: str, code: int
) -> None:
    (tmp_path / "run.csv").write_bytes(creep_record())
    found, _, err = resile("keep", str(tmp_path / "run.csv"), *words)
    assert (found, told in err) == (code, True), err
