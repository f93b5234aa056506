"""The bench in the browser: heat history, oven timer, retention, first page."""

import re

from starlette.testclient import TestClient

from interfaces.web.forms import send
from laboratory_bench import can_in
from resile.records.register import Conditioning
from resile.workflows.laboratory.samples.retention import ISSUED, plan_after


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


BOTTLES = {
    "bottle-1-empty_g": "166,214",
    "bottle-1-before_g": "201.231",
    "bottle-1-after_g": "201.122",
    "bottle-2-empty_g": "165.874",
    "bottle-2-before_g": "200.869",
    "bottle-2-after_g": "200.762",
}
OVEN = {
    "temperature_c": "163",
    "duration_min": "85",
    "air_flow_ml_min": "4000",
    "rotation_r_min": "15",
    "recovery_min": "7",
}


def test_an_ageing_record_is_checked_while_it_is_typed_and_kept(client: TestClient) -> None:
    """By the definition -0.109/35.017 = -0.3113 % and -0.107/34.995 = -0.3058 %, in the mean -0.3085 %."""
    can = can_in(client.app.state.record)
    page = client.get("/bench/ageing?sample=26-101").text
    assert "needed: 162 to 164" in page and "Hot binder sticks" in page
    told = {"sample": "26-101", "kind": "short-term"}
    empty = send(client, "/bench/ageing/check", **told).text
    assert "masses of each bottle are needed" in empty
    hot = send(client, "/bench/ageing/check", **told, **BOTTLES, **{**OVEN, "temperature_c": "166"}).text
    assert "−0.309 %" in hot and "−0.311 %" in hot and "needed: at least 162 and at most 164" in hot
    kept = send(client, "/bench/ageing", **told, **BOTTLES, **OVEN, can=can, aged_on="2026-05-12")
    assert kept.status_code == 200, kept.text
    assert "is kept" in kept.text and "−0.309" in kept.text
    with client.app.state.record.reading() as reading:
        ageing = reading.find(Conditioning)[0].value
        text = reading.file(ageing.file).decode()
    assert (ageing.can, ageing.happened, ageing.verification) == (can, "2026-05-12", "unknown")
    assert "empty_g = 166.214" in text, "a comma is a decimal mark"


def test_an_ageing_record_with_a_slip_comes_back_with_all_that_was_typed(client: TestClient) -> None:
    can_in(client.app.state.record)
    told = {"sample": "26-101", "kind": "short-term", **BOTTLES, **OVEN}
    answer = send(client, "/bench/ageing", **{**told, "bottle-2-after_g": "20O.762"})
    assert "&#39;20O.762&#39; is no number" in answer.text
    assert 'value="20O.762"' in answer.text and 'value="166,214"' in answer.text


def test_a_long_term_record_names_the_short_term_record_of_its_feed(client: TestClient) -> None:
    can_in(client.app.state.record)
    send(client, "/bench/ageing", sample="26-101", kind="short-term", aged_on="2026-05-11", **BOTTLES, **OVEN)
    page = client.get("/bench/ageing?sample=26-101&kind=long-term").text
    name = re.search(r"26-101-short-term-ageing-[^\"<]+\.toml", page)
    assert name
    told = {"sample": "26-101", "kind": "long-term", "short_term_record": name.group(0), "feed": "RTFO"}
    vessel = {"temperature_c": "100", "pressure_mpa": "21", "duration_h": "20"}
    checked = send(client, "/bench/ageing/check", **told, **vessel).text
    assert "21 bar would be 2.1 MPa" in checked
    good = {**vessel, "pressure_mpa": "2.1", "pan-1-mass_g": "50.1"}
    assert "is kept" in send(client, "/bench/ageing", **told, **good).text
