"""What stands between a browser and a page: own scripts only, own host, own forms, bounded bodies."""

import re
from collections.abc import Callable
from pathlib import Path

import pytest
from starlette.requests import Request
from starlette.responses import PlainTextResponse
from starlette.routing import Route
from starlette.testclient import TestClient

import resile.interfaces.web as web
from interfaces.web.forms import send, token_of
from resile import errors
from resile.errors import ANSWERS, AmbiguousFileError, answer_for
from resile.interfaces.web.visit import own_address, post
from resile.readers.source_file import read_source

TEMPLATES = sorted((Path(web.__file__).parent / "templates").rglob("*.j2"))
SCRIPTS = sorted((Path(web.__file__).parent / "assets").glob("*.js"))

Start = Callable[..., TestClient]


@pytest.mark.parametrize("address", ["/", "/no-such-page", "/assets/x/none.css"])
def test_every_answer_allows_only_scripts_and_styles_of_our_own(client: TestClient, address: str) -> None:
    headers = client.get(address).headers
    rules = dict(rule.split(" ", 1) for rule in headers["content-security-policy"].split("; "))
    assert rules["default-src"] == "'none'"
    assert rules["script-src"] == rules["style-src"] == "'self'"
    assert rules["frame-ancestors"] == rules["base-uri"] == "'none'"
    assert headers["x-content-type-options"] == "nosniff"
    assert headers["referrer-policy"] == "same-origin"
    assert "permissions-policy" in headers


def test_a_fault_of_the_program_is_told_without_its_details_and_with_the_same_protection(
    workbench: Start,
) -> None:
    client = workbench()

    def broken(request: Request) -> PlainTextResponse:
        raise RuntimeError("the secret is 4711")

    client.app.router.routes.append(Route("/broken", broken))
    quiet = TestClient(client.app, base_url="http://localhost", raise_server_exceptions=False)
    answer = quiet.get("/broken")
    assert answer.status_code == 500
    assert "4711" not in answer.text and "fault of the program" in answer.text
    assert "script-src 'self'" in answer.headers["content-security-policy"]


