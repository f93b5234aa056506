"""A program signs in with a token, on behalf of a person and with no more than that person may do."""

from collections.abc import Iterator
from dataclasses import replace

import pytest
from sqlalchemy import text

from resile.errors import InputError, PermissionRefusedError, RecordNotFoundError
from resile.records.register import Actor, Person
from resile.storage.laboratory_record import LaboratoryRecord
from resile.workflows.laboratory.access.permissions import actor_of, one_person
from resile.workflows.laboratory.access.tokens import actor_of_token, end_token, list_tokens, make_token

AT, LATER = "2026-03-02T08:00:00.000Z", "2026-03-20T08:00:00.000Z"
ADA = Person(name="Ada Muster", account="ada", roles=("technician",))


@pytest.fixture
def record(record_url: str) -> Iterator[LaboratoryRecord]:
    opened = LaboratoryRecord.open(record_url)
    with opened.writing(by="P-000001", at=AT) as book:
        book.keep(ADA)
    yield opened
    opened.close()


def ada(record: LaboratoryRecord) -> Actor:
    with record.reading() as reading:
        return actor_of(reading.get(Person, "P-000001"))


def test_a_token_gives_what_its_person_may_do(record: LaboratoryRecord) -> None:
    made = make_token(record, ada(record), AT, name="rheometer room")
    assert actor_of_token(record, made.secret, LATER) == ada(record)
    assert [(kept.name, kept.used) for kept in list_tokens(record, ada(record))] == [
        ("rheometer room", LATER)
    ]


def test_the_secret_is_kept_nowhere(record: LaboratoryRecord) -> None:
    made = make_token(record, ada(record), AT, name="rheometer room")
    with record.engine.connect() as connection:
        rows = connection.execute(text("SELECT * FROM token")).all()
    assert made.secret not in str(rows)


def test_a_token_ends_by_itself_or_when_told(record: LaboratoryRecord) -> None:
    short = make_token(record, ada(record), AT, name="a", days=7)
    with pytest.raises(PermissionRefusedError, match="has expired"):
        actor_of_token(record, short.secret, LATER)
    told = make_token(record, ada(record), AT, name="b")
    end_token(record, ada(record), LATER, told.kept.digest)
    with pytest.raises(PermissionRefusedError, match="not known"):
        actor_of_token(record, told.secret, LATER)


def test_a_token_of_one_whose_access_has_ended_opens_nothing(record: LaboratoryRecord) -> None:
    made = make_token(record, ada(record), AT, name="a")
    with record.writing(by="P-000001", at=AT) as book:
        book.keep(replace(ADA, active=False), key="P-000001", seen=1, reason="left")
    with pytest.raises(PermissionRefusedError, match="has ended"):
        actor_of_token(record, made.secret, LATER)


def test_nobody_ends_the_token_of_another(record: LaboratoryRecord) -> None:
    made = make_token(record, ada(record), AT, name="a")
    with pytest.raises(RecordNotFoundError):
        end_token(record, one_person(), AT, made.kept.digest)
    assert actor_of_token(record, made.secret, LATER)


@pytest.mark.parametrize("days", [0, 367])
def test_a_token_holds_for_a_year_at_most(record: LaboratoryRecord, days: int) -> None:
    with pytest.raises(InputError, match="1 to 366 days"):
        make_token(record, ada(record), AT, name="a", days=days)
