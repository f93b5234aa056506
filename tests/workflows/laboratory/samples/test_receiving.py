"""Samples come in, are corrected, split and handed on."""

from collections.abc import Iterator
from dataclasses import replace

import pytest

from resile.errors import ConflictError, InputError, PermissionRefusedError
from resile.records.register import Actor, Can, Custody, Customer, LaboratorySettings, Product, Sample
from resile.storage.laboratory_record import LaboratoryRecord
from resile.storage.lists.samples import (
    SampleFilter,
    count_samples,
    every_sample,
    list_samples,
    samples_by_number,
)
from resile.workflows.laboratory.access.permissions import one_person
from resile.workflows.laboratory.samples.custody import keep_can, log_custody, split_sample
from resile.workflows.laboratory.samples.receiving import Arrival, arrival_of, correct_sample, receive_sample

AT = "2026-03-02T08:00:00Z"
SOMEBODY = one_person()
ARRIVAL = Arrival(
    number="26-101", product="Northfield 64", customer="Weir & Sons", tank="T3", cans=("A1", "A2")
)


@pytest.fixture
def record(record_url: str) -> Iterator[LaboratoryRecord]:
    opened = LaboratoryRecord.open(record_url)
    yield opened
    opened.close()


def test_a_sample_is_received_with_product_customer_cans_and_custody(record: LaboratoryRecord) -> None:
    kept = receive_sample(record, SOMEBODY, AT, ARRIVAL)
    with record.reading() as reading:
        assert reading.get(Product, kept.value.product).value.name == "Northfield 64"
        assert reading.get(Customer, kept.value.customer).value.name == "Weir & Sons"
        assert [can.value.name for can in reading.find(Can, sample=kept.key)] == ["A1", "A2"]
        event = reading.find(Custody, sample=kept.key)[0].value
    assert (event.event, event.to_whom) == ("received", SOMEBODY.name)
    assert kept.value.received == "2026-03-02"


def test_a_known_product_is_found_and_not_made_twice(record: LaboratoryRecord) -> None:
    first = receive_sample(record, SOMEBODY, AT, ARRIVAL)
    second = receive_sample(record, SOMEBODY, AT, replace(ARRIVAL, number="26-102"))
    assert second.value.product == first.value.product
    assert second.value.customer == first.value.customer


def test_a_number_is_kept_once(record: LaboratoryRecord) -> None:
    receive_sample(record, SOMEBODY, AT, ARRIVAL)
    with pytest.raises(ConflictError, match="sample of this number"):
        receive_sample(record, SOMEBODY, AT, ARRIVAL)


def test_samples_without_a_number_are_numbered_by_the_scheme_of_the_laboratory(
    record: LaboratoryRecord,
) -> None:
    with record.writing(by="P-000001", at=AT) as book:
        book.keep(LaboratorySettings(sample_numbers="BYY/NNN"))
    receive_sample(record, SOMEBODY, AT, Arrival(number="B26/009"))
    receive_sample(record, SOMEBODY, AT, Arrival(number="B25/700"))
    receive_sample(record, SOMEBODY, AT, Arrival(number="B26/01x"))
    assert receive_sample(record, SOMEBODY, AT, Arrival()).value.number == "B26/010"
    assert receive_sample(record, SOMEBODY, AT, Arrival()).value.number == "B26/011"


def test_a_correction_is_a_revision_with_its_reason(record: LaboratoryRecord) -> None:
    kept = receive_sample(record, SOMEBODY, AT, ARRIVAL)
    _, arrival = arrival_of(record, SOMEBODY, kept.key)
    assert arrival.product == "Northfield 64"
    corrected = correct_sample(
        record, SOMEBODY, AT, kept.key, replace(arrival, lot="L 7"), reason="lot was missing", seen=1
    )
    assert (corrected.revision, corrected.reason, corrected.value.lot) == (2, "lot was missing", "L 7")
    with pytest.raises(InputError, match="reason"):
        correct_sample(record, SOMEBODY, AT, kept.key, arrival, reason=" ", seen=2)
    with pytest.raises(ConflictError, match="you saw revision 1"):
        correct_sample(record, SOMEBODY, AT, kept.key, replace(arrival, lot="8"), reason="x", seen=1)


def test_a_correction_that_changes_nothing_keeps_nothing(record: LaboratoryRecord) -> None:
    kept = receive_sample(record, SOMEBODY, AT, ARRIVAL)
    _, arrival = arrival_of(record, SOMEBODY, kept.key)
    assert correct_sample(record, SOMEBODY, AT, kept.key, arrival, reason="", seen=1).revision == 1


