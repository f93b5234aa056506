"""A customer tries every address of the workbench with the keys of another customer: nothing leaks."""

import re
from collections.abc import Iterator
from dataclasses import replace
from itertools import islice
from pathlib import Path

import pytest
from starlette.applications import Starlette
from starlette.routing import Mount, Route
from starlette.testclient import TestClient

from interfaces.web.forms import token_of
from interfaces.web.people import NOON, another, browser, first_person, sign_in
from resile.interfaces.web.app import make_app
from resile.interfaces.web.settings import WorkbenchSettings
from resile.records.register import Can, Custody, Customer, Heating, Retention, Sample, SiteRecord, Statement
from resile.storage.laboratory_record import LaboratoryRecord
from resile.workflows.laboratory.access.permissions import one_person
from resile.workflows.laboratory.access.tokens import make_token
from resile.workflows.laboratory.statements.grading import grade_stored_sample
from resile.workflows.laboratory.statements.issuing import draft_statement, release_statement
from stored_samples import AT, keep_order

PLACE = re.compile(r"\{(\w+)(?::\w+)?\}")
QUESTIONS = ("sample", "samples", "run", "keys", "statement", "customer", "product", "key", "site", "parent")
PARTS = {"/samples/": 5, "/runs/": 3, "/statements/": 5, "/api/v1/samples/": 1, "/explain?statement=": 1}
"""Addresses that show the sample to the laboratory: a part of each, and how many have to."""
OWN_AFFAIRS = {"/look", "/tokens", "/account", "/sign-out", "/sign-in", "/set-up"}
"""Forms by which anybody changes what is theirs alone."""


class Laboratory:
    """Two customers; the first one's sample is tested, graded, stated and drafted anew."""

    def __init__(self, app: Starlette) -> None:
        self.app = app
        self.record: LaboratoryRecord = app.state.record
        lab = TestClient(app, base_url="http://localhost", follow_redirects=False)
        ada = first_person(lab)
        self.sample = keep_order(self.record, "101-plain", statement_numbers="CERT-YYYY-NNNN")
        with self.record.writing(by="P-000001", at=AT) as book:
            sample = book.get(Sample, self.sample).value
            self.first = sample.customer
            self.second = book.keep(Customer(name="Second office")).key
            book.keep(Sample(number="own-7", customer=self.second, received="2026-05-01"))
            can = book.keep(Can(sample=self.sample, name="can of the first")).key
            book.keep(
                Heating(can=can, sample=self.sample, started=AT, temperature_c=135.0, duration_min=40.0)
            )
            book.keep(Custody(sample=self.sample, happened=AT, event="received"))
            book.keep(Retention(sample=self.sample, due="2026-09-01"))
            book.keep(SiteRecord(name="road of the first", customer=self.first))
            names = {"FIRST-101-QX", book.get(Customer, self.first).value.name}
        grade_stored_sample(self.record, one_person(), AT, self.sample)
        draft = draft_statement(self.record, ada, AT, self.sample)
        self.issued = release_statement(self.record, one_person(), AT, draft.key).key
        draft_statement(self.record, ada, AT, self.sample, reason="asked for")
        with self.record.writing(by="P-000001", at=AT) as book:
            told = replace(sample, number="FIRST-101-QX", lot="lot-of-first")
            book.keep(told, key=self.sample, reason="a number that stands nowhere else")
        with self.record.reading() as reading:
            names |= {one.value.number for one in reading.find(Statement)}
            self.files = {sha for one in reading.find(Statement) for sha in one.value.files.values()}
            self.names = {name for one in reading.find(Statement) for name in one.value.files}
            every = sorted({entry.key for entry in reading.log()})
            self.keys = [key for n, key in enumerate(every) if n < 1 or every[n - 1][0] != key[0]]
            self.keys += [key for key in every if key[0] in "SZ" and key not in self.keys]
            self.files |= {
                sha for entry in reading.log() for sha in re.findall(r'"([0-9a-f]{64})"', entry.body)
            }
        self.marks = names | {"road of the first", "can of the first", "lot-of-first"}
        self.reader = another(lab, ada, "eve", "customer-reader", customer=self.second)
        self.owner = another(lab, ada, "olu", "customer-reader", customer=self.first)
        another(lab, ada, "tess", "technician", "specialist", "releaser", "manager")

    def person(self, account: str) -> TestClient:
        return sign_in(TestClient(self.app, base_url="http://localhost", follow_redirects=False), account)

    def found_in(self, content: bytes, address: str = "") -> set[str]:
        """Give what tells of the first customer; what the address itself says is no news to who typed it."""
        return {mark for mark in self.marks if mark.encode() in content and mark not in address}

    def addresses(self, method: str) -> Iterator[str]:
        """Give every address of every route, its places filled with everything there is to guess."""
        for path, methods in routes_of(self.app):
            if method in methods:
                yield from self._filled(path)

    def _filled(self, path: str) -> Iterator[str]:
        places = PLACE.findall(path)
        if not places:
            yield path
            if not path.startswith("/api/"):
                yield from (f"{path}?{name}={self.sample}" for name in QUESTIONS)
                yield from (f"{path}?{name}={self.issued}" for name in ("statement", "key"))
                yield from (f"{path}?{name}=R-000001" for name in ("run", "keys"))
            return
        keys = self.keys if places[0] == "key" else [*sorted(self.files), self.sample, "x"]
        if len(places) > 1:
            keys = [key for key in keys if key in (self.sample, self.issued) or key[0] in "RWG"]
        seconds = ["1"] if len(places) == 1 else [*sorted(self.names), "whole", "cycles", "1", "2"]
        for key in keys:
            for second in seconds:
                rest = iter([key, second, second])
                yield PLACE.sub(lambda _, rest=rest: next(rest), path)


