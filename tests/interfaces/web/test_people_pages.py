"""People are added by invitation, change roles with a reason, and are shut out at once."""

import re
from collections.abc import Callable
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from interfaces.web.forms import send
from interfaces.web.people import PASSWORD, another, browser, first_person, record_of, roles_of, sign_in
from resile.records.register import Actor, Customer, Person
from resile.workflows.laboratory.access.tokens import make_token

Start = Callable[..., TestClient]
LINK = re.compile(r"http://localhost(/invitation/[\w-]{43})")


@pytest.fixture
def client(workbench: Start) -> TestClient:
    client = workbench(signs_in=True)
    first_person(client)
    return sign_in(client)


def ada(client: TestClient) -> Actor:
    from resile.workflows.laboratory.access.permissions import actor_of

    with record_of(client).reading() as reading:
        return actor_of(reading.find(Person, account="ada")[0])


def invite_bo(client: TestClient) -> str:
    answer = send(client, "/people", page="/people", name="Bo Lind", account="bo", roles="technician")
    assert answer.status_code == 200, answer.text
    return LINK.search(answer.text).group(1)


def key_of(client: TestClient, account: str) -> str:
    with record_of(client).reading() as reading:
        return reading.find(Person, account=account)[0].key


def accept(browser: TestClient, link: str, password: str = PASSWORD, again: str = PASSWORD):
    return send(browser, link, page=link, password=password, again=again)


def test_an_invited_person_chooses_a_password_and_comes_in(client: TestClient) -> None:
    link = invite_bo(client)
    assert re.search("invited until <time[^>]*>2026-05-15 10:00", client.get("/people").text)
    bo = browser(client)
    assert "Bo Lind" in bo.get(link).text
    assert accept(bo, link).headers["location"] == "/sign-in"
    sign_in(bo, "bo")
    assert bo.get("/").status_code == 200
    page = client.get("/people").text
    assert "Technician" in page and "2026-05-12 10:00 UTC" in page


def test_nobody_comes_in_before_the_invitation_is_used(client: TestClient) -> None:
    invite_bo(client)
    for guess in ("", "bo", "password", PASSWORD):
        refused = send(browser(client), "/sign-in", page="/sign-in", account="bo", password=guess)
        assert refused.status_code == 401


def test_an_invitation_is_used_once(client: TestClient) -> None:
    link = invite_bo(client)
    assert accept(browser(client), link).status_code == 303
    assert browser(client).get(link).status_code == 404
    late = send(browser(client), link, page="/sign-in", password="another one, for me", again="x")
    assert late.status_code == 404


def test_an_invitation_ends_by_itself_and_a_new_one_ends_the_old_one(client: TestClient) -> None:
    old = invite_bo(client)
    key = key_of(client, "bo")
    answer = send(client, f"/people/{key}/invitation", page="/people")
    new = LINK.search(answer.text).group(1)
    assert browser(client).get(old).status_code == 404
    assert browser(client).get(new).status_code == 200
    client.app.state.clock = lambda: "2026-05-15T10:00:01Z"
    assert browser(client).get(new).status_code == 404


def test_a_poor_password_is_refused_and_the_invitation_still_holds(client: TestClient) -> None:
    link = invite_bo(client)
    bo = browser(client)
    assert "12 to 256" in accept(bo, link, "short", "short").text
    assert "differ" in accept(bo, link, PASSWORD, "something else").text
    assert accept(bo, link).status_code == 303


def test_a_new_password_by_invitation_ends_the_sessions_of_the_old_one(client: TestClient) -> None:
    another(client, ada(client), "bo", "technician")
    bo = sign_in(browser(client), "bo")
    answer = send(client, f"/people/{key_of(client, 'bo')}/invitation", page="/people")
    assert bo.get("/").status_code == 200
    accept(
        browser(client), LINK.search(answer.text).group(1), "quite another password", "quite another password"
    )
    assert bo.get("/").status_code == 303


def test_no_secret_of_an_invitation_is_kept(client: TestClient, tmp_path: Path) -> None:
    secret = invite_bo(client).rsplit("/", 1)[1]
    client.app.state.record.close()
    held = b"".join(path.read_bytes() for path in tmp_path.glob("laboratory.db*"))
    assert secret.encode() not in held


