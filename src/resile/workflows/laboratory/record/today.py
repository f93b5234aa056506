"""What waits in the laboratory today, for the person who asks."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass, field
from datetime import date, timedelta
from functools import cache
from pathlib import Path
from typing import Any

from resile.records.register import Actor, SampleStage, StatementState
from resile.storage.laboratory_record import LaboratoryRecord
from resile.storage.lists import today as lists
from resile.storage.lists.heatings import OpenHeating, open_heatings
from resile.storage.lists.retentions import RetentionRow
from resile.storage.lists.today import (
    DoubtedRun,
    NearLimit,
    StatementRow,
    WaitingProduct,
    WaitingSample,
)
from resile.storage.reading import Reading
from resile.workflows.laboratory.bench.instruments_seen import DueVerification, due_verifications
from resile.workflows.laboratory.control.reconciliation import Misfit, reconciled
from resile.workflows.laboratory.control.sampled import DueSample, due_samples
from resile.workflows.laboratory.control.settled import settled as control_settled
from resile.workflows.laboratory.control.shown import LOOK, SeenChart, charts_that_go_on
from resile.workflows.laboratory.samples.retention import due_retentions

_FILE = Path(__file__).with_name("today.toml")
NEXT_STEPS = {
    SampleStage.RECEIVED.value: "nothing tested yet",
    SampleStage.TESTED.value: "tested, not graded",
    SampleStage.GRADED.value: "graded, no statement issued",
    SampleStage.STATED.value: "statement issued",
    SampleStage.DISPOSED.value: "disposed of",
}
"""How far a sample has come, in words that say what is missing next."""


@dataclass(frozen=True, slots=True)
class Today:
    """What waits.

    Attributes
    ----------
    sections : tuple of str
        Names of the lists shown, in order.
    empty : bool
        True where nothing was received or measured yet.
    waiting, runs, near, statements, verifications, retentions, oven, own_samples, own_statements, signals,
    sampling, loads : tuple
        The lists; empty where they are not shown.
    counts : dict of str to int
        How many there are of each, counted as far as a bound.
    near_limit_multiple : float
        How near counts as near, in multiples of the repeatability.
    """

    sections: tuple[str, ...]
    empty: bool
    near_limit_multiple: float
    waiting: tuple[WaitingSample | WaitingProduct, ...] = ()
    runs: tuple[DoubtedRun, ...] = ()
    near: tuple[NearLimit, ...] = ()
    statements: tuple[StatementRow, ...] = ()
    verifications: tuple[DueVerification, ...] = ()
    retentions: tuple[RetentionRow, ...] = ()
    oven: tuple[OpenHeating, ...] = ()
    signals: tuple[SeenChart, ...] = ()
    sampling: tuple[DueSample, ...] = ()
    loads: tuple[Misfit, ...] = ()
    own_samples: tuple[WaitingSample, ...] = ()
    own_statements: tuple[StatementRow, ...] = ()
    counts: dict[str, int] = field(default_factory=dict)


def today(record: LaboratoryRecord, actor: Actor, at: str) -> Today:
    """Tell what waits, for one person.

    Parameters
    ----------
    record : LaboratoryRecord
        Where to look.
    actor : Actor
        Who asks: what they may do decides which lists there are, and their order.
    at : str
        The time, ISO 8601 in UTC.

    Returns
    -------
    Today
        Short lists; a customer sees own samples and issued statements alone.
    """
    settled = _settled()
    sections = _sections(actor)
    with record.reading() as reading:
        lists_: dict[str, tuple[Any, ...]] = {}
        counts: dict[str, int] = {}
        for name in sections:
            rows, counts[name] = _section(reading, name, actor, at)
            lists_[name] = tuple(rows)
        empty = not actor.customer and lists.is_empty(reading)
    return Today(sections, empty, settled["near_limit_multiple"], counts=counts, **lists_)


def _section(reading: Reading, name: str, actor: Actor, at: str) -> tuple[list[Any], int]:
    """Give the rows of one list and how many there are."""
    settled = _settled()
    rows: int = settled["rows"]
    own = actor.customer
    if name == "waiting":
        return lists.waiting_samples(reading, limit=rows)
    if name == "runs":
        return lists.doubted_runs(reading, limit=rows)
    if name == "near":
        return lists.lots_near_limit(reading, settled["near_limit_multiple"], limit=rows)
    if name == "statements":
        return lists.statements_in(reading, StatementState.DRAFT, limit=rows)
    if name == "own_statements":
        return lists.statements_in(reading, StatementState.ISSUED, customer=own, limit=rows)
    if name == "retentions":
        return due_retentions(reading, at, limit=rows)
    if name == "verifications":
        return _of_all(due_verifications(reading, at, within_days=settled["look_ahead_days"]), rows)
    if name in ("signals", "sampling", "loads"):
        return _of_all(_of_production(reading, name, at), rows)
    if name == "oven":
        return _of_all(open_heatings(reading, limit=100), rows)
    return _of_all(lists.samples_of_customer(reading, own, limit=rows), rows)


def _of_production(reading: Reading, name: str, at: str) -> list[Any]:
    """Give the charts with an open signal, what is due for sampling, or loads that do not fit."""
    if name == "signals":
        return [one for one in charts_that_go_on(reading) if one.state == LOOK]
    if name == "sampling":
        return list(due_samples(reading, at[:10]))
    days = timedelta(days=control_settled()["reconciled_days"])
    return list(reconciled(reading, since=(date.fromisoformat(at[:10]) - days).isoformat()).misfits)


def _of_all(every: list[Any], rows: int) -> tuple[list[Any], int]:
    return every[:rows], len(every)


def _sections(actor: Actor) -> tuple[str, ...]:
    for order in _settled()["order"]:
        has, lacks = order["has"], order.get("lacks", ())
        if bool(order.get("of_one_customer")) is not bool(actor.customer):
            continue
        if all(map(actor.may, has)) and not any(map(actor.may, lacks)):
            return tuple(order["sections"])
    return ()


@cache
def _settled() -> dict[str, Any]:
    return tomllib.loads(_FILE.read_text(encoding="utf-8"))
