"""The settings in the browser, and what becomes of them on a statement."""

import base64

from starlette.testclient import TestClient

from interfaces.web.forms import send
from interfaces.web.people import record_of
from resile.records.register import Statement
from stored_samples import keep_order

LOGO = b'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 2 1"><rect width="2" height="1"/></svg>'
LAB = {"name": "Works laboratory (invented)", "address": "Quay 3", "sample_numbers": "YYYY-NNN"}


def test_an_empty_record_leads_first_to_who_the_laboratory_is(client: TestClient) -> None:
    assert 'href="/settings">Say who you are' in client.get("/").text
    assert "Laboratory not stated" in client.get("/settings").text
    assert send(client, "/settings", page="/settings", seen="0", **LAB).status_code == 303
    page = client.get("/settings").text
    assert "Works laboratory (invented)" in page
    assert "The next one: 2026-001" in page


def test_what_was_typed_comes_back_with_the_reason_of_the_refusal(client: TestClient) -> None:
    typed = {**LAB, "sample_numbers": "YYYY", "accreditation": "T 350, number 000", "four_eyes": "yes"}
    answer = send(client, "/settings", page="/settings", seen="0", **typed)
    assert answer.status_code == 422
    assert "one row of N for the count is needed" in answer.text
    assert "T 350, number 000" in answer.text
    assert 'name="four_eyes" value="yes" checked' in answer.text


def test_statements_drafted_from_now_on_carry_name_and_logo_and_issued_ones_stay(client: TestClient) -> None:
    sample = keep_order(record_of(client), "101-plain")
    first = issue(client, sample)
    before = pages_of(client, first)
    answer = send(
        client,
        "/settings",
        page="/settings",
        seen="1",
        reason="moved",
        files={"logo": ("l.svg", LOGO)},
        **LAB,
    )
    assert answer.status_code == 303, answer.text
    second = issue(client, sample, why="new name")
    page = pages_of(client, second)["html"]
    assert base64.b64encode(LOGO) in page
    assert b"Works laboratory (invented)" in page
    assert pages_of(client, first) == before
    assert base64.b64encode(LOGO) not in before["html"]


def issue(client: TestClient, sample: str, **words: str) -> str:
    sheet = f"/samples/{sample}/grade"
    assert send(client, sheet, page=sheet).status_code == 303
    statement = send(client, f"/samples/{sample}/statements", page=sheet, **words).headers["location"]
    assert statement.startswith("/statements/"), client.get(sheet).text
    assert send(client, f"{statement}/release", page=statement, seen="1").status_code == 303
    return statement.removeprefix("/statements/")


def pages_of(client: TestClient, key: str) -> dict[str, bytes]:
    with record_of(client).reading() as reading:
        files = reading.get(Statement, key).value.files
        return {name.rpartition(".")[2]: reading.file(sha) for name, sha in files.items()}
