"""Products, tanks and customers: listed with what hangs on them, added, corrected; on both databases."""

from collections.abc import Iterator
from dataclasses import replace

import pytest

from resile.errors import ConflictError, InputError, PermissionRefusedError, RecordNotFoundError, ResileError
from resile.records.register import Actor, Customer, Product, Sample, Statement, StatementState, Tank, Verdict
from resile.storage.laboratory_record import LaboratoryRecord
from resile.workflows.laboratory.access.permissions import one_person, roles
from resile.workflows.laboratory.samples.whose import keep_named, list_named, named_sheet

AT = "2026-05-12T10:00:00Z"
ME = one_person()


@pytest.fixture
def record(record_url: str) -> Iterator[LaboratoryRecord]:
    opened = LaboratoryRecord.open(record_url)
    yield opened
    opened.close()


@pytest.fixture
def products(record: LaboratoryRecord) -> tuple[str, str]:
    """Two products; three samples of the first were judged, one of them twice."""
    plain = keep_named(record, ME, AT, Product(name="Plain (invented)", grade="64S-22")).key
    other = keep_named(record, ME, AT, Product(name="Other (invented)")).key
    with record.writing(by=ME.key, at=AT) as book:
        owner = book.keep(Customer(name="Roads (invented)")).key
        tank = book.keep(Tank(name="Tank 2", product=plain)).key
        for day, margin, outcome in ((1, 3.0, "pass"), (2, -0.5, "fail"), (3, 1.25, "pass")):
            sample = book.keep(
                Sample(
                    number=f"10{day}",
                    product=plain,
                    tank=tank,
                    customer=owner,
                    received=f"2026-05-0{day}",
                )
            ).key
            if day == 3:
                book.keep(Verdict(sample=sample, outcome="fail", nearest_margin=-9.0))
            book.keep(Verdict(sample=sample, outcome=outcome, nearest_margin=margin))
            book.keep(
                Statement(number=f"10{day}-1", sample=sample, customer=owner, state=StatementState.DRAFT)
            )
    return plain, other


def test_each_list_tells_how_many_samples_there_are_and_when_the_last_one_came(
    record: LaboratoryRecord, products: tuple[str, str]
) -> None:
    told = {row.name: row for row in list_named(record, ME, Product).rows}
    assert [*told] == ["Other (invented)", "Plain (invented)"]
    assert (told["Plain (invented)"].beside, told["Plain (invented)"].samples) == ("64S-22", 3)
    assert told["Plain (invented)"].received == "2026-05-03"
    assert (told["Other (invented)"].samples, told["Other (invented)"].received) == (0, "")
    [tank] = list_named(record, ME, Tank).rows
    assert (tank.name, tank.beside, tank.samples) == ("Tank 2", "Plain (invented)", 3)
    [customer] = list_named(record, ME, Customer, words="ROADS").rows
    assert customer.samples == 3
    assert list_named(record, ME, Customer, words="100%").count == 0


def test_a_product_tells_its_newest_verdict_of_each_lot_and_how_near_it_came(
    record: LaboratoryRecord, products: tuple[str, str]
) -> None:
    sheet = named_sheet(record, ME, Product, products[0])
    assert [(lot.number, lot.margin) for lot in sheet.lots] == [("103", 1.25), ("102", -0.5), ("101", 3.0)]
    assert sheet.words == (
        "The newest, 103, lies 1.2 × repeatability within its limit; the nearest of the 3, 102, "
        "0.5 × repeatability beyond its limit. One lies beyond its limit."
    )
    assert sheet.picture is not None
    assert [point["sample"] for point in sheet.picture["data"]["values"]] == ["101", "102", "103"]
    assert [name for _, name in sheet.tanks] == ["Tank 2"]
    assert (sheet.sample_count, sheet.statement_count) == (3, 3)
    bare = named_sheet(record, ME, Product, products[1])
    assert (bare.picture, bare.words, bare.lots) == (None, "", ())


@pytest.mark.parametrize("kind", [Tank, Customer])
def test_a_tank_and_a_customer_tell_their_samples_and_statements(
    record: LaboratoryRecord, products: tuple[str, str], kind: type
) -> None:
    [row] = list_named(record, ME, kind).rows
    sheet = named_sheet(record, ME, kind, row.key)
    assert [one.number for one in sheet.samples] == ["103", "102", "101"]
    assert [one.number for one in sheet.statements] == ["103-1", "102-1", "101-1"]
    assert sheet.product == ("Plain (invented)" if kind is Tank else "")


def test_a_correction_keeps_the_earlier_revision_with_its_reason(
    record: LaboratoryRecord, products: tuple[str, str]
) -> None:
    with record.reading() as reading:
        now = reading.get(Product, products[0])
    better = replace(now.value, maker="Ambelund (invented)")
    keep_named(record, ME, AT, better, key=now.key, seen=1, reason="the maker was missing")
    sheet = named_sheet(record, ME, Product, now.key)
    assert [(one.revision, one.reason) for one in sheet.changes] == [(2, "the maker was missing"), (1, "")]
    with pytest.raises(ConflictError):
        keep_named(record, ME, AT, now.value, key=now.key, seen=1, reason="too late")
    assert keep_named(record, ME, AT, better, key=now.key, seen=2).revision == 2


@pytest.mark.parametrize(
    ("noun", "error"),
    [
        (Customer(name=" "), InputError),
        (Product(name="Plain (invented)"), ResileError),
        (Tank(name="Tank 9", product="B-000099"), RecordNotFoundError),
    ],
)
def test_what_has_no_name_a_taken_one_or_an_unknown_product_is_refused(
    record: LaboratoryRecord, products: tuple[str, str], noun: Product, error: type[Exception]
) -> None:
    with pytest.raises(error):
        keep_named(record, ME, AT, noun)


def test_a_customer_and_one_who_may_not_write_are_refused(
    record: LaboratoryRecord, products: tuple[str, str]
) -> None:
    customer = Actor("P-000009", "O. Lund", roles()["customer-reader"].may, "K-000001")
    with pytest.raises(PermissionRefusedError, match="people of the laboratory alone"):
        list_named(record, customer, Customer)
    with pytest.raises(PermissionRefusedError, match="people of the laboratory alone"):
        named_sheet(record, customer, Customer, "K-000001")
    releaser = Actor("P-000008", "R. Ode", roles()["releaser"].may)
    assert list_named(record, releaser, Product).count == 2
    with pytest.raises(PermissionRefusedError, match="samples"):
        keep_named(record, releaser, AT, Product(name="Third"))
