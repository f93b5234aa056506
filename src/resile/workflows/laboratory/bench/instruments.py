"""Instruments and their verifications: keep them, tell what is due, and stamp what was measured."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date, timedelta
from itertools import groupby

from resile.errors import InputError
from resile.judge.rules.verification import judge_verifications, within_tolerance
from resile.records.order import TESTS_OF_INSTRUMENTS
from resile.records.register import Actor, Instrument, Kept, Verification, VerificationState
from resile.storage.book import Book
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


def verification_state(reading: Reading, instrument: str, day: str) -> str:
    """Give the state of an instrument's verification on a day: what results are stamped with.

    Parameters
    ----------
    reading : Reading
        The record, inside a transaction.
    instrument : str
        Key of the instrument; empty where none is named.
    day : str
        Day or time of the test, ISO 8601; empty where it is not known.

    Returns
    -------
    str
        ``verified``, ``overdue``, ``failed`` or ``unknown``.
    """
    if not instrument or not day:
        return VerificationState.UNKNOWN.value
    return judge_verifications(verifications_until(reading, day, [instrument]), day).value


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


def keep_instrument(
    record: LaboratoryRecord,
    actor: Actor,
    at: str,
    instrument: Instrument,
    *,
    key: str = "",
    seen: int | None = None,
    reason: str = "",
) -> Kept[Instrument]:
    """Keep an instrument, or correct one.

    Parameters
    ----------
    record : LaboratoryRecord
        Where it is kept.
    actor : Actor
        Who keeps it.
    at : str
        When, ISO 8601 in UTC.
    instrument : Instrument
        As it is to stand.
    key, seen, reason
        As in `Book.keep`.

    Raises
    ------
    PermissionRefusedError, InputError, ConflictError
        Where it may not be kept; its name is missing, a test is unknown or an interval below one day; an
        instrument of its name is there, or somebody corrected it in between.
    """
    require(actor, "equipment.write")
    if not instrument.name.strip():
        raise InputError("instrument: its name or number in the laboratory is needed")
    unknown = [test for test in instrument.tests if test not in TESTS_OF_INSTRUMENTS]
    if unknown:
        raise InputError(
            f"instrument {instrument.name}: '{unknown[0]}' is no test; "
            f"known are {', '.join(TESTS_OF_INSTRUMENTS)}"
        )
    if instrument.interval_days is not None and instrument.interval_days < 1:
        raise InputError(
            f"instrument {instrument.name}: an interval of {instrument.interval_days} days was found; "
            "at least 1 day is needed, or nothing where there is none"
        )
    with record.writing(by=actor.key, at=at) as book:
        return book.keep(instrument, key=key, seen=seen, reason=reason)


def keep_verification(
    record: LaboratoryRecord,
    actor: Actor,
    at: str,
    verification: Verification,
    *,
    certificate: bytes = b"",
    key: str = "",
    seen: int | None = None,
    reason: str = "",
) -> Kept[Verification]:
    """Keep that an instrument was verified, or correct it.

    Where a reading, its reference and a tolerance are given, they decide whether it passed; the day until
    which it stands follows from the instrument's interval unless it is given.

    Parameters
    ----------
    record, actor, at
        As in `keep_instrument`.
    verification : Verification
        What was done.
    certificate : bytes
        The certificate, where there is one.
    key, seen, reason
        As in `Book.keep`.

    Raises
    ------
    PermissionRefusedError, InputError, RecordNotFoundError, ConflictError
        Where it may not be kept, is not whole, or names no instrument of the record.
    """
    require(actor, "equipment.write")
    with record.writing(by=actor.key, at=at) as book:
        if certificate:
            verification = replace(verification, file=book.keep_file(certificate))
        return enter_verification(book, verification, at, key=key, seen=seen, reason=reason)


def enter_verification(
    book: Book,
    verification: Verification,
    at: str,
    *,
    key: str = "",
    seen: int | None = None,
    reason: str = "",
) -> Kept[Verification]:
    """Enter a verification into the record, inside a transaction: whoever does so may.

    Parameters
    ----------
    book : Book
        The record.
    verification, at, key, seen, reason
        As in `keep_verification`.

    Raises
    ------
    InputError, RecordNotFoundError, ConflictError
        As in `keep_verification`.
    """
    done = day_of(verification.done, "day of the verification")
    if not verification.what.strip():
        raise InputError("verification: what was verified is needed, for example temperature")
    if done > day_of(at, "time"):
        raise InputError(f"verification: done on {done}, a day that is still to come")
    whole = _completed(book, replace(verification, done=done.isoformat()), done)
    return book.keep(whole, key=key, seen=seen, reason=reason)


def _completed(book: Book, verification: Verification, done: date) -> Verification:
    interval = book.get(Instrument, verification.instrument).value.interval_days
    due = verification.due and day_of(verification.due, "day until which it stands").isoformat()
    if not due and interval:
        due = (done + timedelta(days=interval)).isoformat()
    if due and due < done.isoformat():
        raise InputError(f"verification: stands until {due}, which is before it was done ({done})")
    given = (verification.measured, verification.reference, verification.tolerance)
    passed = verification.passed
    if verification.tolerance is not None and verification.tolerance < 0:
        raise InputError("verification: a tolerance is the largest difference allowed and not negative")
    if given[0] is not None and given[1] is not None and given[2] is not None:
        passed = within_tolerance(given[0], given[1], given[2])
    return replace(verification, due=due if passed else "", passed=passed)


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
