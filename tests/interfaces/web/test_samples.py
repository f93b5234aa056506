"""Samples through pages: received, listed, corrected, split, handed on, exported."""

import csv
import io

from starlette.testclient import TestClient

from interfaces.web.forms import send


def received(client: TestClient, **fields: str) -> str:
    answer = send(client, "/samples/new", page="/samples/new", **fields)
    assert answer.status_code == 303, answer.text
    return answer.headers["location"]


def test_a_sample_without_a_number_is_given_the_next_one(client: TestClient) -> None:
    received(client, product="Northfield 64", customer="Weir & Sons", lot="L7")
    page = client.get("/samples").text
    assert "2026-0001" in page
    assert "Weir &amp; Sons" in page


def test_the_list_is_filtered_and_an_empty_one_says_so(client: TestClient) -> None:
    received(client, number="26-101", product="Northfield 64")
    received(client, number="26-102", product="Southbank 70")
    page = client.get("/samples?words=southbank").text
    assert "26-102" in page
    assert "26-101" not in page
    assert "No sample fits." in client.get("/samples?stage=disposed").text
    assert client.get("/samples?page=99999999999&order=drop&up=x").status_code == 200


def test_a_wrong_number_comes_back_with_all_that_was_typed(client: TestClient) -> None:
    answer = send(client, "/samples/new", page="/samples/new", number="26-101", lot="L7", quantity_g="much")
    assert answer.status_code == 422
    assert "no number" in answer.text
    assert 'value="L7"' in answer.text
    assert 'value="much"' in answer.text


def test_a_correction_asks_for_its_reason_and_refuses_a_stale_page(client: TestClient) -> None:
    where = f"{received(client, number='26-101')}/correct"
    assert 'name="seen" value="1"' in client.get(where).text
    told = {"number": "26-101", "lot": "L8", "received": "2026-05-12"}
    assert send(client, where, page=where, seen="1", reason="", **told).status_code == 422
    assert send(client, where, page=where, seen="1", reason="lot was missing", **told).status_code == 303
    stale = send(client, where, page=where, seen="1", reason="again", **{**told, "lot": "L9"})
    assert stale.status_code == 409
    assert "changed while you worked" in stale.text
    assert 'value="L9"' in stale.text


def test_a_sample_is_split_handed_on_and_poured_into_a_can(client: TestClient) -> None:
    where = received(client, number="26-101", cans="A1 A2")
    page = f"{where}/custody"
    assert send(client, f"{where}/split", page=page).status_code == 303
    assert send(client, f"{where}/split", page=page).status_code == 409
    assert send(client, page, page=page, event="moved", to_whom="R. Ohm").status_code == 303
    assert send(client, f"{where}/cans", page=page, name="A1").status_code == 409
    assert send(client, f"{where}/cans", page=page, name="A3", mass_g="950,5").status_code == 303
    listed = client.get("/samples").text
    assert "26-101-A" in listed
    assert "26-101-B" in listed


def test_a_number_that_looks_like_a_formula_stays_text_in_the_export(client: TestClient) -> None:
    received(client, number="=cmd|' /C calc'!A0", product='+1"2,3', lot="@x", customer="-2+3")
    table = list(csv.DictReader(io.StringIO(client.get("/samples.csv").text)))
    assert table[0]["number"] == "'=cmd|' /C calc'!A0"
    assert table[0]["product"] == "'+1\"2,3"
    assert (table[0]["lot"], table[0]["customer"]) == ("'@x", "'-2+3")
