"""The commands on control charts, as a person meets them."""

import json
from pathlib import Path
from typing import Any

import pytest

from production_series import days, scatter

HEAD = 'lot,sampled,product,condition,"temperature, °C","Jnr3.2, 1/kPa","flash point, °C"\n'


@pytest.fixture
def table(tmp_path: Path) -> Path:
    logarithms, flash = -0.4 + 0.03 * scatter(30, seed=5), 292.0 + 2.0 * scatter(30, seed=2)
    logarithms[24:] += 0.2
    flash[24:] -= 25.0
    rows = [
        f"L{i},{day},Garnet (invented),RTFO,64,{10 ** logarithms[i]:.4f},{flash[i]:.0f}\n"
        for i, day in enumerate(days(30))
    ]
    path = tmp_path / "lots.csv"
    path.write_text(HEAD + "".join(rows), encoding="utf-8")
    return path


def told(out: str) -> dict[str, Any]:
    found: dict[str, Any] = json.loads(out)
    return found


def test_a_table_becomes_a_chart_with_signals_a_dated_change_and_a_suggestion(run, table: Path) -> None:
    until = days(30)[19]
    code, out, _ = run("watch", "chart", table, "-p", "jnr_3.2", "--set-up-until", until, "--json")
    assert code == 0
    found = told(out)
    assert found["chart"]["property"]["scale"] == "log"
    assert {signal["label"] for signal in found["chart"]["signals"]} >= {"L24", "L25"}
    (change,) = found["changes"]
    assert change["earliest"] <= days(30)[24] <= change["latest"]
    assert change["suggestions"][0]["kind"] == "solvent or oil in the tank"
    code, out, _ = run("watch", "chart", table, "-p", "jnr_3.2", "--set-up-until", until)
    assert code == 0
    assert out.splitlines()[0].startswith("Jnr3.2 at 64 °C of Garnet (invented):")
    assert any(line.strip().startswith("1. Lot L") for line in out.splitlines())


def test_page_and_picture_are_written_and_the_table_is_never_overwritten(run, table: Path) -> None:
    page, picture = table.with_name("chart.html"), table.with_name("chart.svg")
    code, out, _ = run("watch", "chart", table, "-p", "flash_point", "--page", page, "--page", picture)
    assert code == 0
    assert "written" in out
    text = page.read_text(encoding="utf-8")
    assert "What it rests on" in text
    assert "Control chart of flash point" in text  # told to those who do not see it
    assert picture.read_text(encoding="utf-8").startswith("<svg")
    code, _, said = run("watch", "chart", table, "-p", "flash_point", "--page", table)
    assert code == 2
    assert "the answer rests on this file" in said
    code, _, said = run("watch", "chart", table, "-p", "flash_point", "--page", table.with_suffix(".doc"))
    assert code == 2
    assert "a page ends in" in said


def test_properties_together_name_the_one_that_lies_apart(run, table: Path) -> None:
    code, out, _ = run("watch", "together", table, "--set-up-until", days(30)[19])
    assert code == 0
    assert "adds most" in out


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["-p", "softening_point"], "no column gives softening_point; the table has jnr_3.2, flash_point"),
        (["-p", "jnr_3.2", "--leave-out", "L99=spill"], "L99: left out of the chart, but no lot"),
        (["-p", "jnr_3.2", "--leave-out", "L3"], "needed is LOT=REASON"),
        (["-p", "jnr_3.2", "--set-up-until", "2025-01-01"], "no lot lies in the set-up"),
        (["-p", "jnr_3.2", "--set-up-until", "May"], "'May' is no day; needed is YYYY-MM-DD"),
        (["-p", "jnr_3.2", "--temperature", "70"], "no series of jnr_3.2 is as asked for"),
        (["-p", "jnr_3.2", "--set", "weight"], "needed is NAME=NUMBER"),
        (["-p", "jnr_3.2", "--residue", "aged"], "residue 'aged' found; one of original"),
    ],
)
def test_what_cannot_be_charted_is_said_in_one_sentence(
    run, table: Path, words: list[str], said: str
) -> None:
    code, _, err = run("watch", "chart", table, *words)
    assert code == 2
    assert said in err
    assert err.count("\n") == 1


def test_run_lengths_are_those_that_are_published(run) -> None:
    # Champ and Woodall 1987: 91.75; Lucas and Crosier 1982: 168 and 8.38
    code, out, _ = run("watch", "run-length", "--rules", "western-electric-1956", "--json")
    assert code == 0
    assert told(out)["lengths"][0] == pytest.approx(91.75, abs=0.005)
    code, out, _ = run(
        "watch", "run-length", "--chart", "cumulative-sum", "--set", "interval=4", "--shift", 1, "--json"
    )
    assert told(out)["lengths"] == [pytest.approx(168, abs=0.5), pytest.approx(8.38, abs=0.005)]
    code, out, _ = run("watch", "rules")
    assert code == 0
    assert "WESTERN-ELECTRIC-1956" in out
