"""Instruments in the browser: registered, verified, failed, with what is to be reviewed."""

from starlette.testclient import TestClient

from interfaces.web.forms import send


def test_an_instrument_is_registered_verified_and_shown_with_its_history(client: TestClient) -> None:
    answer = send(client, "/instruments", name="Rheometer 1", tests="creep_recovery", interval_days="30")
    assert answer.status_code == 303
    place = answer.headers["location"]
    assert "○" in client.get(place).text and "Never verified" in client.get(place).text
    numbers = {"measured": "64,05", "reference": "64", "tolerance": "0.1", "unit": "°C"}
    send(client, f"{place}/verifications", what="temperature", done="2026-05-01", **numbers)
    page = client.get(place).text
    assert "stands until 2026-05-31" in page
    assert "the last one lies 0.05 °C from its reference" in page
    assert "verified" in client.get("/instruments").text


def test_a_failed_verification_says_what_to_review(client: TestClient) -> None:
    place = send(client, "/instruments", name="Beam 1").headers["location"]
    answer = send(client, f"{place}/verifications", what="temperature", done="2026-05-01", passed="no")
    assert answer.status_code == 303
    page = client.get(place).text
    assert "temperature failed on 2026-05-01" in page
    assert "Nothing was measured with it before" in page


def test_a_form_with_a_fault_comes_back_filled(client: TestClient) -> None:
    answer = send(client, "/instruments", name="Oven 3", interval_days="a month", place="room <2>")
    assert answer.status_code == 400 or answer.status_code == 422
    assert "&#39;a month&#39; is no number" in answer.text
    assert 'value="Oven 3"' in answer.text and "room &lt;2&gt;" in answer.text


def test_a_correction_needs_a_reason_and_the_revision_that_was_seen(client: TestClient) -> None:
    place = send(client, "/instruments", name="Oven 4").headers["location"]
    without = send(client, f"{place}/correct", name="Oven 5", seen="1")
    assert "needs its reason" in without.text
    assert send(client, f"{place}/correct", name="Oven 5", seen="1", reason="slip").status_code == 303
    stale = send(client, f"{place}/correct", name="Oven 6", seen="1", reason="slip")
    assert stale.status_code == 409
    assert "Oven 5" in client.get(place).text
