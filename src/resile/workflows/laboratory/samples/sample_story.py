"""The story of a sample, from the can to the statement that stands, for one page."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import orjson

from resile.records.determination import Condition
from resile.records.quantity import QUANTITIES
from resile.records.register import (
    TYPED_RESULTS,
    Actor,
    Can,
    Conditioning,
    Custody,
    Customer,
    Heating,
    Kept,
    LaboratorySettings,
    Product,
    Result,
    ResultLine,
    Run,
    Sample,
    Specimen,
    Statement,
    Verdict,
)
from resile.records.register import Instrument as KeptInstrument
from resile.report.numbers import shown, shown_temperature
from resile.report.words import CONDITION_WORDS, symbol_of
from resile.storage.laboratory_record import LaboratoryRecord
from resile.storage.reading import Reading
from resile.workflows.laboratory.access.permissions import require, require_sight
from resile.workflows.laboratory.bench.house import settings_in_force
from resile.workflows.laboratory.record.told_changes import ToldChange, told_changes
from resile.workflows.laboratory.samples.sample_waits import next_step, what_waits
from resile.workflows.laboratory.statements.grading import latest_verdict
from resile.workflows.laboratory.statements.statements_seen import was_issued
from resile.workflows.laboratory.statements.stored_order import asked_of

TEST_WORDS = {
    "creep_recovery": "creep and recovery",
    "oscillation": "oscillation",
    "bending_beam": "bending beam",
    "rotational_viscosity": "rotational viscosity",
    TYPED_RESULTS: "results typed in",
    "unread": "not read yet",
    "ageing": "ageing record, waiting",
}


@dataclass(frozen=True, slots=True)
class ToldRun:
    """A run with what it gave.

    Attributes
    ----------
    run, result
        As they are kept; no result where it was not reduced.
    test, residue, specimen, instrument : str
        In words.
    strips : tuple of Strip
        Jnr and recovery, cycle by cycle.
    """

    run: Kept[Run]
    result: Kept[Result] | None
    test: str
    residue: str
    specimen: str
    instrument: str
    strips: tuple[Strip, ...]


@dataclass(frozen=True, slots=True)
class Strip:
    """One number of a run cycle by cycle, as a line in a frame of 120 by 24.

    Attributes
    ----------
    name, unit : str
        What it is.
    points : str
        Corners of the line.
    first, last : float
        In the first and in the last cycle.
    """

    name: str
    unit: str
    points: str
    first: float
    last: float


@dataclass(frozen=True, slots=True)
class SampleStory:
    """All that is kept of a sample, in the order in which it happened.

    Attributes
    ----------
    sample : Kept of Sample
        The sample.
    waiting : tuple of (str, str, str)
        What waits for a decision: severity, sentence, address that leads on.
    next_step : tuple of (str, str)
        Words and address of what is to be done next; empty where nothing is.
    """

    sample: Kept[Sample]
    product: str = ""
    customer: str = ""
    parent: Kept[Sample] | None = None
    halves: tuple[Kept[Sample], ...] = ()
    custody: tuple[Kept[Custody], ...] = ()
    cans: tuple[tuple[Kept[Can], tuple[Kept[Heating], ...]], ...] = ()
    ageings: tuple[Kept[Conditioning], ...] = ()
    specimens: tuple[Kept[Specimen], ...] = ()
    runs: tuple[ToldRun, ...] = ()
    verdict: Kept[Verdict] | None = None
    content: dict[str, Any] | None = None
    statements: tuple[Kept[Statement], ...] = ()
    revisions: tuple[ToldChange, ...] = ()
    waiting: tuple[tuple[str, str, str], ...] = ()
    agreed: tuple[tuple[str, str], ...] = ()
    next_step: tuple[str, str] = ("", "")


def tell_sample(record: LaboratoryRecord, actor: Actor, key: str) -> SampleStory:
    """Tell the story of a sample; a customer is told what came in and what was issued, and no more.

    Parameters
    ----------
    record, actor
        The record, and who asks.
    key : str
        Key of the sample.

    Raises
    ------
    PermissionRefusedError, RecordNotFoundError
        Where it is not for this person, or there is none.
    """
    require(actor, "samples.see")
    with record.reading() as reading:
        sample = reading.get(Sample, key)
        noun = sample.value
        require_sight(actor, noun.customer)
        product = reading.get(Product, noun.product).value.name if noun.product else ""
        customer = reading.get(Customer, noun.customer).value.name if noun.customer else ""
        statements = tuple(reading.find(Statement, sample=key, order="seq", falling=True))
        if actor.customer or not actor.may("runs.see"):
            shown = tuple(one for one in statements if was_issued(one.value))
            return SampleStory(sample, product, customer, statements=shown)
        runs = tuple(_told_run(reading, run) for run in reading.find(Run, sample=key))
        ageings = tuple(reading.find(Conditioning, sample=key))
        verdict = latest_verdict(reading, key)
        content = None if verdict is None else orjson.loads(reading.file(verdict.value.file))
        return SampleStory(
            sample,
            product,
            customer,
            parent=reading.get(Sample, noun.parent) if noun.parent else None,
            halves=tuple(reading.find(Sample, parent=key)),
            custody=tuple(reading.find(Custody, sample=key, order="happened")),
            cans=tuple(
                (can, tuple(reading.find(Heating, can=can.key, order="started")))
                for can in reading.find(Can, sample=key)
            ),
            ageings=ageings,
            specimens=tuple(reading.find(Specimen, sample=key)),
            runs=runs,
            verdict=verdict,
            content=content,
            statements=statements,
            revisions=told_changes(reading, Sample, key),
            waiting=tuple(what_waits(sample, runs, ageings, verdict, statements, content)),
            next_step=next_step(sample, runs, ageings, verdict, statements),
            agreed=_agreed(noun, settings_in_force(reading)),
        )


def value_words(line: ResultLine) -> str:
    """Show one value of a result with its symbol, unit and circumstances."""
    if line.value is None:
        return ""
    where = [f"{line.stress_kpa:g} kPa"] if line.stress_kpa is not None else []
    where += [shown_temperature(line.temperature_c)] if line.temperature_c is not None else []
    if line.condition not in (None, Condition.UNKNOWN):
        where.append(CONDITION_WORDS[line.condition])
    words = f"{symbol_of(line.quantity)} {shown(line.value, line.quantity)} {line.unit}".strip()
    return f"{words} ({', '.join(where)})" if where else words


def nearest_words(name: str) -> str:
    """Show the name of a requirement by the symbol of its quantity."""
    for bound in ("maximum", "minimum"):
        quantity = name.removesuffix(f"_{bound}")
        if quantity != name:
            known = quantity in QUANTITIES
            return f"{symbol_of(quantity) if known else quantity.replace('_', ' ')} ({bound})"
    return name.replace("_", " ")


def number_words(value: float) -> str:
    """Show a number of a strip to three figures."""
    return f"{value:.3g}"


def _told_run(reading: Reading, run: Kept[Run]) -> ToldRun:
    noun = run.value
    found = reading.find(Result, run=run.key, order="seq", falling=True, limit=1)
    result = found[0] if found else None
    return ToldRun(
        run,
        result,
        TEST_WORDS.get(noun.test, noun.test),
        "" if noun.condition is Condition.UNKNOWN else CONDITION_WORDS[noun.condition],
        reading.get(Specimen, noun.specimen).value.number if noun.specimen else "",
        reading.get(KeptInstrument, noun.instrument).value.name if noun.instrument else "",
        _strips(result.value.cycles) if result else (),
    )


def _strips(cycles: tuple[tuple[float, ...], ...]) -> tuple[Strip, ...]:
    if len(cycles) < 2:
        return ()
    recovery = [cycle[1] for cycle in cycles]
    jnr = [cycle[2] for cycle in cycles]
    return (_strip("Jnr", "1/kPa", jnr), _strip("recovery", "%", recovery))


def _strip(name: str, unit: str, values: list[float]) -> Strip:
    low, high = min(0.0, *values), max(values)
    span = (high - low) or 1.0
    points = " ".join(
        f"{2 + 116 * place / (len(values) - 1):.1f},{22 - 20 * (value - low) / span:.1f}"
        for place, value in enumerate(values)
    )
    return Strip(name, unit, points, values[0], values[-1])


def _agreed(sample: Sample, settings: LaboratorySettings) -> tuple[tuple[str, str], ...]:
    asked = asked_of(sample, settings)
    pairs = (
        ("Specification", asked.specification),
        ("Decision rule", asked.decision_rule),
        ("Uncertainty from", asked.uncertainty_basis),
        ("Retest rule", asked.retest_rule),
        ("Class asked for", asked.service_class),
        (
            "High temperature asked for",
            f"{asked.high_temperature_c:g} °C" if asked.high_temperature_c else "",
        ),
        ("Price rules", ", ".join(asked.price_rules)),
    )
    return tuple((label, value or "as usual") for label, value in pairs if value or "rule" in label)
