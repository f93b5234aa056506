"""What the verifications of an instrument say of a test that was made with it."""

from __future__ import annotations

from resile.judge.findings import judge_measures
from resile.records.finding import Finding, Measure
from resile.records.register import Instrument, VerificationState
from resile.specifications.creep_recovery import load_finding_rules
from resile.storage.lists.equipment import failed_next
from resile.storage.reading import Reading

_STATES = {
    "failed": "verification_failed",
    "overdue": "verification_overdue",
    "unknown": "verification_not_known",
}


def instrument_doubts(reading: Reading, state: str, instrument: str, day: str) -> tuple[Finding, ...]:
    """Give what is doubted of a test for its instrument's sake.

    Parameters
    ----------
    reading : Reading
        The record, inside a transaction.
    state : str
        What the test was stamped with when it was kept.
    instrument : str
        Key of the instrument; empty where none is named.
    day : str
        Day or time of the test; empty where it is not known.

    Returns
    -------
    tuple of Finding
        The stamp where it is not good, and the next verification where that failed.
    """
    known = reading.get(Instrument, instrument).value if instrument else None
    name = known.name if known else "the instrument of this test"
    found = _raised(_STATES[state], name) if state in _STATES else ()
    if not instrument or not day or state == VerificationState.FAILED.value:
        return found
    for one in failed_next(reading, instrument, day):
        found += _raised("verification_failed_later", f"{name} ({one.what}, {one.done[:10]})")
    return found


def _raised(measure: str, where: str) -> tuple[Finding, ...]:
    return judge_measures([Measure(measure, 1.0, "", where)], load_finding_rules("record"))
