"""Who may come in: first account, signing in and out, sessions, attempts; no secret on a page or kept."""

import re
from collections.abc import Callable
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from interfaces.web.forms import send
from resile.interfaces.web.settings import SignOn, WorkbenchSettings
from resile.storage.laboratory_record import LaboratoryRecord
from resile.workflows.laboratory.access.people import change_person, make_first_person, make_person
from resile.workflows.laboratory.access.permissions import actor_of

Start = Callable[..., TestClient]
PASSWORD = "four words in a row"
NOON = "2026-05-12T10:00:00Z"


def record_of(client: TestClient) -> LaboratoryRecord:
    record: LaboratoryRecord = client.app.state.record
    return record


@pytest.fixture
def client(workbench: Start) -> TestClient:
    """A workbench with one account, and nobody signed in."""
    client = workbench(signs_in=True)
    make_first_person(record_of(client), NOON, name="Ada Berg", account="ada", password=PASSWORD)
    return client


def sign_in(client: TestClient, account: str = "ada", password: str = PASSWORD, **more: str):
    return send(client, "/sign-in", page="/sign-in", account=account, password=password, **more)


def test_without_an_account_the_first_page_leads_to_making_one(workbench: Start) -> None:
    client = workbench(signs_in=True)
    assert client.get("/").headers["location"] == "/sign-in?to=/"
    assert client.get("/sign-in?to=/").headers["location"] == "/set-up"
    made = send(
        client, "/set-up", page="/set-up", name="Ada Berg", account="Ada", password=PASSWORD, again=PASSWORD
    )
    assert made.headers["location"] == "/"
    assert "Ada Berg" in client.get("/").text


def test_the_first_account_is_made_once(client: TestClient) -> None:
    assert client.get("/set-up").status_code == 404
    again = send(
        client, "/set-up", page="/sign-in", name="E", account="eve", password=PASSWORD, again=PASSWORD
    )
    assert again.status_code == 404


def test_the_first_account_beyond_this_computer_needs_the_code_of_the_terminal(workbench: Start) -> None:
    client = workbench(signs_in=True, set_up_code="shown-in-the-terminal")
    typed = {"name": "Ada Berg", "account": "ada", "password": PASSWORD, "again": PASSWORD}
    refused = send(client, "/set-up", page="/set-up", code="guessed", **typed)
    assert refused.status_code == 403
    assert 'value="Ada Berg"' in refused.text and PASSWORD not in refused.text
    assert "shown-in-the-terminal" not in client.get("/set-up").text
    assert send(client, "/set-up", page="/set-up", code="shown-in-the-terminal", **typed).status_code == 303


@pytest.mark.parametrize(
    ("password", "why"),
    [("short", "12 to 256"), ("aaaaaaaaaaaaaaaa", "different"), ("ada-ada-and-more", "name")],
)
def test_a_poor_password_is_refused_and_what_was_typed_stays(
    workbench: Start, password: str, why: str
) -> None:
    client = workbench(signs_in=True)
    refused = send(
        client, "/set-up", page="/set-up", name="Ada Berg", account="ada", password=password, again=password
    )
    assert refused.status_code == 422
    assert why in refused.text and 'value="Ada Berg"' in refused.text and f'"{password}"' not in refused.text


def test_signing_in_gives_a_new_secret_so_that_an_old_one_is_worth_nothing(client: TestClient) -> None:
    client.get("/sign-in")
    planted = client.cookies["resile"]
    assert sign_in(client).headers["location"] == "/"
    assert client.cookies["resile"] != planted
    assert client.get("/").status_code == 200
    thief = TestClient(client.app, base_url="http://localhost", follow_redirects=False)
    thief.cookies.set("resile", planted)
    assert thief.get("/").headers["location"].startswith("/sign-in")


def test_after_signing_out_the_old_cookie_opens_nothing(client: TestClient) -> None:
    sign_in(client)
    held = client.cookies["resile"]
    assert send(client, "/sign-out").headers["location"] == "/sign-in"
    thief = TestClient(client.app, base_url="http://localhost", follow_redirects=False)
    thief.cookies.set("resile", held)
    assert thief.get("/").status_code == 303


def test_a_wrong_password_and_an_unknown_account_are_refused_in_the_same_words(client: TestClient) -> None:
    wrong, unknown = sign_in(client, password="not the password"), sign_in(client, account="nobody")
    plain = re.compile(r"<p class=\"said refused\"[^>]*>(.*?)</p>")
    assert wrong.status_code == unknown.status_code == 401
    assert plain.findall(wrong.text) == plain.findall(unknown.text) != []
    assert 'value="ada"' in wrong.text and "not the password" not in wrong.text


