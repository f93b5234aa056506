"""Whole grades: high temperature, traffic class and low temperature, from what was tested."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from resile.judge.grades.grade_claim import GradeClaim, full_grade_label
from resile.judge.grades.grade_lines import FAILED, counts_as_good, judge_lines, limiting_requirement
from resile.judge.grades.selection import asked_temperature, near, needs_low_temperature, tested_steps
from resile.records.ageing import LongTermAgeingRecord
from resile.records.determination import Result
from resile.records.specification import DecisionRule, ServiceClass, Specification
from resile.records.verdict import FullGradeVerdict


def judge_full_grade(
    results: Sequence[Result],
    *,
    high_temperature_c: float,
    service_class: ServiceClass,
    low_temperature_c: float,
    specification: Specification,
    rule: DecisionRule,
    long_term_record: LongTermAgeingRecord | None = None,
) -> FullGradeVerdict:
    """Judge one whole grade.

    Parameters
    ----------
    results : sequence of Result
        All results of one sample.
    high_temperature_c, low_temperature_c : float
        The two ends [°C].
    service_class : ServiceClass
        Class of the specification.
    specification : Specification
        The rule set.
    rule : DecisionRule
        Agreed before the test.
    long_term_record : LongTermAgeingRecord or None
        How the long-term-aged binder was made.

    Returns
    -------
    FullGradeVerdict
        Satisfied where nothing fails and nothing is left untested; every requirement is listed.
    """
    verdicts = judge_lines(
        results,
        specification.requirements,
        high_temperature_c=high_temperature_c,
        service_class=service_class,
        specification=specification,
        rule=rule,
        low_temperature_c=low_temperature_c,
        long_term_record=long_term_record,
    )
    return FullGradeVerdict(
        label=full_grade_label(specification, high_temperature_c, service_class, low_temperature_c),
        high_temperature_c=high_temperature_c,
        low_temperature_c=low_temperature_c,
        service_class=service_class,
        verdicts=verdicts,
        satisfied=bool(verdicts) and all(counts_as_good(v, rule) for v in verdicts),
        limiting=limiting_requirement(verdicts),
    )


def judge_full_grades(
    results: Sequence[Result],
    specification: Specification,
    rule: DecisionRule,
    *,
    claim: GradeClaim | None = None,
    long_term_record: LongTermAgeingRecord | None = None,
) -> tuple[FullGradeVerdict, ...]:
    """Judge every whole grade that the data speak to.

    Parameters
    ----------
    results : sequence of Result
        All results of one sample.
    specification : Specification
        The rule set.
    rule : DecisionRule
        Agreed before the test.
    claim : GradeClaim or None
        A whole grade to be verified; it is always among those given.
    long_term_record : LongTermAgeingRecord or None
        How the long-term-aged binder was made.

    Returns
    -------
    tuple of FullGradeVerdict
        Proven grades first, the best of them in front; then those that further tests could still prove and
        no proven grade covers. Where every grade fails, the mildest one, so that its failure is seen.

    Notes
    -----
    Only test temperatures that the specification asks for count: a colder or a hotter test proves nothing.
    """
    judged = [
        judge_full_grade(
            results,
            high_temperature_c=high,
            service_class=service,
            low_temperature_c=low,
            specification=specification,
            rule=rule,
            long_term_record=long_term_record,
        )
        for high, low in _tested_ends(results, specification)
        for service in specification.classes
    ]
    proven = [grade for grade in judged if grade.satisfied]
    standing = [grade for grade in judged if not _fails(grade)]
    kept = proven + [
        g for g in standing if not g.satisfied and not any(_covers(better, g) for better in proven)
    ]
    if not kept and judged:
        kept = [max(judged, key=_order)]
    if claim is not None and claim.low_temperature_c is not None:
        kept = _with_claimed(kept, claim, results, specification, rule, long_term_record)
    return tuple(sorted(kept, key=_order))


def _with_claimed(
    kept: list[FullGradeVerdict],
    claim: GradeClaim,
    results: Sequence[Result],
    specification: Specification,
    rule: DecisionRule,
    long_term_record: LongTermAgeingRecord | None,
) -> list[FullGradeVerdict]:
    if claim.low_temperature_c is None or any(grade.label == claim.label for grade in kept):
        return kept
    claimed = judge_full_grade(
        results,
        high_temperature_c=claim.high_temperature_c,
        service_class=claim.service_class,
        low_temperature_c=claim.low_temperature_c,
        specification=specification,
        rule=rule,
        long_term_record=long_term_record,
    )
    return [*kept, claimed]


def _fails(grade: FullGradeVerdict) -> bool:
    return any(verdict.outcome in FAILED for verdict in grade.verdicts)


def _covers(better: FullGradeVerdict, grade: FullGradeVerdict) -> bool:
    return (
        better.high_temperature_c >= grade.high_temperature_c
        and better.service_class.rank >= grade.service_class.rank
        and better.low_temperature_c <= grade.low_temperature_c
    )


def _order(grade: FullGradeVerdict) -> tuple[bool, bool, float, int, float]:
    """Proven before open before failing; hot, severe and cold before mild."""
    return (
        not grade.satisfied,
        _fails(grade),
        -grade.high_temperature_c,
        -grade.service_class.rank,
        grade.low_temperature_c,
    )


def _tested_ends(results: Sequence[Result], specification: Specification) -> Iterator[tuple[float, float]]:
    """Give the pairs of ends with a test at the high end and one at the low or the intermediate end."""
    below = [r for r in specification.requirements if needs_low_temperature(r)]
    tolerance = specification.temperature_tolerance_c
    for high in tested_steps(results, specification):
        for low in specification.low_temperatures_c.get(high, ()):
            if any(
                result.quantity == requirement.quantity
                and result.condition in (requirement.condition, *requirement.also_accepts)
                and result.value is not None
                and near(result.temperature_c, asked_temperature(requirement, high, low), tolerance)
                for requirement in below
                for result in results
            ):
                yield high, low
