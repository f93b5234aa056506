"""Every class a sample satisfies at every tested temperature, and what stays open."""

from __future__ import annotations

from collections.abc import Sequence

from resile.judge.grades.full_grade import judge_full_grades
from resile.judge.grades.grade_claim import GradeClaim
from resile.judge.grades.grade_lines import counts_as_good, judge_lines, limiting_requirement
from resile.judge.grades.next_full_tests import next_full_tests
from resile.judge.grades.next_tests import next_tests
from resile.judge.grades.sample_findings import statement_findings
from resile.judge.grades.selection import belongs_to_whole_grade, tested_steps
from resile.records.ageing import AgeingRecord, LongTermAgeingRecord
from resile.records.determination import Condition, Result
from resile.records.finding import Severity, worst_severity
from resile.records.specification import DecisionRule, RetestRule, ServiceClass, Specification
from resile.records.verdict import ClassVerdict, GradeStatement, Outcome, Verdict


def judge_class(
    results: Sequence[Result],
    *,
    temperature_c: float,
    service_class: ServiceClass,
    specification: Specification,
    rule: DecisionRule,
) -> ClassVerdict:
    """Judge one class at one climatic high temperature.

    Parameters
    ----------
    results : sequence of Result
        All results of one sample.
    temperature_c : float
        Climatic high temperature [°C].
    service_class : ServiceClass
        Class of the specification.
    specification : Specification
        The rule set.
    rule : DecisionRule
        Agreed before the test.

    Returns
    -------
    ClassVerdict
        Satisfied where the deciding requirements pass and nothing tested fails; a conditional pass counts
        only where the rule says so.
    """
    verdicts = judge_lines(
        results,
        [r for r in specification.requirements if not belongs_to_whole_grade(r)],
        high_temperature_c=temperature_c,
        service_class=service_class,
        specification=specification,
        rule=rule,
    )
    satisfied = _is_satisfied(verdicts, rule)
    return ClassVerdict(
        label=specification.label.format(temperature=f"{temperature_c:g}", service_class=service_class.name),
        temperature_c=temperature_c,
        service_class=service_class,
        verdicts=verdicts,
        satisfied=satisfied,
        complete=satisfied and all(v.outcome is not Outcome.NOT_TESTED for v in verdicts),
        limiting=limiting_requirement(verdicts),
    )


def _is_satisfied(verdicts: Sequence[Verdict], rule: DecisionRule) -> bool:
    deciding = [v for v in verdicts if v.requirement.decides_class]
    tested = [v for v in verdicts if v.outcome is not Outcome.NOT_TESTED]
    return bool(deciding) and all(counts_as_good(v, rule) for v in (*deciding, *tested))


def judge_sample(
    sample: str,
    results: Sequence[Result],
    specification: Specification,
    *,
    decision_rule: DecisionRule,
    retest_rule: RetestRule,
    ageing_record: AgeingRecord | None = None,
    long_term_record: LongTermAgeingRecord | None = None,
    ageing_record_expected: bool = True,
    reported_class: str = "",
    claim: GradeClaim | None = None,
) -> GradeStatement:
    """State every class a sample satisfies, with what fails, what was not tested and what to test next.

    Parameters
    ----------
    sample : str
        Name of the sample; results of other samples are left out.
    results : sequence of Result
        As made by `resile.judge.results.results.results_from_determinations`.
    specification : Specification
        The rule set.
    decision_rule : DecisionRule
        How an uncertainty enters; chosen before the test.
    retest_rule : RetestRule
        Which determinations count; the results were made by it, and the statement names it.
    ageing_record : AgeingRecord or None
        Short-term ageing record; an invalid one keeps the results on aged binder out.
    long_term_record : LongTermAgeingRecord or None
        Long-term ageing record; an invalid one keeps the results on long-term-aged binder out, one of another
        temperature leaves them open for the grades that ask for it.
    ageing_record_expected : bool
        False where the user declares that no ageing record is to be expected.
    reported_class : str
        Class as the laboratory reported it; empty where none.
    claim : GradeClaim or None
        Grade to be verified; a whole one is always among `full_grades`. None to classify.

    Returns
    -------
    GradeStatement
        Hottest temperature and most severe class first.
    """
    own = tuple(r for r in results if r.sample == sample)
    judged = without_badly_aged(own, ageing_record, long_term_record)
    temperatures = tested_steps(judged, specification)
    classes = tuple(
        judge_class(
            judged,
            temperature_c=temperature,
            service_class=service_class,
            specification=specification,
            rule=decision_rule,
        )
        for temperature in sorted(temperatures, reverse=True)
        for service_class in reversed(specification.classes)
    )
    full_grades = judge_full_grades(
        judged, specification, decision_rule, claim=claim, long_term_record=long_term_record
    )
    claimed = claim.label if claim is not None and claim.low_temperature_c is not None else ""
    grades = tuple(c.label for c in classes if c.satisfied)
    return GradeStatement(
        sample=sample,
        specification=specification,
        decision_rule=decision_rule,
        retest_rule=retest_rule,
        results=own,
        classes=classes,
        grades=grades,
        findings=statement_findings(
            own,
            (*classes, *full_grades),
            specification,
            decision_rule=decision_rule,
            ageing_record=ageing_record,
            long_term_record=long_term_record,
            ageing_record_expected=ageing_record_expected,
            reported_class=reported_class,
            claimed_grade=claimed,
        ),
        next_tests=tuple(
            dict.fromkeys(
                (
                    *next_tests(classes, specification),
                    *next_full_tests(full_grades, judged, specification, claim=claim),
                )
            )
        ),
        reported_class=reported_class,
        full_grades=full_grades,
        claimed_grade=claimed,
    )


def without_badly_aged(
    results: tuple[Result, ...],
    short_term: AgeingRecord | None,
    long_term: LongTermAgeingRecord | None = None,
) -> tuple[Result, ...]:
    """Leave out the results on residue that an ageing record says was aged wrongly.

    Parameters
    ----------
    results : tuple of Result
        Of one sample.
    short_term : AgeingRecord or None
        Its short-term ageing record; long-term ageing starts from that residue: both go where it is invalid.
    long_term : LongTermAgeingRecord or None
        Its long-term ageing record.

    Returns
    -------
    tuple of Result
        All of them where no record is invalid.
    """
    bad = badly_aged(short_term, long_term)
    return tuple(r for r in results if r.condition not in bad)


def badly_aged(
    short_term: AgeingRecord | None, long_term: LongTermAgeingRecord | None = None
) -> frozenset[Condition]:
    """Give the residues that ageing records say were aged wrongly; parameters as in `without_badly_aged`."""
    if short_term is not None and worst_severity(short_term.findings) is Severity.INVALID:
        return frozenset((Condition.SHORT_TERM_AGED, Condition.LONG_TERM_AGED))
    if long_term is not None and worst_severity(long_term.findings) is Severity.INVALID:
        return frozenset((Condition.LONG_TERM_AGED,))
    return frozenset()
