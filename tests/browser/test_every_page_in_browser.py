"""Every page of the invented laboratory in a browser, as each person sees it: narrow, wide, dark, on paper.

Takes minutes, so it is a nightly proof. What it finds is printed as a list: page, what, where.
"""

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

import httpx
import pytest
from playwright.sync_api import Browser, Page
from starlette.applications import Starlette

from browser.accessibility import cut_off_on_paper, heavy_violations, too_wide
from browser.conftest import workbench
from crawling import Crawl, crawl, get_routes
from interfaces.web.forms import answer_of, send
from resile.interfaces.web.app import gathered_routes
from resile.interfaces.web.settings import WorkbenchSettings
from resile.records.register import Actor, Run, Statement
from resile.storage.laboratory_record import LaboratoryRecord
from resile.workflows.laboratory.access.people import make_first_person, make_person
from resile.workflows.laboratory.access.permissions import actor_of
from resile.workflows.laboratory.record.demonstration import load_demonstration
from resile.workflows.laboratory.record.opening import now

pytestmark = pytest.mark.nightly
PASSWORD = "four words in a row"
WIDTHS = (1280, 768, 360)
SHEET_PX = 672
"""Width of a sheet A4 between its margins, 178 mm at 96 pixels an inch."""
UNREAD = b"first;second;third\n1,0;2,0;3,0\n2,0;4,0;6,0\n3,0;6,0;9,0\n4,0;8,0;12,0\n"
NOT_IN_A_CRAWL = {
    "/sign-on": "leads to the sign-on service of an organisation; test_sign_on.py",
    "/sign-on/back": "where that service leads back to; test_sign_on.py",
    "/demonstration": "offered to an empty record alone; test_journeys.py",
    "/set-up": "the first account alone; test_accounts.py",
    "/jobs/{key}": "lives for as long as the work, then leads on; test_jobs.py",
    "/jobs/{key}/news": "asked by the script of that page; test_jobs.py",
    "/pictures/dark-colours.json": "asked by the script of pictures; every dark page here",
    "/archive-judged/report.{form}": "given out once a comparison was asked; test_archive_pages.py",
    "/runs/compare.json": "asked by the script of that page; test_runs_in_browser.py",
    "/runs/{key}/figures/{name}.json": "asked by the script of that page; test_runs_in_browser.py",
    "/explain/model.json": "asked by the script of that page; test_explain_page.py",
}
"""Routes no link leads to, and what looks at them instead."""


@dataclass(frozen=True, slots=True)
class Served:
    """The invented laboratory with accounts: where it answers, its routes, a client of each person."""

    home: str
    routes: Starlette
    people: dict[str, httpx.Client]
    starts: tuple[str, ...]


@dataclass(slots=True)
class Looked:
    """What the browser complained of on the page that is shown."""

    complaints: list[str] = field(default_factory=list)


