"""Recipes in the browser: worked out, tried, tested next, batched, planned; the same numbers everywhere."""

import json
import re
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

from interfaces.web.forms import answer_of, send
from interfaces.web.test_blend_pages import shown
from invented_blends import SMALL, blend_book, small_book
from resile.records.reading import HeldFile
from resile.workflows.blending.task import design_book, predict_recipe, propose_trials
from resile.workflows.laboratory.blends.foreseen import foreseen_trials
from stored_samples import demonstration_day

SHARES = {"Soft base": 40.0, "Hard base": 38.0, "Concentrate": 22.0}
QUESTION = "share-1=40&share-2=38&share-3=22"


def laid_out(folder: Path, book: HeldFile) -> Path:
    for file in (book, *book.beside):
        (folder / file.name).write_bytes(file.content)
    return folder / book.name


@pytest.fixture(scope="module")
def book_file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return laid_out(tmp_path_factory.mktemp("blend"), small_book())


@cache
def design_of(path: Path) -> Any:
    return design_book(path)


def kept(client: TestClient, book: HeldFile) -> str:
    files = [("book", (book.name, book.content))]
    files += [("tables", (one.name, one.content)) for one in book.beside]
    place: str = send(client, "/blends/files", files=files).headers["location"]
    return place


def worked_out(client: TestClient, book: HeldFile) -> tuple[str, str]:
    place = kept(client, book)
    page = answer_of(client, send(client, f"{place}/design"))
    assert page.status_code == 200, page.text
    return place, page.text


def without_places(told: Any) -> Any:
    """The same JSON, files by their names alone."""
    text = re.sub(r'"(?:[^"]*/)?(\w+\.(?:toml|csv))"', r'"\1"', json.dumps(told))
    return json.loads(text)


def test_a_design_says_on_its_page_what_the_command_line_says(client: TestClient, book_file: Path) -> None:
    place, page = worked_out(client, small_book())
    design = design_of(book_file).design
    words = shown(page)
    assert design.answer in words
    for name, share in design.chosen.percent.items():
        assert re.search(rf"{name} {share:.1f}", words), name
    assert "Begin from" not in words and "cheapest as expected" in words
    assert "Blending is work with hot binder" in words
    for part, word in (
        ("trials", "T1 90 10 0"),
        ("trials", "each trial against what the others foresee"),
        ("cost", "The cheapest recipe for each probability"),
        ("doses", "Probability of the whole grade against the dose"),
        ("book", "What can be dosed"),
    ):
        assert word in shown(client.get(f"{place}/{part}").text)
    assert client.get(f"{place}/design.pdf").content.startswith(b"%PDF")
    assert 'id="ternary"' in page and 'data-ternary="{' in page
    again = client.get(place).text
    assert design.answer in shown(again), "worked out once"
    assert "has been worked out" not in shown(again)


def test_one_task_gives_the_same_numbers_everywhere(client: TestClient, book_file: Path, run: Any) -> None:
    key = kept(client, small_book()).rsplit("/", 1)[-1]
    by_python = without_places(design_of(book_file).to_json())
    assert without_places(client.get(f"/api/v1/blends/{key}/design").json()) == by_python
    code, out, _ = run("blend", "design", book_file, "--json")
    assert code == 0
    assert without_places(json.loads(out)) == by_python
    files = [("book", (small_book().name, small_book().content))]
    files += [("tables", (one.name, one.content)) for one in small_book().beside]
    told = {"percent": json.dumps(SHARES)}
    predicted = client.post("/api/v1/blend/predict", files=files, data=told).json()
    assert without_places(predicted) == without_places(predict_recipe(book_file, SHARES).to_json())
    following = client.post("/api/v1/blend/trial", files=files).json()
    assert without_places(following) == without_places(propose_trials(book_file).to_json())
    refused = client.post("/api/v1/blend/predict", files=files, data={"percent": '{"Soft base": 50}'})
    assert refused.status_code == 422 and "add up to 50 %" in refused.json()["detail"]


def test_a_recipe_is_tried_with_and_without_script(client: TestClient, book_file: Path) -> None:
    place = kept(client, small_book())
    recipe = predict_recipe(book_file, SHARES).recipe
    part = client.get(f"{place}/tried?{QUESTION}")
    words = shown(part.text)
    assert f"A batch keeps every limit with {100 * recipe.probability:.1f} %; 95 % are asked for." in words
    for line in recipe.lines:
        assert line.limit.title in words
    assert f"{recipe.cost_per_tonne:.2f} EUR per tonne" in words
    whole = client.get(f"{place}?{QUESTION}").text
    assert f"keeps every limit with {100 * recipe.probability:.1f} %" in shown(whole)
    assert 'value="38"' in whole
    wrong = client.get(f"{place}?share-1=40&share-2=38&share-3=")
    assert wrong.status_code == 422
    assert "add up to 78 %" in shown(wrong.text) and 'value="38"' in wrong.text
    assert "add up to 78 %" in shown(client.get(f"{place}/tried?share-1=40&share-2=38").text)
    assert "'much' is no number" in shown(client.get(f"{place}?share-1=much").text)


def test_the_next_trial_leads_to_a_form_that_knows_its_shares(client: TestClient, book_file: Path) -> None:
    place = kept(client, small_book())
    assert "Work out the next trial" in shown(client.get(f"{place}/next").text)
    page = answer_of(client, send(client, f"{place}/design", then="next"))
    first = propose_trials(book_file).trials[0]
    assert first.reason in shown(page.text)
    for test in first.tests:
        assert test in shown(page.text)
    way = re.search(rf'href="({place}/trial\?[^"]+)"', page.text)
    assert way
    form = client.get(way[1].replace("&amp;", "&")).text
    for row, share in enumerate(first.percent.values(), 1):
        assert f'name="share-{row}" type="text" value="{share:.10g}"' in form


