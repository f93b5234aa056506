"""Tokens in the browser, and the page that says what programs can do."""

import re
from collections.abc import Callable

import pytest
from starlette.testclient import TestClient

from interfaces.web.forms import send
from interfaces.web.people import another, browser, first_person, sign_in

SECRET = re.compile(r'value="(resile_[\w-]+)"')


@pytest.fixture
def client(workbench: Callable[..., TestClient]) -> TestClient:
    client = workbench(signs_in=True)
    another(client, first_person(client), "bo", "technician")
    return sign_in(client)


def test_a_token_is_made_shown_once_used_and_ended(client: TestClient) -> None:
    shown = send(client, "/tokens", page="/tokens", name="nightly copy", days="30")
    secret = SECRET.search(shown.text).group(1)
    assert "curl -H" in shown.text and "2026-06-11" in shown.text
    head = {"authorization": f"Bearer {secret}"}
    assert client.get("/tokens").text.count("never") == 1
    assert browser(client).get("/api/v1/samples", headers=head).status_code == 200
    page = client.get("/tokens").text
    assert secret not in page and "nightly copy" in page and "never" not in page
    digest = re.search(r'name="digest" value="([0-9a-f]{64})"', page).group(1)
    assert send(client, "/tokens/end", page="/tokens", digest=digest).status_code == 303
    assert browser(client).get("/api/v1/samples", headers=head).status_code == 403


@pytest.mark.parametrize("days", ["0", "400", "a month", "1e9", "nan", ""])
def test_a_token_that_would_hold_too_long_is_refused_and_the_form_comes_back(
    client: TestClient, days: str
) -> None:
    refused = send(client, "/tokens", page="/tokens", name="nightly copy", days=days)
    assert refused.status_code == 422
    assert 'value="nightly copy"' in refused.text


def test_nobody_sees_or_ends_the_token_of_another(client: TestClient) -> None:
    send(client, "/tokens", page="/tokens", name="weekly list")
    digest = re.search(r'name="digest" value="([0-9a-f]{64})"', client.get("/tokens").text).group(1)
    bo = sign_in(browser(client), "bo")
    assert "weekly list" not in bo.get("/tokens").text
    assert send(bo, "/tokens/end", page="/tokens", digest=digest).status_code == 404
    assert "weekly list" in client.get("/tokens").text


def test_every_task_of_the_interface_is_told(client: TestClient) -> None:
    page = client.get("/interface").text
    described = client.get("/api/v1/openapi.json").json()
    for address, methods in described["paths"].items():
        for method, told in methods.items():
            assert f"{method.upper()} /api/v1{address}</code>" in page
            for given in told.get("parameters", []):
                assert f"<code>{given['name']}</code>" in page
    assert "<script" not in page.split("<body")[1]


def test_the_tasks_of_a_file_say_that_a_file_is_needed(client: TestClient) -> None:
    page = client.get("/interface").text
    of_records = page.split("POST /api/v1/records</code>")[1].split("</details>")[0]
    assert re.search(
        r"<code>file</code> <span class=\"needed\">needed</span></td><td>as a form field</td><td>file",
        of_records,
    )
    assert "-60 to 200" in of_records.replace("from ", "").replace("number, ", "")
