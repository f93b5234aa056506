"""A sample of the record, with its runs and ageings, put together as the test order that it answers."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, fields, replace

from resile.errors import InputError
from resile.judge.results.own_precision import BASIS
from resile.records.determination import Condition
from resile.records.laboratory import Laboratory
from resile.records.order import Instrument, OrderedSample, TestOrder
from resile.records.register import (
    Asked,
    Conditioning,
    Customer,
    Kept,
    LaboratorySettings,
    Product,
    Run,
    Sample,
    Verification,
)
from resile.records.register import Instrument as KeptInstrument
from resile.records.revision import Replacement
from resile.storage.reading import Reading
from resile.workflows.laboratory.bench.house import issuer_as_settled, settings_in_force
from resile.workflows.laboratory.comparisons.precision_in_verdicts import own_precisions
from resile.workflows.laboratory.statements.gathering import Gathered, noun_of

_DEFAULTS = ("specification", "decision_rule", "uncertainty_basis", "retest_rule", "budget")


@dataclass(frozen=True, slots=True)
class StoredOrder:
    """What the record holds of a sample, as an order.

    Attributes
    ----------
    sample : Kept of Sample
        At its newest revision.
    order : TestOrder
        With every file in hand.
    results : tuple of str
        Keys of the results of its runs, each with its revision.
    issuer : Laboratory or None
        The laboratory, as its settings state it; None where it has no name yet.
    settings : LaboratorySettings
        How it works.
    """

    sample: Kept[Sample]
    order: TestOrder
    results: tuple[str, ...]
    issuer: Laboratory | None
    settings: LaboratorySettings


def asked_of(sample: Sample, settings: LaboratorySettings) -> Asked:
    """Give what a sample is judged by: what was asked, else what the laboratory is used to."""
    usual = {name: getattr(settings, name) for name in _DEFAULTS}
    return replace(
        sample.asked,
        **{name: value for name, value in usual.items() if value and not getattr(sample.asked, name)},
    )


def stored_order(
    reading: Reading,
    key: str,
    *,
    asked: Asked | None = None,
    number: str = "",
    reviewed_by: str = "",
    replaces: Replacement | None = None,
) -> StoredOrder:
    """Put together the order that a sample of the record answers.

    Parameters
    ----------
    reading : Reading
        The record.
    key : str
        Key of the sample.
    asked : Asked, optional
        Judge by this instead of what was agreed: a question, not a verdict.
    number : str
        Number of the statement; that of the sample where empty.
    reviewed_by : str
        Who releases it.
    replaces : Replacement or None
        The statement that it replaces.

    Returns
    -------
    StoredOrder
        Runs without a residue, and those that cannot be read, are told among `order.doubts`.

    Raises
    ------
    RecordNotFoundError, RecordDamagedError
        Where the record has no such sample, or a file in it is damaged.
    InputError
        Where nothing was tested yet.
    """
    sample = reading.get(Sample, key)
    settings = settings_in_force(reading)
    rules = asked if asked is not None else asked_of(sample.value, settings)
    runs = reading.find(Run, sample=key)
    ageings = reading.find(Conditioning, sample=key)
    if not runs and not ageings:
        raise InputError(
            f"sample {sample.value.number}: no run, table of results or ageing record is attached to it; "
            "drop a record first"
        )
    gathered = Gathered(reading, sample.value.number)
    for run in runs:
        gathered.take_run(run)
    gathered.take_ageings(ageings)
    if asked is None:
        gathered.tell_changed_rules(sample, runs)
    customer = noun_of(reading, Customer, sample.value.customer)
    order = TestOrder(
        sample=_identity(reading, sample.value),
        number=number or sample.value.number,
        laboratory=settings.name,
        address=settings.address,
        customer=customer.name if customer else "",
        customer_contact=customer.contact if customer else "",
        invented=sample.value.invented,
        **{f.name: getattr(rules, f.name) for f in fields(rules) if f.name != "price_rules"},
        price_rule=rules.price_rules,
        precision=own_precisions(reading) if BASIS in rules.uncertainty_basis else "",
        records=tuple(gathered.records),
        tables=tuple(gathered.tables),
        ageing=gathered.ageing.get(Condition.SHORT_TERM_AGED),
        long_term_ageing=gathered.ageing.get(Condition.LONG_TERM_AGED),
        instruments=_instruments(reading, runs, ageings),
        operator=_listed(run.value.operator for run in runs),
        reviewed_by=reviewed_by,
        tested=_span([*(run.value.tested for run in runs), *(one.value.happened for one in ageings)]),
        place_of_work=settings.place_of_work,
        replaces=replaces,
        notes=(sample.value.note,) if sample.value.note else (),
        doubts=tuple(gathered.doubts),
    )
    return StoredOrder(sample, order, tuple(gathered.results), issuer_as_settled(reading, settings), settings)


def _identity(reading: Reading, sample: Sample) -> OrderedSample:
    product = noun_of(reading, Product, sample.product)
    taken = ", ".join(part for part in (sample.taken_at, sample.taken, sample.taken_by) if part)
    return OrderedSample(
        name=sample.number,
        product=product.name if product else "",
        claimed_grade=sample.claimed_grade,
        received=sample.received,
        container=sample.container,
        taken=taken,
        state=sample.state,
    )


def _instruments(
    reading: Reading, runs: list[Kept[Run]], ageings: list[Kept[Conditioning]]
) -> tuple[Instrument, ...]:
    """Name each instrument once, with the last verification that had been passed by the day of the test."""
    used: dict[str, str] = {}
    days = [(run.value.instrument, run.value.tested) for run in runs]
    for key, day in [*days, *((one.value.instrument, one.value.happened) for one in ageings)]:
        if key:
            used[key] = max(used.get(key, ""), day)
    named = []
    for key, day in used.items():
        one = reading.get(KeptInstrument, key).value
        done = [
            v.value.done
            for v in reading.find(Verification, instrument=key)
            if v.value.passed and (not day or v.value.done[:10] <= day[:10])
        ]
        named.append(
            Instrument(
                name=one.name,
                plate_diameter_mm=one.plate_diameter_mm,
                gap_mm=one.gap_mm,
                verified=max(done, default=""),
                note=one.note,
                tests=one.tests,
            )
        )
    return tuple(named)


def _listed(words: Iterable[str]) -> str:
    return ", ".join(dict.fromkeys(word for word in words if word))


def _span(times: list[str]) -> str:
    days = sorted({time[:10] for time in times if time})
    return "" if not days else days[0] if len(days) == 1 else f"{days[0]} to {days[-1]}"
