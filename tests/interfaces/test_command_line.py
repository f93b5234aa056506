"""The command line as other programs rely on it: the fixed interface, exit codes, and nothing half-said."""

import json
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest

import resile
from resile.compute.rheology.models.simulation import simulate_creep_recovery
from resile.compute.rheology.models.viscoelastic_models import BurgersModel, KelvinElement
from resile.specifications.creep_recovery import load_programme

RUN_KEYS = [
    "source",
    "method",
    "temperature_c",
    "conditioning_cycles",
    "levels",
    "jnr_difference_percent",
    "recovery_difference_percent",
    "jnr_slope_percent",
    "findings",
]
CYCLE_KEYS = ["number", "initial_strain", "creep_strain", "recovered_strain", "percent_recovery", "jnr"]
VERDICT_KEYS = {"requirement", "limit", "value", "outcome", "margin", "probability_of_conformity"}
# Constructed: the Burgers case of docs/methods/creep_recovery.md, Jnr 2.000 at both stresses, R 9.74 %.
BINDER = BurgersModel(0.5, 50.0, (KelvinElement(2.0, 4.0),))


@pytest.fixture
def record(tmp_path: Path) -> Path:
    columns = simulate_creep_recovery(BINDER, load_programme())
    rows = np.column_stack([columns[name] for name in ("time_s", "stress_kpa", "strain", "temperature_c")])
    path = tmp_path / "record.csv"
    lines = [",".join(f"{value:.9g}" for value in row) for row in rows.tolist()]
    path.write_text(
        "time [s],stress [kPa],strain [-],temperature [°C]\n" + "\n".join(lines), encoding="utf-8"
    )
    return path


def test_reduce_prints_the_fixed_interface(record: Path, run) -> None:
    code, out, err = run("reduce", record, "--json")
    (got,) = json.loads(out)["runs"]
    assert (code, err) == (0, "")
    assert list(got)[: len(RUN_KEYS)] == RUN_KEYS
    assert list(got["source"]) == ["path", "sha256"]
    assert got["method"] == "creep_recovery"
    assert got["conditioning_cycles"] == 10
    assert [level["stress_kpa"] for level in got["levels"]] == [0.1, 3.2]
    for level in got["levels"]:
        assert list(level)[:4] == ["stress_kpa", "percent_recovery", "jnr", "cycles"]
        assert all(list(cycle)[:6] == CYCLE_KEYS for cycle in level["cycles"])
    # Exact values of the Burgers case, constructed from the definitions; the print has nine digits.
    low, high = got["levels"]
    assert low["percent_recovery"] == pytest.approx(9.741953, abs=1e-5)
    assert low["jnr"] == pytest.approx(2.000000, abs=1e-6)
    assert high["percent_recovery"] == pytest.approx(9.735775, abs=1e-5)
    assert high["jnr"] == pytest.approx(2.000213, abs=1e-6)
    assert got["jnr_difference_percent"] == pytest.approx(0.01066, abs=1e-4)
    assert got["recovery_difference_percent"] == pytest.approx(0.06341, abs=1e-4)
    first = high["cycles"][0]
    assert first["initial_strain"] == pytest.approx(4.000220, abs=1e-6)
    assert first["creep_strain"] == pytest.approx(11.093684, abs=1e-6)
    assert first["recovered_strain"] == pytest.approx(10.406995, abs=1e-6)


def test_python_and_command_line_give_the_same_numbers(record: Path, run) -> None:
    _, out, _ = run("reduce", record, "--json")
    assert json.loads(out)["runs"] == json.loads(json.dumps(resile.reduce_record(record).to_json()))


def test_good_files_are_reduced_and_bad_ones_listed(record: Path, run, tmp_path: Path) -> None:
    bad = tmp_path / "bad.csv"
    bad.write_text("time [s],temperature [°C]\n1,64\n2,64\n3,64\n", encoding="utf-8")
    code, out, err = run("reduce", record, bad, tmp_path / "nowhere.csv", "--json")
    got = json.loads(out)
    assert code == 0
    assert len(got["runs"]) == 1
    assert [Path(error["path"]).name for error in got["errors"]] == ["bad.csv", "nowhere.csv"]
    assert all(error["message"] in err for error in got["errors"])


def test_nothing_reduced_is_exit_2_with_the_sentence_on_standard_error(run, tmp_path: Path) -> None:
    empty = tmp_path / "empty.csv"
    empty.touch()
    code, out, err = run("reduce", empty, "--json")
    assert (code, out) == (2, "")
    assert "empty.csv" in err
    assert len(err.strip().splitlines()) == 1


def test_a_missing_file_is_exit_3(run, tmp_path: Path) -> None:
    assert run("reduce", tmp_path / "nowhere.csv")[0] == 3
    assert run("grade", tmp_path / "nowhere.csv")[0] == 3
    assert run("report", tmp_path / "nowhere.toml")[0] == 3


def test_unknown_specification_is_exit_3_and_lists_what_there_is(run, tmp_path: Path) -> None:
    table = tmp_path / "table.csv"
    table.write_text("sample,condition,temperature_c,quantity,value,unit\nA,RTFO,64,jnr_3.2,0.9,1/kPa\n")
    code, _, err = run("grade", table, "--specification", "m999")
    assert code == 3
    assert "m332-2014" in err