@pytest.mark.parametrize("path", TEMPLATES, ids=lambda p: p.name)
def test_no_template_holds_a_script_a_style_or_an_event_of_its_own(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    inline = re.findall(r"<script(?![^>]*(?:\bsrc=|application/json))[^>]*>", text)
    assert not inline and "<style" not in text
    assert not re.search(r"\sstyle\s*=", text), "style attributes are refused by the browser"
    assert not re.search(r"\son[a-z]+\s*=\s*[\"']", text), "events in attributes are refused by the browser"
    assert not re.search(r"\|\s*safe\b", text), "every text is escaped"
    assert "javascript:" not in text and "hx-on" not in text


@pytest.mark.parametrize("path", SCRIPTS, ids=lambda p: p.name)
def test_no_script_of_ours_makes_code_from_text(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    assert not re.search(
        r"\beval\(|new Function|innerHTML|outerHTML|insertAdjacentHTML|document\.write", text
    )


def test_another_host_name_is_turned_away(client: TestClient) -> None:
    for name in ("evil.example", "localhost.evil.example", "", "[", "127.0.0.1.nip.io:8350"):
        assert client.get("/", headers={"host": name}).status_code == 421
    for name in ("localhost:8350", "127.0.0.1", "[::1]:8350", "LOCALHOST"):
        assert client.get("/", headers={"host": name}).status_code == 200


def test_the_address_given_at_the_start_is_answered(workbench: Start) -> None:
    client = workbench(hosts=("resile.example",))
    assert client.get("/", headers={"host": "resile.example"}).status_code == 200
    assert client.get("/", headers={"host": "localhost"}).status_code == 421


def test_a_form_without_its_token_is_refused(client: TestClient) -> None:
    assert client.post("/look", data={"look": "dark"}).status_code == 403
    assert client.post("/look", data={"look": "dark", "csrf": "a.b"}).status_code == 403
    assert client.post("/look", data={"look": "dark", "csrf": token_of(client)}).status_code == 303


def test_a_script_gives_the_token_in_a_header(client: TestClient) -> None:
    assert client.post("/look", headers={"x-csrf": token_of(client)}).status_code == 303


def test_the_token_of_one_browser_does_not_serve_another(workbench: Start) -> None:
    one, other = workbench(), workbench()
    other.get("/")
    assert other.post("/look", data={"csrf": token_of(one)}).status_code == 403


def test_the_token_differs_from_page_to_page(client: TestClient) -> None:
    first, second = token_of(client), token_of(client)
    assert first != second
    assert client.post("/look", data={"csrf": first}).status_code == 303


def test_a_form_sent_from_another_site_is_refused_even_with_a_token(client: TestClient) -> None:
    headers = {"sec-fetch-site": "cross-site", "x-csrf": token_of(client)}
    assert client.post("/look", headers=headers).status_code == 403


def test_an_upload_that_says_it_is_too_large_is_refused_before_it_is_read(workbench: Start) -> None:
    client = workbench(upload_limit_bytes=10_000)
    answer = send(client, "/look", files={"record": ("big.csv", b"x" * 20_000)})
    assert answer.status_code == 413
    assert "too large" in answer.text


def test_an_upload_that_does_not_say_its_size_is_stopped_on_the_way(workbench: Start) -> None:
    client = workbench(upload_limit_bytes=10_000)
    token = token_of(client)
    taken = []

    def without_end():
        for number in range(1000):
            taken.append(number)
            yield b"x" * 1000

    headers = {"x-csrf": token, "content-type": "application/x-www-form-urlencoded"}
    answer = client.post("/look", content=without_end(), headers=headers)
    assert answer.status_code == 413


def test_the_cookie_cannot_be_read_by_scripts_nor_sent_by_other_sites(workbench: Start) -> None:
    plain = workbench().get("/").headers["set-cookie"]
    assert {"HttpOnly", "SameSite=Lax", "Path=/"} <= set(plain.split("; "))
    assert "Secure" not in plain
    answer = workbench(address="https://resile.example").get("/")
    secure = answer.headers["set-cookie"]
    assert secure.startswith("__Host-resile=") and "Secure" in secure.split("; ")
    assert "max-age" in answer.headers["strict-transport-security"]


@pytest.mark.parametrize(
    "address",
    ["https://evil.example", "//evil.example", "/\\evil.example", "evil", "", "/\nx", "javascript:alert(1)"],
)
def test_no_form_leads_away_from_the_workbench(client: TestClient, address: str) -> None:
    assert own_address(address) == "/"
    answer = send(client, "/look", look="dark", back=address)
    assert answer.headers["location"] == "/"


def test_what_was_said_is_shown_once_and_cannot_be_made_up(client: TestClient) -> None:
    def receive(visit):
        return visit.go("/", said="Sample <b>101</b> received.")

    client.app.router.routes.append(post("/receive", receive))
    send(client, "/receive")
    assert "Sample &lt;b&gt;101&lt;/b&gt; received." in client.get("/").text
    assert "received" not in client.get("/").text
    client.cookies.set("resile-said", "W1sibm90ZSIsInJlY2VpdmVkIl1d.forged")
    assert "received" not in client.get("/").text


@pytest.mark.parametrize("kind", sorted(ANSWERS, key=lambda k: k.__name__), ids=lambda k: k.__name__)
def test_every_refusal_becomes_a_page_with_its_sentence_and_status(
    workbench: Start, kind: type[errors.ResileError]
) -> None:
    client = workbench()
    error = (
        kind("where, what, needed", option="--x")
        if kind is AmbiguousFileError
        else kind("where, what, needed")
    )

    def refuse(request: Request) -> PlainTextResponse:
        raise error

    client.app.router.routes += [Route("/refuse", refuse), Route("/api/refuse", refuse)]
    page = client.get("/refuse")
    assert page.status_code == answer_for(error).http_status
    assert "Where, what, needed." in page.text and "<h1>" in page.text
    problem = client.get("/api/refuse")
    assert problem.headers["content-type"] == "application/problem+json"
    assert problem.json()["status"] == page.status_code
    assert problem.json()["detail"] == "Where, what, needed."


@pytest.mark.parametrize(
    "name",
    ["../settings.py", "..%2fsettings.py", "%2e%2e/app.py", "/etc/passwd", "vendor/../../app.py", "%00"],
)
def test_only_files_of_the_workbench_are_sent(client: TestClient, name: str) -> None:
    assert client.get(f"/assets/x/{name}").status_code == 404


def test_a_page_opens_no_file_of_this_computer(client: TestClient, tmp_path: Path) -> None:
    secret = tmp_path / "secret.csv"
    secret.write_text("1;2\n")

    def reads(_: Request) -> PlainTextResponse:
        return PlainTextResponse(read_source(secret, "record", 100)[0].decode())

    client.app.router.routes.append(Route("/reads", reads))  # type: ignore[attr-defined]
    answer = client.get("/reads")
    assert answer.status_code == 422
    assert "1;2" not in answer.text


def test_a_refusal_names_a_file_as_it_came(client: TestClient) -> None:
    told = client.post("/api/v1/records", files={"file": ("x.exe", b"MZ\x00\x00")}).json()
    assert told["detail"].startswith("x.exe: ")
    assert client.get("/api/v1/samples/S-000001").json()["detail"].startswith("The record holds no sample")
