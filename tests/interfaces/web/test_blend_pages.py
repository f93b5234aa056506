"""Blend books in the browser: begun by a form or from files, revised, tried."""

import html
import re

import pytest
from starlette.testclient import TestClient

from interfaces.web.forms import send
from invented_blends import blend_book

TRIALS = """blend\tSoft base\tHard base\tcondition\ttemperature_c\tJnr3.2, 1/kPa
T1\t60\t40\tRTFO\t64\t1.9
T2\t40\t60\tRTFO\t64\t1.1
"""
FORM = {
    "title": "Blends of <the> north",
    "currency": "EUR",
    "grade": "PG 64S-22",
    "specification": "m332-2014",
    "objective": "cost",
    "probability_percent": "95",
    "component-rows": "3",
    "component-1-name": "Soft base",
    "component-1-kind": "base",
    "component-1-price_per_tonne": "430",
    "component-2-name": "Hard base",
    "component-2-kind": "base",
    "component-2-price_per_tonne": "455,5",
    "component-2-highest_percent": "60",
    "component-3-kind": "base",
    "limit-rows": "2",
    "limit-1-quantity": "rotational_viscosity",
    "limit-1-condition": "original",
    "limit-1-temperature_c": "135",
    "limit-1-bound": "maximum",
    "limit-1-value": "2",
    "trials": TRIALS,
    "trials_hold_results": "yes",
}


def shown(page: str) -> str:
    """The words of a page."""
    bare = re.sub(r"<(script|style)[^>]*>.*?</\1>|<[^>]+>", " ", page, flags=re.S)
    return " ".join(html.unescape(bare).split())


def add_files(client: TestClient, **told: str) -> str:
    book = blend_book()
    files = [
        ("book", (book.name, book.content)),
        *(("tables", (one.name, one.content)) for one in book.beside),
    ]
    return send(client, "/blends/files", files=files, **told).headers["location"]


def test_an_empty_place_says_how_to_begin(client: TestClient) -> None:
    page = client.get("/blends")
    assert "No blend book is kept yet" in page.text
    assert 'href="/blends/new"' in page.text
    assert 'aria-current="page">Blends' in page.text, "in the menu"


def test_a_book_is_begun_by_a_form_and_shown_with_its_trials(client: TestClient) -> None:
    answer = send(client, "/blends", **FORM)
    assert answer.status_code == 303, shown(answer.text)
    page = shown(client.get(answer.headers["location"]).text)
    assert "Blends of <the> north" in page
    assert "Aims at PG 64S-22" in page
    assert "has been worked out from this revision yet" in page
    made = shown(client.get(f"{answer.headers['location']}/trials").text)
    assert "T1 60 40" in made and "1.90" in made and "Results on short-term aged binder" in made
    assert "Hard base base 456 0 to 60" in shown(client.get(f"{answer.headers['location']}/book").text)
    assert "Blends of &lt;the&gt; north" in client.get("/blends").text


@pytest.mark.parametrize(
    ("field", "typed", "said"),
    [
        ("component-2-price_per_tonne", "dear", "Component Hard base, price: 'dear' is no number"),
        ("trials", "blend\tSoft base\tHard base\nT1\t60\t20\n", "blend 'T1': the shares add up to 80 %"),
    ],
)
def test_a_form_comes_back_as_it_was_typed_with_what_is_wrong(
    client: TestClient, field: str, typed: str, said: str
) -> None:
    answer = send(client, "/blends", **FORM | {field: typed})
    assert answer.status_code == 422
    assert said in shown(answer.text)
    assert "blend.toml" not in shown(answer.text) and "trials.csv" not in shown(answer.text)
    for name, value in FORM.items():
        wanted = html.escape(typed if name == field else value)
        if name in ("title", "component-1-price_per_tonne", "limit-1-value"):
            assert f'name="{name}" type="text" value="{wanted}"' in answer.text
    assert "T1\t60" in answer.text


def test_one_more_row_keeps_what_was_typed(client: TestClient) -> None:
    again = send(client, "/blends", **FORM | {"more": "component"})
    assert again.status_code == 200
    assert 'name="component-4-name"' in again.text
    assert 'value="455,5"' in again.text
    limits = send(client, "/blends", **FORM | {"more": "limit"})
    assert 'name="limit-3-value"' in limits.text