def test_after_too_many_failures_even_the_right_password_has_to_wait(client: TestClient) -> None:
    now = ["2026-05-12T10:00:00Z"]
    client.app.state.clock = lambda: now[0]
    for _ in range(5):
        assert sign_in(client, password="guess after guess").status_code == 401
    held = sign_in(client)
    assert held.status_code == 429
    assert held.headers["retry-after"] == "900"
    assert "15 min" in held.text
    now[0] = "2026-05-12T10:15:01Z"
    assert sign_in(client).status_code == 303


def test_failures_on_one_account_do_not_lock_out_another(client: TestClient) -> None:
    for _ in range(6):
        sign_in(client, account="eve", password="guess after guess")
    assert sign_in(client).status_code == 303


@pytest.mark.parametrize("to", ["https://evil.example/", "//evil.example", "/\\evil.example"])
def test_signing_in_leads_to_a_page_of_ours_alone(client: TestClient, to: str) -> None:
    assert sign_in(client, to=to).headers["location"] == "/"


def test_signing_in_leads_back_to_where_one_wanted_to_go(client: TestClient) -> None:
    wanted = client.get("/account?tab=2").headers["location"]
    assert wanted == "/sign-in?to=/account%3Ftab%3D2"
    assert 'name="to" value="/account?tab=2"' in client.get(wanted).text
    assert sign_in(client, to="/account?tab=2").headers["location"] == "/account?tab=2"


def test_a_session_nobody_uses_ends_and_one_in_use_ends_after_a_working_day(client: TestClient) -> None:
    now = ["2026-05-12T06:00:00Z"]
    client.app.state.clock = lambda: now[0]
    sign_in(client)
    now[0] = "2026-05-12T15:59:00Z"
    assert client.get("/").status_code == 200
    now[0] = "2026-05-12T18:00:01Z"
    assert client.get("/").status_code == 303
    now[0] = "2026-05-13T06:00:00Z"
    sign_in(client)
    now[0] = "2026-05-13T16:00:00Z"
    assert client.get("/").status_code == 303


def test_a_form_sent_without_a_session_is_refused_and_says_what_to_do(client: TestClient) -> None:
    refused = send(client, "/account", page="/sign-in", old="x", new="y", again="y")
    assert refused.status_code == 401
    assert "sign in" in refused.text.lower()


def test_changing_the_password_ends_every_other_session(client: TestClient) -> None:
    other = TestClient(client.app, base_url="http://localhost", follow_redirects=False)
    sign_in(client), sign_in(other)
    new = "five new words, in a row"
    wrong = send(client, "/account", page="/account", old="not it at all", new=new, again=new)
    assert wrong.status_code == 403
    assert send(client, "/account", page="/account", old=PASSWORD, new=new, again=new).status_code == 303
    assert client.get("/").status_code == 200
    assert other.get("/").status_code == 303
    assert sign_in(other).status_code == 401
    assert sign_in(other, password=new).status_code == 303


def test_one_whose_access_has_ended_is_out_at_once(client: TestClient) -> None:
    record = record_of(client)
    with record.reading() as reading:
        from resile.records.register import Person

        admin = actor_of(reading.find(Person, account="ada")[0])
    kept = make_person(
        record, admin, NOON, name="Bo Lind", account="bo", roles=["technician"], password=PASSWORD
    )
    other = TestClient(client.app, base_url="http://localhost", follow_redirects=False)
    sign_in(other, account="bo")
    assert other.get("/").status_code == 200
    change_person(
        record,
        admin,
        NOON,
        kept.key,
        seen=1,
        reason="left",
        name="Bo Lind",
        roles=["technician"],
        active=False,
    )
    assert other.get("/").status_code == 303
    assert sign_in(other, account="bo").status_code == 401


def test_no_password_stands_in_the_record_or_the_text_of_the_settings(
    client: TestClient, tmp_path: Path
) -> None:
    sign_in(client)
    session = client.cookies["resile"]
    client.app.state.record.close()
    held = b"".join(path.read_bytes() for path in tmp_path.glob("laboratory.db*"))
    assert PASSWORD.encode() not in held and session.encode() not in held
    assert b"$argon2id$" in held
    settings = WorkbenchSettings(
        record="postgresql://x:hidden1@y/z",
        set_up_code="hidden2",
        sign_on=SignOn(issuer="https://i.example", client_id="c", client_secret="hidden3"),
    )
    assert "hidden" not in repr(settings)
    assert WorkbenchSettings.from_text(settings.to_text()) == settings


def test_a_workbench_of_one_person_has_no_accounts(workbench: Start) -> None:
    client = workbench()
    assert client.get("/").status_code == 200
    assert client.get("/set-up").status_code == client.get("/account").status_code == 404
    assert client.get("/sign-in").headers["location"] == "/"
