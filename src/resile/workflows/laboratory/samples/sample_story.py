"""The story of a sample, from the can to the statement that stands, for one page."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import orjson

from resile.records.determination import Condition
from resile.records.quantity import QUANTITIES
from resile.records.register import (
    Actor,
    Can,
    Conditioning,
    Custody,
    Customer,
    Heating,
    Kept,
    LaboratorySettings,
    Product,
    ResultLine,
    Run,
    Sample,
    Specimen,
    Statement,
    Verdict,
)
from resile.report.numbers import shown, shown_temperature
from resile.report.words import CONDITION_WORDS, symbol_of
from resile.storage.laboratory_record import LaboratoryRecord
from resile.workflows.laboratory.access.permissions import require, require_sight
from resile.workflows.laboratory.bench.house import settings_in_force
from resile.workflows.laboratory.record.told_changes import ToldChange, told_changes
from resile.workflows.laboratory.samples.sample_waits import next_step, what_waits
from resile.workflows.laboratory.samples.told_runs import ToldRun, told_run
from resile.workflows.laboratory.statements.grading import latest_verdict
from resile.workflows.laboratory.statements.statements_seen import was_issued
from resile.workflows.laboratory.statements.stored_order import asked_of
from resile.workflows.sites.in_words import rule_title


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
        runs = tuple(told_run(reading, run) for run in reading.find(Run, sample=key))
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


def _agreed(sample: Sample, settings: LaboratorySettings) -> tuple[tuple[str, str], ...]:
    asked = asked_of(sample, settings)
    pairs = (
        ("Specification", rule_title(asked.specification) if asked.specification else ""),
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
