"""Fill a record with years of invented samples, runs and verdicts, by the pen that people write with.

Numbers are drawn, not measured. Runs share a set of record files: keeping as many different files would
measure the disk, not the record.
"""

import random
import tempfile
import time
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from pathlib import Path

from tests.stored_samples import AT, keep_order

from resile.records.determination import Condition
from resile.records.register import (
    Customer,
    Instrument,
    Kept,
    Product,
    Result,
    ResultLine,
    Retention,
    Run,
    Sample,
    Statement,
    Verdict,
    Verification,
)
from resile.storage.book import Book
from resile.storage.laboratory_record import LaboratoryRecord
from resile.workflows.laboratory.access.permissions import one_person
from resile.workflows.laboratory.statements.grading import grade_stored_sample
from resile.workflows.laboratory.statements.issuing import draft_statement, release_statement

FIRST_DAY = date(2016, 1, 4)
TO_DAY = date(2026, 1, 3)
CHUNK = 2000
CUSTOMERS, PRODUCTS, INSTRUMENTS = 60, 40, 12


def fill(
    record: LaboratoryRecord, *, samples: int, runs_per_sample: int, files: list[tuple[str, bytes]]
) -> float:
    """Keep the samples of ten years with all that hangs on them, and give the seconds it took."""
    began, draw = time.perf_counter(), random.Random(7)
    with record.writing(by="P-LOCAL", at=f"{FIRST_DAY}T06:00:00.000Z") as book:
        hashes = [(book.keep_file(data), name) for name, data in files]
        customers = _keys(book, [Customer(name=f"Invented customer {i}") for i in range(CUSTOMERS)])
        products = _keys(book, [Product(name=f"Invented {i}", invented=True) for i in range(PRODUCTS)])
        instruments = _keys(book, [Instrument(name=f"Rheometer {i}") for i in range(INSTRUMENTS)])
        book.keep_many(list(_verifications(instruments)))
        verdict, statement = _models(book)
    links = Links(customers, products, instruments, hashes, verdict, statement)
    for start in range(0, samples, CHUNK):
        _fill_chunk(record, range(start, min(start + CHUNK, samples)), samples, runs_per_sample, links, draw)
    return time.perf_counter() - began


@dataclass(frozen=True)
class Links:
    """Keys that the samples point to."""

    customers: list[str]
    products: list[str]
    instruments: list[str]
    files: list[tuple[str, str]]
    verdict: Verdict
    statement: Statement


def _models(book: Book) -> tuple[Verdict, Statement]:
    """Grade and issue one sample of the demonstration, and keep the files: all others look like it."""
    with tempfile.TemporaryDirectory() as folder:
        model = LaboratoryRecord.open(Path(folder) / "model.db")
        key = keep_order(model, "101-plain")
        graded = grade_stored_sample(model, one_person(), AT, key).verdict
        assert graded is not None
        verdict = graded.value
        draft = draft_statement(model, one_person(), AT, key)
        statement = release_statement(model, one_person(), AT, draft.key).value
        with model.reading() as reading:
            for sha in (verdict.file, *verdict.pictures.values(), *statement.files.values()):
                book.keep_file(reading.file(sha))
        model.close()
    return verdict, statement


def _keys(book: Book, nouns: Sequence[object]) -> list[str]:
    return [kept.key for kept in book.keep_many(nouns)]


def _verifications(instruments: list[str]) -> Iterator[Verification]:
    for instrument in instruments:
        day = FIRST_DAY
        while day < TO_DAY:
            due = day + timedelta(days=180)
            yield Verification(instrument=instrument, what="temperature", done=f"{day}", due=f"{due}")
            day = due


def _fill_chunk(
    record: LaboratoryRecord, numbers: range, of: int, per_sample: int, links: Links, draw: random.Random
) -> None:
    span = (TO_DAY - FIRST_DAY).days
    days = [FIRST_DAY + timedelta(days=number * span // of) for number in numbers]
    with record.writing(by="P-LOCAL", at=f"{days[0]}T08:00:00.000Z") as book:
        kept = book.keep_many([_sample(n, day, links, draw) for n, day in zip(numbers, days, strict=True)])
        runs = book.keep_many([_run(one, links, draw) for one in kept for _ in range(per_sample)])
        book.keep_many([_result(run.key, run.value, draw) for run in runs])
        waiting = numbers.stop > of - 40  # the last ones are still on the bench
        if not waiting:
            _judge(book, [(one.key, one.value) for one in kept], links, draw)


def _sample(number: int, day: date, links: Links, draw: random.Random) -> Sample:
    return Sample(
        number=f"{day:%y}-{number:06d}",
        product=draw.choice(links.products),
        lot=f"L{number // 4}",
        customer=draw.choice(links.customers),
        claimed_grade="PG 64V-22",
        received=f"{day}",
        invented=True,
    )


def _run(sample: Kept[Sample], links: Links, draw: random.Random) -> Run:
    sha, name = draw.choice(links.files)
    return Run(
        test="creep_recovery",
        file=sha,
        file_name=name,
        sample=sample.key,
        condition=Condition.SHORT_TERM_AGED,
        temperature_c=64.0,
        instrument=draw.choice(links.instruments),
        operator="Invented Operator",
        tested=sample.value.received,
        verification="verified",
    )


def _result(run: str, value: Run, draw: random.Random) -> Result:
    jnr = draw.lognormvariate(-0.9, 0.3)
    recovery = draw.uniform(25, 70)
    worst = draw.choices(["", "note", "caution", "invalid"], [70, 20, 9, 1])[0]
    lines = (
        ResultLine("jnr", jnr * 0.9, "1/kPa", 64.0, 0.1),
        ResultLine("jnr", jnr, "1/kPa", 64.0, 3.2),
        ResultLine("percent_recovery", recovery + 3, "%", 64.0, 0.1),
        ResultLine("percent_recovery", recovery, "%", 64.0, 3.2),
    )
    cycles = tuple(
        (stress, recovery, jnr * draw.uniform(0.97, 1.03)) for stress in (0.1, 3.2) for _ in range(10)
    )
    return Result(
        run=run,
        sample=value.sample,
        lines=lines,
        worst=worst,
        findings=("temperature-off",) if worst else (),
        messages=("Invented finding of the load script.",) if worst else (),
        software="0",
        input=value.file,
        cycles=cycles,
    )


def _judge(book: Book, samples: list[tuple[str, Sample]], links: Links, draw: random.Random) -> None:
    verdicts = [
        replace(links.verdict, sample=key, results=(), nearest_margin=draw.gauss(4, 2)) for key, _ in samples
    ]
    kept = book.keep_many(verdicts)
    book.keep_many(
        [
            replace(
                links.statement,
                number=f"C-{sample.number}",
                sample=key,
                verdict=verdict.key,
                customer=sample.customer,
                issued=sample.received,
            )
            for (key, sample), verdict in zip(samples, kept, strict=True)
        ]
    )
    book.keep_many(
        [
            Retention(
                sample=key, starts=s.received, due=f"{date.fromisoformat(s.received) + timedelta(days=90)}"
            )
            for key, s in samples
        ]
    )
