"""Accounts, roles, signing in and attempts, on both databases."""

from collections.abc import Iterator

import pytest

from resile.errors import (
    ConflictError,
    InputError,
    PermissionRefusedError,
    SignInNeededError,
    TooManyAttemptsError,
)
from resile.records.register import Actor
from resile.storage.laboratory_record import LaboratoryRecord
from resile.workflows.laboratory.access.inviting import invite, list_people
from resile.workflows.laboratory.access.people import (
    change_person,
    has_accounts,
    make_first_person,
    make_person,
)
from resile.workflows.laboratory.access.permissions import permissions
from resile.workflows.laboratory.access.signing_in import NOBODY, actor_of_session, sign_in, sign_out

NOON = "2026-05-12T10:00:00.000Z"
PASSWORD = "four words in a row"


@pytest.fixture
def record(record_url: str) -> Iterator[LaboratoryRecord]:
    record = LaboratoryRecord.open(record_url)
    make_first_person(record, NOON, name="Ada Berg", account="Ada", password=PASSWORD)
    yield record
    record.close()


def signed_in(record: LaboratoryRecord, account: str = "ada", password: str = PASSWORD, **more: str) -> Actor:
    known = {"place": "192.0.2.7", "secret": "s1", **more}
    return sign_in(record, NOON, account=account, password=password, **known)


def who(record: LaboratoryRecord, at: str = NOON, secret: str = "s1") -> Actor:
    return actor_of_session(record, at, secret=secret, idle_minutes=60)


def test_the_first_account_may_do_everything_and_is_made_once(record: LaboratoryRecord) -> None:
    assert has_accounts(record)
    assert signed_in(record).permissions == frozenset(permissions())
    with pytest.raises(ConflictError):
        make_first_person(record, NOON, name="Eve", account="eve", password=PASSWORD)


def test_a_session_holds_until_it_is_ended_or_nobody_uses_it(record: LaboratoryRecord) -> None:
    assert who(record) == NOBODY
    actor = signed_in(record)
    assert who(record) == actor and who(record, secret="s2") == NOBODY
    assert who(record, "2026-05-12T10:59:59.000Z") == actor
    assert who(record, "2026-05-12T12:00:00.000Z") == NOBODY
    sign_out(record, NOON, secret="s1")
    assert who(record) == NOBODY


def test_one_account_is_held_back_at_one_place_only(record: LaboratoryRecord) -> None:
    for _ in range(5):
        with pytest.raises(SignInNeededError, match="do not belong together"):
            signed_in(record, password="guess after guess")
    with pytest.raises(TooManyAttemptsError) as held:
        signed_in(record)
    assert held.value.wait_s == 900
    assert signed_in(record, place="192.0.2.8").name == "Ada Berg"


def test_no_two_people_share_an_account_however_it_is_written(record: LaboratoryRecord) -> None:
    with pytest.raises(ConflictError, match="account"):
        make_person(record, signed_in(record), NOON, name="Other", account="ADA ", roles=["technician"])


def test_people_are_looked_after_by_those_who_may(record: LaboratoryRecord) -> None:
    admin = signed_in(record)
    kept = make_person(record, admin, NOON, name="Bo", account="bo", roles=["technician"], password=PASSWORD)
    bo = signed_in(record, "bo", secret="s3")
    for refused in (
        lambda: list_people(record, bo, NOON),
        lambda: make_person(record, bo, NOON, name="C", account="c", roles=["administrator"]),
        lambda: invite(record, bo, NOON, admin.key),
        lambda: change_person(
            record, bo, NOON, kept.key, seen=1, reason="more", name="Bo", roles=["administrator"]
        ),
    ):
        with pytest.raises(PermissionRefusedError):
            refused()
    assert [line.kept.value.account for line in list_people(record, admin, NOON)] == ["ada", "bo"]


def test_the_last_who_can_look_after_people_stays(record: LaboratoryRecord) -> None:
    admin = signed_in(record)
    with pytest.raises(PermissionRefusedError, match="the last person who can look after people"):
        change_person(record, admin, NOON, admin.key, seen=1, reason="x", name="Ada", roles=["technician"])


def test_a_customer_needs_to_be_named_for_one_who_sees_only_theirs(record: LaboratoryRecord) -> None:
    with pytest.raises(InputError, match="customer"):
        make_person(record, signed_in(record), NOON, name="C", account="c", roles=["customer-reader"])
