"""Roads, ranges and certificates in the browser, without script."""

import html
import re
from dataclasses import replace
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from interfaces.web.forms import send, wait_for_jobs
from invented_roads import table_of_binders, table_of_sites, weather
from resile.records.demand_request import DemandRequest
from resile.records.reading import HeldFile
from resile.records.register import Customer
from resile.report.paper.choosing.demand_tables import sensitivity_table
from resile.storage.laboratory_record import LaboratoryRecord
from resile.workflows.choosing.task import match_sites
from resile.workflows.laboratory.access.permissions import one_person
from resile.workflows.laboratory.offer.site_texts import SiteQuestion
from resile.workflows.laboratory.offer.sites import keep_site
from resile.workflows.laboratory.offer.sites_seen import site_of
from resile.workflows.sites.demand_request import DemandSettings
from resile.workflows.sites.site_demands import site_demands

ROAD = {
    "name": "Ambelund ring",
    "latitude_deg": "47.2",
    "longitude_deg": "-31,5",
    "million_axle_loads": "34",
    "speed_kmh": "80",
    "reliability_percent": "98",
}
JOB = re.compile(r'id="job"')


def shown(page: str) -> str:
    """The words of a page."""
    return " ".join(
        html.unescape(re.sub(r"<(script|style)[^>]*>.*?</\1>|<[^>]+>", " ", page, flags=re.S)).split()
    )


def sent(file: HeldFile) -> tuple[str, bytes]:
    return file.name, file.content


def add_roads(client: TestClient) -> str:
    table = table_of_sites()
    files = [("table", sent(table)), *(("weather", sent(one)) for one in table.beside)]
    job = send(client, "/sites/table", files=files).headers["location"]
    wait_for_jobs(client)
    state = client.get(f"{job}/news").json()
    assert state["state"] == "done", state
    return str(state["address"])


def add_range(client: TestClient) -> str:
    table = table_of_binders()
    files = [("table", sent(table)), ("results", sent(table.beside[0]))]
    return send(client, "/range", files=files, name="Spring range").headers["location"]


def test_a_road_from_a_weather_file_is_answered_with_the_grade_of_the_command_line(
    client: TestClient,
) -> None:
    answer = send(client, "/sites", files={"weather": sent(weather()["ambelund"])}, **ROAD)
    assert answer.status_code == 303
    page = client.get(answer.headers["location"])
    words = shown(page.text)
    same = next(
        one.demand for one in site_demands(table_of_sites()).reports if one.demand.site.name == ROAD["name"]
    )
    assert f"Ambelund ring needs {same.grade}" in words
    for reason in same.reasons[:2]:
        assert reason.split(":")[0] in words
    assert "The years against the grade" in words
    assert "SHA-256 of the weather record" in words
    weather_file = client.get(f"{answer.headers['location']}/weather")
    assert weather_file.content == weather()["ambelund"].content, "byte for byte"
    assert "attachment" in weather_file.headers["content-disposition"]


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"time [s],strain\n0,1\n1,2\n", "no row of headings of a daily weather record was found"),
        (b"", "needed is a daily weather record"),
    ],
)
def test_a_wrong_weather_file_gets_a_sentence_and_the_form_comes_back_filled(
    client: TestClient, content: bytes, said: str
) -> None:
    files = {"weather": ("creep.csv", content)} if content else None
    answer = send(client, "/sites", files=files, **ROAD)
    assert answer.status_code == 422
    assert said in shown(answer.text)
    assert "--" not in shown(answer.text), "no option of the command line"
    for name, value in ROAD.items():
        assert f'name="{name}" type="text" value="{value}"' in answer.text


def test_what_is_supposed_of_a_road_is_said_in_words_and_not_kept(client: TestClient) -> None:
    place = send(client, "/sites", files={"weather": sent(weather()["ambelund"])}, **ROAD).headers["location"]
    same = client.get(f"{place}/supposed?warmer_c=0").text
    other = client.get(f"{place}/supposed?warmer_c=4&speed_kmh=5").text
    assert "The grade stays PG" in same
    assert "The grade changes from PG" in other
    assert "The grade changes from PG" in client.get(f"{place}?warmer_c=4&speed_kmh=5").text, "without script"
    refused = client.get(f"{place}?warmer_c=90")
    assert refused.status_code == 422
    assert "a change of 15 °C at most" in refused.text
    assert "revision 1" in client.get(place).text


