"""The interface for programs: what it promises, it keeps; and it gives the numbers of the command line."""

import json
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
import schemathesis
from hypothesis import HealthCheck, given, settings
from schemathesis.checks import not_a_server_error
from schemathesis.specs.openapi.checks import (
    content_type_conformance,
    response_schema_conformance,
    status_code_conformance,
)
from starlette.applications import Starlette
from starlette.testclient import TestClient

from resile.interfaces.web.app import make_app
from resile.interfaces.web.settings import WorkbenchSettings
from resile.records.register import Run, Sample
from resile.workflows.laboratory.access.permissions import one_person
from resile.workflows.laboratory.access.tokens import make_token

RunCommand = Callable[..., tuple[int, str, str]]
AT = "2026-03-02T08:00:00.000Z"
CHECKS = [not_a_server_error, status_code_conformance, content_type_conformance, response_schema_conformance]


@pytest.fixture(scope="module")
def application(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Starlette]:
    record = tmp_path_factory.mktemp("api") / "laboratory.db"
    app = make_app(WorkbenchSettings(record=str(record), hosts=()))
    with app.state.record.writing(by="P-LOCAL", at=AT) as book:
        book.keep_many([Sample(number=str(i), received="2026-03-02") for i in range(3)])
        book.keep(Run(test="oscillation", file="0" * 64, file_name="a.csv", sample="S-000001"))
    yield app
    app.state.record.close()


@pytest.mark.parametrize("part", range(4))
def test_every_answer_is_as_described(application: Starlette, part: int) -> None:
    schema = schemathesis.openapi.from_asgi("/api/v1/openapi.json", application)
    operations = [found.ok() for found in schema.get_all_operations()]
    assert len(operations) > 40
    for operation in operations[part::4]:

        @given(case=operation.as_strategy())
        @settings(max_examples=4, deadline=None, suppress_health_check=list(HealthCheck), database=None)
        def answers_as_described(case: schemathesis.Case) -> None:
            case.call_and_validate(checks=CHECKS, base_url="http://localhost/api/v1")

        answers_as_described()


def test_reduce_gives_the_numbers_of_the_command_line(client: TestClient, day: Path, run: RunCommand) -> None:
    file = day / "101-plain" / "specimen-1.csv"
    answer = client.post("/api/v1/reduce", files={"files": (file.name, file.read_bytes())})
    expected = run("reduce", file, "--json")[1].replace(str(file), file.name)
    assert answer.status_code == 200
    assert answer.json() == json.loads(expected)


def test_grade_gives_the_statement_of_the_command_line(
    client: TestClient, day: Path, run: RunCommand
) -> None:
    table = day / "101-plain" / "other-results.csv"
    fields = {"specification": "m332-2014"}
    answer = client.post("/api/v1/grade", files={"table": (table.name, table.read_bytes())}, data=fields)
    expected = run("grade", table, "--specification", "m332-2014", "--json")[1]
    assert answer.status_code == 200, answer.text
    assert answer.json() == json.loads(expected.replace(str(table), table.name))


def test_a_file_that_cannot_be_read_is_told_beside_those_that_can(client: TestClient, day: Path) -> None:
    good = day / "101-plain" / "specimen-1.csv"
    files = [("files", ("bad.csv", b"nothing")), ("files", (good.name, good.read_bytes()))]
    answer = client.post("/api/v1/reduce", files=files).json()
    assert len(answer["runs"]) == 1
    assert [error["path"] for error in answer["errors"]] == ["bad.csv"]


@pytest.mark.parametrize("path", ["/etc/passwd", "../m332.toml"])
def test_a_rule_is_named_and_no_file_of_the_server_is_opened(
    client: TestClient, day: Path, path: str
) -> None:
    table = day / "101-plain" / "other-results.csv"
    files = {"table": (table.name, table.read_bytes())}
    answer = client.post("/api/v1/grade", files=files, data={"specification": path})
    assert answer.status_code == 422
    assert "a file is not opened" in answer.json()["detail"]


