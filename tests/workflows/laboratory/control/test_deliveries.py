"""Loads in the record, and what they do not fit."""

from collections.abc import Iterator
from dataclasses import replace

import pytest

from kept_production import AT, Season, keep_season
from resile.errors import ConflictError, InputError, PermissionRefusedError
from resile.records.reading import HeldFile
from resile.records.register import Actor, Delivery, Product, Sample, Statement, StatementState, Tank
from resile.storage.laboratory_record import LaboratoryRecord
from resile.workflows.laboratory.access.permissions import one_person
from resile.workflows.laboratory.control.deliveries import (
    TypedDelivery,
    deliveries_page,
    keep_delivery,
    keep_load_table,
)
from resile.workflows.laboratory.control.reconciliation import (
    kinds_of_misfit,
    reconcile_deliveries,
    same_grade,
)

LAB = one_person()


@pytest.fixture
def record(record_url: str) -> Iterator[LaboratoryRecord]:
    opened = LaboratoryRecord.open(record_url)
    yield opened
    opened.close()


def found(record: LaboratoryRecord, number: str) -> set[str]:
    whole = reconcile_deliveries(record, LAB)
    return {one.kind for one in whole.misfits if one.delivery.number == number}


def test_loads_that_fit_say_nothing_and_each_planted_misfit_is_told(record: LaboratoryRecord) -> None:
    keep_season(record, lots=12)
    whole = reconcile_deliveries(record, LAB)
    assert (whole.loads, whole.in_order) == (7, 4)
    assert found(record, "001a") == set()
    assert found(record, "N-1") == {"lot-not-sampled", "certificate-of-another-lot"}
    assert found(record, "N-2") == {"certificate-of-another-lot"}
    assert found(record, "N-3") == {"sent-before-release"}
    assert [one.weight for one in whole.misfits] == sorted(
        (one.weight for one in whole.misfits), key=["wrong", "missing", "look"].index
    )
    assert all(one.action.endswith(".") for one in whole.misfits)


def planted(record: LaboratoryRecord, season: Season) -> dict[str, str]:
    """Keep one load for each kind that is looked for; give kind by number."""
    lots = season.lots
    fits = {"product": season.product, "tank": season.tank, "grade": "PG 64V-22", "quantity_t": 20.0}
    fits |= {"sent": "2026-03-01"}
    loads = {
        "load-without-lot": {"certificate": "C-0002"},
        "lot-not-sampled": {"lot": "V-9", "certificate": "C-0002"},
        "lot-not-tested": {"lot": "new", "certificate": "C-0002"},
        "no-certificate": {"lot": lots[2]},
        "certificate-unknown": {"lot": lots[3], "certificate": "elsewhere"},
        "certificate-withdrawn": {"lot": lots[4], "certificate": "C-0005"},
        "certificate-of-another-lot": {"lot": lots[5], "certificate": "C-0005"},
        "certificate-of-another-product": {"lot": lots[6], "certificate": "C-other"},
        "certificate-of-another-tank": {"lot": lots[7], "certificate": "C-0008", "tank": season.other_tank},
        "certificate-of-another-grade": {"lot": lots[8], "certificate": "C-0009", "grade": "64H-22"},
        "grade-of-another-product": {"lot": lots[8], "certificate": "C-0009", "grade": "PG 64E-22"},
        "sent-before-release": {"lot": lots[9], "certificate": "C-0010", "sent": "2026-01-01"},
        "more-than-the-lot": {"lot": lots[9], "certificate": "C-0010", "quantity_t": 130.0},
        "lot-failed": {"lot": "failed", "certificate": "C-0002"},
        "lot-not-judged": {"lot": "tested", "certificate": "C-0002"},
    }
    with record.writing(by="P-TEST", at=AT) as book:
        other = book.keep(Product(name="Plant S (invented)", grade="PG 58S-28")).key
        tank = book.keep(Tank(name="Tank 3", product=other)).key
        loads["tank-of-another-product"] = {"lot": lots[3], "certificate": "C-0004", "tank": tank}
        loads["lot-of-another-product"] = {"lot": "S-1", "certificate": "C-0002"}
        samples = book.find(Sample, lot=lots[4])
        statement = book.find(Statement, sample=samples[0].key)[0]
        gone = replace(statement.value, state=StatementState.WITHDRAWN)
        book.keep(gone, key=statement.key, seen=1, reason="a slip")
        book.keep(Sample(number="n", product=season.product, lot="new"))
        strange = book.keep(Sample(number="s", product=other, lot="S-1")).key
        book.keep(
            Statement(number="C-other", sample=strange, state=StatementState.ISSUED, issued="2026-01-02")
        )
        for name, outcome in (("failed", "fail"), ("tested", "")):
            _tested(book, season, name, outcome)
        for kind, told in loads.items():
            book.keep(Delivery(number=kind, **(fits | told)))  # type: ignore[arg-type]
    return {kind: kind for kind in loads}


