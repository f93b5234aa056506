"""How long what is left of samples is kept: planned by rule, due, and disposed of with a log."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import timedelta

from resile.errors import ConflictError, InputError
from resile.records.house_rule import RetentionRule
from resile.records.register import Actor, Disposal, Kept, Retention, Sample
from resile.storage.book import Book
from resile.storage.laboratory_record import LaboratoryRecord
from resile.storage.lists.retentions import DisposedRow, RetentionRow, disposal_log, retentions_until
from resile.storage.reading import Reading
from resile.workflows.laboratory.access.permissions import require
from resile.workflows.laboratory.bench.days import day_of
from resile.workflows.laboratory.bench.house import retention_rule_in_force

RECEIVED = "received"
ISSUED = "issued"
_END = "9999-12-31"


def plan_after(book: Book, sample: str, event: str, day: str) -> Kept[Retention] | None:
    """Plan the retention of a sample when what its rule counts from has happened.

    Receiving and issuing call this inside their own transaction.

    Parameters
    ----------
    book : Book
        The transaction.
    sample : str
        Key of the sample.
    event : str
        `RECEIVED` or `ISSUED`.
    day : str
        When it happened, ISO 8601.

    Returns
    -------
    Kept of Retention or None
        None where the rule in force counts from something else, or the retention has ended. A later issue
        moves the end of one that runs, never to an earlier day.
    """
    rule = retention_rule_in_force(book)
    if rule.starts != event:
        return None
    starts = day_of(day, "day from which it counts")
    due = (starts + timedelta(days=rule.days)).isoformat()
    planned = Retention(sample=sample, rule=rule.identifier, starts=starts.isoformat(), due=due)
    kept = book.find(Retention, sample=sample)
    running = [one for one in kept if not book.find(Disposal, retention=one.key)]
    if not kept:
        return book.keep(planned)
    if not running or running[-1].value.due >= due:
        return None
    moved = replace(planned, place=running[-1].value.place)
    return book.keep(moved, key=running[-1].key, reason=f"counted anew from {starts}")


def keep_retention(
    record: LaboratoryRecord,
    actor: Actor,
    at: str,
    retention: Retention,
    *,
    key: str = "",
    seen: int | None = None,
    reason: str = "",
) -> Kept[Retention]:
    """Plan a retention by hand, or move the day of one, with a reason.

    Parameters
    ----------
    record : LaboratoryRecord
        Where it is kept.
    actor : Actor
        Who plans.
    at : str
        When, ISO 8601 in UTC.
    retention : Retention
        Its sample and the day from which it counts; an empty `due` follows from the rule in force.
    key, seen, reason
        As in `Book.keep`.

    Raises
    ------
    InputError, PermissionRefusedError, ConflictError
        Where a day is none, or it may not be planned.
    """
    require(actor, "retention.write")
    starts = day_of(retention.starts, "day from which it counts")
    with record.writing(by=actor.key, at=at) as book:
        book.get(Sample, retention.sample)
        rule = retention_rule_in_force(book)
        due = day_of(retention.due, "day until which it is kept") if retention.due else None
        ends = due or starts + timedelta(days=rule.days)
        if ends < starts:
            raise InputError(f"retention: kept until {ends}, which is before it begins ({starts})")
        whole = replace(
            retention,
            starts=starts.isoformat(),
            due=ends.isoformat(),
            rule=retention.rule or ("by hand" if due else rule.identifier),
        )
        return book.keep(whole, key=key, seen=seen, reason=reason)


def dispose(record: LaboratoryRecord, actor: Actor, at: str, disposal: Disposal) -> Kept[Disposal]:
    """Log that what is left of a sample was disposed of.

    Parameters
    ----------
    record, actor, at
        As in `keep_retention`.
    disposal : Disposal
        Its retention, day and way; its sample is that of the retention.

    Raises
    ------
    InputError
        Where the way is missing, the day is still to come or before the retention began, or it is early and
        nobody is said to have agreed.
    PermissionRefusedError, ConflictError
        Where it may not be logged, or was disposed of already.
    """
    require(actor, "retention.write")
    day = day_of(disposal.disposed, "day of disposal").isoformat()
    if day > at[:10]:
        raise InputError(f"disposal: {day} is still to come")
    if not disposal.way.strip():
        raise InputError("disposal: how it was disposed of is needed, for example collected as waste binder")
    with record.writing(by=actor.key, at=at) as book:
        kept = book.get(Retention, disposal.retention).value
        if book.find(Disposal, retention=disposal.retention):
            raise ConflictError("what is left of this sample was disposed of already; look at the log")
        if day < kept.starts:
            raise InputError(f"disposal: {day} is before the retention began ({kept.starts})")
        if day < kept.due and not disposal.note.strip():
            raise InputError(
                f"disposal: the sample is kept until {kept.due}; for an earlier disposal "
                "who agreed to it, and why, is needed"
            )
        return book.keep(replace(disposal, sample=kept.sample, disposed=day))


def due_retentions(
    reading: Reading, day: str, *, limit: int = 200, offset: int = 0
) -> tuple[list[RetentionRow], int]:
    """List what is due for disposal, or will be within the reminder of the rule; the earliest first.

    Parameters
    ----------
    reading : Reading
        The record, inside a transaction.
    day : str
        Today, ISO 8601.
    limit, offset : int
        Part of the list.

    Returns
    -------
    tuple of (list of RetentionRow, int)
        The part, and how many there are, counted up to a bound.
    """
    rule = retention_rule_in_force(reading)
    until = (day_of(day, "day") + timedelta(days=rule.remind_days)).isoformat()
    return retentions_until(reading, until, limit=limit, offset=offset)


@dataclass(frozen=True, slots=True)
class RetentionSheet:
    """What is kept of samples.

    Attributes
    ----------
    rule : RetentionRule
        The rule in force.
    due : tuple of RetentionRow
        Due, or due within the reminder of the rule; the earliest first.
    kept : tuple of RetentionRow
        What is due later, the earliest first.
    due_count, kept_count : int
        How many there are, counted as far as a bound.
    log : tuple of DisposedRow
        Disposals, the newest first.
    """

    rule: RetentionRule
    due: tuple[RetentionRow, ...]
    kept: tuple[RetentionRow, ...]
    due_count: int
    kept_count: int
    log: tuple[DisposedRow, ...]


def retention_sheet(record: LaboratoryRecord, actor: Actor, day: str, *, limit: int = 200) -> RetentionSheet:
    """Give what is due, what is kept, and what was disposed of.

    Parameters
    ----------
    record, actor
        As in `keep_retention`.
    day : str
        Today, ISO 8601.
    limit : int
        Rows of each list.
    """
    require(actor, "retention.write")
    with record.reading() as reading:
        due, due_count = due_retentions(reading, day, limit=limit)
        everything, every_count = retentions_until(reading, _END, limit=limit, offset=due_count)
        log = disposal_log(reading, limit=limit)
        rule = retention_rule_in_force(reading)
    return RetentionSheet(
        rule, tuple(due), tuple(everything), due_count, max(0, every_count - due_count), tuple(log)
    )
