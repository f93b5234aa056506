"""Blends on the command line, as a person meets them: the demonstration book, and books with something "
"amiss."""

import json
import shutil
from pathlib import Path

import pytest

from resile.workflows.blending.task import start_book
from resile.workflows.demonstration import write_demonstration
from resile.workflows.demonstration.blends import CONCENTRATE, HARD, SOFT, true_values


@pytest.fixture(scope="module")
def demonstration(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("demonstration")
    write_demonstration(folder)
    return folder / "blends"


@pytest.fixture
def book(demonstration: Path, tmp_path: Path) -> Path:
    shutil.copytree(demonstration, tmp_path, dirs_exist_ok=True)
    return tmp_path / "book.toml"


def test_a_design_gives_page_batch_sheet_and_a_recipe_whose_truth_keeps_every_limit(
    run, book: Path, tmp_path: Path
) -> None:
    files = [tmp_path / name for name in ("design.html", "ternary.svg", "batch.pdf")]
    given = ["--page", files[0], "--page", files[1], "--batch", files[2], "--date", "2026-05-13"]

    code, out, err = run("blend", "design", book, *given, "--json")

    told = json.loads(out)
    assert code == 0
    assert err.count("written:") == 3
    assert "The cheapest recipe for PG 64H-28" in told["answer"]
    page = files[0].read_text(encoding="utf-8")
    assert "What the trials tell" in page
    assert "Two limits of handling" in page
    assert "<svg" in files[1].read_text(encoding="utf-8")
    assert b"/Type/Pages/Count 1/" in files[2].read_bytes()
    chosen = told["chosen"]
    assert chosen["probability"] >= 0.95
    true = {
        (response.quantity, response.condition.value, response.temperature_c): value
        for response, value in true_values(chosen["percent"]).items()
    }
    for line in chosen["lines"]:
        limit = line["limit"]
        value = true[limit["quantity"], limit["condition"], limit["temperature_c"]]
        value = abs(value) if limit["absolute"] else value
        assert value <= limit["limit"] if limit["bound"] == "maximum" else value >= limit["limit"]


def test_a_recipe_of_ones_own_that_misses_a_limit_gives_exit_code_1(run, book: Path) -> None:
    code, out, _ = run("blend", "predict", book, f"{SOFT.lower()}=60", f"{HARD}=40")

    assert code == 1
    assert "expected to miss" in " ".join(out.split())


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ((f"{SOFT}=60", "Quarnsk Hrd=40"), "perhaps 'Quarnsk Hard'; known are"),
        ((f"{SOFT}=60", f"{HARD}=30"), "the shares add up to 90 %; needed is 100"),
        ((f"{SOFT}=60", f"{HARD}:40"), "needed is NAME=PERCENT"),
        ((f"{SOFT}=60", f"{SOFT}=40"), "stands twice"),
    ],
)
def test_a_recipe_that_cannot_be_meant_is_refused(run, book: Path, words: tuple[str, str], said: str) -> None:
    code, _, err = run("blend", "predict", book, *words)

    assert code == 2
    assert said in err


def test_where_nothing_serves_the_nearest_miss_is_shown_and_there_is_no_batch_sheet(
    run, book: Path, tmp_path: Path
) -> None:
    text = book.read_text(encoding="utf-8").replace("minimum = 20", "minimum = 95")
    book.write_text(text, encoding="utf-8")

    code, out, err = run("blend", "design", book, "--batch", tmp_path / "batch.pdf")

    assert code == 2
    assert "RECIPE (NEAREST MISS)" in out
    assert "there is no batch sheet" in err
    assert not (tmp_path / "batch.pdf").exists()


def test_a_limit_no_trial_tells_of_is_open_and_said_so(run, book: Path) -> None:
    text = book.read_text(encoding="utf-8").replace("storage_softening_difference_c", "softening_point")
    book.write_text(text, encoding="utf-8")

    code, out, _ = run("blend", "predict", book, f"{SOFT}=45", f"{HARD}=23", f"{CONCENTRATE}=32")

    assert code == 0
    assert "No trial tells of top less bottom after hot storage" in " ".join(out.split())


def test_with_one_trial_the_next_ones_are_named_and_no_recipe_is_given(run, book: Path) -> None:
    shares = book.with_name("shares.csv")
    shares.write_text(
        "".join(shares.read_text(encoding="utf-8").splitlines(keepends=True)[:3]), encoding="utf-8"
    )

    code, out, _ = run("blend", "design", book)
    assert code == 1
    assert "make and test trial blends first" in " ".join(out.split())
    code, out, _ = run("blend", "trial", book, "--count", 2)
    assert code == 0
    assert out.count("Too little is known yet") >= 2


def test_a_page_does_not_write_over_the_tables_of_the_book(run, book: Path) -> None:
    html = book.with_name("results.html")
    book.with_name("results.csv").rename(html)
    text = book.read_text(encoding="utf-8").replace("results.csv", "results.html")
    book.write_text(text, encoding="utf-8")

    recipe = (f"{SOFT}=45", f"{HARD}=30", f"{CONCENTRATE}=25")
    code, _, err = run("blend", "predict", book, *recipe, "--batch", html)

    assert code == 2
    assert "the blend book rests on this file" in err


def test_the_book_to_fill_in_is_one_that_can_be_read_and_is_not_written_over(run, tmp_path: Path) -> None:
    file = tmp_path / "new.toml"
    code, out, _ = run("blend", "start", file)
    assert (code, out.strip()) == (0, f"written: {file}")
    (tmp_path / "shares.csv").write_text(
        "blend,Soft base,Hard base,Concentrate\nB1,50,20,30\n", encoding="utf-8"
    )
    rows = "sample,condition,temperature_c,quantity,value,unit\nB1,RTFO,64,jnr_3.2,1.2,1/kPa\n"
    (tmp_path / "results.csv").write_text(rows, encoding="utf-8")
    code, out, _ = run("blend", "trial", file, "--count", 1)
    assert code == 0
    assert "TRIALS" in out
    code, _, err = run("blend", "start", file)
    assert code == 2
    assert "exists already" in err
    assert start_book(tmp_path / "other.toml").read_bytes() == file.read_bytes()


def test_a_demand_without_its_tonnes_is_refused(run, book: Path) -> None:
    code, _, err = run("blend", "portfolio", book, "PG 64H-28")

    assert code == 2
    assert "needed is GRADE=TONNES" in err
