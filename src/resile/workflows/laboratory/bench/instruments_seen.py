"""Instruments as they are looked at: a list, a sheet with what is to be reviewed, and what is due."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import timedelta
from itertools import groupby

from resile.judge.rules.verification import judge_verifications
from resile.records.register import Actor, Instrument, Kept, Verification, VerificationState
from resile.storage.laboratory_record import LaboratoryRecord
from resile.storage.lists.equipment import (
    MeasuredRow,
    VerificationRow,
    instrument_keys,
    measured_between,
    verifications_until,
)
from resile.storage.reading import Reading
from resile.workflows.laboratory.access.permissions import require
from resile.workflows.laboratory.bench.days import day_of
from resile.workflows.laboratory.samples.named import person_name

_LISTED = 500
"""Results listed for review; the number of all is told beside them."""

_URGENT = ("failed", "overdue", "unknown", "verified")


@dataclass(frozen=True, slots=True)
class ReviewList:
    """What was measured in the time in which an instrument may have been wrong.

    Attributes
    ----------
    failed : Kept of Verification
        The verification that failed.
    since : str
        Day of the last good one of the same kind; empty where there is none.
    measured : tuple of MeasuredRow
        Runs and ageings from that day until the failed one, as far as they are listed.
    count : int
        How many there are.
    """

    failed: Kept[Verification]
    since: str
    measured: tuple[MeasuredRow, ...]
    count: int


@dataclass(frozen=True, slots=True)
class InstrumentSheet:
    """One instrument with all that was verified.

    Attributes
    ----------
    instrument : Kept of Instrument
        The instrument.
    state : str
        Of its verification, on the day asked.
    due : str
        Earliest day on which a verification in force ends; empty where none ends.
    verifications : tuple of Kept of Verification
        The newest first.
    reviews : tuple of ReviewList
        One for each verification that failed.
    persons : mapping of str to str
        Names of those who kept them, by key.
    """

    instrument: Kept[Instrument]
    state: str
    due: str
    verifications: tuple[Kept[Verification], ...]
    reviews: tuple[ReviewList, ...]
    persons: Mapping[str, str]


@dataclass(frozen=True, slots=True)
class InstrumentLine:
    """One instrument in the list.

    Attributes
    ----------
    instrument : Kept of Instrument
        The instrument.
    state, due, last : str
        State today; earliest day on which a verification ends; day of the newest verification.
    """

    instrument: Kept[Instrument]
    state: str
    due: str
    last: str


def list_instruments(record: LaboratoryRecord, actor: Actor, day: str) -> list[InstrumentLine]:
    """List every instrument with its state on a day: those in use first, by name.

    Parameters
    ----------
    record, actor
        As in `keep_instrument`.
    day : str
        Day asked for, ISO 8601.
    """
    require(actor, "runs.see")
    with record.reading() as reading:
        instruments = reading.find(Instrument, order="name")
        every = verifications_until(reading, day, [one.key for one in instruments]) if instruments else []
    by_key: dict[str, list[VerificationRow]] = {}
    for row in every:
        by_key.setdefault(row.instrument, []).append(row)
    lines = [_line(one, by_key.get(one.key, []), day) for one in instruments]
    return sorted(lines, key=lambda line: line.instrument.value.retired)


def _line(instrument: Kept[Instrument], rows: list[VerificationRow], day: str) -> InstrumentLine:
    last = rows[-1].done if rows else ""
    return InstrumentLine(instrument, judge_verifications(rows, day).value, earliest_due(rows), last)


def earliest_due(rows: list[VerificationRow]) -> str:
    """Give the earliest day on which a verification in force ends; empty where none does.

    Parameters
    ----------
    rows : list of VerificationRow
        Of one instrument, the oldest first.
    """
    newest = {row.what: row for row in rows}
    return min((row.due for row in newest.values() if row.due), default="")


@dataclass(frozen=True, slots=True)
class DueVerification:
    """One thing to verify.

    Attributes
    ----------
    instrument, name : str
        Key and name of the instrument.
    what : str
        What is to be verified; empty where nothing ever was.
    due : str
        Day until which the newest verification stands.
    state : str
        ``overdue``, ``failed``, ``unknown``, or ``verified`` where it is still to come.
    """

    instrument: str
    name: str
    what: str
    due: str
    state: str


def due_verifications(reading: Reading, day: str, *, within_days: int = 14) -> list[DueVerification]:
    """List what is to be verified: failed, overdue, never done, or due soon; the earliest day first.

    Parameters
    ----------
    reading : Reading
        The record, inside a transaction.
    day : str
        Today, ISO 8601.
    within_days : int
        How far to look ahead [days].
    """
    horizon = (day_of(day, "day") + timedelta(days=within_days)).isoformat()
    keys = instrument_keys(reading)
    names = {one.key: one.value.name for one in reading.find(Instrument, key=keys)}
    due = []
    rows = verifications_until(reading, day)
    ordered = sorted(rows, key=lambda row: row.instrument)
    seen = {key: list(group) for key, group in groupby(ordered, key=lambda row: row.instrument)}
    for key in keys:
        if key not in seen:
            due.append(DueVerification(key, names[key], "", "", VerificationState.UNKNOWN.value))
        for row in {row.what: row for row in seen.get(key, [])}.values():
            if not row.passed or (row.due and row.due <= horizon):
                state = judge_verifications([row], day).value
                due.append(DueVerification(key, names[key], row.what, row.due, state))
    return sorted(due, key=lambda one: (_URGENT.index(one.state), one.due, one.name))


def instrument_sheet(record: LaboratoryRecord, actor: Actor, key: str, day: str) -> InstrumentSheet:
    """Give one instrument with its verifications, and what is to be reviewed where one failed.

    Parameters
    ----------
    record, actor
        As in `keep_instrument`.
    key : str
        Key of the instrument.
    day : str
        Day asked for, ISO 8601.
    """
    require(actor, "runs.see")
    with record.reading() as reading:
        instrument = reading.get(Instrument, key)
        kept = reading.find(Verification, instrument=key, order="done")
        rows = verifications_until(reading, day, [key])
        reviews = [_review(reading, one, kept) for one in kept if not one.value.passed]
        persons = {one.by: person_name(reading, one.by) for one in kept}
    return InstrumentSheet(
        instrument=instrument,
        state=judge_verifications(rows, day).value,
        due=earliest_due(rows),
        verifications=tuple(reversed(kept)),
        reviews=tuple(reversed(reviews)),
        persons=persons,
    )


def _review(reading: Reading, failed: Kept[Verification], kept: list[Kept[Verification]]) -> ReviewList:
    good = [
        one.value.done
        for one in kept[: kept.index(failed)]
        if one.value.what == failed.value.what and one.value.passed
    ]
    since = good[-1] if good else ""
    measured, count = measured_between(
        reading, failed.value.instrument, since, failed.value.done, limit=_LISTED
    )
    return ReviewList(failed, since, tuple(measured), count)
