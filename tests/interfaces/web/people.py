"""Laboratories with several people, for tests of what each may do."""

from starlette.testclient import TestClient

from interfaces.web.forms import send
from resile.records.register import Actor, Person
from resile.storage.laboratory_record import LaboratoryRecord
from resile.workflows.laboratory.access.people import make_first_person, make_person
from resile.workflows.laboratory.access.permissions import actor_of

PASSWORD = "four words in a row"
NOON = "2026-05-12T10:00:00Z"


def record_of(client: TestClient) -> LaboratoryRecord:
    record: LaboratoryRecord = client.app.state.record
    return record


def first_person(client: TestClient) -> Actor:
    """Make the first account: Ada Berg, who may do everything."""
    return actor_of(
        make_first_person(record_of(client), NOON, name="Ada Berg", account="ada", password=PASSWORD)
    )


def another(client: TestClient, by: Actor, account: str, *roles: str, customer: str = "") -> Actor:
    """Add a person who has chosen the password already."""
    kept = make_person(
        record_of(client),
        by,
        NOON,
        name=account.title(),
        account=account,
        roles=roles,
        customer=customer,
        password=PASSWORD,
    )
    return actor_of(kept)


def browser(client: TestClient) -> TestClient:
    """Give another browser on the same workbench."""
    return TestClient(client.app, base_url="http://localhost", follow_redirects=False)


def sign_in(client: TestClient, account: str = "ada", password: str = PASSWORD) -> TestClient:
    answer = send(client, "/sign-in", page="/sign-in", account=account, password=password)
    assert answer.status_code == 303, answer.text
    return client


def roles_of(client: TestClient, key: str) -> tuple[str, ...]:
    with record_of(client).reading() as reading:
        return reading.get(Person, key).value.roles
