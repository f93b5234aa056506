"""Readings typed by hand, from the form to the row of the file behind each value."""

from collections.abc import Callable

from starlette.testclient import TestClient

from interfaces.web.forms import send
from resile.workflows.laboratory.access.permissions import one_person
from resile.workflows.laboratory.samples.receiving import Arrival, receive_sample

AT = "2026-03-02T08:00:00Z"
FORM = "/bench/readings?sample=26-101"


def with_sample(client: TestClient) -> str:
    return receive_sample(client.app.state.record, one_person(), AT, Arrival(number="26-101")).key  # type: ignore[attr-defined]


def test_the_sample_and_the_bench_lead_to_the_form(client: TestClient) -> None:
    key = with_sample(client)
    assert FORM in client.get(f"/samples/{key}").text
    assert FORM in client.get("/bench?sample=26-101").text


def test_a_reading_is_kept_and_shown_with_its_row(client: TestClient) -> None:
    key = with_sample(client)
    row = {"quantity-1": "flash_point", "value-1": "291", "condition-1": "original"}
    gone = send(client, "/bench/readings", page=FORM, sample="26-101", **row)
    assert gone.status_code == 303
    page = client.get(gone.headers["location"]).text
    assert "line 2, original binder" in page
    assert "flash point" in client.get(f"/samples/{key}").text.lower()


def test_a_row_that_is_not_whole_brings_the_form_back_as_it_was_typed(client: TestClient) -> None:
    with_sample(client)
    row = {"quantity-1": "flash_point", "value-1": "291 or so", "condition-1": "original"}
    back = send(client, "/bench/readings", page=FORM, sample="26-101", **row)
    assert back.status_code == 422
    assert "is no number" in back.text
    assert 'value="291 or so"' in back.text


def test_the_form_without_a_sample_leads_to_the_bench(workbench: Callable[..., TestClient]) -> None:
    assert workbench().get("/bench/readings").headers["location"] == "/bench"
