"""Every page that a route gives, with the invented laboratory loaded: it fits, and everybody can use it.

Nobody keeps a list of the pages: the routes are those of the application, and their addresses are found by
following the links of the pages themselves.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from html.parser import HTMLParser
from pathlib import Path
from urllib.parse import urlencode, urljoin, urlsplit

import pytest
from playwright.sync_api import Page
from starlette.routing import Match, Route
from starlette.testclient import TestClient

from bench_files import OSCILLATION, SHORT_TERM, creep_record
from browser.accessibility import assert_accessible, assert_fits
from browser.conftest import workbench
from resile.interfaces.web.app import gathered_routes, make_app
from resile.interfaces.web.settings import WorkbenchSettings
from resile.records.determination import Condition
from resile.storage.laboratory_record import LaboratoryRecord
from resile.workflows.laboratory.access.permissions import one_person
from resile.workflows.laboratory.files.ingesting import RecordTold, keep_record
from resile.workflows.laboratory.record.demonstration import load_demonstration
from resile.workflows.laboratory.samples.receiving import Arrival, receive_sample

AT = "2026-03-02T08:00:00.000Z"
ROUTES = [one for one in gathered_routes() if isinstance(one, Route) and "GET" in (one.methods or ())]
MOST_OF_A_ROUTE = 2
BY_HAND_ONLY = {
    "/jobs/{key}": "work in the background; shown while files are kept, see the tests of jobs",
    "/jobs/{key}/news": "the same, asked for by its page",
    "/invitation/{secret}": "its address is told once to a new person, see the tests of people",
}
"""Pages no link leads to, and why."""
LONG_NUMBER = "2026-" + "7" * 55
STRANGE = (
    Arrival(
        number=LONG_NUMBER,
        product="沥青结合料改性第二号罐" * 6,
        customer="مختبر الطرق الإقليمي للمواد الإسفلتية",
        claimed_grade="64E-22",
        lot="Donaudampfschifffahrtsgesellschaftskapitänslagertank-7",
        note="x" * 120,
    ),
    "قياس-a-very-long-name-of-a-file-without-any-blank-in-it-from-the-rheometer-on-bench.csv",
)


@dataclass
class Reached(HTMLParser):
    """The addresses a page leads to: links, pictures, what is fetched, forms that only ask."""

    base: str
    found: list[str] = field(default_factory=list)
    form: str | None = None
    asked: list[tuple[str, str]] = field(default_factory=list)

    def __post_init__(self) -> None:
        super().__init__()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        told = {name: value or "" for name, value in attrs}
        for name in ("href", "src", "hx-get", "data-chart", "data-model"):
            if told.get(name):
                self.found.append(urljoin(self.base, told[name]))
        if tag == "form" and told.get("method", "get") == "get":
            self.form, self.asked = urljoin(self.base, told.get("action", "")), []
        chosen = told.get("type") != "checkbox" or len(self.asked) < 6
        if tag == "input" and self.form and told.get("name") and chosen:
            self.asked.append((told["name"], told.get("value", "")))

    def handle_endtag(self, tag: str) -> None:
        if tag == "form" and self.form:
            self.found.append(f"{self.form.partition('#')[0]}?{urlencode(self.asked)}")
            self.form = None


@dataclass(frozen=True)
class House:
    """A workbench on a filled record, and what its routes answered."""

    address: str
    pages: dict[str, list[str]]
    others: dict[str, str]


@pytest.fixture(scope="session")
def filled(tmp_path_factory: pytest.TempPathFactory) -> Path:
    where = tmp_path_factory.mktemp("invented") / "laboratory.db"
    record, actor = LaboratoryRecord.open(where), one_person()
    load_demonstration(record, actor, AT)
    arrival, file_name = STRANGE
    sample = receive_sample(record, actor, AT, arrival).key
    told = RecordTold(sample=sample, condition=Condition.SHORT_TERM_AGED)
    keep_record(record, actor, AT, creep_record(2), file_name, told)
    unknown = creep_record(3, headings=("q1", "q2", "q3", "q4"))
    for name, content in (("age.toml", SHORT_TERM), ("sweep.csv", OSCILLATION), ("strange.csv", unknown)):
        keep_record(record, actor, AT, content, name, RecordTold())
    record.close()
    return where


@pytest.fixture(scope="session")
def house(filled: Path) -> Iterator[House]:
    settings = WorkbenchSettings(record=str(filled))
    pages, others = followed(settings)
    with workbench(settings) as address:
        yield House(address, pages, others)


def followed(settings: WorkbenchSettings) -> tuple[dict[str, list[str]], dict[str, str]]:
    """Follow the links from all addresses that need no key; gives pages and other answers by route."""
    pages: dict[str, list[str]] = {}
    others: dict[str, str] = {}
    waiting = ["/", *(one.path for one in ROUTES if "{" not in one.path)]
    seen = set(waiting)
    with TestClient(make_app(settings), base_url="http://127.0.0.1") as client:
        while waiting:
            address = waiting.pop(0)
            route = route_of(address)
            if route is None or route in others or len(pages.get(route, ())) >= MOST_OF_A_ROUTE:
                continue
            answer = client.get(address)
            if not answer.headers.get("content-type", "").startswith("text/html"):
                others[route] = address
                continue
            pages.setdefault(route, []).append(address)
            reached = Reached(address)
            reached.feed(answer.text)
            new = [one for one in reached.found if one.startswith("/") and one not in seen]
            seen.update(new)
            waiting.extend(new)
    return pages, others


def route_of(address: str) -> str | None:
    scope = {
        "type": "http",
        "path": urlsplit(address).path,
        "root_path": "",
        "method": "GET",
        "headers": [],
    }
    return next((one.path for one in ROUTES if one.matches(scope)[0] is Match.FULL), None)


def name_of(route: Route) -> str:
    return re.sub(r"\W+", "-", route.path).strip("-") or "today"


@pytest.mark.parametrize("route", ROUTES, ids=name_of)
def test_every_page_fits_and_can_be_used_by_everybody(house: House, tab: Page, route: Route) -> None:
    if route.path in house.others:
        return  # a file, a picture, a list of numbers: no page
    if route.path in BY_HAND_ONLY:
        assert route.path not in house.pages, "a link leads there now: take it off the list"
        return
    assert route.path in house.pages, f"no link leads to {route.path}"
    for address in house.pages[route.path][-1:]:
        tab.emulate_media(color_scheme="dark")
        tab.set_viewport_size({"width": 360, "height": 800})
        tab.goto(house.address + address)
        assert_fits(tab)
        assert_accessible(tab, rules=("color-contrast",))
        tab.emulate_media(color_scheme="light")
        tab.set_viewport_size({"width": 768, "height": 900})
        assert_fits(tab)
        tab.set_viewport_size({"width": 1280, "height": 900})
        assert_fits(tab)
        assert_accessible(tab)


@pytest.mark.parametrize(
    "address", ["/samples", "/runs", "/drop", "/", "{sample}", "{sample}/grade", "{run}"]
)
def test_names_without_end_and_in_any_script_do_not_burst_a_page(
    house: House, tab: Page, address: str
) -> None:
    tab.set_viewport_size({"width": 360, "height": 800})
    tab.goto(f"{house.address}/samples?words={LONG_NUMBER}")
    sample = tab.locator("tbody a").first.get_attribute("href")
    tab.goto(house.address + (sample or ""))
    run = tab.locator(".runs a").first.get_attribute("href")
    tab.goto(house.address + address.format(sample=sample, run=run))
    assert_fits(tab)


@pytest.mark.parametrize(
    "address", ["/samples/S-000006", "/samples/S-000006/grade", "/runs/R-000014", "/runs"]
)
def test_on_paper_a_page_keeps_to_the_sheet_and_leaves_out_the_menu(
    house: House, tab: Page, address: str
) -> None:
    tab.set_viewport_size({"width": 673, "height": 950})  # A4 less its margins, at 96 dots an inch
    tab.emulate_media(media="print")
    tab.goto(house.address + address)
    assert_fits(tab)
    assert not tab.get_by_role("navigation", name="Workbench").is_visible()
    assert tab.locator("button:visible").count() == 0