def _tested(book, season: Season, name: str, outcome: str) -> None:  # type: ignore[no-untyped-def]
    from resile.records.register import Result, Run, Verdict

    sample = book.keep(Sample(number=name, product=season.product, lot=name)).key
    run = book.keep(Run(test="oscillation", file=book.keep_file(b"x"), file_name="x", sample=sample)).key
    book.keep(Result(run=run, sample=sample))
    if outcome:
        book.keep(Verdict(sample=sample, outcome=outcome))


def test_everything_that_is_looked_for_is_found_where_it_is(record: LaboratoryRecord) -> None:
    season = keep_season(record, lots=12, deliveries=False)
    kinds = planted(record, season)
    assert set(kinds) == set(kinds_of_misfit())
    for kind in kinds:
        assert kind in found(record, kind), kind


@pytest.mark.parametrize("other", ["64V-22", "pg 64v−22", "PG64V-22"])
def test_grades_are_compared_as_people_write_them(other: str) -> None:
    assert same_grade("PG 64V-22", other)
    assert not same_grade("PG 64H-22", other)


def test_a_table_is_kept_whole_and_once(record: LaboratoryRecord) -> None:
    season = keep_season(record, lots=1, deliveries=False)
    text = (
        "Ticket;Date;Product;Lot;Tank;Net [kg];Certificate;Seal;Driver\n"
        "1000001;2026-03-02 06:30;Plant V (invented);V-001;Tank 1;28000;C-0001;blue;x\n"
        "1000002;2026-03-03;Plant V (invented);V-001;Tank 1;27500;C-0001;;y\n"
    )
    file = HeldFile("loads.csv", text.encode())
    taken = keep_load_table(record, LAB, AT, file)
    assert (taken.kept, taken.known, taken.unused) == (2, 0, ("Driver",))
    rows, count = deliveries_page(record, LAB)
    assert count == 2
    assert (rows[1].number, rows[1].sent, rows[1].quantity_t) == ("1000001", "2026-03-02T06:30", 28.0)
    assert rows[1].product == season.product
    assert keep_load_table(record, LAB, AT, file).known == 2
    changed = HeldFile("loads.csv", text.replace("27500", "27000").replace("1000001", "1000003").encode())
    with pytest.raises(InputError, match="load 1000002 is kept already and says something else"):
        keep_load_table(record, LAB, AT, changed)
    assert deliveries_page(record, LAB)[1] == 2


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("Plant V", "Plant W", "line 2: the product 'Plant W' is not kept in the record"),
        ("2026-03-02", "soon", "line 2: 'soon' is no day"),
        ("28", "much", "line 2: 'much' is no mass"),
        ("[t]", "[lb]", "the mass is headed in 'lb'"),
        ("7001,", ",", "line 2: the load has no number"),
    ],
)
def test_a_table_that_cannot_be_kept_says_where_and_what(
    record: LaboratoryRecord, old: str, new: str, said: str
) -> None:
    with record.writing(by="P-TEST", at=AT) as book:
        book.keep(Product(name="Plant V"))
    text = "load,day,product,tonnes [t]\n7001,2026-03-02,Plant V,28\n".replace(old, new)
    with pytest.raises(InputError) as refused:
        keep_load_table(record, LAB, AT, HeldFile("loads.csv", text.encode()))
    assert said in str(refused.value)
    assert deliveries_page(record, LAB)[1] == 0


def test_a_load_is_typed_once_and_corrected_with_a_reason(record: LaboratoryRecord) -> None:
    typed = TypedDelivery(number="7", sent="2026-03-02 06:30", quantity_t="27,5")
    kept = keep_delivery(record, LAB, AT, typed)
    assert (kept.value.sent, kept.value.quantity_t) == ("2026-03-02T06:30", 27.5)
    with pytest.raises(ConflictError, match="a delivery of this number"):
        keep_delivery(record, LAB, AT, typed)
    with pytest.raises(InputError, match="'soon' is no day"):
        keep_delivery(record, LAB, AT, replace(typed, sent="soon"))
    told = keep_delivery(record, LAB, AT, replace(typed, lot="V-2"), key=kept.key, seen=1, reason="misread")
    assert (told.revision, told.value.lot) == (2, "V-2")
    with pytest.raises(PermissionRefusedError):
        keep_delivery(record, Actor("P-9", "reader", frozenset({"runs.see"})), AT, typed)
