"""A season of an invented binder kept in a record: lots with results, loads, certificates, an event."""

from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np

from resile.records.determination import Condition
from resile.records.register import (
    TYPED_RESULTS,
    Asked,
    Customer,
    Delivery,
    Instrument,
    Product,
    Result,
    ResultLine,
    Run,
    Sample,
    Statement,
    StatementState,
    Tank,
    Verdict,
)
from resile.storage.book import Book
from resile.storage.laboratory_record import LaboratoryRecord

BY, AT = "P-TEST", "2026-04-30T16:00:00.000Z"
FIRST = date(2026, 1, 5)
HAPPENED = 40
"""From this lot on the dose of polymer is too low: Jnr is 1.35 times what it was."""


@dataclass(frozen=True, slots=True)
class Season:
    """Keys of what was kept: the product, its tanks, the customer."""

    product: str
    tank: str
    other_tank: str
    customer: str
    lots: tuple[str, ...]


def keep_season(record: LaboratoryRecord, *, lots: int = 60, deliveries: bool = True) -> Season:
    """Keep an invented season: one lot every second day, tested, judged and stated."""
    draws = np.random.default_rng(20260105)
    with record.writing(by=BY, at=AT) as book:
        product = book.keep(Product(name="Plant V (invented)", grade="PG 64V-22", invented=True)).key
        tanks = [book.keep(Tank(name=name, product=product)).key for name in ("Tank 1", "Tank 2")]
        customer = book.keep(Customer(name="Roads (invented)", invented=True)).key
        instrument = book.keep(Instrument(name="Rheometer 1")).key
        files = {test: book.keep_file(test.encode()) for test in ("creep", "sweep", "ring")}
        names = []
        for number in range(lots):
            day = (FIRST + timedelta(days=2 * number)).isoformat()
            lot = f"V-{number + 1:03d}"
            names.append(lot)
            sample = book.keep(
                Sample(
                    number=f"26-{number + 1:04d}",
                    product=product,
                    tank=tanks[0],
                    lot=lot,
                    customer=customer,
                    claimed_grade="PG 64V-22",
                    taken=f"{day}T06:00",
                    received=day,
                    represents_t=120.0,
                    asked=Asked(specification="m332-2020"),
                    invented=True,
                )
            ).key
            _measured(book, sample, day, instrument, files, draws, happened=number >= HAPPENED)
            verdict = book.keep(
                Verdict(sample=sample, specification="m332-2020", grade="PG 64V-22", outcome="pass")
            ).key
            book.keep(
                Statement(
                    number=f"C-{number + 1:04d}",
                    sample=sample,
                    verdict=verdict,
                    customer=customer,
                    state=StatementState.ISSUED,
                    issued=day,
                )
            )
        season = Season(product, tanks[0], tanks[1], customer, tuple(names))
        if deliveries:
            _loads(book, season)
    return season


def _measured(
    book: Book, sample: str, day: str, instrument: str, files: dict[str, str], draws: np.random.Generator,
    *, happened: bool,
) -> None:  # fmt: skip
    strength = draws.normal(0.0, 1.0)
    jnr = 0.62 * np.exp(0.09 * (0.8 * strength + 0.6 * draws.normal())) * (1.35 if happened else 1.0)
    recovery = 42.0 - 3.0 * strength + draws.normal(0.0, 1.5) - (8.0 if happened else 0.0)
    modulus = 2.4 * np.exp(-0.05 * strength + 0.02 * draws.normal())
    softening = 66.0 - 1.2 * strength + draws.normal(0.0, 0.6) - (2.0 if happened else 0.0)
    measured = (
        (
            "creep_recovery",
            files["creep"],
            Condition.SHORT_TERM_AGED,
            (
                ResultLine("jnr_3.2", float(jnr), "1/kPa", 64.0, 3.2),
                ResultLine("percent_recovery_3.2", float(recovery), "%", 64.0, 3.2),
            ),
        ),
        (
            "oscillation",
            files["sweep"],
            Condition.ORIGINAL,
            (
                ResultLine("complex_modulus", float(modulus), "kPa", 64.0),
                ResultLine("phase_angle", float(72.0 + strength), "°", 64.0),
            ),
        ),
        (
            TYPED_RESULTS,
            files["ring"],
            Condition.UNKNOWN,
            (ResultLine("softening_point", float(softening), "°C", condition=Condition.ORIGINAL),),
        ),
    )
    for test, file, condition, lines in measured:
        run = book.keep(
            Run(
                test=test,
                file=file,
                file_name=f"{test}.csv",
                sample=sample,
                condition=condition,
                instrument=instrument,
                operator="I. Verner (invented)",
                tested=day,
                verification="verified",
            )
        ).key
        book.keep(Result(run=run, sample=sample, lines=lines))


def _loads(book: Book, season: Season) -> None:
    """Two loads of every tenth lot that fit, and one of each kind that does not."""
    for number in range(0, len(season.lots), 10):
        day = (FIRST + timedelta(days=2 * number + 1)).isoformat()
        for half in ("a", "b"):
            told = {"certificate": f"C-{number + 1:04d}", "quantity_t": 28.0, "sent": f"{day}T07:30"}
            book.keep(_load(season, f"{number + 1:03d}{half}", season.lots[number], **told))
    book.keep(_load(season, "N-1", "V-999", certificate="C-0001", sent="2026-04-01"))
    book.keep(_load(season, "N-2", season.lots[1], certificate="C-0003", sent="2026-04-02"))
    book.keep(_load(season, "N-3", season.lots[4], certificate="C-0005", sent="2026-01-10T05:00"))


def _load(season: Season, number: str, lot: str, **told: object) -> Delivery:
    fixed = {"product": season.product, "tank": season.tank, "customer": season.customer}
    return Delivery(number=number, lot=lot, grade="PG 64V-22", invented=True, **fixed, **told)  # type: ignore[arg-type]
