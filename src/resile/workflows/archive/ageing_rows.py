"""Ageing records in an archive: what they say as results, and the records again, as a verdict needs them.

An ageing record stands in the table of results with its temperature and time, under its method as the run,
with the findings it was given; an invalid one keeps the results on its residue out of every verdict, as
`resile.judge.grades.sample.without_badly_aged` does it.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import lru_cache

from resile.errors import ResileError
from resile.records.ageing import AgeingRecord, LongTermAgeingRecord, Tolerance
from resile.records.determination import Condition
from resile.records.finding import Finding, Severity
from resile.records.quantity import AGEING_QUANTITIES
from resile.specifications.load import load_ageing_method
from resile.specifications.search import names_only
from resile.workflows.judging.table_ageing import SampleAgeing

TEMPERATURE, TIME = AGEING_QUANTITIES
Record = AgeingRecord | LongTermAgeingRecord


@dataclass(frozen=True, slots=True)
class AgeingRow:
    """What one row of the table of results says of an ageing.

    Attributes
    ----------
    condition : str
        State of the binder afterwards.
    quantity, value : str, float or None
        Temperature [°C] or time [h].
    worst : str
        Gravest finding of the record.
    method, tested, sha256 : str
        Method, day and file of the record.
    """

    condition: str
    quantity: str
    value: float | None
    worst: str
    method: str
    tested: str
    sha256: str


def said_by(record: Record) -> Iterator[tuple[Condition, str, float | None]]:
    """Give what an ageing record says as results: residue, quantity and value."""
    if isinstance(record, AgeingRecord):
        residue, minutes = Condition.SHORT_TERM_AGED, record.duration_min
        hours = None if minutes is None else minutes / 60.0
    else:
        residue, hours = Condition.LONG_TERM_AGED, record.duration_h
    yield residue, TEMPERATURE, record.temperature_c
    yield residue, TIME, hours


def ageing_of_rows(rows: Iterable[AgeingRow]) -> SampleAgeing:
    """Give the ageing records of one sample as far as a verdict needs them: the newest of each kind.

    Parameters
    ----------
    rows : iterable of AgeingRow
        Of one sample of one lot.

    Returns
    -------
    SampleAgeing
        Temperature, time, method and gravest finding; None where there is none.
    """
    newest: dict[str, dict[str, AgeingRow]] = {}
    for row in sorted(rows, key=lambda row: (row.tested, row.sha256, row.method)):
        held = newest.setdefault(row.condition, {})
        if held and _record_of(next(iter(held.values()))) != _record_of(row):
            held.clear()
        held[row.quantity] = row
    short, long = (newest.get(one) for one in (Condition.SHORT_TERM_AGED, Condition.LONG_TERM_AGED))
    return SampleAgeing(_short(short) if short else None, _long(long) if long else None)


def _record_of(row: AgeingRow) -> tuple[str, str, str]:
    return row.tested, row.sha256, row.method


def _short(held: dict[str, AgeingRow]) -> AgeingRecord:
    head, time_h = next(iter(held.values())), _value(held, TIME)
    minutes = None if time_h is None else time_h * 60.0
    return AgeingRecord("", head.method, _value(held, TEMPERATURE), minutes, findings=_findings(head))


def _long(held: dict[str, AgeingRow]) -> LongTermAgeingRecord:
    head = next(iter(held.values()))
    return LongTermAgeingRecord(
        "",
        head.method,
        head.tested,
        _value(held, TEMPERATURE),
        duration_h=_value(held, TIME),
        findings=_findings(head),
        grade_temperature=_asked_of_chamber(head.method),
    )


def _value(held: dict[str, AgeingRow], quantity: str) -> float | None:
    return held[quantity].value if quantity in held else None


def _findings(row: AgeingRow) -> tuple[Finding, ...]:
    if not row.worst:
        return ()
    return (Finding("ageing", Severity(row.worst), "see the ageing record"),)


@lru_cache(maxsize=64)
def _asked_of_chamber(method: str) -> Tolerance | None:
    """Give what a method allows between the chamber and the temperature of the grade."""
    try:
        with names_only():  # a name in an archive opens no file of this computer
            known = load_ageing_method(method)
    except ResileError:
        return None
    return next((one for one in known.tolerances if one.measure == "temperature_from_grade_c"), None)
