"""Every page of a small laboratory, found by its links: in order as its text tells, and no way that ends.

The same crawl goes over the whole invented laboratory by night, in a browser and as several persons:
tests/browser/test_every_page_in_browser.py.
"""

import re
from dataclasses import replace

import pytest
from starlette.applications import Starlette
from starlette.responses import HTMLResponse
from starlette.routing import Route
from starlette.testclient import TestClient

from crawling import crawl, get_routes
from interfaces.web.forms import send
from kept_production import keep_season
from resile.records.register import Can, Sample
from resile.storage.laboratory_record import LaboratoryRecord
from resile.workflows.laboratory.access.permissions import one_person
from resile.workflows.laboratory.offer.ranges import OfferedSample, keep_range_of_samples
from resile.workflows.laboratory.statements.grading import grade_stored_sample
from resile.workflows.laboratory.statements.issuing import draft_statement, release_statement
from stored_samples import AT, keep_order

ROAD = {
    "name": "Ring <road>",
    "latitude_deg": "47.2",
    "high_mean_c": "29.2",
    "high_sd_c": "1.8",
    "low_mean_c": "-15.1",
    "low_sd_c": "3.2",
    "n_years": "30",
    "million_axle_loads": "34",
    "speed_kmh": "80",
    "reliability_percent": "98",
}
REASONED = {"/sign-on", "/sign-on/back"}
"""Answer only where the organisation has a sign-on service."""


@pytest.fixture
def laboratory(client: TestClient) -> TestClient:
    """A sample tested, graded, stated, stated anew; a season of a product; a road and a range."""
    record: LaboratoryRecord = client.app.state.record  # type: ignore[attr-defined]
    somebody = one_person()
    sample = keep_order(record, "101-plain", statement_numbers="CERT-YYYY-NNNN")
    grade_stored_sample(record, somebody, AT, sample)
    first = draft_statement(record, somebody, AT, sample)
    release_statement(record, replace(somebody, key="P-OTHER"), AT, first.key)
    draft_statement(record, somebody, AT, sample, reason="asked for")
    with record.writing(by="P-TEST", at=AT) as book:
        book.keep(Can(sample=sample, name="A1"))
        number = book.get(Sample, sample).value.number
    keep_season(record, lots=12)
    keep_range_of_samples(record, somebody, AT, [OfferedSample(number)], name="Range & more")
    assert send(client, "/sites", page="/sites/new", **ROAD).status_code == 303
    return client


def test_pages_are_in_order_and_their_links_lead_somewhere(laboratory: TestClient) -> None:
    found = crawl(laboratory, laboratory.app, starts=("/", "/samples/S-000001"), of_a_kind=1)  # type: ignore[arg-type]
    assert found.faults == []
    assert len(found.pages) > 90
    unseen = get_routes(laboratory.app).keys() - found.kinds.keys() - REASONED  # type: ignore[arg-type]
    for path in unseen:
        answer = laboratory.get(re.sub(r"\{[^}]*\}", "X-000009", path))
        assert answer.status_code < 500, path


def test_a_crawl_finds_what_is_wrong() -> None:
    wrong = (
        "<html><title></title><h1>a</h1><h3>b</h3><p id=x><p id=x><input name=n><img src=/gone>"
        "<label for=y>y</label><input id=y aria-describedby=nothing><a href='/gone'>gone</a>"
        "<a href='#away'>away</a><a href='https://elsewhere.example/'>elsewhere</a>"
        "<form method=post action=/nowhere></form><form action=/empty>"
        "<select name=s aria-label=s><option value=1>"
        "<option value=2 selected></select><input name=t value=v aria-label=t>"
        "<input type=checkbox name=u aria-label=u></form></html>"
    )
    asked: list[str] = []
    routes = [
        Route("/", lambda request: HTMLResponse(wrong)),
        Route("/empty", lambda request: asked.append(str(request.query_params)) or HTMLResponse("")),
    ]
    app = Starlette(routes=routes)
    found = crawl(TestClient(app, base_url="http://localhost"), app)
    told = {what: where for _, what, where in found.faults}
    assert told == {
        "has no title of its own": "",
        "an id is given twice": "x",
        "refers to an id that is not there": "nothing",
        "a field has no label": "input n",
        "is not named": "picture without words: /gone",
        "skips a level of headings": "h1 to h3",
        "leads to a place that is not there": "#away",
        "a form leads to no page": "post /nowhere",
        "leads to no page": "/gone",
        "leads to an empty file": "/empty?s=2&t=v",
    }
    assert asked == ["s=2&t=v"]
