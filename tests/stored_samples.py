"""Samples of the demonstration day, kept in a record as a laboratory would keep them."""

import tempfile
from functools import cache
from pathlib import Path

from resile.readers.order import read_order
from resile.records.determination import Condition
from resile.records.order import OrderedRecord, TestOrder
from resile.records.register import (
    TYPED_RESULTS,
    Asked,
    Conditioning,
    Customer,
    Instrument,
    LaboratorySettings,
    Product,
    Result,
    Run,
    Sample,
    Specimen,
    Verification,
)
from resile.storage.book import Book
from resile.storage.laboratory_record import LaboratoryRecord
from resile.workflows.demonstration import write_demonstration

AT = "2026-05-13T16:00:00.000Z"
BY = "P-TEST"


@cache
def demonstration_day() -> Path:
    """The invented day, written once for all tests."""
    folder = Path(tempfile.mkdtemp(prefix="resile-day-"))
    write_demonstration(folder)
    return folder


def order_file(folder: str) -> Path:
    return demonstration_day() / folder / "order.toml"


def keep_order(record: LaboratoryRecord, folder: str, **settings: object) -> str:
    """Keep a demonstration order as sample, instruments, runs and ageings; give the key of the sample."""
    order = read_order(order_file(folder))
    with record.writing(by=BY, at=AT) as book:
        if not book.count(LaboratorySettings):
            book.keep(
                LaboratorySettings(
                    name=order.laboratory,
                    address=order.address,
                    invented=True,
                    **settings,  # type: ignore[arg-type]
                )
            )
        sample = _sample(book, order)
        instruments = _instruments(book, order)
        for ordered in order.records:
            _run(book, sample, ordered, order, instruments)
        for path in order.tables:
            assert isinstance(path, Path)
            file = book.keep_file(path.read_bytes())
            book.keep(Run(test=TYPED_RESULTS, file=file, file_name=path.name, sample=sample))
        for path, condition in (
            (order.ageing, Condition.SHORT_TERM_AGED),
            (order.long_term_ageing, Condition.LONG_TERM_AGED),
        ):
            if isinstance(path, Path):
                file = book.keep_file(path.read_bytes())
                book.keep(Conditioning(sample=sample, condition=condition, file=file, file_name=path.name))
    return sample


def _sample(book: Book, order: TestOrder) -> str:
    customers = book.find(Customer, name=order.customer) or [
        book.keep(Customer(name=order.customer, invented=True))
    ]
    products = book.find(Product, name=order.sample.product) or [
        book.keep(Product(name=order.sample.product, invented=True))
    ]
    return book.keep(
        Sample(
            number=order.sample.name,
            product=products[0].key,
            customer=customers[0].key,
            claimed_grade=order.sample.claimed_grade,
            received=order.sample.received,
            container=order.sample.container,
            taken_at=order.sample.taken,
            state=order.sample.state,
            note=" ".join(order.notes),
            invented=order.invented,
            asked=Asked(
                specification=order.specification,
                decision_rule=order.decision_rule,
                uncertainty_basis=order.uncertainty_basis,
                retest_rule=order.retest_rule,
                service_class=order.service_class,
                high_temperature_c=order.high_temperature_c,
            ),
        )
    ).key


def _instruments(book: Book, order: TestOrder) -> list[tuple[str, tuple[str, ...]]]:
    kept = []
    for one in order.instruments:
        found = book.find(Instrument, name=one.name)
        if not found:
            found = [
                book.keep(
                    Instrument(
                        name=one.name,
                        tests=one.tests,
                        plate_diameter_mm=one.plate_diameter_mm,
                        gap_mm=one.gap_mm,
                        note=one.note,
                    )
                )
            ]
            book.keep(Verification(instrument=found[0].key, what="temperature", done=one.verified))
        kept.append((found[0].key, one.tests))
    return kept


def _run(
    book: Book,
    sample: str,
    ordered: OrderedRecord,
    order: TestOrder,
    instruments: list[tuple[str, tuple[str, ...]]],
) -> None:
    assert isinstance(ordered.path, Path)
    test = _test_of(ordered.path.name + ordered.sheet)
    specimen = ""
    if ordered.specimen:
        form = f"{test} {'' if test == 'creep_recovery' else ordered.path.stem}"
        specimen = book.keep(
            Specimen(sample=sample, number=ordered.specimen, condition=ordered.condition, form=form)
        ).key
    run = book.keep(
        Run(
            test=test,
            file=book.keep_file(ordered.path.read_bytes()),
            file_name=ordered.path.name,
            sheet=ordered.sheet,
            sample=sample,
            specimen=specimen,
            condition=ordered.condition,
            temperature_c=ordered.temperature_c,
            plate_diameter_mm=ordered.plate_diameter_mm,
            gap_mm=ordered.gap_mm,
            instrument=next((key for key, tests in instruments if not tests or test in tests), ""),
            operator=order.operator,
            tested="2026-05-12",
            verification="verified",
        )
    )
    book.keep(Result(run=run.key, sample=sample, software="0.1.0"))


def _test_of(name: str) -> str:
    for part, test in (
        ("beam", "bending_beam"),
        ("viscosity", "rotational_viscosity"),
        ("sweep", "oscillation"),
        ("oscillation", "oscillation"),
    ):
        if part in name:
            return test
    return "creep_recovery"
