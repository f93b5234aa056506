"""The long-term ageing that was done against the one that a grade or a requirement asks for."""

from __future__ import annotations

from collections.abc import Sequence

from resile.judge.rules.ageing import holds
from resile.judge.wording import number_words, temperature_words
from resile.records.ageing import LongTermAgeingRecord
from resile.records.determination import Condition
from resile.records.finding import Finding, Measure, Severity
from resile.records.specification import Requirement, Specification
from resile.records.verdict import FullGradeVerdict


def why_aged_otherwise(
    requirement: Requirement,
    high_temperature_c: float,
    specification: Specification,
    record: LongTermAgeingRecord | None,
) -> str:
    """Say why results on long-term-aged binder do not answer a requirement of a grade.

    Parameters
    ----------
    requirement : Requirement
        The line of the specification.
    high_temperature_c : float
        Climatic high temperature of the grade [°C].
    specification : Specification
        Gives the ageing temperature by grade.
    record : LongTermAgeingRecord or None
        How the binder was aged; None where nobody says.

    Returns
    -------
    str
        Empty where nothing speaks against it.
    """
    if requirement.condition is not Condition.LONG_TERM_AGED:
        return ""
    hours = other_hours(requirement, specification.ageing_tolerance_h, record)
    if hours or record is None or not aged_for_another_grade(high_temperature_c, specification, record):
        return hours
    asked = _asked(specification, high_temperature_c)
    return f"it was aged at {_chamber(record)}; the grade asks for {_listed(asked)}"


def aged_for_another_grade(
    high_temperature_c: float, specification: Specification, record: LongTermAgeingRecord
) -> bool:
    """Tell whether the chamber was off every temperature that a grade asks for; unknown is not another."""
    return _is_another(record, _asked(specification, high_temperature_c))


def findings_for_grade_temperature(
    grades: Sequence[FullGradeVerdict],
    specification: Specification,
    record: LongTermAgeingRecord | None,
    claimed_grade: str = "",
) -> list[Finding]:
    """Name the whole grades that ask for another ageing temperature than the one of the record.

    Parameters
    ----------
    grades : sequence of FullGradeVerdict
        Those that were judged.
    specification : Specification
        Gives the ageing temperature by grade.
    record : LongTermAgeingRecord or None
        How the binder was aged.
    claimed_grade : str
        Label of the grade that was to be verified; empty where none was.

    Returns
    -------
    list of Finding
        One or none: with the weight that the method gives it where the claimed grade, or every judged grade,
        is concerned; else a note.
    """
    if record is None or record.grade_temperature is None or record.temperature_c is None:
        return []
    other = [g for g in grades if _is_another(record, _asked(specification, g.high_temperature_c))]
    if not other:
        return []
    told: dict[tuple[float, ...], list[str]] = {}
    for grade in other:
        told.setdefault(_asked(specification, grade.high_temperature_c), []).append(grade.label)
    words = "; ".join(f"{', '.join(labels)}: {_listed(asked)}" for asked, labels in told.items())
    tolerance = record.grade_temperature
    heavy = len(other) == len(grades) or claimed_grade in [grade.label for grade in other]
    (nearest, *_) = sorted(next(iter(told)), key=lambda t: abs(t - (record.temperature_c or 0.0)))
    return [
        Finding(
            code="long-term-ageing-temperature-of-another-grade",
            severity=tolerance.severity if heavy else Severity.NOTE,
            message=f"Long-term ageing: the chamber was at {_chamber(record)}; asked for is {words} "
            f"({specification.document}). The long-term-aged requirements of these grades stay open.",
            rule="the chamber has the temperature that the grade asks for",
            value=record.temperature_c,
            limit=nearest,
            unit="°C",
            source=tolerance.source,
            advice=tolerance.advice,
        )
    ]


def other_hours(requirement: Requirement, tolerance_h: float, record: LongTermAgeingRecord | None) -> str:
    """Say that the hours of ageing are others than those of the limit, or are not known."""
    if requirement.ageing_h is None:
        return ""
    limit = f"the limit holds after {number_words(requirement.ageing_h)} h"
    if record is None or record.duration_h is None:
        return f"the hours of ageing are not stated; {limit}"
    if abs(record.duration_h - requirement.ageing_h) > tolerance_h:
        return f"it was aged for {number_words(record.duration_h)} h; {limit}"
    return ""


def _asked(specification: Specification, high_temperature_c: float) -> tuple[float, ...]:
    return tuple(specification.long_term_ageing_temperatures_c.get(high_temperature_c, ()))


def _is_another(record: LongTermAgeingRecord, asked: tuple[float, ...]) -> bool:
    """Tell whether the chamber was off every temperature that is asked for; unknown is not another."""
    tolerance, found = record.grade_temperature, record.temperature_c
    if not asked or tolerance is None or found is None:
        return False
    return not any(holds(Measure(tolerance.measure, found - one, "°C"), tolerance) for one in asked)


def _chamber(record: LongTermAgeingRecord) -> str:
    return temperature_words(record.temperature_c) if record.temperature_c is not None else "an unknown one"


def _listed(asked: tuple[float, ...]) -> str:
    return f"{' or '.join(number_words(one) for one in asked)} °C"
