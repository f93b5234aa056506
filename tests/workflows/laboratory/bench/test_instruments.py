"""Instruments, their verifications, and what follows when one fails; on both databases."""

from collections.abc import Iterator

import pytest

from resile.errors import InputError, PermissionRefusedError
from resile.records.register import Actor, Instrument, Kept, Run, Verification
from resile.storage.laboratory_record import LaboratoryRecord
from resile.workflows.laboratory.access.permissions import one_person
from resile.workflows.laboratory.bench.instruments import (
    keep_instrument,
    keep_verification,
    verification_state,
)
from resile.workflows.laboratory.bench.instruments_seen import (
    due_verifications,
    instrument_sheet,
    list_instruments,
)

AT = "2026-06-30T08:00:00.000Z"
ACTOR = one_person()


@pytest.fixture
def record(record_url: str) -> Iterator[LaboratoryRecord]:
    opened = LaboratoryRecord.open(record_url)
    yield opened
    opened.close()


@pytest.fixture
def rheometer(record: LaboratoryRecord) -> Kept[Instrument]:
    return keep_instrument(record, ACTOR, AT, Instrument(name="Rheometer 1", interval_days=30))


def verify(record: LaboratoryRecord, instrument: str, done: str, **given: object) -> Kept[Verification]:
    whole = {"what": "temperature", "instrument": instrument, "done": done, **given}
    return keep_verification(record, ACTOR, AT, Verification(**whole))  # type: ignore[arg-type]


def state(record: LaboratoryRecord, instrument: str, day: str) -> str:
    with record.reading() as reading:
        return verification_state(reading, instrument, day)


def test_an_instrument_is_unknown_then_verified_then_overdue(
    record: LaboratoryRecord, rheometer: Kept[Instrument]
) -> None:
    kept = verify(record, rheometer.key, "2026-03-01")
    assert kept.value.due == "2026-03-31", "thirty days, the interval of the instrument"
    days = ("2026-02-28", "2026-03-01", "2026-03-31T23:59:00Z", "2026-04-01")
    assert [state(record, rheometer.key, day) for day in days] == [
        "unknown",
        "verified",
        "verified",
        "overdue",
    ]


@pytest.mark.parametrize(("instrument", "day"), [("", "2026-03-02"), ("I-000001", "")])
def test_without_instrument_or_day_the_state_is_unknown(
    record: LaboratoryRecord, rheometer: Kept[Instrument], instrument: str, day: str
) -> None:
    verify(record, rheometer.key, "2026-03-01")
    assert state(record, instrument, day) == "unknown"


@pytest.mark.parametrize(("measured", "passed"), [(64.1, True), (63.9, True), (64.11, False), (63.89, False)])
def test_the_reading_decides_whether_it_passed(
    record: LaboratoryRecord, rheometer: Kept[Instrument], measured: float, passed: bool
) -> None:
    numbers = {"measured": measured, "reference": 64.0, "tolerance": 0.1, "unit": "°C"}
    kept = verify(record, rheometer.key, "2026-03-01", passed=not passed, **numbers)
    assert kept.value.passed is passed


def test_after_a_failure_it_has_failed_until_the_same_thing_passes(
    record: LaboratoryRecord, rheometer: Kept[Instrument]
) -> None:
    verify(record, rheometer.key, "2026-03-01")
    verify(record, rheometer.key, "2026-03-10", passed=False)
    verify(record, rheometer.key, "2026-03-12", what="torque")
    assert state(record, rheometer.key, "2026-03-12") == "failed"
    verify(record, rheometer.key, "2026-03-13")
    assert state(record, rheometer.key, "2026-03-13") == "verified"


def test_what_was_measured_since_the_last_good_verification_is_listed(
    record: LaboratoryRecord, rheometer: Kept[Instrument]
) -> None:
    verify(record, rheometer.key, "2026-03-01")
    days = ("2026-02-20", "2026-03-01T09:00:00Z", "2026-03-05", "2026-03-10T16:00:00Z", "2026-03-11")
    with record.writing(by="P-000001", at=AT) as book:
        runs = [
            Run(test="oscillation", file="0" * 64, file_name="a.csv", instrument=rheometer.key, tested=day)
            for day in days
        ]
        book.keep_many(runs)
    verify(record, rheometer.key, "2026-03-10", passed=False)
    review = instrument_sheet(record, ACTOR, rheometer.key, "2026-03-11").reviews[0]
    assert review.since == "2026-03-01"
    assert [row.tested for row in review.measured] == list(days[1:4])
    assert review.count == 3


def test_what_is_due_names_the_failed_the_overdue_the_never_done_and_the_near(
    record: LaboratoryRecord, rheometer: Kept[Instrument]
) -> None:
    beam = keep_instrument(record, ACTOR, AT, Instrument(name="Beam 1"))
    keep_instrument(record, ACTOR, AT, Instrument(name="Old oven", retired=True))
    verify(record, rheometer.key, "2026-03-01")
    verify(record, rheometer.key, "2026-03-01", what="torque", due="2027-03-01")
    with record.reading() as reading:
        near = due_verifications(reading, "2026-03-20")
        late = due_verifications(reading, "2026-04-20")
        early = due_verifications(reading, "2026-03-02")
    assert [(one.instrument, one.what, one.state) for one in near] == [
        (beam.key, "", "unknown"),
        (rheometer.key, "temperature", "verified"),
    ]
    assert late[0].state == "overdue"
    assert [one.instrument for one in early] == [beam.key]


def test_the_list_shows_those_in_use_first(record: LaboratoryRecord, rheometer: Kept[Instrument]) -> None:
    keep_instrument(record, ACTOR, AT, Instrument(name="A, retired", retired=True))
    verify(record, rheometer.key, "2026-03-01")
    lines = list_instruments(record, ACTOR, "2026-03-02")
    assert [(line.instrument.value.name, line.state, line.due) for line in lines] == [
        ("Rheometer 1", "verified", "2026-03-31"),
        ("A, retired", "unknown", ""),
    ]


@pytest.mark.parametrize(
    ("given", "said"),
    [
        ({"done": "2026-13-01"}, "is no day"),
        ({"done": "2026-07-01"}, "still to come"),
        ({"what": " "}, "what was verified is needed"),
        ({"due": "2026-02-01"}, "before it was done"),
        ({"tolerance": -0.1}, "not negative"),
    ],
)
def test_a_verification_that_cannot_be_is_refused(
    record: LaboratoryRecord, rheometer: Kept[Instrument], given: dict[str, object], said: str
) -> None:
    with pytest.raises(InputError, match=said):
        verify(record, rheometer.key, **{"done": "2026-03-01", **given})  # type: ignore[arg-type]


def test_a_technician_may_not_keep_an_instrument(record: LaboratoryRecord) -> None:
    technician = Actor("P-000002", "Ada Muster", frozenset({"samples.see", "bench.write"}))
    with pytest.raises(PermissionRefusedError, match="keep instruments"):
        keep_instrument(record, technician, AT, Instrument(name="x"))