def test_a_book_of_files_is_kept_byte_for_byte_and_revised_with_a_reason(client: TestClient) -> None:
    place = add_files(client)
    book = blend_book()
    assert client.get(f"{place}/files/{book.name}").content == book.content
    form = client.get(f"{place}/revise")
    assert 'value="Concentrate"' in form.text and 'value="24000"' in form.text
    assert "shares.csv" in form.text
    dearer = book.content.replace(b"430", b"470")
    files = [("book", (book.name, dearer)), *(("tables", (one.name, one.content)) for one in book.beside)]
    told = {"key": place.rsplit("/", 1)[-1], "seen": "1"}
    refused = send(client, "/blends/files", files=files, **told)
    assert refused.status_code == 422 and "needs its reason" in refused.text
    assert send(client, "/blends/files", files=files, reason="new prices", **told).status_code == 303
    now = shown(client.get(f"{place}/book").text)
    assert "470" in now and "new prices" in now
    before = client.get(f"{place}/book?revision=1").text
    assert "430" in shown(before) and "has taken its place" in shown(before)
    assert f'href="{place}/trials?revision=1"' in before, "the other pages of that revision"
    assert send(client, "/blends/files", files=files, reason="late", **told).status_code == 409


def test_a_book_without_its_tables_is_refused_by_the_name_of_the_table(client: TestClient) -> None:
    book = blend_book()
    answer = send(client, "/blends/files", files={"book": (book.name, book.content)})
    assert answer.status_code in (404, 422)
    assert "'shares.csv', which was not given with it" in shown(answer.text)


def test_a_trial_is_added_and_its_results_when_they_come(client: TestClient) -> None:
    place = add_files(client)
    form = client.get(f"{place}/trial").text
    assert "135 °C [Pa·s]" in shown(form)
    shares = {f"component-{n}": name for n, name in enumerate(("Soft base", "Hard base", "Concentrate"), 1)}
    typed = {"name": "B3", "share-rows": "3", **shares, "share-1": "60", "share-2": "20", "share-3": "10"}
    wrong = send(client, f"{place}/trial", seen="1", **typed)
    assert wrong.status_code == 422
    assert "add up to 90 %" in shown(wrong.text)
    assert 'value="60"' in wrong.text
    assert send(client, f"{place}/trial", seen="1", **typed | {"share-3": "20"}).status_code == 303
    assert "Trial blends without a result: B3" in shown(client.get(place).text)
    results = client.get(f"{place}/trial?trial=B3").text
    assert "60 % Soft base" in shown(results) and 'name="share-1"' not in results
    one = {"quantity-1": "rotational_viscosity", "condition-1": "original", "temperature-1": "135"}
    told = {"trial": "B3", "seen": "2", "result-rows": "1", **one, "value-1": "1,1"}
    assert send(client, f"{place}/trial", **told).status_code == 303
    assert "1 result added to trial blend B3" in shown(client.get(f"{place}/book").text)


def test_a_road_that_is_kept_lends_its_grade(client: TestClient) -> None:
    road = {"name": "Harbour road", "latitude_deg": "47", "high_mean_c": "29", "high_sd_c": "1.5"}
    road |= {"low_mean_c": "-14", "low_sd_c": "2", "million_axle_loads": "12", "n_years": "20"}
    site = send(client, "/sites", **road).headers["location"]
    page = client.get(site).text
    assert f'href="/blends/new?site={site.rsplit("/", 1)[-1]}"' in page
    form = client.get(f"/blends/new?site={site.rsplit('/', 1)[-1]}").text
    grade = re.search(r"Harbour road needs ([^<.]+)", page)
    assert grade
    key = site.rsplit("/", 1)[-1]
    assert f'<option value="{key}" selected>Harbour road, ' in form
    answer = send(client, "/blends", **FORM | {"grade": "", "site": key})
    assert answer.status_code == 303, shown(answer.text)
    kept = client.get(answer.headers["location"]).text
    assert f'<a href="/sites/{key}">Harbour road</a>' in kept
    asked = road | {"million_axle_loads": "60", "speed_kmh": "10", "reason": "more trucks", "seen": "1"}
    assert send(client, f"{site}/revise", **asked).status_code == 303
    assert "The road Harbour road needs" in shown(client.get(answer.headers["location"]).text)