def test_roles_change_with_a_reason_and_hold_at_once(client: TestClient) -> None:
    another(client, ada(client), "bo", "technician")
    bo, key = sign_in(browser(client), "bo"), key_of(client, "bo")
    assert bo.get("/people").status_code == 403
    typed = {"name": "Bo Lind", "roles": ["technician", "administrator"], "seen": "1"}
    without = send(client, f"/people/{key}", page="/people", **typed)
    assert without.status_code == 422 and "needs its reason" in without.text
    assert send(client, f"/people/{key}", page="/people", reason="stands in", **typed).status_code == 303
    assert bo.get("/people").status_code == 200
    page = client.get(f"/people/{key}").text
    assert "Ada Berg: stands in" in page and "technician, administrator" in page
    stale = send(client, f"/people/{key}", page="/people", reason="again", **typed)
    assert stale.status_code == 409


def test_one_whose_access_ends_is_out_at_once_with_every_program(client: TestClient) -> None:
    actor = another(client, ada(client), "bo", "technician")
    bo, key = sign_in(browser(client), "bo"), key_of(client, "bo")
    token = make_token(record_of(client), actor, "2026-05-12T10:00:00.000Z", name="rheometer").secret
    head = {"authorization": f"Bearer {token}"}
    assert browser(client).get("/api/v1/samples", headers=head).status_code == 200
    ended = send(client, f"/people/{key}/access", page="/people", seen="1", active="no", access_reason="left")
    assert ended.status_code == 303
    assert bo.get("/").status_code == 303
    assert browser(client).get("/api/v1/samples", headers=head).status_code == 403
    assert "Bo" in client.get("/people").text
    back = send(client, f"/people/{key}/access", page="/people", seen="2", active="yes", access_reason="back")
    assert back.status_code == 303
    assert browser(client).get("/api/v1/samples", headers=head).status_code == 403
    refused = send(browser(client), "/sign-in", page="/sign-in", account="bo", password=PASSWORD)
    assert refused.status_code == 401


def test_the_last_administrator_stays_one(client: TestClient) -> None:
    key = key_of(client, "ada")
    before = roles_of(client, key)
    typed = {"name": "Ada Berg", "roles": "technician", "seen": "1", "reason": "less to do"}
    refused = send(client, f"/people/{key}", page="/people", **typed)
    assert refused.status_code == 403
    assert "Ada Berg is the last person who can look after people" in refused.text
    ended = send(client, f"/people/{key}/access", page="/people", seen="1", active="no", access_reason="x")
    assert ended.status_code == 403
    invited = send(client, "/people", page="/people", name="Cy", account="cy", roles="administrator")
    assert invited.status_code == 200
    assert send(client, f"/people/{key}", page="/people", **typed).status_code == 403, "Cy never came in"
    assert roles_of(client, key) == before
    accept(browser(client), LINK.search(invited.text).group(1))
    assert send(client, f"/people/{key}", page="/people", **typed).status_code == 303
    assert client.get("/people").status_code == 403


def test_a_customer_is_given_one_customer_and_a_form_with_a_fault_comes_back_filled(
    client: TestClient,
) -> None:
    with record_of(client).writing(by="P-000001", at="2026-05-12T10:00:00Z") as book:
        customer = book.keep(Customer(name="Road office north")).key
    typed = {"name": "Di <Vu>", "account": "di", "roles": "customer-reader"}
    refused = send(client, "/people", page="/people", **typed)
    assert refused.status_code == 422
    assert "which customer" in refused.text and "Di &lt;Vu&gt;" in refused.text
    assert send(client, "/people", page="/people", customer=customer, **typed).status_code == 200
    assert "Customer of Road office north" in client.get("/people").text


def test_without_the_role_nothing_of_people_can_be_reached(client: TestClient) -> None:
    another(client, ada(client), "bo", "technician", "specialist", "releaser", "manager")
    bo, key = sign_in(browser(client), "bo"), key_of(client, "ada")
    assert bo.get("/people").status_code == bo.get(f"/people/{key}").status_code == 403
    for address in ("/people", f"/people/{key}", f"/people/{key}/access", f"/people/{key}/invitation"):
        typed = {"name": "E", "account": "eve", "roles": "administrator", "seen": "1", "reason": "x"}
        assert send(bo, address, access_reason="x", **typed).status_code == 403
    assert "/people" not in bo.get("/").text


def test_a_laboratory_of_one_person_is_told_how_to_begin_with_accounts(workbench: Start) -> None:
    client = workbench()
    page = client.get("/people").text
    assert "resile serve --sign-in" in page and "Add and invite" not in page
    assert send(client, "/people", name="E", account="eve", roles="administrator").status_code == 404
