"""Charts that are kept: begun, set up, changed, answered; what is left out of one is in `left_out`."""

from __future__ import annotations

from dataclasses import dataclass, replace

from resile.errors import InputError
from resile.records.control.run_rule import RunRuleSet
from resile.records.determination import Condition
from resile.records.quantity import QUANTITIES
from resile.records.register import (
    Actor,
    ControlWatch,
    Kept,
    Product,
    SignalAnswer,
)
from resile.specifications.control import chosen_rules, list_run_rules
from resile.storage.laboratory_record import LaboratoryRecord
from resile.storage.reading import Reading
from resile.workflows.control.watching import CHART_KINDS
from resile.workflows.laboratory.access.permissions import require
from resile.workflows.laboratory.bench.hand_numbers import hand_number_or_none
from resile.workflows.laboratory.control.deliveries import moment
from resile.workflows.laboratory.samples.named import person_name

CHART_WORDS = {
    "individuals": "single values",
    "mean-and-range": "means and ranges of replicates",
    "mean-and-deviation": "means and standard deviations of replicates",
    "weighted-average": "weighted average: sees a slow drift",
    "cumulative-sum": "cumulative sum: sees a small lasting step",
}
"""What each kind of chart shows, in words."""
BOUND_WORDS = {"": "no limit", "at_most": "at most", "at_least": "at least"}


@dataclass(frozen=True, slots=True, kw_only=True)
class TypedWatch:
    """A chart as it was typed; numbers and days are still text.

    Attributes
    ----------
    product, quantity, condition, temperature_c, chart, scale, limit, limit_is, target, note : str
        As in `ControlWatch`.
    baseline_since, baseline_until : str
        Days of the set-up; empty while it is being set up.
    run_rules : tuple of str
        Names of the run rules that are on.
    """

    product: str = ""
    quantity: str = ""
    condition: str = Condition.SHORT_TERM_AGED.value
    temperature_c: str = ""
    chart: str = "individuals"
    scale: str = "linear"
    limit: str = ""
    limit_is: str = ""
    target: str = ""
    baseline_since: str = ""
    baseline_until: str = ""
    note: str = ""
    run_rules: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class WatchChange:
    """One change of a chart.

    Attributes
    ----------
    at, by, reason : str
        When, the name of who changed it, and why.
    """

    at: str
    by: str
    reason: str


def list_watches(record: LaboratoryRecord, actor: Actor, *, product: str = "") -> list[Kept[ControlWatch]]:
    """Give the charts that are kept, or those of one product."""
    require(actor, "runs.see")
    with record.reading() as reading:
        return watches_of(reading, product)


def watches_of(reading: Reading, product: str = "") -> list[Kept[ControlWatch]]:
    """Give the charts that are kept, or those of one product, within a transaction."""
    return reading.find(ControlWatch, product=product) if product else reading.find(ControlWatch)


def watch_history(record: LaboratoryRecord, actor: Actor, key: str) -> list[WatchChange]:
    """Give what was changed about a chart, the newest first: the log of its set-up."""
    require(actor, "runs.see")
    with record.reading() as reading:
        return [
            WatchChange(one.at, person_name(reading, one.by), one.reason or "begun")
            for one in reversed(reading.history(ControlWatch, key))
        ]


def begin_watch(record: LaboratoryRecord, actor: Actor, at: str, typed: TypedWatch) -> Kept[ControlWatch]:
    """Begin a chart.

    Parameters
    ----------
    record, actor, at
        The record, who begins it, and when.
    typed : TypedWatch
        As it was typed, or as it was proposed.

    Raises
    ------
    InputError
        Where a number, a day or a name cannot be used, or the property is watched already.
    """
    require(actor, "control.write")
    watch = _watch(typed)
    with record.writing(by=actor.key, at=at) as book:
        invented = book.get(Product, watch.product).value.invented
        for one in book.find(ControlWatch, product=watch.product, quantity=watch.quantity):
            same = (one.value.condition, one.value.temperature_c, one.value.chart)
            if same == (watch.condition, watch.temperature_c, watch.chart) and not one.value.ended:
                raise InputError(f"this property is on a chart of this kind already: {one.key}")
        return book.keep(replace(watch, invented=invented))


