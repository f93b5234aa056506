"""Instruments and their verifications are kept, and stamp what was measured."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

from resile.errors import InputError
from resile.judge.rules.verification import judge_verifications, within_tolerance
from resile.records.order import TESTS_OF_INSTRUMENTS
from resile.records.register import Actor, Instrument, Kept, Verification, VerificationState
from resile.storage.book import Book
from resile.storage.laboratory_record import LaboratoryRecord
from resile.storage.lists.equipment import (
    verifications_until,
)
from resile.storage.reading import Reading
from resile.workflows.laboratory.access.permissions import require
from resile.workflows.laboratory.bench.days import day_of


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