def routes_of(app: Starlette) -> Iterator[tuple[str, set[str]]]:
    for route in app.routes:
        if isinstance(route, Mount):
            for path, told in route.app.openapi()["paths"].items():
                yield f"{route.path}{path}", {method.upper() for method in told}
        elif isinstance(route, Route) and not route.path.startswith("/assets/"):
            yield route.path, set(route.methods or ())


@pytest.fixture(scope="module")
def laboratory(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Laboratory]:
    record: Path = tmp_path_factory.mktemp("customers") / "laboratory.db"
    app = make_app(WorkbenchSettings(record=str(record), signs_in=True), clock=lambda: NOON)
    yield Laboratory(app)
    app.state.record.close()


def test_the_addresses_tried_do_show_the_sample_to_the_laboratory(laboratory: Laboratory) -> None:
    tess = laboratory.person("tess")
    keys = (laboratory.sample, laboratory.issued, "R-000001")
    tried = [address for address in laboratory.addresses("GET") if any(key in address for key in keys)]
    for part, enough in PARTS.items():
        shown = (
            address
            for address in tried
            if part in address and laboratory.found_in(tess.get(address).content, address)
        )
        assert len(list(islice(shown, enough))) == enough, part


def test_no_address_gives_a_customer_anything_of_another(laboratory: Laboratory) -> None:
    eve = laboratory.person("eve")
    with laboratory.record.reading() as reading:
        kept = {reading.file(sha) for sha in laboratory.files}
    leaks, faults = [], []
    for address in laboratory.addresses("GET"):
        answer = eve.get(address)
        found = laboratory.found_in(answer.content, address)
        if found or answer.content in kept:
            leaks.append((address, answer.status_code, found))
        if answer.status_code >= 500:
            faults.append((address, answer.status_code))
    assert leaks == []
    assert faults == []


def test_a_token_of_a_customer_opens_no_more_than_the_customer_may_see(laboratory: Laboratory) -> None:
    secret = make_token(laboratory.record, laboratory.reader, AT, name="x").secret
    program = TestClient(
        laboratory.app, base_url="http://localhost", headers={"authorization": f"Bearer {secret}"}
    )
    for address in laboratory.addresses("GET"):
        if address.startswith("/api/"):
            assert not laboratory.found_in(program.get(address).content, address), address
    assert [one["value"]["number"] for one in program.get("/api/v1/samples").json()["items"]] == ["own-7"]


def test_a_customer_changes_nothing_by_any_form(laboratory: Laboratory) -> None:
    eve = laboratory.person("eve")
    token = token_of(eve, "/")
    with laboratory.record.reading() as reading:
        before = sum(1 for _ in reading.log())
    fields = {
        "csrf": token, "sample": laboratory.sample, "number": "x", "name": "x", "reason": "x", "seen": "1",
        "account": "mallory", "roles": "administrator", "customer": laboratory.second, "temperature_c": "100",
        "what": "x", "done": "2026-05-01", "disposed": "2026-05-01", "way": "x", "active": "no",
        "access_reason": "x", "retention": "D-000001", "heating": "H-000001", "received": "2026-05-01",
    }  # fmt: skip
    done = []
    for address in laboratory.addresses("POST"):
        path = address.split("?")[0]
        if path in OWN_AFFAIRS or path.startswith("/invitation/") or "?" in address:
            continue
        answer = eve.post(address, data=fields, headers={"x-csrf": token})
        assert answer.status_code < 500, address
        assert not laboratory.found_in(answer.content, address), address
        if answer.status_code < 300 or answer.status_code == 303:
            done.append(path)
    with laboratory.record.reading() as reading:
        assert sum(1 for _ in reading.log()) == before, done


def test_the_owner_sees_sample_statement_and_explanation_and_no_draft(laboratory: Laboratory) -> None:
    olu = laboratory.person("olu")
    first = olu.get("/").text
    assert f'href="/statements/{laboratory.issued}"' in first
    assert f'href="/samples/{laboratory.sample}"' in first
    for address in (
        f"/samples/{laboratory.sample}",
        f"/statements/{laboratory.issued}",
        f"/explain?statement={laboratory.issued}",
    ):
        assert olu.get(address).status_code == 200, address
    with laboratory.record.reading() as reading:
        draft = next(one for one in reading.find(Statement) if not one.value.issued)
    assert olu.get(f"/statements/{draft.key}").status_code == 403
    assert olu.get(f"/explain?statement={draft.key}").status_code == 403
    assert draft.value.number not in olu.get("/statements").text
    assert olu.get("/explain?run=R-000001").status_code == 403
    with laboratory.record.reading() as reading:
        sent = set(reading.get(Statement, laboratory.issued).value.files.values())
    for sha in set(draft.value.files.values()) - sent:
        assert olu.get(f"/files/{sha}").status_code == 404


def test_nobody_who_has_not_signed_in_sees_anything(laboratory: Laboratory) -> None:
    stranger = TestClient(laboratory.app, base_url="http://localhost", follow_redirects=False)
    for address in laboratory.addresses("GET"):
        # Who has not signed in is turned away by the path; questions behind it are asked as a customer above.
        if "?" not in address and any(
            key in address for key in ("R-0", laboratory.sample, laboratory.issued)
        ):
            answer = stranger.get(address)
            assert not laboratory.found_in(answer.content, address), address
    assert (
        browser(stranger)
        .get(f"/explain?statement={laboratory.issued}")
        .headers["location"]
        .startswith("/sign-in")
    )