def change_watch(
    record: LaboratoryRecord,
    actor: Actor,
    at: str,
    key: str,
    typed: TypedWatch,
    *,
    seen: int,
    reason: str,
    ended: bool = False,
) -> Kept[ControlWatch]:
    """Change how a property is watched; what was left out and answered stays.

    Parameters
    ----------
    record, actor, at
        The record, who changes it, and when.
    key : str
        Key of the chart.
    typed : TypedWatch
        As it was typed; product and property stay those of the chart.
    seen, reason
        As in `resile.storage.book.Book.keep`.
    ended : bool
        True where watching ends.
    """
    require(actor, "control.write")
    with record.writing(by=actor.key, at=at) as book:
        before = book.get(ControlWatch, key).value
        asked = replace(
            typed,
            product=before.product,
            quantity=before.quantity,
            condition=before.condition.value,
            temperature_c="" if before.temperature_c is None else repr(before.temperature_c),
        )
        watch = replace(
            _watch(asked),
            excluded=before.excluded,
            answers=before.answers,
            invented=before.invented,
            ended=(before.ended or at[:10]) if ended else "",
        )
        return book.keep(watch, key=key, seen=seen, reason=reason)


def answer_signals(
    record: LaboratoryRecord, actor: Actor, at: str, key: str, lot: str, *, seen: int, found: str
) -> Kept[ControlWatch]:
    """Say what was found when the signals up to a lot were looked into.

    Parameters
    ----------
    record, actor, at, key, seen
        As in `leave_out`.
    lot : str
        Lot up to which they were looked into.
    found : str
        The cause, or that none was found.
    """
    require(actor, "control.write")
    if not found.strip():
        raise InputError("say what was found; that no cause was found is an answer too")
    with record.writing(by=actor.key, at=at) as book:
        before = book.get(ControlWatch, key).value
        answer = SignalAnswer(lot=lot, found=found, by=actor.key, at=at)
        told = f"looked into up to lot {lot}: {found}"
        return book.keep(replace(before, answers=(*before.answers, answer)), key=key, seen=seen, reason=told)


def rule_choices() -> list[RunRuleSet]:
    """Give the sets of run rules that can be chosen from, each rule by ``set/rule``."""
    return list_run_rules()


def typed_of(watch: ControlWatch) -> TypedWatch:
    """Give a chart as the form shows it."""
    numbers = {
        name: "" if getattr(watch, name) is None else f"{getattr(watch, name):.12g}"
        for name in ("temperature_c", "limit", "target")
    }
    texts = {
        name: getattr(watch, name)
        for name in (
            "product",
            "quantity",
            "chart",
            "scale",
            "limit_is",
            "baseline_since",
            "baseline_until",
            "note",
        )
    }
    return TypedWatch(condition=watch.condition.value, run_rules=watch.run_rules, **numbers, **texts)


def _watch(typed: TypedWatch) -> ControlWatch:
    if typed.quantity not in QUANTITIES:
        raise InputError(f"property: '{typed.quantity}' is not known; choose one of the list")
    if typed.chart not in CHART_KINDS:
        raise InputError(f"chart: '{typed.chart}' is not known; choose one of the list")
    limit = hand_number_or_none(typed.limit, "limit")
    if (limit is None) is not (not typed.limit_is):
        raise InputError("limit: a limit needs its number, and whether it is at most or at least")
    target = hand_number_or_none(typed.target, "target")
    if typed.scale == "log" and any(one is not None and one <= 0.0 for one in (limit, target)):
        raise InputError("limit and target: on a log scale a number above zero is needed")
    since, until = (
        moment(text, title) if text else ""
        for text, title in ((typed.baseline_since, "set-up from"), (typed.baseline_until, "set-up until"))
    )
    if since and until and until < since:
        raise InputError(f"set-up: it would end on {until}, before it begins on {since}")
    chosen_rules(typed.run_rules)
    return ControlWatch(
        product=typed.product,
        quantity=typed.quantity,
        condition=Condition(typed.condition),
        temperature_c=hand_number_or_none(typed.temperature_c, "temperature"),
        chart=typed.chart,
        scale="log" if typed.scale == "log" else "linear",
        run_rules=typed.run_rules,
        baseline_since=since,
        baseline_until=until,
        target=target,
        limit=limit,
        limit_is=typed.limit_is,
        note=typed.note,
    )
