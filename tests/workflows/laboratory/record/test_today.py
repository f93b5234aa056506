"""What waits, for whom, and that the first page walks indexes; on both databases."""

from collections.abc import Iterator

import pytest
from sqlalchemy import event, text

from resile.records.register import (
    Actor,
    Product,
    Result,
    Run,
    Sample,
    Statement,
    StatementState,
    Verdict,
)
from resile.storage.laboratory_record import LaboratoryRecord
from resile.storage.lists.today import ONE_BY_ONE, WaitingProduct, WaitingSample
from resile.workflows.laboratory.access.permissions import one_person, roles
from resile.workflows.laboratory.record.today import today

AT = "2026-05-12T08:00:00Z"


@pytest.fixture
def record(record_url: str) -> Iterator[LaboratoryRecord]:
    opened = LaboratoryRecord.open(record_url)
    yield opened
    opened.close()


def with_role(name: str, customer: str = "") -> Actor:
    return Actor("P-000002", "Ada Muster", roles()[name].may, customer)


def fill(record: LaboratoryRecord) -> None:
    """Keep four samples, each one stage further, with a doubted run, verdicts and statements."""
    with record.writing(by="P-000001", at=AT) as book:
        for number in range(4):
            customer = "K-000001" if number % 2 else ""
            book.keep(Sample(number=f"26-{number}", received=f"2026-05-0{9 - number}", customer=customer))
        runs = [
            Run(test="oscillation", file="0" * 64, file_name="a.csv", sample=f"S-00000{n}") for n in (2, 3, 4)
        ]
        for run, worst in zip(book.keep_many(runs), ("caution", "invalid", "invalid"), strict=True):
            book.keep(Result(run=run.key, sample=run.value.sample, worst=worst))
        book.keep(Verdict(sample="S-000003", nearest_margin=0.2, outcome="pass"))
        book.keep(Verdict(sample="S-000003", nearest_margin=3.0, outcome="pass"))
        book.keep(Verdict(sample="S-000004", nearest_margin=-0.5, outcome="fail"))
        book.keep(Statement(number="C-1", sample="S-000003"))
        issued = {"state": StatementState.ISSUED, "issued": "2026-05-10", "customer": "K-000001"}
        book.keep(Statement(number="C-2", sample="S-000004", **issued))  # type: ignore[arg-type]


def test_samples_wait_the_oldest_first_with_what_is_missing(record: LaboratoryRecord) -> None:
    fill(record)
    found = today(record, one_person(), AT)
    assert [(one.number, one.stage) for one in found.waiting if isinstance(one, WaitingSample)] == [
        ("26-2", "graded"),
        ("26-1", "tested"),
        ("26-0", "received"),
    ]
    assert found.counts["waiting"] == 3


def test_many_samples_of_one_product_are_told_together_and_hide_no_other(record: LaboratoryRecord) -> None:
    fill(record)
    with record.writing(by="P-000001", at=AT) as book:
        product = book.keep(Product(name="Kaltbach 50/70 (invented)")).key
        book.keep_many(
            [
                Sample(number=f"lot {number}", received="2025-01-31", product=product)
                for number in range(ONE_BY_ONE + 1)
            ]
        )
    found = today(record, one_person(), AT)
    assert found.waiting[0] == WaitingSample("S-000003", "26-2", "", "2026-05-07", "graded")
    assert found.waiting[-1] == WaitingProduct(
        product, "Kaltbach 50/70 (invented)", "received", "2025-01-31", ONE_BY_ONE + 1
    )
    assert len(found.waiting) == 4
    assert found.counts["waiting"] == ONE_BY_ONE + 4


def test_runs_of_samples_with_a_statement_are_not_shown_again(record: LaboratoryRecord) -> None:
    fill(record)
    found = today(record, one_person(), AT)
    assert [(one.number, one.worst) for one in found.runs] == [("26-2", "invalid"), ("26-1", "caution")]


def test_the_newest_verdict_decides_whether_a_lot_is_near_a_limit(record: LaboratoryRecord) -> None:
    fill(record)
    found = today(record, one_person(), AT)
    assert [(one.number, one.margin) for one in found.near] == [("26-3", -0.5)]
    assert [one.number for one in found.statements] == ["C-1"]


def test_a_customer_sees_own_samples_and_issued_statements_alone(record: LaboratoryRecord) -> None:
    fill(record)
    found = today(record, with_role("customer-reader", "K-000001"), AT)
    assert found.sections == ("own_statements", "own_samples")
    assert [one.number for one in found.own_samples] == ["26-1", "26-3"]
    assert [one.number for one in found.own_statements] == ["C-2"]
    other = today(record, with_role("customer-reader", "K-000002"), AT)
    assert (other.own_samples, other.own_statements, other.empty) == ((), (), False)


@pytest.mark.parametrize(
    ("role", "first"),
    [("technician", "oven"), ("specialist", "oven"), ("releaser", "statements"), ("manager", "statements")],
)
def test_each_role_sees_its_things_first(record: LaboratoryRecord, role: str, first: str) -> None:
    assert today(record, with_role(role), AT).sections[0] == first


def test_an_administrator_sees_no_samples(record: LaboratoryRecord) -> None:
    assert today(record, with_role("administrator"), AT).sections == ()


def test_no_query_of_the_first_page_reads_all_runs_samples_or_verdicts(record: LaboratoryRecord) -> None:
    with record.writing(by="P-000001", at=AT) as book:
        book.keep_many(
            [Sample(number=f"{n}", received=f"2026-01-{n % 28 + 1:02}", customer="") for n in range(3000)]
        )
        runs = book.keep_many(
            [
                Run(test="oscillation", file="0" * 64, file_name="a", sample=f"S-{n + 1:06}")
                for n in range(3000)
            ]
        )
        book.keep_many([Result(run=run.key, sample=run.value.sample) for run in runs])
        book.keep_many([Verdict(sample=f"S-{n + 1:06}", nearest_margin=2.0) for n in range(3000)])
    asked: list[tuple[str, object]] = []

    def listen(connection: object, cursor: object, statement: str, parameters: object, *rest: object) -> None:
        asked.append((statement, parameters))

    sqlite = record.engine.dialect.name == "sqlite"
    event.listen(record.engine, "before_cursor_execute", listen)
    for role in ("specialist", "manager"):
        today(record, with_role(role), AT)
    today(record, with_role("customer-reader", "K-000001"), AT)
    event.remove(record.engine, "before_cursor_execute", listen)
    whole = (
        ("SCAN run", "SCAN sample", "SCAN verdict", "SCAN entry")
        if sqlite
        else ("Seq Scan on run", "Seq Scan on sample", "Seq Scan on verdict", "Seq Scan on entry")
    )
    explain = "EXPLAIN QUERY PLAN " if sqlite else "EXPLAIN "
    selects = [one for one in asked if one[0].lstrip().upper().startswith("SELECT")]
    assert len(selects) > 15
    for statement, parameters in selects:
        with record.engine.connect() as connection:
            if not sqlite:  # tables of a test are small: without this any plan reads them whole
                connection.execute(text("SET enable_seqscan = off"))
            plan = connection.exec_driver_sql(explain + statement, parameters).fetchall()  # type: ignore[call-overload]
        lines = [" ".join(map(str, row)) for row in plan]
        found = [line for line in lines if any(word in line for word in whole) and "USING" not in line]
        assert not found, f"{statement}\n{lines}"
