"""Charts, products and months in the browser, and the same for programs."""

import re

import pytest
from starlette.testclient import TestClient

from interfaces.web.forms import send
from interfaces.web.people import record_of
from kept_production import keep_season


@pytest.fixture
def season(client: TestClient) -> str:
    return keep_season(record_of(client)).product


def begin(client: TestClient, product: str, proposal: int = 1) -> str:
    page = f"/control/new?product={product}&proposal={proposal}"
    form = client.get(page).text.partition('action="/control"')[2]
    typed = dict(re.findall(r'<input type="hidden" name="([^"]+)" value="([^"]*)"', form))
    typed |= dict(re.findall(r'<input id="[^"]+" name="([^"]+)" type="\w+" value="([^"]*)"', form))
    for name, options in re.findall(r'<select id="[^"]+" name="([^"]+)".*?>(.*?)</select>', form, re.DOTALL):
        chosen = re.search(r'value="([^"]*)" selected', options)
        typed[name] = chosen.group(1) if chosen else ""
    typed.pop("csrf")
    typed.pop("back", None)
    answer = send(client, "/control", page=page, **typed)
    assert answer.status_code == 303, answer.text
    return str(answer.headers["location"])


def test_an_empty_record_says_how_to_begin(client: TestClient) -> None:
    assert "First a lot of a product has to be tested" in client.get("/control").text
    assert "Nothing was measured of any product yet" in client.get("/control/new").text


def test_a_chart_is_begun_from_its_proposal_and_read(client: TestClient, season: str) -> None:
    place = begin(client, season)
    page = client.get(place).text
    assert "Look: " in page
    assert "Changes of level" in page
    assert "never a verdict" in page
    assert "Against the limit" in page
    listed = client.get("/control").text
    assert f'href="{place}"' in listed
    assert "Signals to look into" in client.get("/").text
    for address, begins in (
        (f"{place}/points.csv", b"\xef\xbb\xbflot,taken"),
        (f"{place}/signals.xlsx", b"PK"),
        (f"{place}/points.json", b"["),
        (f"{place}/chart.png", b"\x89PNG"),
        (f"{place}/chart.pdf", b"%PDF"),
        (f"{place}/small.svg", b"<svg"),
        ("/control/charts.csv", b"\xef\xbb\xbfchart,product"),
        ("/deliveries/loads.xlsx", b"PK"),
        ("/deliveries/reconciliation.json", b"["),
    ):
        answer = client.get(address)
        assert answer.content.startswith(begins), address
        assert answer.headers["content-disposition"].startswith("attachment")
    assert client.get(f"{place}/chart.gif").status_code == 422
    assert client.get(f"{place}/points.doc").status_code == 422
    assert client.get(f"{place}/values.svg").status_code == 404  # single values: the chart shows them itself


def test_a_result_is_left_out_answered_and_settings_changed(client: TestClient, season: str) -> None:
    place = begin(client, season)
    result = re.findall(r'<option value="(E-\d+)"', client.get(place).text)[-1]
    refused = send(client, f"{place}/left-out", page=place, seen="1", result=result, reason="")
    assert refused.status_code == 422
    assert "Being far away is no cause" in refused.text
    assert f'value="{result}" selected' in refused.text
    told = {"seen": "1", "result": result, "reason": "wrong residue"}
    assert send(client, f"{place}/left-out", page=place, **told).status_code == 303
    empty = send(client, f"{place}/taken-back", page=place, seen="2", result=result, back_reason="")
    assert empty.status_code == 422
    assert "open><summary>Let a result count again" in empty.text
    page = client.get(place).text
    assert "wrong residue" in page
    lot = re.findall(r'<select id="lot" name="lot"><option>([^<]+)</option>', page)[0]
    kept = send(client, f"{place}/answers", page=place, seen="2", lot=lot, found="the pump <b>")
    assert kept.status_code == 303
    page = client.get(place).text
    assert "No open signal" in page
    assert "the pump &lt;b&gt;" in page
    form = f"{place}/settings"
    asked = {"seen": "3", "chart": "weighted-average", "scale": "log", "limit_is": "at_most", "limit": "1"}
    asked |= {"baseline_since": "2026-01-05", "baseline_until": "2026-02-22"}
    rule = re.findall(r'name="run_rules" value="([^"]+)"', client.get(form).text)[0]
    assert send(client, form, page=form, **asked, run_rules="none such", reason="x").status_code == 404
    assert send(client, form, page=form, **asked, run_rules=rule, reason="to see a drift").status_code == 303
    page = client.get(place).text
    assert rule in page
    assert "weighted average" in page
    assert "to see a drift" in page


def test_a_product_shows_everything_and_takes_a_sampling_plan(client: TestClient, season: str) -> None:
    begin(client, season)
    begin(client, season, 2)
    place = f"/control/products/{season}"
    page = client.get(place).text
    assert "To look into a signal: test the retained sample again" in page
    assert client.get(f"{place}/joint.pdf").content.startswith(b"%PDF")
    assert client.get(f"{place}/points.json").json()[0]["lot"] == "V-001"
    assert client.get("/control/products/B-999999/joint.svg").status_code == 404
    for title in ("What to do", "Properties together", "Quick tests", "Sampling", "Loads"):
        assert f">{title}</h2>" in page
    typed = {"plan": "modified-by-tank", "since": "2026-01-05", "severity": "normal"}
    assert send(client, f"{place}/sampling", page=place, **typed).status_code == 303
    page = client.get(place).text
    assert "Change the plan" in page
    again = send(client, f"{place}/sampling", page=place, **typed)
    assert again.status_code == 422
    assert "is sampled by modified-by-tank already" in again.text


def test_a_month_is_shown_and_printed(client: TestClient, season: str) -> None:
    begin(client, season)
    assert client.get("/control/month").headers["location"] == "/control/month/2026-05"
    page = client.get("/control/month/2026-04").text
    assert "15 lots were sampled and none failed" in page
    assert client.get("/control/month/2026-04.pdf").content.startswith(b"%PDF")
    assert client.get("/control/month/2026-04.xlsx").content.startswith(b"PK")
    assert client.get("/control/month/2026-04.json").json()[0]["what"] == "to do"
    empty = client.get("/control/month/2024-07").text
    assert 'href="/control/month/2026-05">To the month of the newest lots' in empty
    assert client.get("/control/month/soon").status_code == 422


def test_programs_read_charts_products_months_and_send_loads(client: TestClient, season: str) -> None:
    begin(client, season)
    api = "/api/v1"
    listed = client.get(f"{api}/control").json()
    assert [one["key"] for one in listed] == ["J-000001"]
    chart = client.get(f"{api}/control/J-000001").json()
    assert len(chart["chart"]["points"]) == 60
    assert chart["capability"]["watched"]["limit"] == 1.0
    assert client.get(f"{api}/control/products/{season}").json()["to_do"]
    assert client.get(f"{api}/control/months/2026-04").json()["products"][0]["lots"] == 15
    assert client.get(f"{api}/deliveries/reconciliation").json()["loads"] == 15
    table = ("a.csv", "load,day\nA-1,2026-05-01\n")
    assert client.post(f"{api}/deliveries", files={"file": table}).json()["kept"] == 1
    assert client.get(f"{api}/deliveries?number=A-1").json()["items"][0]["value"]["sent"] == "2026-05-01"
    left = {"results": [], "reason": "x", "seen": 1}
    assert client.post(f"{api}/control/J-000001/left-out", json=left).status_code == 422