def test_a_revised_road_shows_its_reason_and_the_revision_before(client: TestClient) -> None:
    place = send(client, "/sites", files={"weather": sent(weather()["ambelund"])}, **ROAD).headers["location"]
    slower = {**ROAD, "speed_kmh": "10", "seen": "1"}
    assert "needs its reason" in send(client, f"{place}/revise", **slower).text
    assert send(client, f"{place}/revise", reason="bus lane", **slower).status_code == 303
    assert "bus lane" in client.get(place).text
    assert send(client, f"{place}/revise", reason="late", **slower).status_code == 409
    assert "80 km/h" in client.get(f"{place}?revision=1").text


def test_roads_and_binders_are_matched_as_from_files(client: TestClient) -> None:
    assert add_roads(client) == "/sites"
    key = add_range(client).rsplit("/", 1)[-1]
    page = shown(client.get(f"/match?range={key}").text)
    choice = match_sites(table_of_sites(), table_of_binders()).choice
    for site, binder in zip(choice.sites, choice.chosen, strict=True):
        assert f"{site.name} {site.grade} {binder or '✗ fail nobody serves'}" in page
    without = shown(client.get(f"/match?range={key}&without=Quarnsk+Plain&price%3AQuarnsk+Spring=300").text)
    supposed = match_sites(
        table_of_sites(), table_of_binders(), without=["Quarnsk Plain"], prices={"Quarnsk Spring": 300.0}
    ).choice
    for site, binder in zip(supposed.sites, supposed.chosen, strict=True):
        assert f"{site.name} {site.grade} {binder or '✗ fail nobody serves'}" in without
    assert "Quarnsk Soft" in shown(client.get(f"/range/{key}").text)
    told = client.get(f"/match?range={key}&price%3AQuarnsk+Spring=dear")
    assert told.status_code == 422 and "'dear' is no number" in shown(told.text)


def test_a_binder_on_a_road_is_shown_with_its_band_or_what_is_needed(client: TestClient) -> None:
    add_roads(client)
    key = add_range(client).rsplit("/", 1)[-1]
    found = re.search(r'href="/sites/(W-\d+)">Red Plain junction', client.get("/sites").text)
    assert found
    page = shown(client.get(f"/predict?range={key}&binder=Quarnsk+Coil&site={found[1]}").text)
    assert "Quarnsk Coil on Red Plain junction" in page
    refused = client.get(f"/predict?range={key}&binder=Nobody&site={found[1]}")
    assert refused.status_code == 422 and "there is no binder" in shown(refused.text)


def test_a_range_without_its_results_is_refused_with_the_name_of_the_file(client: TestClient) -> None:
    answer = send(client, "/range", files={"table": sent(table_of_binders())}, name="Spring <range>")
    assert answer.status_code in (404, 422)
    assert "'results.csv', which was not given with it" in shown(answer.text)
    assert "Spring &lt;range&gt;" in answer.text


def test_a_certificate_is_checked_line_by_line(client: TestClient) -> None:
    lines = (
        "sample,condition,temperature_c,quantity,value,unit,remark\n"
        "batch 7,original,,flash_point,262,°C,\n"
        "batch 7,short_term_aged,64,jnr_3.2,0.42,1/kPa,typical value\n"
    )
    answer = send(
        client, "/receipts/new", files={"certificate": ("load.csv", lines.encode())}, claim="PG 64V-22"
    )
    words = shown(answer.text)
    assert "The certificate does not show the grade that is claimed." in words
    assert "typical" in words.casefold()
    assert "not on the certificate" in words.casefold() or "missing" in words.casefold(), words
    refused = send(
        client, "/receipts/new", files={"certificate": ("load.csv", b"a,b\n1,2\n")}, claim="PG 64V-22"
    )
    assert refused.status_code == 422 and 'value="PG 64V-22"' in refused.text


def test_empty_places_say_what_to_do(client: TestClient, tmp_path: Path) -> None:
    assert "No road is kept yet" in client.get("/sites").text
    assert "none is kept yet" in client.get("/match").text
    assert client.get("/sites/W-000099").status_code == 404


def test_a_road_is_asked_for_a_customer_by_name(client: TestClient, tmp_path: Path) -> None:
    record = LaboratoryRecord.open(str(tmp_path / "laboratory.db"))
    with record.writing(by="P-LOCAL", at="2026-06-30T08:00:00.000Z") as book:
        key = book.keep(Customer(name="Quarnsk Paving (invented)")).key
    record.close()
    for page in ("/sites/new", "/sites/table"):
        form = client.get(page).text
        assert f'<option value="{key}">Quarnsk Paving (invented)</option>' in form
        assert "LTPP: regression on monitored pavements" in form, "a model by its title"
    files = {"weather": sent(weather()["ambelund"])}
    place = send(client, "/sites", files=files, customer=key, **ROAD).headers["location"]
    assert "Customer Quarnsk Paving (invented)" in shown(client.get(place).text)
    assert f'<option value="{key}" selected>' in client.get(f"{place}/revise").text


