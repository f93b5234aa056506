"""The audit in the browser: the log, one entry, and whether the record stands."""

import re

from starlette.testclient import TestClient

from interfaces.web.forms import answer_of, send


def test_the_log_shows_who_kept_what_and_an_entry_what_was_given(client: TestClient) -> None:
    send(client, "/instruments", name="Rheometer 1", tests="creep_recovery", interval_days="30")
    page = client.get("/audit").text
    assert "I-000001" in page
    assert "the laboratory" in page
    shown = client.get("/audit/1").text
    assert "Rheometer 1" in shown
    assert "interval days" in shown
    assert "No entry fits." in client.get("/audit?kind=sample").text


def verified(client: TestClient, head: str) -> str:
    return answer_of(client, send(client, "/audit/verify", head=head, page="/audit")).text


def test_the_record_is_verified_and_an_old_head_still_stands(client: TestClient) -> None:
    send(client, "/instruments", name="Rheometer 1")
    assert "The record stands" not in client.get("/audit").text
    page = verified(client, "")
    assert "The record stands" in page
    head = re.search(r"1:[0-9a-f]{64}", page)
    assert head
    send(client, "/instruments", name="Rheometer 2")
    assert "The record stands" in verified(client, head[0])
    gone = verified(client, f"9:{'0' * 64}")
    assert "The record does not stand" in gone
    assert "its end was cut off" in gone
    assert "The record does not stand" in client.get("/audit").text, "the last outcome is shown again"


def test_a_head_that_is_none_is_refused_before_anything_is_begun(client: TestClient) -> None:
    wrong = send(client, "/audit/verify", head="9", page="/audit")
    assert wrong.status_code == 422
    assert "needed is SEQ:HASH" in wrong.text


def test_an_entry_that_is_not_there_is_not_found(client: TestClient) -> None:
    assert client.get("/audit/7").status_code == 404
    assert client.get("/audit/x").status_code == 404