def test_a_table_of_sites_opens_no_file_that_was_not_sent(
    client: TestClient, day: Path, tmp_path: Path
) -> None:
    secret = tmp_path / "secret.csv"
    secret.write_text("day,high,low\n2020-01-01,7,1\n")
    sites = f"name,latitude,weather\nA,48.0,{secret}\n".encode()
    binders = day / "roads" / "range.csv"
    results = day / "roads" / "results.csv"
    files = {
        "sites": ("sites.csv", sites),
        "binders": (binders.name, binders.read_bytes()),
        "others": (results.name, results.read_bytes()),
    }
    answer = client.post("/api/v1/match", files=files)
    assert "secret.csv: this file is named in what was sent, but was not sent with it" in answer.text


def test_a_laboratory_with_accounts_asks_for_a_token(workbench: Callable[..., TestClient]) -> None:
    client = workbench(signs_in=True)
    refused = client.get("/api/v1/samples")
    assert refused.status_code == 401
    assert refused.headers["www-authenticate"] == "Bearer"
    assert refused.headers["content-type"] == "application/problem+json"
    record = client.app.state.record  # type: ignore[attr-defined]
    made = make_token(record, one_person(), "2026-05-11T08:00:00.000Z", name="test")
    wanted = {"authorization": f"Bearer {made.secret}"}
    assert client.get("/api/v1/samples", headers=wanted).status_code == 200
    assert client.get("/api/v1/samples", headers={"authorization": "Bearer resile_x"}).status_code == 403


def test_a_program_receives_a_sample_and_keeps_its_record(
    client: TestClient, day: Path, run: RunCommand
) -> None:
    sample = client.post("/api/v1/samples", json={"number": "26-7", "product": "Plain"})
    assert sample.status_code == 201, sample.text
    file = day / "101-plain" / "specimen-1.csv"
    sent = {"file": (file.name, file.read_bytes())}
    told = {"sample": sample.json()["key"], "specimen": "1", "condition": "short_term_aged"}
    first = client.post("/api/v1/records", files=sent, data=told)
    assert first.status_code == 201, first.text
    jnr = [line["value"] for line in first.json()["runs"][0]["lines"] if line["quantity"] == "jnr_3.2"]
    levels = json.loads(run("reduce", file, "--json")[1])["runs"][0]["levels"]
    assert jnr == [level["jnr"] for level in levels if level["stress_kpa"] == 3.2]
    again = client.post("/api/v1/records", files=sent, data=told).json()
    assert again["already"]
    assert len(client.get("/api/v1/runs").json()["items"]) == 1


def test_a_file_that_cannot_be_read_yet_is_kept(client: TestClient) -> None:
    kept = client.post("/api/v1/records", files={"file": ("odd.csv", b"a;b\n1;2\n3;4\n")}).json()
    assert kept["refusal"]
    assert kept["runs"][0]["test"] == "unread"


def test_a_page_of_another_site_cannot_use_the_interface(client: TestClient) -> None:
    foreign = {"origin": "https://elsewhere.example", "sec-fetch-site": "cross-site"}
    answer = client.post("/api/v1/plan", json={"grade": "PG 64-22"}, headers=foreign)
    assert answer.status_code == 403


def test_pages_of_a_kind_lead_on_to_one_another(client: TestClient) -> None:
    with client.app.state.record.writing(by="P-LOCAL", at=AT) as book:  # type: ignore[attr-defined]
        book.keep_many([Sample(number=str(i)) for i in range(5)])
    first = client.get("/api/v1/samples?limit=3").json()
    rest = client.get(f"/api/v1/samples?limit=3&after={first['next']}").json()
    assert [one["value"]["number"] for one in first["items"] + rest["items"]] == ["0", "1", "2", "3", "4"]
    assert rest["next"] == ""
    assert client.get("/api/v1/samples?number=3").json()["items"][0]["key"] == "S-000004"
    assert client.get("/api/v1/runs/S-000001").status_code == 404