def test_grade_prints_verdicts_and_grades_for_each_sample(run, tmp_path: Path) -> None:
    table = tmp_path / "table.csv"
    table.write_text(
        "sample,condition,temperature_c,quantity,value,unit\n"
        "A,RTFO,64,jnr_3.2,0.9,1/kPa\n"
        "A,RTFO,64,jnr_0.1,0.8,1/kPa\n"
        "B,RTFO,64,jnr_3.2,4.6,1/kPa\n"
    )
    code, out, err = run("grade", table, "--specification", "m332-2014", "--json")
    samples = json.loads(out)["samples"]
    assert (code, err) == (0, "")
    assert [sample["sample"] for sample in samples] == ["A", "B"]
    # M 332-14, Table 1, from memory (high): Jnr3.2 at most 0.5, 1.0, 2.0, 4.5 for E, V, H, S.
    assert samples[0]["grades"] == ["64V", "64H", "64S"]
    assert samples[1]["grades"] == []
    assert all(set(verdict) >= VERDICT_KEYS for sample in samples for verdict in sample["verdicts"])


def test_a_claim_that_does_not_hold_is_exit_1(run, tmp_path: Path) -> None:
    table = tmp_path / "table.csv"
    table.write_text("sample,condition,temperature_c,quantity,value,unit\nA,RTFO,64,jnr_3.2,0.9,1/kPa\n")
    assert run("grade", table, "--claim", "64V")[0] == 0
    assert run("grade", table, "--claim", "64E")[0] == 1


def test_a_page_is_written_in_the_form_its_ending_names(record: Path, run, tmp_path: Path) -> None:
    pages = [tmp_path / f"sheet{ending}" for ending in (".html", ".pdf", ".xlsx")]
    words = [word for page in pages for word in ("--page", page)]
    assert run("reduce", record, *words)[0] == 0
    assert pages[0].read_text(encoding="utf-8").startswith("<!doctype html>")
    assert pages[1].read_bytes().startswith(b"%PDF-")
    assert pages[2].read_bytes().startswith(b"PK")


def test_a_page_of_another_ending_is_refused_and_not_written(record: Path, run, tmp_path: Path) -> None:
    code, _, err = run("reduce", record, "--page", tmp_path / "sheet.docx")
    assert code == 2
    assert ".html, .pdf, .xlsx" in err
    assert not (tmp_path / "sheet.docx").exists()


def test_several_processes_give_the_same_as_one(record: Path, run, tmp_path: Path) -> None:
    copies = [tmp_path / f"copy-{number}.csv" for number in range(3)]
    for copy in copies:
        copy.write_bytes(record.read_bytes())
    one = run("reduce", *copies, "--json")
    two = run("reduce", *copies, "--json", "--jobs", "2")
    assert one == two


def test_a_folder_means_its_record_files(record: Path, run, tmp_path: Path) -> None:
    (tmp_path / "notes.md").write_text("not a record")
    _, out, _ = run("reduce", tmp_path, "--json")
    assert [Path(one["source"]["path"]).name for one in json.loads(out)["runs"]] == ["record.csv"]


def test_an_empty_folder_says_so(run, tmp_path: Path) -> None:
    code, _, err = run("reduce", tmp_path)
    assert code == 2
    assert "holds no file" in err


def test_version_and_help_work_in_a_process_of_their_own() -> None:
    for word, expected in (("--version", f"resile {resile.__version__}"), ("--help", "reduce")):
        done = subprocess.run(
            [sys.executable, "-m", "resile", word],
            capture_output=True,
            text=True,
            check=True,
            encoding="utf-8",
        )
        assert expected in done.stdout


def test_read_tells_of_good_files_and_lists_the_bad_ones(record: Path, run, tmp_path: Path) -> None:
    bad = tmp_path / "bad.csv"
    bad.write_bytes(b"")
    code, out, err = run("read", record, bad)
    assert (code, out.splitlines()[0]) == (0, f"{record}: 1 run found")
    assert "bad.csv: the file is empty" in err
    code, out, _ = run("read", record, bad, "--json")
    assert code == 0
    assert [entry["path"] for entry in json.loads(out)["errors"]] == [str(bad)]
    code, out, err = run("read", bad)
    assert (code, out) == (2, "")


def test_a_saved_layout_is_written_once_and_read_again(record: Path, run, tmp_path: Path) -> None:
    bare = tmp_path / "bare.txt"
    lines = record.read_text(encoding="utf-8").splitlines()[1:]
    bare.write_text("a,b,c,d\n" + "\n".join(lines), encoding="utf-8")
    assert run("reduce", bare)[0] == 2
    named = ["--column", "1=time_s:s", "--column", "2=stress_kpa:kPa", "--column", "3=strain:ratio"]
    layout = tmp_path / "bench-2.toml"
    assert run("read", bare, *named, "--save-layout", layout)[0] == 0
    assert run("read", bare, *named, "--save-layout", layout)[0] == 2  # an existing file is not overwritten
    code, out, _ = run("reduce", bare, "--layout", layout, "--json")
    assert code == 0
    assert json.loads(out)["runs"][0]["levels"][1]["jnr"] == pytest.approx(2.000213, abs=1e-6)
