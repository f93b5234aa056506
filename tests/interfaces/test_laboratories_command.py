"""The commands on laboratories, as a person meets them."""

import json
from pathlib import Path

import pytest

from resile.workflows.laboratories.tasks import study_sheet

STUDY = "Lab,A,B\n1,1.0 1.1,5.0 5.1\n2,1.2 1.3,5.5 5.2\n3,1.1 1.3,5.3 5.4\n"
ROUNDS = (
    "Round,Property,Our result,Assigned value,SD,Residue\n1,Jnr3.2,0.80,0.80,0.05,RTFO\n"
    "2,Jnr3.2,{},0.80,0.05,RTFO\n"
)
CHECKS = "Day,Measured\n2025-01-01,33.95\n2025-01-02,{}\n"


@pytest.fixture
def here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    return tmp_path


def test_the_command_and_python_give_the_same_numbers(run, here: Path) -> None:
    (here / "study.csv").write_text(STUDY, encoding="utf-8")
    code, out, _ = run("laboratories", "study", "study.csv", "--json")
    assert code == 0
    assert json.loads(out) == json.loads(json.dumps(study_sheet(Path("study.csv")).to_json()))


@pytest.mark.parametrize(("measured", "code"), [("34.02", 0), ("34.30", 1)])
def test_a_check_outside_ends_with_one(run, here: Path, measured: str, code: int) -> None:
    (here / "checks.csv").write_text(CHECKS.format(measured), encoding="utf-8")
    words = [
        "--property",
        "kinematic_viscosity",
        "--reference",
        33.98,
        "--expanded",
        0.0748,
        "--site",
        0.0646,
    ]
    assert run("laboratories", "check", "checks.csv", *words)[0] == code


@pytest.mark.parametrize(("value", "code"), [("0.82", 0), ("0.98", 1)])
def test_a_newest_round_that_asks_for_action_ends_with_one(run, here: Path, value: str, code: int) -> None:
    (here / "rounds.csv").write_text(ROUNDS.format(value), encoding="utf-8")
    assert run("laboratories", "scores", "rounds.csv")[0] == code


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["study", "none.csv"], "none.csv"),
        (["dispute"], "a dispute needs a case (TOML), or --property"),
        (["dispute", "--property", "jnr_3.2", "--at-most", 0.5, "--supplier", "much"], "numbers are needed"),
        (["dispute", "--property", "jnr_3.2", "--at-most", 0.5, "--supplier", "0,42"], "is the comma a"),
        (["components", "study.csv", "--factor", "who"], "no row of headings was found"),
        (["precision", "study.csv", "--property", "shine"], "property 'shine' is not known"),
        (["study", "study.csv", "--page", "study.csv"], "a page ends in .html, .pdf"),
    ],
)
def test_a_refusal_is_one_sentence_without_a_trace(run, here: Path, words: list[object], said: str) -> None:
    (here / "study.csv").write_text(STUDY, encoding="utf-8")
    code, out, err = run("laboratories", *words)
    assert code in (2, 3)
    assert said in err
    assert "Traceback" not in out + err


def test_the_worksheet_has_the_rule_before_the_results_and_both_questions_apart(run, here: Path) -> None:
    code, _, _ = run(
        *("laboratories", "dispute", "--property", "jnr_3.2", "--residue", "RTFO", "--at-most", 0.5),
        *("--supplier", "0.42 0.44", "--receiver", "0.68", "--page", "sheet.html", "--page", "sheet.pdf"),
    )
    assert code == 0
    page = (here / "sheet.html").read_text(encoding="utf-8")
    places = [
        page.index(words)
        for words in ("The rule, agreed first", "Every determination", "question of statistics")
    ]
    places += [page.index("question of quality"), page.index("What the referee would settle")]
    assert places == sorted(places)
    assert (here / "sheet.pdf").read_bytes().startswith(b"%PDF")