def test_a_sample_is_split_once_into_two_linked_halves(record: LaboratoryRecord) -> None:
    kept = receive_sample(record, SOMEBODY, AT, ARRIVAL)
    tested, retained = split_sample(record, SOMEBODY, AT, kept.key, place="cellar, shelf 4", seal="0815")
    assert (tested.value.number, retained.value.number) == ("26-101-A", "26-101-B")
    assert tested.value.parent == retained.value.parent == kept.key
    with record.reading() as reading:
        assert reading.find(Custody, sample=retained.key)[0].value.place == "cellar, shelf 4"
    with pytest.raises(ConflictError, match="split already"):
        split_sample(record, SOMEBODY, AT, kept.key)
    with pytest.raises(ConflictError, match="a half already"):
        split_sample(record, SOMEBODY, AT, tested.key)


@pytest.mark.parametrize(
    "event",
    [Custody(sample="", happened="", event="lost"), Custody(sample="", happened="2030-01-01", event="sent")],
)
def test_custody_that_cannot_be_is_refused(record: LaboratoryRecord, event: Custody) -> None:
    kept = receive_sample(record, SOMEBODY, AT, ARRIVAL)
    with pytest.raises(InputError, match="custody"):
        log_custody(record, SOMEBODY, AT, replace(event, sample=kept.key))


def test_two_cans_of_one_sample_do_not_share_a_name(record: LaboratoryRecord) -> None:
    kept = receive_sample(record, SOMEBODY, AT, ARRIVAL)
    with pytest.raises(ConflictError, match="can of this name"):
        keep_can(record, SOMEBODY, AT, Can(sample=kept.key, name="A1"))
    assert keep_can(record, SOMEBODY, AT, Can(sample=kept.key, name="A3", mass_g=950)).value.name == "A3"


@pytest.mark.parametrize(
    "wrong",
    [
        {"received": "yesterday"},
        {"taken": "32.1.2026"},
        {"quantity_g": -1.0},
        {"represents_t": float("nan")},
        {"number": "x" * 300},
    ],
)
def test_what_cannot_be_is_refused_and_nothing_is_kept(
    record: LaboratoryRecord, wrong: dict[str, object]
) -> None:
    with pytest.raises(InputError):
        receive_sample(record, SOMEBODY, AT, replace(ARRIVAL, **wrong))
    with record.reading() as reading:
        assert reading.count(Sample) == reading.count(Product) == 0


def test_one_without_the_permission_is_refused(record: LaboratoryRecord) -> None:
    reader = Actor("P-000009", "A reader", frozenset({"samples.see"}))
    with pytest.raises(PermissionRefusedError):
        receive_sample(record, reader, AT, ARRIVAL)
    kept = receive_sample(record, SOMEBODY, AT, ARRIVAL)
    for task in (split_sample,):
        with pytest.raises(PermissionRefusedError):
            task(record, reader, AT, kept.key)


def test_a_customer_reader_does_not_open_the_sample_of_another(record: LaboratoryRecord) -> None:
    kept = receive_sample(record, SOMEBODY, AT, ARRIVAL)
    other = Actor("P-000009", "Another", frozenset({"samples.see"}), customer="K-000077")
    with pytest.raises(PermissionRefusedError):
        arrival_of(record, other, kept.key)


def test_the_list_is_searched_filtered_sorted_and_cut(record: LaboratoryRecord) -> None:
    for number, day in (("26-103", "2026-03-04"), ("26-101", "2026-03-02"), ("26-102", "2026-03-03")):
        customer = "Weir & Sons" if number != "26-103" else "50% Roads_"
        arrival = Arrival(number=number, received=day, product="Northfield 64", customer=customer)
        receive_sample(record, SOMEBODY, AT, arrival)
    with record.reading() as reading:
        every = list_samples(reading, SampleFilter())
        assert [row.number for row in every] == ["26-103", "26-102", "26-101"]
        assert every[0].customer == "50% Roads_"
        rising = list_samples(reading, SampleFilter(), order="number", falling=False, limit=1, offset=1)
        assert [row.number for row in rising] == ["26-102"]
        for words, expected in (
            ("north 102", 1),
            ("WEIR", 2),
            ("50%", 1),
            ("roads_", 1),
            ("%", 1),
            ("zzz", 0),
        ):
            assert count_samples(reading, SampleFilter(words=words)) == expected, words
        wanted = SampleFilter(received_from="2026-03-03", received_until="2026-03-03", stage="received")
        assert [row.number for row in list_samples(reading, wanted)] == ["26-102"]
        assert [row.number for row in samples_by_number(reading, "26-10", limit=2)] == ["26-103", "26-102"]
        assert len(list(every_sample(reading, SampleFilter(), chunk=2))) == 3