def test_what_a_form_does_not_ask_stays_in_the_next_revision_of_a_road(
    client: TestClient, tmp_path: Path
) -> None:
    record = LaboratoryRecord.open(str(tmp_path / "laboratory.db"))
    request = DemandRequest(
        name="Ambelund ring",
        latitude_deg=47.2,
        high_mean_c=28.0,
        high_sd_c=1.5,
        low_mean_c=-11.0,
        low_sd_c=2.0,
        n_years=12,
        layer="wearing course",
        low_reliability_percent=90.0,
    )
    settings = DemandSettings(low_model="robertson", life_years=15.0)
    question = SiteQuestion(request, settings)
    key = keep_site(record, one_person(), "2026-06-30T08:00:00.000Z", question).key
    record.close()
    form = client.get(f"/sites/{key}/revise").text
    typed = dict(re.findall(r'<input id="(\w+)" name="\1" type="text" value="([^"]*)"', form))
    answer = send(client, f"/sites/{key}/revise", **typed | {"remark": "seen again", "reason": "a remark"})
    assert answer.status_code == 303, shown(answer.text)
    record = LaboratoryRecord.open(str(tmp_path / "laboratory.db"))
    now = site_of(record, one_person(), key).question
    record.close()
    assert now == SiteQuestion(replace(request, remark="seen again"), settings)


def test_the_chosen_model_and_what_changes_the_grade_stand_in_the_tables(client: TestClient) -> None:
    place = send(client, "/sites", files={"weather": sent(weather()["ambelund"])}, **ROAD).headers["location"]
    page = client.get(place).text
    models = page.split("Pavement models side by side", 1)[1].split("</table>", 1)[0]
    assert "<b>LTPP</b>" in models
    demand = next(
        one for one in site_demands(table_of_sites()).reports if one.demand.site.name == ROAD["name"]
    )
    changing = [one for one in sensitivity_table(demand.demand).rows if one[-1] != "the same"]
    assert changing, "something changes the grade of this road"
    for row in changing:
        assert row[0] in shown(page)


def test_a_new_table_of_a_range_is_a_revision_with_its_reason(client: TestClient) -> None:
    place = add_range(client)
    table = table_of_binders()
    dearer = table.content.replace(b",475,", b",499,")
    assert dearer != table.content
    files = [("table", (table.name, dearer)), ("results", sent(table.beside[0]))]
    named = {"name": "Spring range", "seen": "1"}
    assert "needs its reason" in send(client, f"{place}/revise", files=files, **named).text
    assert send(client, f"{place}/revise", files=files, reason="new prices", **named).status_code == 303
    page = client.get(place).text
    assert "499" in shown(page) and "new prices" in page
    before = client.get(f"{place}?revision=1").text
    assert "475" in shown(before) and "has taken its place" in shown(before)
    assert client.get(f"{place}/files/{table.name}?revision=1").content == table.content, "byte for byte"
    assert client.get(f"{place}/files/{table.name}").content == dearer
    assert send(client, f"{place}/revise", files=files, reason="late", **named).status_code == 409


@pytest.mark.parametrize("odd", ["²", "9" * 30, "-1", "x"])
def test_an_address_with_a_number_that_cannot_be_is_no_fault_of_the_program(
    client: TestClient, odd: str
) -> None:
    place = send(client, "/sites", files={"weather": sent(weather()["ambelund"])}, **ROAD).headers["location"]
    for address in (f"{place}?revision={odd}", f"/audit?before={odd}", f"{add_range(client)}?revision={odd}"):
        assert client.get(address).status_code == 200, address
    assert client.get(f"/audit/{odd}").status_code == 404
    assert client.get(f"/statements?page={odd}").status_code == 200


def test_a_binder_tested_too_far_from_a_road_says_where_a_test_is_needed(client: TestClient) -> None:
    add_roads(client)
    key = add_range(client).rsplit("/", 1)[-1]
    found = re.search(r'href="/sites/(W-\d+)">Sandmark toll gates', client.get("/sites").text)
    assert found
    told = client.get(f"/predict?range={key}&binder=Quarnsk+Coil&site={found[1]}")
    assert told.status_code == 200, "the match leads here: the question is a good one"
    assert "Sandmark toll gates asks for 64.0 °C" in shown(told.text)