def test_the_batch_sheet_is_one_page_of_the_chosen_recipe_or_of_the_one_tried(client: TestClient) -> None:
    place = kept(client, small_book())
    early = client.get(f"{place}/batch.pdf")
    assert early.status_code == 422 and "do that first" in shown(early.text)
    assert client.get(f"{place}/batch.pdf?{QUESTION}").content.startswith(b"%PDF")
    answer_of(client, send(client, f"{place}/design"))
    sheet = client.get(f"{place}/batch.pdf")
    assert sheet.headers["content-type"] == "application/pdf"
    assert sheet.content.count(b"/Type /Page\n") <= 1 and sheet.content.startswith(b"%PDF")


def test_what_nobody_tested_is_never_counted_as_kept(client: TestClient) -> None:
    more = SMALL + '\n[[limit]]\nquantity = "flash_point"\nminimum = 230\n'
    book = small_book()
    place, page = worked_out(client, HeldFile(book.name, more.encode(), book.beside))
    assert "not counted as kept" in shown(page)
    tried = shown(client.get(f"{place}/tried?{QUESTION}").text)
    assert "not tested" in tried and "No trial tells of one limit" in tried


def test_each_trial_is_foreseen_by_the_others_within_the_scatter_they_were_made_with(
    client: TestClient, book_file: Path
) -> None:
    """A log-linear truth with 3 % of scatter; source: constructed in `invented_blends`."""
    design = design_of(book_file).design
    table = foreseen_trials(design.book, design.surfaces)
    assert [name for name, _ in table.rows] == [f"T{n}" for n in range(1, 8)]
    for _, values in table.rows:
        for value in values:
            tested, foreseen = (float(part) for part in value.removesuffix(")").split(" ("))
            assert foreseen == pytest.approx(tested, rel=0.2)
    place, _ = worked_out(client, small_book())
    assert table.rows[0][1][0] in shown(client.get(f"{place}/trials").text)


@pytest.mark.nightly
def test_a_season_from_the_invented_book_serves_every_grade(client: TestClient) -> None:
    folder = demonstration_day() / "blends"
    tables = tuple(HeldFile(path.name, path.read_bytes()) for path in folder.glob("*.csv"))
    place = kept(client, HeldFile("book.toml", (folder / "book.toml").read_bytes(), tables))
    asked = {"demands": "PG 64H-28 300\nPG 64S-28 200", "tanks": "2"}
    page = answer_of(client, send(client, f"{place}/season", **asked))
    words = shown(page.text)
    assert "serves all of the grades" in words or "serve all of the grades" in words
    assert "PG 64H-28" in words and "crowns" in words
    assert client.get(str(page.request.url)).text.count("Tank 1") == page.text.count("Tank 1")


def test_a_book_that_cannot_be_designed_with_says_why(client: TestClient) -> None:
    wrong = HeldFile("northern.toml", blend_book().content.replace(b"64H-22", b"64Q-22"), blend_book().beside)
    place = kept(client, wrong)
    refused = answer_of_refusal(client, send(client, f"{place}/design"))
    assert "64Q-22" in refused
    assert f'href="{place}"' in refused
    assert client.get(place).status_code == 200


def test_one_trial_is_too_few_and_its_page_says_so(client: TestClient) -> None:
    alone = SMALL.replace('shares = "trials.csv"\nresults = "results.csv"\n', "")
    alone += '\n[[trial]]\nname = "T1"\npercent = {"Soft base" = 60, "Hard base" = 20, "Concentrate" = 20}\n'
    alone += '[[trial.result]]\nquantity = "jnr_3.2"\ntemperature_c = 64\nvalue = 1.4\n'
    alone += 'condition = "short_term_aged"\n'
    place, page = worked_out(client, HeldFile("small.toml", alone.encode()))
    assert 'id="recipe"' not in page and 'id="tried"' in page
    for part in ("doses", "cost", "trials", "book"):
        assert client.get(f"{place}/{part}").status_code == 200
    assert "No recipe was found" in shown(client.get(f"{place}/doses").text)


def test_limits_that_conflict_are_named_with_the_nearest_miss(client: TestClient) -> None:
    text = SMALL.replace("maximum = 2.0", "maximum = 0.3").replace("maximum = 1.0", "maximum = 0.35")
    book = small_book()
    _, page = worked_out(client, HeldFile(book.name, text.encode(), book.beside))
    words = shown(page)
    assert "cannot be reached within the bounds" in words and "Recipe (nearest miss)" in words
    assert "missed" in words and "Batch sheet (PDF)" not in words


def answer_of_refusal(client: TestClient, started: Any) -> str:
    place = started.headers["location"]
    for _ in range(20_000):
        page = client.get(place).text
        if 'hx-trigger="load' not in page:
            return page
    raise AssertionError("the job has not ended")


def test_a_season_is_planned_and_its_address_can_be_sent(client: TestClient) -> None:
    place = kept(client, small_book())
    wrong = send(client, f"{place}/season", demands="PG 64S-22 much", tanks="2")
    assert wrong.status_code == 422
    assert "line 1, tonnes of PG 64S-22: 'much' is no number" in shown(wrong.text).replace("Line", "line")
    assert 'value="2"' in wrong.text
