"""The command that predicts for other temperatures, as a person meets it."""

import json
from pathlib import Path
from typing import Any

import pytest

from resile import predict

ROWS = """sample,condition,temperature_c,quantity,value,unit
Tank 7,RTFO,58,jnr_3.2,1.85,1/kPa
Tank 7,RTFO,58,jnr_3.2,1.80,1/kPa
"""


@pytest.fixture
def table(tmp_path: Path) -> Path:
    file = tmp_path / "tank-7.csv"
    file.write_text(ROWS, encoding="utf-8")
    return file


def test_the_command_and_python_give_the_same_numbers(run, table: Path) -> None:
    code, out, _ = run("predict", table, "--at", 64, "--kind", "unmodified", "--json")
    assert code == 0
    told: dict[str, Any] = json.loads(out)
    again = predict(table, [64.0], kind="unmodified").to_json()
    assert told["samples"] == json.loads(json.dumps(again["samples"]))
    (asked,) = told["samples"][0]["temperatures"]
    assert asked["expected_class"] == "64S"
    codes = {one["code"] for one in told["samples"][0]["findings"]}
    assert codes >= {"prediction-is-no-test", "slope-from-prior", "extrapolated"}


def test_one_temperature_without_a_kind_is_asked_about_and_not_guessed(run, table: Path) -> None:
    code, _, said = run("predict", table, "--at", 64)
    assert code == 2
    assert "name the kind of binder" in said
    assert "sbs-modified, unknown, unmodified" in said


def test_pages_and_picture_are_written_and_another_ending_is_refused(
    run, table: Path, tmp_path: Path
) -> None:
    given = ["predict", table, "--at", 64, "--kind", "unknown", "--date", "2026-05-12"]
    names = [tmp_path / f"sheet{ending}" for ending in (".html", ".pdf", ".xlsx", ".svg")]
    code, _, _ = run(*given, *(word for name in names for word in ("--page", name)))
    assert code == 0
    assert "Always test, do not scale" in names[0].read_text(encoding="utf-8")
    assert names[1].read_bytes().startswith(b"%PDF")
    assert names[2].read_bytes().startswith(b"PK")
    assert "<svg" in names[3].read_text(encoding="utf-8")
    code, _, said = run(*given, "--page", tmp_path / "sheet.doc")
    assert code == 2
    assert "a page ends in" in said


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["--scatter", "guess"], "precision, replicates or a number"),
        (["--scatter", "-3"], "scatter"),
        (["--kind", "rubber"], "no kind of binder is called 'rubber'"),
        (["--at", "640"], "a temperature of a binder test"),
    ],
)
def test_what_cannot_be_meant_is_refused_in_one_sentence(
    run, table: Path, words: list[str], said: str
) -> None:
    kind = [] if "--kind" in words else ["--kind", "unknown"]
    code, _, error = run("predict", table, "--at", "64", *kind, *words)
    assert code in (2, 3)
    assert said in error


def test_the_picture_shows_every_test_the_steps_of_the_classes_and_the_band(table: Path) -> None:
    (spec,) = predict(table, [64.0], kind="unmodified").figures().values()
    drawn = json.dumps(spec, ensure_ascii=False)
    for words in ("Jnr3.2 (1/kPa)", "temperature (°C)", "H  ≤ 2.0", "58.7 °C", "3.98 (3.18 to 4.98)"):
        assert words in drawn
    assert "64 °C 3.98" in spec["description"]


def test_a_kind_of_binder_is_shown_with_its_sources(run) -> None:
    code, said, _ = run("rules", "unmodified")
    assert code == 0
    assert "2.18" in said
    assert "recalled" in said
    assert json.loads(run("rules", "unmodified", "--json")[1])["slopes"][0]["slope_per_c"] == 0.13