@pytest.fixture(scope="module")
def served(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    """The invented laboratory, with everything done that only a person's click begins."""
    where = str(tmp_path_factory.mktemp("every-page") / "laboratory.db")
    record = LaboratoryRecord.open(where)
    head = actor_of(make_first_person(record, now(), name="Ada Berg", account="head", password=PASSWORD))
    load_demonstration(record, head, now())
    _technician_and_customer(record, head)
    with record.reading() as reading:
        runs = reading.find(Run, test="creep_recovery", limit=2)
        compared = "/runs/compare?" + "&".join(f"keys={one.key}" for one in runs)
    record.close()
    with workbench(WorkbenchSettings(record=where, signs_in=True)) as home:
        stranger = _client(home)
        people = {name: _signed_in(home, name) for name in ("head", "technician", "customer")}
        starts = _begun(people["head"])
        everybody = {"stranger": stranger, **people}
        yield Served(home, Starlette(routes=gathered_routes()), everybody, (*starts, compared))
        for client in everybody.values():
            client.close()


def _technician_and_customer(record: LaboratoryRecord, head: Actor) -> None:
    with record.reading() as reading:
        issued = next(one.value for one in reading.find(Statement) if one.value.issued)
    for account, role, customer in (
        ("technician", "technician", ""),
        ("customer", "customer-reader", issued.customer),
    ):
        make_person(
            record,
            head,
            now(),
            name=account.title(),
            account=account,
            roles=(role,),
            customer=customer,
            password=PASSWORD,
        )


def _client(home: str) -> httpx.Client:
    """Give a browser without script; a connection left idle would be closed under its hands."""
    return httpx.Client(base_url=home, timeout=120.0, limits=httpx.Limits(max_keepalive_connections=0))


def _signed_in(home: str, account: str) -> httpx.Client:
    client = _client(home)
    assert send(client, "/sign-in", page="/sign-in", account=account, password=PASSWORD).status_code == 303
    return client


def _begun(head: httpx.Client) -> tuple[str, ...]:
    """Work out what waits for a click, and give addresses that no link has."""
    ready = send(head, "/archive/ready", page="/archive") if "Make" in head.get("/archive").text else None
    if ready is not None:
        answer_of(head, ready)
    for form, page in (("/blends/F-000001/design", "/blends/F-000001"), ("/audit/recompute", "/audit")):
        answer_of(head, send(head, form, page=page))
    dropped = send(head, "/drop", page="/drop", files={"files": ("unread.csv", UNREAD, "text/csv")})
    added = send(head, "/people", page="/people", name="N. Ew", account="new", roles="technician")
    invitation = added.text.partition("/invitation/")[2].partition('"')[0]
    return (f"/invitation/{invitation}", dropped.headers["location"])


@pytest.fixture(scope="module")
def crawled(served: Served) -> dict[str, Crawl]:
    """What each person comes to by links."""
    starts = {"head": ("/", *served.starts), "stranger": ("/sign-in",)}
    return {
        who: crawl(client, served.routes, starts=starts.get(who, ("/",)))
        for who, client in served.people.items()
    }


def told(faults: list[tuple[str, str, str]]) -> str:
    """Write faults one a line, and print them for whoever mends them."""
    lines = "\n".join(f"{page}: {what}: {where}" for page, what, where in faults)
    print(f"\n{len(faults)} faults\n{lines}")
    return lines


def test_every_link_of_every_person_leads_somewhere_and_pages_are_in_order(
    crawled: dict[str, Crawl],
) -> None:
    faults = [(f"{who} {page}", *rest) for who, found in crawled.items() for page, *rest in found.faults]
    assert not faults, told(faults)  # type: ignore[arg-type]


def test_every_route_was_visited_or_has_a_reason(served: Served, crawled: dict[str, Crawl]) -> None:
    visited = {route for found in crawled.values() for route in found.kinds}
    unseen = set(get_routes(served.routes)) - visited
    assert sorted(unseen - NOT_IN_A_CRAWL.keys()) == []
    assert sorted(NOT_IN_A_CRAWL.keys() - get_routes(served.routes).keys()) == [], "a reason without a route"


@pytest.mark.parametrize(
    ("who", "of_a_route"), [("head", 2), ("technician", 1), ("customer", 2), ("stranger", 1)]
)
def test_every_page_looks_right(
    who: str, of_a_route: int, chromium: Browser, served: Served, crawled: dict[str, Crawl]
) -> None:
    context = chromium.new_context(reduced_motion="reduce", viewport={"width": WIDTHS[0], "height": 900})
    context.set_default_timeout(120_000)
    context.add_cookies(
        [
            {"name": one.name, "value": one.value or "", "url": served.home}
            for one in served.people[who].cookies.jar
        ]
    )
    tab, looked, faults = context.new_page(), Looked(), []
    tab.on("pageerror", lambda error: looked.complaints.append(str(error)))
    tab.on(
        "console",
        lambda said: looked.complaints.append(said.text) if said.type in ("error", "warning") else None,
    )
    taken: Counter[str] = Counter()
    for address, route in crawled[who].pages.items():
        taken[route] += 1
        if taken[route] <= of_a_route:
            faults += [(f"{who} {address}", *one) for one in _faults(tab, looked, served.home + address)]
    context.close()
    assert not faults, told(faults)


def _faults(tab: Page, looked: Looked, address: str) -> Iterator[tuple[str, str]]:
    """Look at one page in all ways."""
    looked.complaints.clear()
    tab.set_viewport_size({"width": WIDTHS[0], "height": 900})
    tab.emulate_media(media="screen", color_scheme="light")
    answer = tab.goto(address, wait_until="networkidle")
    if answer is None or answer.status != 200:
        yield "does not answer", str(answer and answer.status)
        return
    for impact, rule, where in heavy_violations(tab):
        yield f"{impact}, light: {rule}", "; ".join(where)
    for width in WIDTHS:
        tab.set_viewport_size({"width": width, "height": 900})
        for where in too_wide(tab):
            yield f"scrolls sideways at {width} px", where
    for impact, rule, where in heavy_violations(tab):
        yield f"{impact}, {WIDTHS[-1]} px: {rule}", "; ".join(where)
    tab.emulate_media(color_scheme="dark")
    tab.wait_for_load_state("networkidle")
    for impact, rule, where in heavy_violations(tab, rules=("color-contrast",)):
        yield f"{impact}, dark: {rule}", "; ".join(where)
    tab.emulate_media(media="print", color_scheme="light")
    tab.set_viewport_size({"width": SHEET_PX, "height": 900})
    for where in cut_off_on_paper(tab):
        yield "is cut off on paper", where
    for complaint in looked.complaints:
        yield "the browser complains", complaint


def test_a_fault_would_be_found(chromium: Browser, tmp_path: Path) -> None:
    """A page with every fault has every fault found, so that a quiet crawl means something."""
    page = tmp_path / "wrong.html"
    page.write_text(
        "<!doctype html><html lang=en><title>x</title><main><h1>x</h1><input>"
        "<p style='color:#bbb'>pale</p><div style='width:2000px'>wide</div>"
        "<table style='width:1900px'><tr><td>far</table></main><script>nothing()</script>"
    )
    tab, looked = chromium.new_page(), Looked()
    tab.on("pageerror", lambda error: looked.complaints.append(str(error)))
    found = " ".join(what for what, _ in _faults_of_file(tab, looked, page))
    tab.close()
    for part in ("color-contrast", "label", "sideways at 360", "cut off on paper", "the browser complains"):
        assert part in found, part


def _faults_of_file(tab: Page, looked: Looked, page: Path) -> list[tuple[str, str]]:
    tab.route("**/wrong", lambda route: route.fulfill(body=page.read_text(), content_type="text/html"))
    return list(_faults(tab, looked, "http://localhost/wrong"))
