"""The laboratory in the browser: rounds, check materials, checks and own precision, typed and kept."""

import pytest
from starlette.testclient import TestClient

from interfaces.web.forms import send

PAGES = ("", "/rounds", "/checks", "/materials", "/precision")
ROUND = {
    "scheme": "ring",
    "round": "spring",
    "day": "2026-05-01",
    "material": "A <1>",
    "quantity": "jnr_3.2",
    "condition": "short_term_aged",
    "temperature_c": "64",
    "value": "1,25",
    "assigned": "1",
    "deviation": "0,1",
}
FLUID = {
    "name": "Fluid 34",
    "kind": "check-fluid",
    "quantity": "rotational_viscosity",
    "reference": "33.98",
    "reference_expanded": "0.0748",
    "site_deviation": "0.0646",
    "interval_days": "30",
}


@pytest.mark.parametrize("page", PAGES)
def test_every_page_stands_before_anything_is_kept(client: TestClient, page: str) -> None:
    answer = client.get(f"/laboratory{page}")
    assert answer.status_code == 200
    assert 'aria-current="page"' in answer.text


def test_a_round_is_typed_scored_corrected_and_exported(client: TestClient) -> None:
    assert send(client, "/laboratory/rounds", **ROUND).status_code == 303
    page = client.get("/laboratory/rounds").text
    assert "questionable" in page and "z +2.50" in page and "A &lt;1&gt;" in page
    wrong = send(client, "/laboratory/rounds", **{**ROUND, "round": "autumn", "value": "much"})
    assert "&#39;much&#39; is no number" in wrong.text and 'value="autumn"' in wrong.text
    place = "/laboratory/rounds/M-000001/correct"
    assert 'value="1.25"' in client.get(place).text
    corrected = {**ROUND, "value": "1.05", "seen": "1", "reason": "mistyped"}
    assert send(client, place, **corrected).status_code == 303
    assert "satisfactory" in client.get("/laboratory/rounds.csv").text


def test_a_check_outside_its_zone_leads_to_what_is_to_be_reviewed(client: TestClient) -> None:
    send(client, "/instruments", name="Viscometer", tests="rotational_viscosity")
    place = send(client, "/laboratory/materials", **FLUID).headers["location"]
    assert "33.87 to 34.09 Pa·s" in client.get(place).text  # as the certificate of the zone has it
    check = {"material": "CM-000001", "instrument": "I-000001", "done": "2026-05-02"}
    good = send(client, "/laboratory/checks", **check, measured="33.9")
    assert good.headers["location"] == "/laboratory/checks"
    bad = send(client, "/laboratory/checks", **{**check, "done": "2026-05-04"}, measured="34.2")
    assert bad.headers["location"] == "/instruments/I-000001"
    page = client.get("/instruments/I-000001").text
    assert "rotational viscosity by check fluid failed on 2026-05-04" in page
    assert "outside" in client.get("/laboratory/checks").text.lower()
    assert "34.2" in client.get("/laboratory/checks.csv").text
    assert "Fluid 34" in client.get("/laboratory/materials.csv").text
    assert "failed" in client.get("/laboratory").text


def test_own_precision_without_duplicates_says_what_is_needed(client: TestClient) -> None:
    page = client.get("/laboratory/precision/proposal?quantity=jnr_3.2&condition=short_term_aged")
    assert "one pair at least is needed" in page.text
    assert client.get("/laboratory/precision/OP-000009").status_code == 404
