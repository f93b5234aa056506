"""The bench in the browser: heat history, oven timer, retention, first page."""

from starlette.testclient import TestClient

from interfaces.web.forms import send
from laboratory_bench import can_in
from resile.workflows.laboratory.retention import ISSUED, plan_after


def test_a_can_goes_into_the_oven_and_comes_out(client: TestClient) -> None:
    can = can_in(client.app.state.record)
    place = f"/bench/cans/{can}"
    assert "2 heatings left" in client.get(place).text
    assert send(client, f"{place}/in", temperature_c="150", purpose="pour").status_code == 303
    page = client.get(place).text
    assert "Take it out now" in page and 'data-since="2026-05-12T10:00:00Z"' in page
    assert "26-101, can A1" in client.get("/").text
    assert send(client, f"{place}/out", heating="H-000001").status_code == 303
    page = client.get(place).text
    assert "1 heating left" in page and "for 0 min" in page


def test_a_heating_beyond_the_rule_is_refused_and_may_be_let_stand(client: TestClient) -> None:
    can = can_in(client.app.state.record, rule="en12594-2000")
    place = f"/bench/cans/{can}"
    past = {"started": "2026-05-11T08:00", "past_temperature_c": "150", "duration_min": "60"}
    send(client, f"{place}/heatings", **past)
    refused = send(client, f"{place}/in", temperature_c="151,5")
    assert refused.status_code < 500 and "needed: at most 1" in refused.text
    assert 'value="151,5"' in refused.text, "what was typed stands there still"
    send(client, f"{place}/in", temperature_c="151,5", permit="yes")
    assert "A person who may do so let it stand" in client.get(place).text


def test_the_bench_finds_a_sample_by_its_number(client: TestClient) -> None:
    can_in(client.app.state.record)
    assert "Can A1" in client.get("/bench?sample=26-101").text
    assert "No sample has the number" in client.get("/bench?sample=26-102").text


def test_a_kept_sample_is_disposed_of_with_a_log(client: TestClient) -> None:
    record = client.app.state.record
    can_in(record)
    with record.writing(by="P-000001", at="2026-02-01T08:00:00Z") as book:
        plan_after(book, "S-000001", ISSUED, "2026-02-01")
    page = client.get("/retention").text
    assert "26-101" in page and "2026-05-02" in page
    assert "26-101" in client.get("/").text
    given = {"retention": "D-000001", "disposed": "2026-05-12", "way": "collected as waste binder"}
    assert send(client, "/retention", **given).status_code == 303
    assert "collected as waste binder" in client.get("/retention").text


def test_the_first_page_of_an_empty_record_says_how_to_begin(client: TestClient) -> None:
    page = client.get("/").text
    assert "This record is empty" in page and 'href="/drop"' in page
